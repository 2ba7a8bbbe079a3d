package page

import (
	"encoding/json"
	"io"
	"math"
	"time"

	"fleece.example/tubside/session/lookback"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
)

// dayJSON is a look back as figures: metric, minutes, times in the zone with its offset; what
// is not known is null.
type dayJSON struct {
	Day       uint64        `json:"day"`
	StartedAt *string       `json:"started_at"`
	EndedAt   *string       `json:"ended_at"`
	EnteredAt *string       `json:"entered_at"` // of a day that was entered later from cards
	Findings  []findingJSON `json:"findings"`
	Advice    []adviceJSON  `json:"advice"`
	Batches   []batchJSON   `json:"batches"`
	Steps     []stepJSON    `json:"steps"`
	Waits     []waitJSON    `json:"waits"`
	Hands     []handsJSON   `json:"hands"`
	Alarms    []alarmJSON   `json:"alarms"`
	AlarmsAll *figuresJSON  `json:"alarm_figures"`
	Notes     []noteJSON    `json:"notes"`
}

// waitJSON is what waited, the longest first; for_min of its minutes it was for the cause told.
type waitJSON struct {
	At     *string  `json:"at"`
	Min    *float64 `json:"min"`
	ForMin *float64 `json:"for_min"`
	Batch  string   `json:"batch"`
	Text   string   `json:"text"`
}

// handsJSON is a kind of deed, minutes of all of them together.
type handsJSON struct {
	Act          shed.Action `json:"act"`
	PlannedTimes int         `json:"planned_times"`
	PlannedMin   *float64    `json:"planned_min"`
	Times        int         `json:"times"`
	Min          *float64    `json:"min"`
}

// figuresJSON judge the alarms of the day as lookback.AlarmFigures does.
type figuresJSON struct {
	Alarms     int      `json:"alarms"`
	Hours      *float64 `json:"hours"`
	PerHour    *float64 `json:"per_hour"`
	Most10     int      `json:"most_in_10_min"`
	High       int      `json:"high"`
	InTime     int      `json:"acted_on_in_time"`
	Again      int      `json:"rang_again"`
	Outdone    int      `json:"gave_way"`
	Nothing    int      `json:"nothing_done"`
	StoodMost  int      `json:"stood_at_once"`
	LongestMin *float64 `json:"longest_min"`
	Useless    []string `json:"useless"`
}

type findingJSON struct {
	Text  string `json:"text"`
	Fault bool   `json:"fault"`
}

type adviceJSON struct {
	What string `json:"what"`
	Why  string `json:"why"`
	Sure string `json:"sure"`
}

type batchJSON struct {
	Batch        string     `json:"batch"`
	Fleece       string     `json:"fleece"`
	RawG         float64    `json:"raw_g"`
	DryG         *float64   `json:"dry_g"`
	CameOut      string     `json:"came_out"`
	CameOutWords string     `json:"came_out_words"`
	Place        string     `json:"place"` // of its bag
	Baths        []bathJSON `json:"baths"`
}

type bathJSON struct {
	Step     string        `json:"step"`
	Tub      string        `json:"tub"`
	FilledAt *string       `json:"filled_at"`
	InAt     *string       `json:"in_at"`
	OutAt    *string       `json:"out_at"`
	InC      *float64      `json:"in_c"`
	InRead   bool          `json:"in_read"`
	OutC     *float64      `json:"out_c"`
	OutRead  bool          `json:"out_read"`
	LowestC  *float64      `json:"lowest_c"`
	LowRead  bool          `json:"lowest_read"`
	MarginC  *float64      `json:"margin_c"` // of the lowest over the release temperature
	Readings []readingJSON `json:"readings"`
}

type readingJSON struct {
	At        *string  `json:"at"`
	TempC     float64  `json:"temp_c"`
	ForecastC *float64 `json:"forecast_c"`
	Doubtful  bool     `json:"doubtful,omitempty"` // the next reading says otherwise
}

type stepJSON struct {
	Batch      string   `json:"batch"`
	Step       string   `json:"step"`
	PlannedAt  *string  `json:"planned_at"`
	PlannedMin *float64 `json:"planned_min"`
	At         *string  `json:"at"`
	Min        *float64 `json:"min"`
	Skipped    bool     `json:"skipped"`
}

type alarmJSON struct {
	At   *string `json:"at"`
	Text string  `json:"text"`
}

type noteJSON struct {
	At   *string `json:"at"`
	Text string  `json:"text"`
}

// known is a figure to a hundredth, nil for none.
func known(v float64) *float64 {
	if !measure.Finite(v) {
		return nil
	}
	v = math.Round(v*100) / 100
	return &v
}

// moment is a date-time of RFC 3339, nil for none.
func (l *Look) moment(t time.Time) *string {
	if t.IsZero() {
		return nil
	}
	text := t.In(l.Zone).Format(time.RFC3339)
	return &text
}

// JSON writes the look back as one object on a line.
//
// Errors: what out returns.
func (l Look) JSON(out io.Writer) error {
	r, d := l.review(), l.Day
	j := dayJSON{Day: uint64(l.ID), StartedAt: l.moment(d.StartedAt), EndedAt: l.moment(d.EndedAt), EnteredAt: l.moment(d.Plan.EnteredAt),
		Findings: []findingJSON{}, Advice: []adviceJSON{}, Batches: []batchJSON{}, Steps: []stepJSON{}, Waits: []waitJSON{}, Hands: []handsJSON{}, Alarms: []alarmJSON{}, Notes: []noteJSON{}}
	for _, s := range l.words().Told(d) {
		j.Findings = append(j.Findings, findingJSON{s.Text, s.Bad})
	}
	for _, a := range l.Advice {
		what, why := a.Say(l.Units)
		j.Advice = append(j.Advice, adviceJSON{what, why, a.Sure.String()})
	}
	baths := map[string][]bathJSON{}
	for _, b := range lookback.Baths(d) {
		baths[b.Batch] = append(baths[b.Batch], l.bath(b))
	}
	for _, b := range r.Batches {
		if baths[b.Batch.ID] == nil {
			baths[b.Batch.ID] = []bathJSON{}
		}
		x := batchJSON{Batch: b.Batch.ID, Fleece: b.Fleece.Title(), RawG: *known(b.Batch.RawG), CameOut: b.Out.Found.String(), CameOutWords: b.Out.Note, Place: b.Out.Place, Baths: baths[b.Batch.ID]}
		if b.DryG > 0 {
			x.DryG = known(b.DryG)
		}
		j.Batches = append(j.Batches, x)
	}
	t := lookback.TimingsOf(d)
	for _, x := range t.Waits {
		j.Waits = append(j.Waits, waitJSON{l.moment(x.From), known(x.Min()), known(x.ForMin), x.Batch, l.words().Wait(d, x)})
	}
	for _, h := range t.ByDeed {
		j.Hands = append(j.Hands, handsJSON{h.Act, h.PlannedTimes, known(h.PlannedMin), h.Times, known(h.WasMin)})
	}
	if !d.Plan.FromCards() {
		j.AlarmsAll = figuresOf(lookback.AlarmsOf(r))
	}
	for _, s := range t.Steps {
		j.Steps = append(j.Steps, stepJSON{s.Batch, s.Step.Name, l.moment(s.Planned.From), known(s.Planned.Min()), l.moment(s.Was.From), known(s.WasMin()), s.LeftOut})
	}
	for _, a := range r.Alarms {
		j.Alarms = append(j.Alarms, alarmJSON{l.moment(a.RaisedAt), lookback.AlarmText(a)})
	}
	for _, n := range r.Notes {
		j.Notes = append(j.Notes, noteJSON{l.moment(n.At), lookback.NoteText(d, n)})
	}
	return json.NewEncoder(out).Encode(j)
}

// figuresOf are the figures of a day's alarms.
func figuresOf(f lookback.AlarmFigures) *figuresJSON {
	out := figuresJSON{f.N, known(f.Hours), known(f.PerHour), f.Most10, f.High, f.InTime, f.Again, f.Outdone, f.Nothing, f.StoodMost, known(f.LongestMin), []string{}}
	for _, k := range f.Useless {
		out.Useless = append(out.Useless, k.String())
	}
	return &out
}

func (l Look) bath(b lookback.Bath) bathJSON {
	out := bathJSON{Step: b.Step.Name, Tub: b.TubName, FilledAt: l.moment(b.FilledAt), InAt: l.moment(b.SunkAt), OutAt: l.moment(b.LiftedAt),
		InC: known(b.In.TempC), InRead: b.In.Read, OutC: known(b.Lift.TempC), OutRead: b.Lift.Read,
		LowestC: known(b.Lowest.TempC), LowRead: b.Lowest.Read, MarginC: known(b.MarginC), Readings: []readingJSON{}}
	for _, r := range b.Readings {
		out.Readings = append(out.Readings, readingJSON{l.moment(r.At), *known(r.TempC), known(r.ForecastC), r.Doubtful})
	}
	return out
}
