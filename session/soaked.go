package session

import (
	"fmt"

	"fleece.example/tubside/session/shed"
)

// The weight after the presoak. Few people dry a batch before its wash; who
// does learns how much of the loss was soil and suint, and how much the wash
// took.

// mostSoil is the part of a raw batch that cool water takes before it is asked
// about; our own choice: a usual fleece loses less than this in the whole wash.
const mostSoil = 0.5

// Presoaked says that a batch has been lifted from a presoak.
func (d *Day) Presoaked(batch string) bool {
	for _, b := range d.Baths {
		if b.Batch == batch && b.Step.Kind.Facts().Weighed && !b.LiftedAt.IsZero() {
			return true
		}
	}
	return false
}

// BetweenBaths says that a tub's batch has just been presoaked and is out of the
// water: when it may be dried and weighed before its wash.
func (d Day) BetweenBaths(tub int) bool {
	if tub < 0 || tub >= len(d.Tubs) {
		return false
	}
	t := d.Tubs[tub]
	after := t.At > 0 && t.At <= len(t.Steps) && t.Steps[t.At-1].Kind.Facts().Weighed // not after a wash
	return after && (t.Phase == shed.ToFill || t.Phase == shed.ToSink) && d.Presoaked(t.Batch)
}

func decideWeighSoaked(d Day, c WeighSoaked) ([]Event, error) {
	b, err := d.toWeigh(c.Batch)
	if err != nil {
		return nil, err
	}
	u, fate := d.Plan.Kit.Units, d.Fate[b.ID]
	c.Scale = c.Scale.Clean()
	switch {
	case !d.Presoaked(b.ID):
		return nil, fmt.Errorf("%s has not come out of a presoak: this weight is for a batch that was presoaked and dried again", b.ID)
	case checkWet(&b, u, c.MassG) != nil:
		return nil, checkWet(&b, u, c.MassG)
	case c.MassG > b.RawG:
		show := u.MassApart(c.MassG, b.RawG)
		return nil, fmt.Errorf("%s: %s is more than the %s it weighed raw: it is wet still, so dry it first or leave this weight out", b.ID, show(c.MassG), show(b.RawG))
	case fate.DryG > c.MassG:
		show := u.MassApart(c.MassG, fate.DryG)
		return nil, fmt.Errorf("%s: %s is less than the %s it weighs after the wash: is it the right batch?", b.ID, show(c.MassG), show(fate.DryG))
	}
	if err := c.Scale.Check(u); err != nil {
		return nil, err
	}
	if !c.Sure {
		var rest, figure error
		switch {
		case fate.SoakedG > 0:
			rest = shed.Unlikelyf("%s was weighed after its presoak already: %s", b.ID, u.Mass(fate.SoakedG))
		case b.RawScale != (shed.Scale{}) && !b.RawScale.Same(c.Scale):
			rest = d.otherScale(&b)
		}
		if c.MassG < (1-mostSoil)*b.RawG {
			figure = shed.Unlikelyf("%s would have lost %s of its %s in the presoak", b.ID, u.Percent(1-c.MassG/b.RawG, 0), u.Mass(b.RawG))
		}
		if asked := shed.Together(rest, figure); asked != nil {
			return nil, asked
		}
	}
	return []Event{BatchWeighedSoaked{Batch: b.ID, MassG: c.MassG, Scale: c.Scale}}, nil
}

// SoakedWeightFits says that a weight after the presoak lies between raw and dry, so
// that it can tell the losses apart.
func SoakedWeightFits(rawG, soakedG, dryG float64) bool {
	return soakedG > 0 && soakedG <= rawG && soakedG >= dryG
}
