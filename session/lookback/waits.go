package lookback

import (
	"cmp"
	"slices"
	"sort"
	"time"

	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
)

// Cause is what something waited for.
type Cause int

// What is waited for.
const (
	ForYou    Cause = iota // the person, who was at another tub
	ForNobody              // the person, who was at no tub
	ForTub                 // a batch, for a tub to come free
	ForKettle              // a bath, for its kettle to boil
	ForTank                // a bath, for the tank to be hot enough
	ForWarmth              // a bath, for water warm enough: the tap is not, and the kettle was elsewhere
	ForSpin                // fleece, for the spin dryer with other fleece in it
	OnHold                 // set aside by the person
	ForBreak               // the person, who had a break
	ForQuiet               // the person, in the quiet hours
	PutOff                 // a wash, for a break before or in which nobody was called to fill it
)

// Wait is the whole time in which a deed could have been done, and was not. Of ForTub it is the
// batch that waited, else the tub.
type Wait struct {
	_ [0]func() // nobody compares two: no code for it
	Stretch
	For    Cause       // what took most of it
	ForMin float64     // so much of it
	YouMin float64     // so much of it the person was at other tubs, whichever, or had a break
	Act    shed.Action // what waited to be done
	Tub    int
	Batch  string
	Step   int
	AtTub  int  // of ForYou and ForSpin: where the person was; of ForKettle: the other that it was on for; else -1
	Never  bool // it was not done by the end of the day
}

// leastWaitMin: less is no wait worth a word; our own choice.
const leastWaitMin = 1.0

// allWaits are the waits of a day, the longest first, and how long nothing waited while the
// person was not at work either.
func (w *walk) allWaits(day Stretch) (waits []Wait, restMin float64) {
	var busy []Stretch // at work, or called for
	first := map[string]bool{}
	for _, t := range w.begun.Tubs {
		first[t.Batch] = true
	}
	for i, f := range slices.Concat(w.deeds, w.open) {
		of := Wait{Act: f.Act, Tub: f.Tub, Batch: f.Batch, Step: f.Step, AtTub: -1, Never: i >= len(w.deeds)}
		of.Stretch = Stretch{f.Ready, f.At.From}
		left := []Stretch{of.Stretch}
		took := map[why]float64{}
		take := func(at Stretch, cause Cause, tub int) {
			var taken []Stretch
			taken, left = split(left, at)
			for _, s := range taken {
				took[why{cause, tub}] += s.Min()
			}
		}
		for _, x := range w.kept(i, f.Tub) {
			take(x.Stretch, x.by, x.tub)
		}
		for _, other := range w.deeds {
			cause := ForYou
			if f.Act == shed.SpinFibre && other.Act == shed.SpinFibre {
				cause = ForSpin
			}
			if other.Tub != f.Tub && other.At.To.After(f.Ready) && other.At.From.Before(f.At.From) {
				take(other.At, cause, other.Tub)
			}
		}
		take(w.untold(i), ForKettle, -1)
		busy = append(append(busy, left...), f.At)
		for _, at := range w.waits[i].away {
			if q, ok := w.begun.Plan.QuietIn(shed.Span(at)); ok { // a break may have led into them
				take(Stretch{later(q.From, at.From), sooner(q.To, at.To)}, ForQuiet, -1)
			}
			take(at, ForBreak, -1)
		}
		for _, at := range left {
			take(at, ForNobody, -1)
		}
		waits = append(waits, of.mostly(took))
		if f.Act == shed.LoadNext && !first[f.Batch] {
			of.Stretch = Stretch{cmp.Or(w.added[f.Batch], w.begun.StartedAt), f.Ready}
			waits = append(waits, of.mostly(map[why]float64{{ForTub, -1}: of.Min()}))
		}
	}
	long := waits[:0]
	for _, x := range waits {
		if x.Min() >= leastWaitMin {
			long = append(long, x)
		}
	}
	sort.SliceStable(long, func(i, j int) bool { return long[i].Min() > long[j].Min() })
	return long, outside(busy, day)
}

// outside is how long a stretch lasts outside of all others, min.
func outside(busy []Stretch, of Stretch) (min float64) {
	sort.SliceStable(busy, func(i, j int) bool { return busy[i].From.Before(busy[j].From) })
	at := of.From
	for _, s := range append(busy, Stretch{of.To, of.To}) {
		if to := sooner(s.From, of.To); to.After(at) {
			min += measure.MinutesBetween(at, to)
		}
		at = later(at, s.To)
	}
	return min
}

// why is a cause, and the tub of it.
type why struct {
	cause Cause
	tub   int
}

// mostly is a wait with the cause that took most of it.
func (w Wait) mostly(took map[why]float64) Wait {
	for is, min := range took {
		if is.cause == ForYou || is.cause >= ForBreak {
			w.YouMin += min
		}
		if cmp.Or(cmp.Compare(min, w.ForMin), cmp.Compare(w.For, is.cause), cmp.Compare(w.AtTub, is.tub)) > 0 {
			w.For, w.AtTub, w.ForMin = is.cause, is.tub, min
		}
	}
	return w
}

// split is what of some stretches lies within one, and what lies without.
func split(all []Stretch, at Stretch) (within, without []Stretch) {
	keep := func(list *[]Stretch, from, to time.Time) {
		if to.After(from) {
			*list = append(*list, Stretch{from, to})
		}
	}
	for _, s := range all {
		if !at.Known() || !at.To.After(s.From) || !at.From.Before(s.To) {
			keep(&without, s.From, s.To)
			continue
		}
		from, to := later(s.From, at.From), sooner(s.To, at.To)
		keep(&within, from, to)
		keep(&without, s.From, from)
		keep(&without, to, s.To)
	}
	return within, without
}
