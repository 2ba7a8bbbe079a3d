package ledger

import (
	"cmp"
	"fmt"
	"slices"
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/session/tag"
	"fleece.example/tubside/session/yield"
)

// Entry is a fleece of the ledger with what has become of it.
type Entry struct {
	Fleece  shed.Fleece
	Batches []BookedBatch // the newest day first
	// Washed counts the batches out of the water: Drying and Bagged together.
	Washed, Drying, Bagged int
	UsedG                  float64 // raw grams of the batches that went into the water, but for those presoaked only
	RawG, DryG             float64 // of the bagged batches
	Bags                   int     // of them that are not empty
	InBagsG                float64 // dry grams that were put into these
	LeftG                  float64 // raw grams still to wash
	LastAt                 time.Time
}

// BookedBatch is a batch with its day.
type BookedBatch struct {
	Day shed.DayID
	At  time.Time // Summary.WashedAt
	// Used says that its raw grams are off the fleece: it was washed, or is in its presoak.
	Used bool
	// Before: it was washed again on a later day, whose batch counts in its place.
	Before bool
	Wet    bool // its day left it wet; one that was only presoaked, till more of its fleece is washed
	Card   bool // of a day that was entered later
	BatchRow
}

// YieldPart is dry by raw of the bagged batches, 0 if there is none.
func (e *Entry) YieldPart() float64 {
	if e.RawG <= 0 {
		return 0
	}
	return e.DryG / e.RawG
}

// CleanG is what is left of the clean fibre, g. What was used may have come out of the bags that are empty: it
// counts once.
func (e *Entry) CleanG() float64 { return max(0, min(e.DryG-e.Fleece.UsedG(), e.InBagsG)) }

// Book makes the ledger's entries, in the order of the fleeces, in one pass over
// the days, which come newest first. Batches of fleeces that are not in the
// ledger are left out, and so are those that never went into the water by the
// end of their day: they are raw fleece as before. Those that were only presoaked by then
// are still to wash too, and are listed.
func Book(fleeces []shed.Fleece, days []Summary) []Entry {
	out := make([]Entry, len(fleeces))
	at := make(map[string]int, len(fleeces))
	for i, f := range fleeces {
		out[i].Fleece = f
		at[f.ID] = i
	}
	count := make([]int, len(fleeces))
	total := 0
	for _, s := range days {
		for _, r := range s.Rows {
			if i, ok := at[r.FleeceID]; ok {
				count[i]++
				total++
			}
		}
	}
	all := make([]BookedBatch, total) // one room for all: entries are parts of it
	for i, n := range count {
		out[i].Batches, all = all[:0:n], all[n:]
	}
	before := WashedAgain(days)
	for _, s := range days {
		for _, r := range s.Rows {
			if i, ok := at[r.FleeceID]; ok {
				x, state, open := &out[i], r.State(), s.EndedAt.IsZero()
				if state == Unwashed && !open {
					continue
				}
				was := before.Has(s.ID, r.ID)
				x.Batches = append(x.Batches, BookedBatch{Day: s.ID, At: s.WashedAt(&r), Used: !was && (state > Presoaked || open && state == Presoaked && r.Again.Day == 0), Before: was,
					Wet:  !was && !open && r.LeftWet() && (state == InWater || len(x.Batches) == 0 || x.Batches[0].Day == s.ID),
					Card: !s.EnteredAt.IsZero(), BatchRow: r})
			}
		}
	}
	for i := range out {
		out[i].settle()
		if out[i].Fleece.Rest == shed.RestToWash {
			out[i].LeftG = max(0, out[i].Fleece.ToWashG()-out[i].UsedG)
		}
	}
	return out
}

// Other are the days but one.
func Other(days []Summary, than shed.DayID) (out []Summary) {
	for _, s := range days {
		if s.ID != than {
			out = append(out, s)
		}
	}
	return out
}

// BatchesBefore are batches that later ones have taken the place of. They are few.
type BatchesBefore []shed.Earlier

// Has says that a batch of a day is one of them.
func (b BatchesBefore) Has(day shed.DayID, batch string) bool {
	return slices.Contains(b, shed.Earlier{Day: day, Batch: batch})
}

// WashedAgain lists the batches that were washed again on a later day, or only there where they were
// presoaked before. A presoak alone is no wash: till then each is what it was.
func WashedAgain(days []Summary) (out BatchesBefore) {
	for _, s := range days {
		for _, r := range s.Rows {
			if was := cmp.Or(r.Again, r.Soaked); was.Day != 0 && was.Day < s.ID && r.State() > Presoaked {
				out = append(out, was)
			}
		}
	}
	return out
}

// LastWash is what a batch is by now, where it was washed again.
func LastWash(days []Summary, day shed.DayID, batch string) (last shed.Earlier, again bool) {
	last = shed.Earlier{Day: day, Batch: batch}
	for _, s := range slices.Backward(days) { // the oldest first
		for _, r := range s.Rows {
			if cmp.Or(r.Again, r.Soaked) == last && r.State() > Presoaked && s.ID > last.Day {
				last, again = shed.Earlier{Day: s.ID, Batch: r.ID}, true
			}
		}
	}
	return last, again
}

// Codes are a batch's own and those that it had before it was washed again: its bag may have any of them on it.
func Codes(days []Summary, day shed.DayID, r *BatchRow) (out []string) {
	code, _ := tag.Code(day, r.ID)
	out = append(out, code)
	for _, was := range EarlierOf(days, day, cmp.Or(r.Again, r.Soaked)) {
		code, _ = tag.Code(was.Day, was.Batch)
		out = append(out, code)
	}
	return out
}

// EarlierOf is was, what a batch of a day was before it was washed again or where it was presoaked only, and what that
// was before, the last first.
func EarlierOf(days []Summary, day shed.DayID, was shed.Earlier) (out []shed.Earlier) {
	for was.Day != 0 && was.Day < day {
		at := was
		out, day, was = append(out, at), at.Day, shed.Earlier{}
		for _, s := range days {
			for i := range s.Rows {
				if r := &s.Rows[i]; s.ID == at.Day && r.ID == at.Batch {
					was = cmp.Or(r.Again, r.Soaked)
				}
			}
		}
	}
	return out
}

// Washes is how often a batch of the entry was washed, on its earlier days too.
func (e *Entry) Washes(b BookedBatch) int {
	n := b.BatchRow.Washes
	if b.State() > Presoaked && n >= 0 {
		n = max(1, n)
	}
	n = max(0, n)
	if o, ok := e.earlier(b); ok && o.Before {
		n += e.Washes(o)
	}
	return n
}

// earlier is what a batch that is washed again was before.
func (e *Entry) earlier(b BookedBatch) (BookedBatch, bool) {
	for _, o := range e.Batches {
		if o.Day < b.Day && b.Again == (shed.Earlier{Day: o.Day, Batch: o.ID}) {
			return o, true
		}
	}
	return BookedBatch{}, false
}

// settle gives what was washed again the raw weight of its first day, and counts.
func (e *Entry) settle() {
	for i := len(e.Batches) - 1; i >= 0; i-- { // the oldest first
		b := &e.Batches[i]
		if b.Again.Day != 0 {
			if o, ok := e.earlier(*b); ok {
				b.RawG, b.RawScale = o.RawG, o.RawScale
			}
		}
		e.count(*b)
	}
}

func (e *Entry) count(b BookedBatch) {
	if !b.Used {
		return
	}
	if b.At.After(e.LastAt) {
		e.LastAt = b.At
	}
	e.UsedG += b.RawG
	switch b.State() {
	case Drying:
		e.Washed++
		if !b.Card {
			e.Drying++
		}
	case Bagged:
		e.Washed++
		e.Bagged++
		e.RawG += b.RawG
		e.DryG += b.DryG
		if b.Out.Found&(session.BagEmpty|session.ThrownAway) == 0 {
			e.Bags++
			e.InBagsG += b.DryG
		}
	case Unwashed, Presoaked, InWater, Gone:
	}
}

// Yielded is what the weights of a fleece, or of one batch, say.
type Yielded struct {
	yield.Report
	Usual  string // how it lies by the usual range of the type, a sentence
	Place  yield.Place
	Losses []yield.Loss // where the loss went
}

// roomOf is the air that a batch was weighed in. In the same air wool that comes from
// the wet holds more water than wool that was dry, and a batch from the rack comes from
// the wet.
func roomOf(rh float64) yield.Room {
	return yield.Room{Known: rh > 0, RH: rh, Side: yield.Drying}
}

// YieldOf works out the yield of bagged batches of one type together; ok is
// false if none is bagged. Where their rooms differ the mean humidity counts,
// and none if one of them is not known. u writes the weights in the sentences.
func YieldOf(rows []BatchRow, t shed.FleeceType, u measure.System) (y Yielded, ok bool, err error) {
	var batches []yield.Batch
	rh, known, dryG, stepG, told := 0.0, true, 0.0, 0.0, 0
	for _, r := range rows {
		if r.State() != Bagged {
			continue
		}
		b := r.weighed()
		batches = append(batches, b)
		if known = known && r.DryRH > 0; r.DryRH > 0 {
			told++
		}
		rh += r.DryRH * r.DryG
		dryG += r.DryG
		stepG = max(stepG, b.DryStepG)
	}
	if len(batches) == 0 {
		return y, false, nil
	}
	room := roomOf(0)
	room.Told = told
	if known {
		room = roomOf(rh / dryG)
	}
	if y.Report, err = yield.OfFleece(batches, room, yield.TradeRegain, u.Mass); err != nil {
		return y, false, err
	}
	if y.Place, y.Usual, err = yield.Compare(y.AsWeighed.Likely, t.String()); err != nil {
		return y, false, err
	}
	all := yield.Losses{RawG: y.RawG, DryG: y.DryG, StepG: stepG, Type: t.String(), Sure: true}
	soaked, n := soakedOf(rows)
	if n == len(batches) {
		all.AfterG = soaked.AfterG
	}
	if y.Losses, err = yield.Breakdown(all, room, u.Mass); err != nil {
		return y, false, err
	}
	if n > 0 && n < len(batches) {
		soaked.StepG, soaked.Type, soaked.Sure = stepG, all.Type, true
		err = y.addSoaked(soaked, room, n, u)
	}
	y.Usual = u.PercentSigns(y.Usual)
	for i := range y.Remarks {
		y.Remarks[i] = u.PercentSigns(y.Remarks[i])
	}
	for i := range y.Losses {
		y.Losses[i].Text = u.PercentSigns(y.Losses[i].Text)
	}
	return y, err == nil, err
}

// soakedOf are the bagged batches that were weighed after the presoak too, put
// together, and how many they are.
func soakedOf(rows []BatchRow) (l yield.Losses, n int) {
	for _, r := range rows {
		if r.State() == Bagged && session.SoakedWeightFits(r.RawG, r.SoakedG, r.DryG) {
			l.RawG, l.AfterG, l.DryG = l.RawG+r.RawG, l.AfterG+r.SoakedG, l.DryG+r.DryG
			n++
		}
	}
	return l, n
}

// addSoaked says what presoak and wash took from the batches that were weighed
// between them, where others were not.
func (y *Yielded) addSoaked(l yield.Losses, room yield.Room, n int, u measure.System) error {
	parts, err := yield.Breakdown(l, room, u.Mass)
	if err != nil {
		return err
	}
	which := fmt.Sprintf("the %d batches", n)
	if n == 1 {
		which = "the one batch"
	}
	for _, p := range parts[1:] {
		if p.Known {
			p.Text = which + " weighed after the presoak: " + p.Text
			y.Losses = append(y.Losses, p)
		}
	}
	return nil
}

// Yield works out the yield of the entry's bagged batches together; see YieldOf.
func (e *Entry) Yield(u measure.System) (Yielded, bool, error) {
	rows := make([]BatchRow, 0, len(e.Batches))
	for _, b := range e.Batches {
		if !b.Before {
			rows = append(rows, b.BatchRow)
		}
	}
	return YieldOf(rows, e.Fleece.Type, u)
}

// Rest forecasts what the raw fleece still left will give; ok is false if
// nothing is left.
func (e *Entry) Rest(u measure.System) (f yield.RestForecast, ok bool, err error) {
	if e.LeftG < 1 {
		return f, false, nil
	}
	var batches []yield.Batch
	for _, b := range e.Batches {
		if b.State() == Bagged && !b.Before {
			batches = append(batches, b.weighed())
		}
	}
	f, err = yield.ForecastRest(batches, e.Left(), e.Fleece.Type.String(), u.Mass)
	for i := range f.Remarks {
		f.Remarks[i] = u.PercentSigns(f.Remarks[i])
	}
	return f, err == nil, err
}

// Left is what is left of a fleece to wash, part by part where it was sorted; the
// rest has no name. It adds up to LeftG.
func (e *Entry) Left() []yield.Part {
	var out []yield.Part
	namedG := 0.0
	for _, p := range e.Fleece.Parts {
		g := p.RawG
		for _, b := range e.Batches {
			if b.Used && shed.SamePart(b.Part, p.Name) {
				g -= b.RawG
			}
		}
		if g = max(0, g); g > 0 {
			out = append(out, yield.Part{Name: shed.PartKey(p.Name), RawG: g})
			namedG += g
		}
	}
	if namedG > e.LeftG { // batches of no named part have come from these
		for i := range out {
			out[i].RawG *= e.LeftG / namedG
		}
		namedG = e.LeftG
	}
	if g := e.LeftG - namedG; g > 0.01 || len(out) == 0 {
		out = append(out, yield.Part{RawG: g})
	}
	return out
}
