package session

import (
	"cmp"
	"fmt"
	"slices"
	"time"

	"fleece.example/tubside/session/shed"
)

// repeatIndex is the step that a repeat would begin again, -1 for none.
func (t *TubRun) repeatIndex() int {
	if t.Phase == shed.Draining || t.Phase == shed.ToSink { // this bath once more, with fresh water
		return t.At
	}
	if t.Phase != shed.ToFill && t.Phase != shed.ToSpin && t.Phase != shed.ToRack {
		return -1
	}
	for i := min(t.At, len(t.Steps)) - 1; i >= 0; i-- { // a journal from elsewhere may go past the last
		if t.Steps[i].Kind.IsBath() {
			return i
		}
	}
	return -1
}

// WashBehind is the index of the last wash that a batch has been in and is out of, or
// that waits for it; ok is false if there is none, or its fleece is in the water.
func (t *TubRun) WashBehind() (at int, ok bool) {
	for at = t.repeatIndex(); at >= 0; at-- {
		if t.Steps[at].HasRelease() {
			return at, true
		}
	}
	return -1, false
}

// StepName names a step of a batch as it is shown: "second hot wash again" where it has been in that
// bath before.
func (d *Day) StepName(batch string, step int, name string) string {
	if slices.ContainsFunc(d.Baths, func(b Bath) bool { return b.Batch == batch && b.StepIndex == step && !b.SunkAt.IsZero() }) {
		name += " again"
	}
	return name
}

// Washes is how often a batch went into a wash, on its earlier days too.
func (d *Day) Washes(b *shed.Batch) int {
	n := d.Fate[b.ID].Washes
	if !b.Raw() {
		n += max(1, b.Washed)
	}
	return n
}

// lifted keeps when a batch came out of its wash.
func (d *Day) lifted(t *TubRun, at time.Time) {
	if f := d.Fate[t.Batch]; t.Step().HasRelease() {
		f.LiftedAt = at
		d.setFate(t.Batch, f)
	}
}

// WashedAt is the time whose date a batch has wherever a person reads it: that its wash was lifted at, else of the
// rack, or the day's end where it was left wet: it may lie for days till somebody racks it.
func (f Fate) WashedAt(ended time.Time) time.Time {
	return WashedAt(f.SunkAt, f.LiftedAt, f.RackedAt, ended)
}

// WashedAt is Fate.WashedAt, of when a batch went in, was lifted and was racked.
func WashedAt(sunk, lifted, racked, ended time.Time) time.Time {
	at := racked
	if !ended.IsZero() && (at.IsZero() || ended.Before(at)) {
		at = ended
	}
	if sunk.IsZero() || at.IsZero() {
		at = sunk
	}
	return cmp.Or(lifted, at)
}

// WashedOn is the time whose date a day has wherever a person reads it: that the first of its batches was washed at,
// not the evening before on which it was put to soak.
func (d *Day) WashedOn() time.Time {
	first := time.Time{}
	for _, b := range d.Washed() {
		if f := d.Fate[b.ID]; !f.PresoakedOnly() {
			first = Sooner(first, f.WashedAt(d.EndedAt))
		}
	}
	return cmp.Or(first, d.StartedAt)
}

// Sooner is the sooner of two times; zero is none.
func Sooner(a, b time.Time) time.Time {
	if a.IsZero() || !b.IsZero() && b.Before(a) {
		return b
	}
	return a
}

// TagText is what is written on a batch's tag as it goes on the rack at that moment.
func (d *Day) TagText(b *shed.Batch, at time.Time) string {
	u := d.Plan.Kit.Units
	return b.What(b.ID+" "+d.FleeceOf(b.ID).Title()) + ", " + u.Mass(b.RawG) + " raw, " + u.Moment(d.Plan.OnTheWall(cmp.Or(d.Fate[b.ID].LiftedAt, at)), "2 Jan 2006") + d.WashedMore(b)
}

// WashedMore ends what is written on a batch: ", washed twice"; "" for once.
func (d *Day) WashedMore(b *shed.Batch) string {
	if n := d.Washes(b); n > 1 {
		return ", washed " + Times(n)
	}
	return ""
}

// Times is how often, in words: "twice".
func Times(n int) string {
	if n == 2 {
		return "twice"
	}
	return fmt.Sprintf("%d times", n)
}

// RepeatedStep is the bath that a repeat would take once more; the zero Step is none.
func (t *TubRun) RepeatedStep() *shed.Step { return t.stepAt(t.repeatIndex()) }

// CameOut says that a batch is out of its day's water: it is on the rack, or the day is over and it went in.
// One that was dried after its presoak is raw fleece.
func (d *Day) CameOut(batch string) bool {
	f := d.Fate[batch]
	return !f.RackedAt.IsZero() || !d.EndedAt.IsZero() && !f.SunkAt.IsZero() && (!f.PresoakedOnly() || f.SoakedG == 0)
}

// LyingWet are the batches that a day which is over left wet, in the plan's order.
func (d Day) LyingWet() (batches []string) {
	for _, b := range d.Plan.Batches {
		if d.LiesWet(b.ID) {
			batches = append(batches, b.ID)
		}
	}
	return batches
}

// LiesWet says that the day is over and left a batch wet.
func (d *Day) LiesWet(batch string) bool { return d.CameOut(batch) && d.Fate[batch].InWater() }

// StoodAt is the bath that a batch left wet goes on with: the one that it was in or waited for, the one
// behind it where it was lifted, the last where none is behind; "" where its tub tells of none.
func (d *Day) StoodAt(batch string) (name string) {
	for _, t := range d.Tubs {
		at := t.At
		if t.Phase == shed.Draining {
			at++
		}
		for i, s := range t.Steps {
			if t.Batch == batch && s.Kind.IsBath() && (i <= at || name == "") {
				name = s.Name
			}
		}
	}
	return name
}
