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
	ForSpin                // fleece, for the spin dryer with other fleece in it
	OnHold                 // set aside by the person
)

// Wait is a time in which a deed could have been done but for its cause. Of ForTub it is the
// batch that waited, else the tub.
type Wait struct {
	Stretch
	For   Cause
	Act   shed.Action // what waited to be done
	Tub   int
	Batch string
	Step  int
	AtTub int // of ForYou and ForSpin: where the person was; else -1
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
		of := Wait{Act: f.Act, Tub: f.Tub, Batch: f.Batch, Step: f.Step, AtTub: -1}
		left := []Stretch{{f.Ready, f.At.From}}
		take := func(at Stretch, cause Cause, tub int) {
			var taken []Stretch
			taken, left = split(left, at)
			for _, s := range taken {
				x := of
				x.Stretch, x.For, x.AtTub = s, cause, tub
				waits = append(waits, x)
			}
		}
		for _, at := range w.held[f.Tub] {
			take(at, OnHold, -1)
		}
		take(w.waits[i].kettle, ForKettle, -1)
		take(w.waits[i].tank, ForTank, -1)
		for _, other := range w.deeds {
			cause := ForYou
			if f.Act == shed.SpinFibre && other.Act == shed.SpinFibre {
				cause = ForSpin
			}
			if other.Tub != f.Tub && other.At.To.After(f.Ready) && other.At.From.Before(f.At.From) {
				take(other.At, cause, other.Tub)
			}
		}
		for _, at := range left {
			take(at, ForNobody, -1)
			busy = append(busy, at)
		}
		busy = append(busy, f.At)
		if f.Act == shed.LoadNext && !first[f.Batch] {
			of.For, of.Stretch = ForTub, Stretch{cmp.Or(w.added[f.Batch], w.begun.StartedAt), f.Ready}
			waits = append(waits, of)
		}
	}
	waits = joined(waits)
	sort.SliceStable(waits, func(i, j int) bool { return waits[i].Min() > waits[j].Min() })
	return waits, outside(busy, day)
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

// joined puts waits of one deed for one thing together where they touch, and leaves out
// those that are not worth a word.
func joined(waits []Wait) (out []Wait) {
	sort.SliceStable(waits, func(i, j int) bool {
		return cmp.Or(cmp.Compare(waits[i].Tub, waits[j].Tub), waits[i].To.Compare(waits[j].To)) < 0
	})
	for _, x := range waits {
		if n := len(out); n > 0 && out[n-1].Act == x.Act && out[n-1].For == x.For && out[n-1].AtTub == x.AtTub && out[n-1].Batch == x.Batch && out[n-1].Step == x.Step && !x.From.After(out[n-1].To) {
			out[n-1].To = later(out[n-1].To, x.To)
			continue
		}
		out = append(out, x)
	}
	return slices.DeleteFunc(out, func(x Wait) bool { return !(x.Min() >= leastWaitMin) })
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
