package ledger

import (
	"encoding/json"
	"fmt"
	"strconv"
	"strings"
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/session/yield"
)

// RowOf is a batch of the day as the ledger has it.
func RowOf(d session.Day, batch string) BatchRow {
	for _, r := range rowsOf(d) {
		if r.ID == batch {
			return r
		}
	}
	return BatchRow{}
}

// BatchRow is a batch as the ledger needs it. Times are UTC to the second, zero
// for what has not happened; weights are grams, 0: not weighed.
type BatchRow struct {
	ID, FleeceID            string
	Form                    shed.Form
	RawG, DryG              float64
	SunkAt, RackedAt, DryAt time.Time // SunkAt: first in the water
	LiftedAt                time.Time // last out of a wash; zero: none, or an older version wrote the row
	Tray                    string    // its mark
	RawScale, DryScale      shed.Scale
	DryRH                   float64         // 0: not known
	Wet                     int             // weighings on the way to dry
	Part                    string          // of the fleece
	SoakedG                 float64         // after the presoak, dried again; 0: not weighed
	Spots                   []shed.Spot     // on its tray
	Out                     session.Outcome // how it came out
	Reached                 Reached         // of a batch in the water
	Washes                  int             // into how many washes it went on that day
	Again                   shed.Earlier    // the batch it was before, where it is washed again
	Soaked                  shed.Earlier    // the batch it was before, where that was presoaked only
	Mark                    string          // what its card or its bag calls it, if that is another than ID
}

// Reached is how far a batch in the water came.
type Reached int

// How far: rows of older versions do not say.
const (
	ReachedUnknown Reached = iota
	ReachedPresoak
	ReachedWash // or any other bath
)

var reachedWords = measure.NewWords[Reached]("a bath", "", "presoak", "wash")

// MarshalText writes the word.
func (r Reached) MarshalText() ([]byte, error) { return reachedWords.Write(r) }

// UnmarshalText reads the word.
func (r *Reached) UnmarshalText(text []byte) error { return reachedWords.Read(text, r) }

// reachedOf is empty for a batch that is not in the water.
func reachedOf(f session.Fate) Reached {
	switch {
	case !f.InWater():
		return ReachedUnknown
	case f.PresoakedOnly():
		return ReachedPresoak
	}
	return ReachedWash
}

// State is where a batch stands.
type State int

// The states of a batch.
const (
	Unwashed  State = iota // still raw
	Presoaked              // and in no other bath: still to wash
	InWater
	Drying // on the rack
	Bagged // its dry weight is known
	Gone   // thrown away before that
)

var stateWords = measure.NewWords[State]("a state", "raw", "presoaked", "washing", "drying", "bagged", "thrown away")

func (s State) String() string { return stateWords.Of(s) }

// StateOf is where a batch of the day stands.
func StateOf(d session.Day, batch string) State {
	r := RowOf(d, batch)
	return r.State()
}

// State is where the batch stands.
func (r *BatchRow) State() State {
	switch {
	case r.DryG > 0:
		return Bagged
	case r.Out.Found&session.ThrownAway != 0:
		return Gone
	case !r.RackedAt.IsZero():
		return Drying
	case !r.SunkAt.IsZero() && r.Reached == ReachedPresoak:
		return Presoaked
	case !r.SunkAt.IsZero():
		return InWater
	}
	return Unwashed
}

// LeftWet says that a batch is wet if its day is over.
func (r *BatchRow) LeftWet() bool {
	return r.State() == InWater || r.State() == Presoaked && r.SoakedG == 0
}

// weighed is the row for the arithmetic of yields.
func (r *BatchRow) weighed() yield.Batch {
	b := shed.Batch{RawG: r.RawG, RawScale: r.RawScale, Part: r.Part}.YieldBatch(r.DryG, r.DryScale)
	b.Sure = true // it is in the record
	return b
}

// BatchRows are the batches of a day. They are written as one text, for twenty
// thousand of them are read whenever the ledger opens: rows separated by ";",
// fields by ",", names escaped as in a URL, times in seconds since 1970.
type BatchRows []BatchRow

const (
	rowFields = 15 // in every row
	// Behind them may stand the part, the weight after the presoak, the spots and how
	// it came out, in words that are known and in others, how far it came, how many washes
	// if more than one, the day and the mark that it had before, where its bag is, what its card calls it, what it was where that was presoaked only, and when it was lifted; what is
	// empty at the end is left out.
	mostRowFields = 29
)

// Escaped writes a name with nothing in it that parts fields or rows.
func Escaped(name string) string {
	plain := func(c byte) bool {
		return c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z' || c >= '0' && c <= '9' || c == '-' || c == '_' || c == '.'
	}
	var b strings.Builder
	for i := range len(name) {
		if c := name[i]; plain(c) {
			b.WriteByte(c)
		} else {
			fmt.Fprintf(&b, "%%%02X", c)
		}
	}
	return b.String()
}

// Unescaped reads what Escaped wrote.
//
// Errors: a sentence for what it never writes.
func Unescaped(field string) (string, error) {
	var b strings.Builder
	for {
		before, after, found := strings.Cut(field, "%")
		b.WriteString(before)
		if !found {
			return b.String(), nil
		}
		if len(after) < 2 {
			return "", fmt.Errorf("\"%s\" ends too soon", measure.CleanText(field, shed.MaxName))
		}
		c, err := strconv.ParseUint(after[:2], 16, 8)
		if err != nil {
			return "", fmt.Errorf("\"%s\" is no escaped letter", measure.CleanText(after[:2], 2))
		}
		b.WriteByte(byte(c))
		field = after[2:]
	}
}

// MarshalJSON writes the text.
func (rs BatchRows) MarshalJSON() ([]byte, error) {
	var b strings.Builder
	for i, r := range rs {
		if i > 0 {
			b.WriteByte(';')
		}
		form, err := r.Form.MarshalText()
		if err != nil {
			return nil, err
		}
		fields := [mostRowFields]string{
			Escaped(r.ID), Escaped(r.FleeceID), string(form), rowFigure(r.RawG), rowFigure(r.DryG),
			rowTime(r.SunkAt), rowTime(r.RackedAt), rowTime(r.DryAt), Escaped(r.Tray),
			Escaped(r.RawScale.Name), rowFigure(r.RawScale.StepG), Escaped(r.DryScale.Name), rowFigure(r.DryScale.StepG),
			rowFigure(r.DryRH), strconv.Itoa(r.Wet),
			Escaped(r.Part), rowFigure(r.SoakedG), rowSpots(r.Spots),
			Escaped(r.Out.Found.String()), Escaped(r.Out.Note), reachedWords.Of(r.Reached),
			rowWhole(int64(r.Washes)), rowWhole(int64(r.Again.Day)), Escaped(r.Again.Batch), Escaped(r.Out.Place), Escaped(r.Mark),
			rowWhole(int64(r.Soaked.Day)), Escaped(r.Soaked.Batch), rowTime(r.LiftedAt),
		}
		n := mostRowFields
		for n > rowFields && fields[n-1] == "" {
			n--
		}
		b.WriteString(strings.Join(fields[:n], ","))
	}
	return json.Marshal(b.String())
}

func rowFigure(v float64) string {
	if v == 0 {
		return ""
	}
	return strconv.FormatFloat(v, 'g', -1, 64)
}

func rowWhole(n int64) string {
	if n == 0 {
		return ""
	}
	return strconv.FormatInt(n, 10)
}

func rowTime(t time.Time) string {
	if t.IsZero() {
		return ""
	}
	if ns := t.Nanosecond(); ns != 0 { // what this program writes has none
		return fmt.Sprintf("%d.%09d", t.Unix(), ns)
	}
	return strconv.FormatInt(t.Unix(), 10)
}

// UnmarshalJSON reads what MarshalJSON wrote. Names come out safe to show.
func (rs *BatchRows) UnmarshalJSON(text []byte) error {
	var all string
	if err := json.Unmarshal(text, &all); err != nil {
		return session.Unreadable("read the rows of a day", err)
	}
	*rs = nil
	if all == "" {
		return nil
	}
	out := make(BatchRows, 0, 1+strings.Count(all, ";"))
	for line := range strings.SplitSeq(all, ";") {
		r, err := readRow(line)
		if err != nil {
			return session.Unreadable(fmt.Sprintf("row %d of a day", len(out)+1), err)
		}
		out = append(out, r)
	}
	*rs = out
	return nil
}

// rowReader takes the fields of a row one by one and keeps the first error.
type rowReader struct {
	rest string
	n    int
	err  error
}

func (r *rowReader) next() string {
	r.n++
	field, rest, found := strings.Cut(r.rest, ",")
	if r.err == nil && (!found && r.n < rowFields || found && r.n >= mostRowFields) {
		r.err = fmt.Errorf("it has not %d to %d fields", rowFields, mostRowFields)
	}
	r.rest = rest
	return field
}

func (r *rowReader) name() string { return r.text(shed.MaxName) }

// text reads an escaped text of so many letters at the most.
func (r *rowReader) text(most int) string {
	field := r.next()
	if harmlessName(field) {
		return field
	}
	if strings.Contains(field, "%") {
		text, err := Unescaped(field)
		r.keep(err)
		field = text
	}
	return measure.CleanText(field, most)
}

// harmlessName says that there is nothing to unescape or to clean: marks are
// like this, and there are many of them.
func harmlessName(s string) bool {
	for i := range len(s) {
		if c := s[i]; c <= ' ' || c >= 0x7f || c == '%' {
			return false
		}
	}
	return len(s) <= shed.MaxName
}

func (r *rowReader) keep(err error) {
	if r.err == nil {
		r.err = err
	}
}

func (r *rowReader) figure() float64 {
	field := r.next()
	if field == "" {
		return 0
	}
	v, err := strconv.ParseFloat(field, 64)
	r.keep(err)
	if !measure.Finite(v) {
		r.keep(fmt.Errorf("%g is not a weight", v))
		return 0
	}
	return v
}

func (r *rowReader) whole() int64 {
	field := r.next()
	if field == "" {
		return 0
	}
	v, err := strconv.ParseInt(field, 10, 64)
	r.keep(err)
	return v
}

// Times outside could not be written again.
const (
	earliestRow = -62135596800 // the beginning of the year 1
	latestRow   = 253402300799 // the end of the year 9999
)

func (r *rowReader) time() time.Time {
	field := r.next()
	if field == "" {
		return time.Time{}
	}
	seconds, part, _ := strings.Cut(field, ".")
	v, err := strconv.ParseInt(seconds, 10, 64)
	r.keep(err)
	ns := uint64(0)
	if part != "" {
		ns, err = strconv.ParseUint(part, 10, 30)
		r.keep(err)
	}
	if v < earliestRow || v > latestRow {
		r.keep(fmt.Errorf("%d is not a time", v))
		return time.Time{}
	}
	return time.Unix(v, int64(ns)).UTC()
}

func readRow(line string) (BatchRow, error) {
	r := &rowReader{rest: line}
	out := BatchRow{ID: r.name(), FleeceID: r.name()}
	r.keep(out.Form.UnmarshalText([]byte(r.next())))
	out.RawG, out.DryG = r.figure(), r.figure()
	out.SunkAt, out.RackedAt, out.DryAt = r.time(), r.time(), r.time()
	out.Tray = r.name()
	out.RawScale = shed.Scale{Name: r.name(), StepG: r.figure()}
	out.DryScale = shed.Scale{Name: r.name(), StepG: r.figure()}
	out.DryRH = r.figure()
	wet, err := strconv.Atoi(r.next())
	r.keep(err)
	out.Wet = wet
	out.Part, out.SoakedG = r.name(), r.figure()
	out.Spots, err = readSpots(r.next())
	r.keep(err)
	r.keep(out.Out.Found.UnmarshalText([]byte(r.text(shed.MaxNote))))
	out.Out.Note = r.text(shed.MaxNote)
	r.keep(out.Reached.UnmarshalText([]byte(r.next())))
	out.Washes = int(r.whole())
	out.Again = shed.Earlier{Day: shed.DayID(r.whole()), Batch: r.name()}
	out.Out.Place, out.Mark = r.name(), r.name()
	out.Soaked = shed.Earlier{Day: shed.DayID(r.whole()), Batch: r.name()}
	out.LiftedAt = r.time()
	return out, r.err
}

// rowSpots writes spots as "place.from-to" with "+" between them.
func rowSpots(spots []shed.Spot) string {
	var parts []string
	for _, s := range spots {
		parts = append(parts, fmt.Sprintf("%d.%d-%d", s.Place, s.From, s.To))
	}
	return strings.Join(parts, "+")
}

func readSpots(field string) ([]shed.Spot, error) {
	if field == "" {
		return nil, nil
	}
	var out []shed.Spot
	for part := range strings.SplitSeq(field, "+") {
		place, layers, _ := strings.Cut(part, ".")
		from, to, _ := strings.Cut(layers, "-")
		var n [3]int
		for i, text := range [3]string{place, from, to} {
			v, err := strconv.Atoi(text)
			if err != nil {
				return nil, fmt.Errorf("\"%s\" is no place on a tray", measure.CleanText(part, shed.MaxName))
			}
			n[i] = v
		}
		out = append(out, shed.Spot{Place: n[0], From: n[1], To: n[2]})
	}
	return shed.CleanSpots(out), nil
}

// rowWashes leaves out one wash, which a row does not tell from none; -1 is a batch that only went on with
// what stands behind its wash.
func rowWashes(n int, goesOn bool) int {
	switch {
	case n == 0 && goesOn:
		return -1
	case n < 2:
		return 0
	}
	return n
}

// rowsOf are the rows of a day's batches, in the order of the plan.
func rowsOf(d session.Day) BatchRows {
	out := make(BatchRows, 0, len(d.Plan.Batches))
	for _, b := range d.Plan.Batches {
		f := d.Fate[b.ID]
		second := func(t time.Time) time.Time {
			if t.IsZero() {
				return t
			}
			return t.UTC().Truncate(time.Second)
		}
		out = append(out, BatchRow{
			ID: b.ID, FleeceID: b.FleeceID, Form: b.Form, RawG: b.RawG, DryG: f.DryG,
			SunkAt: second(f.SunkAt), RackedAt: second(f.RackedAt), DryAt: second(f.DryAt), LiftedAt: second(f.LiftedAt),
			Tray: f.Tray, RawScale: b.RawScale, DryScale: f.DryScale, DryRH: f.DryRH, Wet: len(f.Wet),
			Part: b.Part, SoakedG: f.SoakedG, Spots: f.Spots, Out: f.Out, Reached: reachedOf(f),
			Washes: rowWashes(f.Washes, b.FromStep != ""), Again: b.Again, Soaked: b.Soaked, Mark: b.Card.Mark,
		})
	}
	if len(out) == 0 {
		return nil
	}
	return out
}
