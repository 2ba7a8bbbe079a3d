package session

import (
	"errors"
	"fmt"
	"math"
	"time"

	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/session/yield"
)

func decideWeigh(d Day, c Weigh, now time.Time) ([]Event, error) {
	b, err := d.toWeigh(c.Batch)
	if err != nil {
		return nil, err
	}
	u, fate := d.Plan.Kit.Units, d.Fate[b.ID]
	c.Scale = c.Scale.Clean()
	switch {
	case fate.RackedAt.IsZero():
		return nil, fmt.Errorf("%s is not on the rack yet: weigh it when it is dry", b.ID)
	case !(c.DryG > 0) || math.IsInf(c.DryG, 0):
		return nil, fmt.Errorf("%s's dry weight must be more than 0: weigh again", b.ID)
	case !(c.RH == 0 || c.RH >= 0.01 && c.RH <= 1):
		return nil, fmt.Errorf("a room's humidity is between 1 and 100 %%, such as 55 %%; leave it out if it is not known")
	}
	if err := c.Scale.Check(u); err != nil {
		return nil, err
	}
	err = b.YieldBatch(c.DryG, c.Scale).Check(u.MassApart(b.RawG, c.DryG))
	asked := yield.Question{}
	switch {
	case err != nil && !errors.As(err, &asked):
		return nil, fmt.Errorf("%s: %w", b.ID, err)
	case c.DryG < b.RawG/20:
		return nil, fmt.Errorf("%s: %s is less than a twentieth of the %s raw: is the unit right?", b.ID, u.Mass(c.DryG), u.Mass(b.RawG))
	}
	if !c.Dry && !d.shownDry(b.ID, c, now) {
		d.setFate(b.ID, fate.unbagged())
		out, err := decideWeighWet(d, WeighWet{Batch: c.Batch, MassG: c.DryG, Scale: c.Scale, Sure: c.Sure, AskedAt: c.AskedAt}, now)
		if err == nil && !c.Sure && b.RawG <= yield.SameG(c.DryG, c.Scale.ReadToG()) {
			return nil, shed.Unlikelyf("%s: %s is as heavy as raw (%s): still wet? Then it stays on the rack", b.ID, u.Mass(c.DryG), u.Mass(b.RawG))
		}
		return out, err
	}
	if !c.Sure {
		var odd error
		if c.RH != 0 && !c.RoomSure {
			odd = OddRoom(u, c.RH)
		}
		if asked := shed.Together(d.asksDry(&b, c, now), d.oddDry(&b, c.DryG, c.Scale), odd); asked != nil {
			return nil, asked
		}
	}
	return []Event{BatchWeighed{c.Batch, c.DryG, c.Scale, c.RH}}, nil
}

// What a room's humidity is asked about at (our judgement, no source): no room that people live
// or dry wool in has less, and fog has more.
const (
	driestAir  = 0.15
	dampestAir = 0.99
)

// OddRoom asks about a room's humidity that is likely another figure.
func OddRoom(u measure.System, rh float64) error {
	if rh >= driestAir && rh <= dampestAir {
		return nil
	}
	return shed.Unlikelyf("a room at %s? Indoors it is mostly %s to %s: is that the humidity, or a weight?", u.PercentTyped(rh), measure.PercentFigure(0.3, 0), u.Percent(0.7, 0))
}

// asksDry is what else than the figure speaks against a dry weight.
func (d Day) asksDry(b *shed.Batch, c Weigh, now time.Time) error {
	u, fate := d.Plan.Kit.Units, d.Fate[b.ID]
	switch {
	case fate.DryG > yield.InDampAirG(c.DryG, c.Scale.ReadToG()) && c.DryG >= d.leastDryG(b):
		show := u.MassApart(fate.DryG, c.DryG)
		return shed.Unlikelyf("%s was bagged at %s and has lost %s since: it was still drying. %s takes its place", b.ID, show(fate.DryG), show(fate.DryG-c.DryG), show(c.DryG))
	case fate.DryG > 0:
		return shed.Unlikelyf("%s was weighed dry already, %s, and this takes its place", b.ID, u.Mass(fate.DryG))
	case b.RawScale != (shed.Scale{}) && c.Scale != (shed.Scale{}) && !b.RawScale.Same(c.Scale):
		return d.otherScale(b)
	case now.Sub(fate.RackedAt) < soonestDry && !d.Plan.FromCards(): // a card has no hours
		return shed.Unlikelyf("%s was laid on the rack %s ago, and wool takes a day or more to dry", b.ID, measure.Minutes(math.Floor(now.Sub(fate.RackedAt).Minutes())))
	}
	return nil
}

// otherScale says that a batch was weighed raw on another scale.
func (d *Day) otherScale(b *shed.Batch) error {
	return shed.Unlikelyf("%s was weighed raw on another scale (%s, steps of %s): two scales differ, so use the same one", b.ID, b.RawScale.ShownName(), d.Plan.Kit.Units.Step(b.RawScale.ReadToG()))
}

// oddDry is what speaks against the figure itself: the batch's other weights, its yield, and what
// its fleece or type gives.
func (d *Day) oddDry(b *shed.Batch, dryG float64, s shed.Scale) error {
	u, fate := d.Plan.Kit.Units, d.Fate[b.ID]
	low, high := d.expectedDryG(b, s)
	var question yield.Question
	switch err := b.YieldBatch(dryG, s).Check(u.MassApart(b.RawG, dryG)); {
	case fate.SoakedG > 0 && dryG > fate.SoakedG:
		show := u.MassApart(dryG, fate.SoakedG)
		return shed.Unlikelyf("%s: %s dry is more than the %s it weighed after the presoak", b.ID, show(dryG), show(fate.SoakedG))
	case fate.lastWetG() > 0 && dryG > yield.InDampAirG(fate.lastWetG(), s.ReadToG()):
		show := u.MassApart(dryG, fate.lastWetG())
		return shed.Unlikelyf("%s: %s dry is heavier than the %s it weighed on %s: %s?", b.ID, show(dryG), show(fate.lastWetG()), u.Moment(d.Plan.OnTheWall(fate.Wet[len(fate.Wet)-1].At), "Mon at 15:04"), d.rightBatch(b, dryG, s))
	case errors.As(err, &question):
		return shed.Unlikelyf("%s: %s", b.ID, u.PercentSigns(err.Error()))
	case !(dryG >= low && dryG <= high):
		return shed.Unlikelyf("%s: %s dry of %s raw (%s) is outside the expected %s to %s: is it dry, and %s?",
			b.ID, u.Mass(dryG), u.Mass(b.RawG), u.Percent(dryG/b.RawG, 0), u.Mass(low), u.Mass(high), d.rightBatch(b, dryG, s))
	}
	return nil
}

// shownDry says that a batch is known to be dry with this weight: it lay there for weeks, it is
// as heavy as when it was bagged, or its weights show it. One weight alone shows it where by
// the time it lay there hardly any such batch is still damp.
func (d Day) shownDry(batch string, c Weigh, now time.Time) bool {
	fate := d.Fate[batch]
	if d.Plan.FromCards() || LongDry(fate.RackedAt, now) || fate.DryG > 0 && fate.DryG <= yield.InDampAirG(c.DryG, c.Scale.ReadToG()) {
		return true
	}
	if len(fate.Wet) > 0 {
		if before, err := d.Drying(batch); err == nil && before.Dry {
			return true
		}
	}
	fate = fate.unbagged()
	first := len(fate.Wet) == 0 || !fate.Wet[len(fate.Wet)-1].At.After(fate.RackedAt.Add(soonOnRack))
	x, err := Apply(d, Recorded{At: now, Event: BatchWeighedWet{Batch: batch, MassG: c.DryG, Scale: c.Scale}}).Drying(batch)
	return err == nil && (x.Dry || first && x.Forecast.OtherTime)
}

// expectedDryG is the range that a batch's dry weight should lie in, g: where its
// weights so far settle or, without any, what its fleece has given so far, else what its type
// gives with a fifth to spare. Two steps of the scale are added at both ends.
func (d *Day) expectedDryG(b *shed.Batch, s shed.Scale) (low, high float64) {
	low, high = d.leastDryG(b), d.mostDryG(b)
	if r, ok := d.rests(b); ok {
		low, high = r.Low, r.High
	}
	return low - 2*s.ReadToG(), high + 2*s.ReadToG()
}

// otherBatch is another batch on the rack that a weight would suit by those it has had; "" if
// there is none.
func (d *Day) otherBatch(b *shed.Batch, g float64, s shed.Scale) string {
	for _, o := range d.Plan.Batches {
		f := d.Fate[o.ID]
		if o.ID == b.ID || f.DryG > 0 || len(f.Wet) == 0 || g > yield.Dampened(f.lastWetG(), s.ReadToG()) {
			continue
		}
		if low, _ := d.expectedDryG(&o, s); g >= low {
			return o.ID
		}
	}
	return ""
}

// rightBatch asks whose weight it is.
func (d *Day) rightBatch(b *shed.Batch, g float64, s shed.Scale) string {
	if other := d.otherBatch(b, g, s); other != "" {
		return fmt.Sprintf("is it %s, not %s", b.ID, other)
	}
	return "is it the right batch"
}

// leastDryG is the least that a batch should weigh dry, g, by what its fleece has given so far,
// else by its type.
func (d *Day) leastDryG(b *shed.Batch) float64 {
	if y := d.gives(b); y.High > 0 {
		return spareYield * y.Low * b.RawG
	}
	return shed.LeastDryPart(d.FleeceOf(b.ID).Type) * b.RawG
}

// mostDryG is the most that a batch should weigh dry, g, by what its fleece has given so far,
// else by its type.
func (d *Day) mostDryG(b *shed.Batch) float64 {
	part := 1.0
	if y := d.gives(b); y.High > 0 {
		part = y.High / spareYield
	} else if usual, err := yield.Usual(d.FleeceOf(b.ID).Type.String()); err == nil {
		part = usual.High / yield.LeastOfUsual
	}
	return min(part, 1) * b.RawG
}

// spareYield: what lies outside of a fleece's own yields, nine in ten of which should lie within, by
// so much is asked about; our own choice.
const spareYield = 0.9

// soonestDry is how soon after racking a dry weight is asked about: even by a
// stove nothing dries within it.
const soonestDry = 4 * time.Hour

// heaviestG is the heaviest wet weight, 0 if there is none.
func (f *Fate) heaviestG() float64 {
	g := 0.0
	for _, w := range f.Wet {
		g = max(g, w.MassG)
	}
	return g
}

// checkWet checks a weight of a batch between its first bath and its bag.
func checkWet(b *shed.Batch, u measure.System, g float64) error {
	switch {
	case !(g > 0) || math.IsInf(g, 0):
		return fmt.Errorf("%s's weight must be more than 0: weigh again", b.ID)
	case g > shed.SoakingWetPart*b.RawG:
		return fmt.Errorf("%s: %s is more than wet fleece of %s raw can weigh: is the unit right?", b.ID, u.Mass(g), u.Mass(b.RawG))
	case g < b.RawG/20:
		return fmt.Errorf("%s: %s is less than a twentieth of the %s raw: is the unit right?", b.ID, u.Mass(g), u.Mass(b.RawG))
	}
	return nil
}

func decideWeighWet(d Day, c WeighWet, now time.Time) ([]Event, error) {
	b, err := d.toWeigh(c.Batch)
	if err != nil {
		return nil, err
	}
	u, fate := d.Plan.Kit.Units, d.Fate[b.ID]
	c.Scale = c.Scale.Clean()
	switch {
	case fate.DryG > 0:
		return nil, fmt.Errorf("%s is bagged, %s dry: undo that to go on drying it", b.ID, u.Mass(fate.DryG))
	case fate.RackedAt.IsZero() && (fate.Tub < 0 || d.Tubs[fate.Tub].Phase != shed.ToRack):
		return nil, fmt.Errorf("%s is not out of the water yet: weigh it spin-dried or on the rack", b.ID)
	case checkWet(&b, u, c.MassG) != nil:
		return nil, checkWet(&b, u, c.MassG)
	case len(fate.Wet) >= maxWet:
		return nil, fmt.Errorf("%s has been weighed %d times: enter its dry weight", b.ID, maxWet)
	}
	if err := c.Scale.Check(u); err != nil {
		return nil, err
	}
	if c.InPlace && len(fate.Wet) > 0 { // what it is asked about is what stays
		fate.Wet = fate.Wet[:len(fate.Wet)-1]
		d.setFate(b.ID, fate)
	}
	var odd error
	right := func() string { return d.rightBatch(&b, c.MassG, c.Scale) }
	if least := d.leastDryG(&b); c.MassG < least {
		odd = shed.Unlikelyf("%s: %s of %s raw is less than such fleece weighs dry (%s at least): %s?", b.ID, u.Mass(c.MassG), u.Mass(b.RawG), u.Mass(least), right())
	} else if low, _ := d.expectedDryG(&b, c.Scale); c.MassG < low && d.otherBatch(&b, c.MassG, c.Scale) != "" {
		odd = shed.Unlikelyf("%s should settle no lower than %s, and this is %s: %s?", b.ID, u.Mass(low), u.Mass(c.MassG), right())
	}
	if most := shed.MostWetPart(d.FleeceOf(b.ID).Type) * b.RawG; c.MassG > most+2*c.Scale.ReadToG() {
		odd = shed.Unlikelyf("%s: %s of %s raw is more than such fleece weighs squeezed by hand (%s at most): is it the right batch, without its basket, and dripping wet?", b.ID, u.Mass(c.MassG), u.Mass(b.RawG), u.Mass(most))
	}
	e := BatchWeighedWet{Batch: c.Batch, MassG: c.MassG, Scale: c.Scale}
	if c.Sure { // what was asked about for itself was not said to take a place
		e.InPlace = c.InPlace || odd == nil && !c.AskedAt.IsZero() && corrects(fate, c.AskedAt)
		return []Event{e}, nil
	}
	if odd != nil {
		return nil, odd
	}
	if corrects(fate, now) {
		return nil, shed.Unlikelyf("%s was weighed just now: %s. %s takes its place", b.ID, u.Mass(fate.lastWetG()), u.Mass(c.MassG))
	}
	if n := len(fate.Wet); n > 0 {
		last := fate.Wet[n-1]
		switch {
		case !last.Scale.Same(c.Scale):
			return nil, shed.Unlikelyf("%s was on another scale before (%s, steps of %s): two scales differ, so use the same one", b.ID, last.Scale.ShownName(), u.Step(last.Scale.ReadToG()))
		case c.MassG > b.RawG && now.Sub(last.At) >= stillWet && c.MassG > last.MassG-2*last.Scale.ReadToG():
			return nil, shed.Unlikelyf("%s weighs more than raw and has not dried at all in %s (%s, now %s): %s?", b.ID, measure.Minutes(now.Sub(last.At).Minutes()), u.Mass(last.MassG), u.Mass(c.MassG), right())
		case c.MassG > yield.SameG(last.MassG, 2*last.Scale.ReadToG()) && d.wetStill(&b):
			return nil, shed.Unlikelyf("%s: %s now, %s at %s. Wet fleece doesn't get heavier: %s, without its basket?", b.ID, u.Mass(c.MassG), u.Mass(last.MassG), u.Moment(d.Plan.OnTheWall(last.At), "Mon 15:04"), right())
		case c.MassG > yield.Dampened(last.MassG, last.Scale.ReadToG()):
			return nil, shed.Unlikelyf("%s is heavier than before (%s, now %s): %s?", b.ID, u.Mass(last.MassG), u.Mass(c.MassG), right())
		}
	}
	x, err := Apply(d, Recorded{At: now, Event: e}).Drying(b.ID)
	if err != nil {
		return nil, shed.Unlikelyf("%s: %v", b.ID, err)
	}
	if err := d.tooMuch(&b, x, c); err != nil {
		return nil, err
	}
	e.InPlace = c.InPlace
	return []Event{e}, nil
}

// tooMuch asks about the first weight that would have a batch, x, nearly dry at more than such
// fleece gives.
func (d *Day) tooMuch(b *shed.Batch, x DryingBatch, c WeighWet) error {
	u, rests, most := d.Plan.Kit.Units, x.Forecast.RestingG.Likely, d.mostDryG(b)+2*c.Scale.ReadToG()
	if rests <= most || c.MassG > wetBy*rests { // the more is water
		return nil
	}
	if was, ok := d.rests(b); ok && was.Likely > most {
		return nil
	}
	return shed.Unlikelyf("%s: %s now would settle near %s, %s of %s raw, and such fleece gives %s at most: is the weight right?",
		b.ID, u.Mass(c.MassG), u.Mass(rests), u.Percent(rests/b.RawG, 0), u.Mass(b.RawG), u.Mass(d.mostDryG(b)))
}

// wetStill says that a batch was clearly wet at its last weight. If it gains weight
// then, damp air is not the reason.
func (d Day) wetStill(b *shed.Batch) bool {
	r, ok := d.rests(b)
	return ok && d.Fate[b.ID].lastWetG() > wetBy*r.Likely
}

// wetBy: at more than this times its resting weight wool is wetter than any air makes
// it. Air gives it up to a third of its bone-dry weight.
const wetBy = 1.2

// stillWet: a batch heavier than raw that has hung so long without losing anything is
// asked about.
const stillWet = 3 * time.Hour

// maxWet is how many weighings of one drying batch are kept.
const maxWet = 200

func decideWeighRaw(d Day, c WeighRaw) ([]Event, error) {
	b, err := d.toWeigh(c.Batch)
	if err != nil {
		return nil, err
	}
	u, fate := d.Plan.Kit.Units, d.Fate[b.ID]
	c.Scale = c.Scale.Clean()
	for _, err := range []error{shed.CheckBatchMass(u, c.RawG), c.Scale.Check(u)} {
		if err != nil {
			return nil, fmt.Errorf("%s: %w", b.ID, err)
		}
	}
	f, used := d.FleeceOf(b.ID), c.RawG
	if !b.Raw() {
		return nil, fmt.Errorf("%s is washed again: its raw weight is that of %s, on its first day", b.ID, b.Again.Batch)
	}
	for _, o := range d.Plan.Batches {
		if o.Raw() && o.FleeceID == b.FleeceID && o.ID != b.ID {
			used += o.RawG
		}
	}
	switch {
	case fate.DryG > c.RawG:
		show := u.MassApart(c.RawG, fate.DryG)
		return nil, fmt.Errorf("%s: %s raw is less than the %s it weighs dry: is the unit right?", b.ID, show(c.RawG), show(fate.DryG))
	case used > f.ToWashG()+0.5:
		show := u.MassApart(used, f.ToWashG())
		return nil, fmt.Errorf("the batches of %s would add up to %s, but the fleece %s: weigh again", f.Title(), show(used), f.WeighsText(show))
	case c.Sure:
	case fate.SoakedG > c.RawG:
		show := u.MassApart(c.RawG, fate.SoakedG)
		return nil, shed.Unlikelyf("%s: %s raw is less than the %s it weighed after the presoak", b.ID, show(c.RawG), show(fate.SoakedG))
	case c.RawG < fate.heaviestG()/shed.SoakingWetPart:
		return nil, shed.Unlikelyf("%s: wet it weighed %s, more than %s raw can hold", b.ID, u.Mass(fate.heaviestG()), u.Mass(c.RawG))
	case c.RawG > 2*b.RawG || c.RawG < b.RawG/2:
		return nil, shed.Unlikelyf("%s was planned with %s raw, and %s is far from it", b.ID, u.Mass(b.RawG), u.Mass(c.RawG))
	case fate.DryG > 0:
		weighed := b
		weighed.RawG, weighed.RawScale = c.RawG, c.Scale
		if err := d.oddDry(&weighed, fate.DryG, fate.DryScale); err != nil {
			return nil, err
		}
	}
	return []Event{BatchWeighedRaw{c.Batch, c.RawG, c.Scale}}, nil
}

// UndoneAt is when what an undo would take back was done; zero if there is nothing.
func (d *Day) UndoneAt() time.Time {
	if d.undo == nil {
		return time.Time{}
	}
	return d.undo.at
}

// LastDeed is the event that an undo would take back; ok is false if there is none.
func (d Day) LastDeed() (e Event, ok bool) {
	if d.undo == nil {
		return nil, false
	}
	return d.undo.event, true
}

// UndoesWetOf is the batch whose weight on the rack an undo would take back; "" for
// another deed.
func (d Day) UndoesWetOf() string {
	if d.undo != nil {
		if e, ok := d.undo.event.(BatchWeighedWet); ok {
			return e.Batch
		}
	}
	return ""
}

// UndoesEnd says that what an undo would take back is the end of the day.
func (d *Day) UndoesEnd() bool {
	if d.undo == nil {
		return false
	}
	_, ended := d.undo.event.(DayEnded)
	return ended
}

// UndoesWeight says that what an undo would take back is a weight, so that it
// can be taken back days later without opening the day again.
func (d *Day) UndoesWeight() bool { return d.undo != nil && d.undo.weight }
