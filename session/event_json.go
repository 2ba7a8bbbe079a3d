package session

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"reflect"
	"slices"
	"strings"
	"time"

	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
)

// written is a recorded event as JSON.
type written struct {
	Seq   uint64          `json:"seq"`
	At    time.Time       `json:"at"`
	Event string          `json:"event"`
	Body  json.RawMessage `json:"body"`
}

// MarshalJSON writes {"seq","at","event","body"}.
func (r Recorded) MarshalJSON() ([]byte, error) {
	if r.Event == nil {
		return nil, fmt.Errorf("record %d has no event", r.Seq)
	}
	body, err := json.Marshal(r.Event)
	if err != nil {
		return nil, fmt.Errorf("write %s: %w", r.Event.kind().word, err)
	}
	return json.Marshal(written{r.Seq, r.At.UTC(), r.Event.kind().word, body})
}

// ErrUnknown is wrapped by the refusal of what only a newer version can have written.
var ErrUnknown = errors.New("unknown to this version")

// Strictly reads a value of which nothing may be left out.
//
// Errors: ErrUnknown for a field that v does not have; those of the decoder.
func Strictly(b []byte, v any) error {
	dec := json.NewDecoder(bytes.NewReader(b))
	dec.DisallowUnknownFields()
	err := dec.Decode(v)
	if err == nil {
		return nil
	}
	if field, unknown := strings.CutPrefix(err.Error(), "json: unknown field "); unknown {
		return refusal{"this version does not know its field " + measure.CleanText(field, 60), ErrUnknown}
	}
	return err
}

// UnmarshalJSON reads what MarshalJSON wrote; an unknown kind is an error, for
// a day with a hole in it would show wrong timers. Fields that are unknown are left out.
func (r *Recorded) UnmarshalJSON(b []byte) error { return r.read(b, json.Unmarshal) }

// ReadStrictly is UnmarshalJSON of what comes from outside: nothing is left out.
func (r *Recorded) ReadStrictly(b []byte) error { return r.read(b, Strictly) }

func (r *Recorded) read(b []byte, decode func([]byte, any) error) error {
	var w written
	if err := decode(b, &w); err != nil {
		return Unreadable("read event", err)
	}
	t, ok := eventTypes[w.Event]
	if !ok {
		return refusal{fmt.Sprintf("event %d is of a kind \"%s\" that this version does not know", w.Seq, measure.CleanText(w.Event, 40)), ErrUnknown}
	}
	if y := w.At.UTC().Year(); y < 1 || y > 9999 { // could not be written again
		return fmt.Errorf("event %d has a time that can't be right", w.Seq)
	}
	v := reflect.New(t)
	if err := decode(w.Body, v.Interface()); err != nil {
		return Unreadable(fmt.Sprintf("read %s (event %d)", w.Event, w.Seq), err)
	}
	*r = Recorded{Seq: w.Seq, At: w.At.UTC(), Event: cleanEvent(v.Elem().Interface().(Event))}
	return nil
}

// CheckFigures refuses an event with a figure that the program never writes, or that is
// of no moment yet; the error names the place.
func (r Recorded) CheckFigures(latest time.Time) error {
	if r.At.IsZero() {
		return errors.New("it has no time")
	}
	if err := measure.CheckMoment(r.At, latest); err != nil {
		return err
	}
	return limits.Check(r.Event, latest)
}

// Unreadable wraps an error of the decoder, whose text may quote the file.
func Unreadable(doing string, err error) error {
	return refusal{doing + ": " + measure.CleanText(err.Error(), shed.MaxNote), err}
}

// cleanEvent makes the texts of an event safe to show. What this program wrote
// is clean already; a file that was restored or carried over may not be.
func cleanEvent(e Event) Event {
	switch e := e.(type) {
	case DayStarted:
		e.Plan, e.Loads = e.Plan.CleanTexts(), slices.Clone(e.Loads)
		for i, l := range e.Loads {
			e.Loads[i] = l.clean()
		}
		return e
	case BatchLoaded:
		return e.clean()
	case KitChanged:
		e.Kit = e.Kit.Clean()
		return e
	case BatchAdded:
		e.Fleece, e.Batch = e.Fleece.Clean(), e.Batch.Clean()
		return e
	case NoteAdded:
		e.Text = measure.CleanText(e.Text, shed.MaxNote)
		return e
	case AlarmShelved:
		e.Why = measure.CleanText(e.Why, shed.MaxName)
		return e
	case SoundChecked:
		e.Path = measure.CleanText(e.Path, shed.MaxName)
		return e
	case BatchWeighed:
		e.Batch, e.Scale = measure.CleanText(e.Batch, shed.MaxName), e.Scale.Clean()
		return e
	case BatchWeighedWet:
		e.Batch, e.Scale = measure.CleanText(e.Batch, shed.MaxName), e.Scale.Clean()
		return e
	case BatchWeighedRaw:
		e.Batch, e.Scale = measure.CleanText(e.Batch, shed.MaxName), e.Scale.Clean()
		return e
	case BatchWeighedSoaked:
		e.Batch, e.Scale = measure.CleanText(e.Batch, shed.MaxName), e.Scale.Clean()
		return e
	case BatchJudged:
		e.Batch, e.Note, e.Place = measure.CleanText(e.Batch, shed.MaxName), measure.CleanText(e.Note, shed.MaxNote), measure.CleanText(e.Place, shed.MaxName)
		return e
	case PartNamed:
		e.Batch, e.Part = measure.CleanText(e.Batch, shed.MaxName), shed.CleanPart(e.Part)
		return e
	case KettlePutOn:
		e.Batch, e.StepName = measure.CleanText(e.Batch, shed.MaxName), measure.CleanText(e.StepName, 2*shed.MaxName)
		return e
	case BatchMoved:
		e.Batch, e.Tray, e.Spots = measure.CleanText(e.Batch, shed.MaxName), measure.CleanText(e.Tray, shed.MaxName), shed.CleanSpots(e.Spots)
		return e
	case RackLookedOver:
		e.OnRack = shed.CleanLying(e.OnRack)
		return e
	case FibreRacked:
		e.Tray, e.Spots = measure.CleanText(e.Tray, shed.MaxName), shed.CleanSpots(e.Spots)
		return e
	}
	return e
}

func (e BatchLoaded) clean() BatchLoaded {
	e.Batch, e.Steps = measure.CleanText(e.Batch, shed.MaxName), slices.Clone(e.Steps)
	for i, s := range e.Steps {
		e.Steps[i].Name = measure.CleanText(s.Name, 2*shed.MaxName) // longer than a method's: "second " comes before it
	}
	return e
}
