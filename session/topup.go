package session

import (
	"errors"
	"fmt"
	"math"
	"time"

	"fleece.example/tubside/cooling"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
)

// ErrTooFull is wrapped by the refusal of a top-up that the tub does not hold; with
// enough bailed out before it is accepted.
var ErrTooFull = errors.New("too full")

// HasBath is nil where a tub has a bath to do something with, else why it has none.
func (d *Day) HasBath(tub int) error {
	switch t, name := d.Tubs[tub], d.TubName(tub); {
	case t.Phase == shed.ToSink || t.Phase == shed.Soaking:
		return nil
	case t.Phase == shed.ToFill:
		return fmt.Errorf("%s has no bath now: fill it first", name)
	case t.Phase == shed.Draining || t.Used.Name != "":
		return fmt.Errorf("%s's bath is over: empty the tub", name)
	default:
		return fmt.Errorf("%s has no bath now", name)
	}
}

func decideTopUp(d Day, c TopUp, now time.Time) ([]Event, error) {
	t, k := d.Tubs[c.Tub], d.Plan.Kit
	if err := d.HasBath(c.Tub); err != nil {
		return nil, err
	}
	if err := d.checkBathC(c.Tub, "water", c.TempC); err != nil {
		return nil, err
	}
	if err := d.CheckTopUpL(c.Tub, c.VolumeL); err != nil {
		return nil, err
	}
	if !(c.BailL >= 0 && c.BailL <= t.Bath.LevelL()) {
		return nil, fmt.Errorf("%s holds %s: bail less", d.TubName(c.Tub), k.Units.Volume(t.Bath.LevelL()))
	}
	if over := d.OverRimL(c.Tub, c.VolumeL, c.BailL); over > 0 {
		rim := k.Tubs[c.Tub].CapacityL
		return nil, refusal{fmt.Sprintf("%s would hold %s%s, more than its %s: bail some out first, or pour less", d.TubName(c.Tub),
			k.Units.Volume(rim+over), d.withFleece(c.Tub), k.Units.Volume(rim)), ErrTooFull}
	}
	e := ToppedUp{Tub: c.Tub, VolumeL: c.VolumeL, TempC: c.TempC, BailL: c.BailL}
	if err := d.doubtTopUp(e, now); err != nil && !c.Sure {
		return nil, err
	}
	return []Event{e}, nil
}

func (d *Day) withFleece(tub int) string {
	if d.Tubs[tub].fleeceIn() {
		return " with the fleece in it"
	}
	return ""
}

// decideCorrectFill takes a figure for the whole bath: what was topped up since stays as it was told. The hot
// tap gave its part of what was poured.
func decideCorrectFill(d Day, c CorrectFill) ([]Event, error) {
	t, u, name := &d.Tubs[c.Tub], d.Plan.Kit.Units, d.TubName(c.Tub)
	if err := d.HasBath(c.Tub); err != nil && t.Phase != shed.Draining {
		return nil, err
	}
	level := t.Bath.LevelL()
	filledL := c.LevelL - (level - t.Bath.VolumeL)
	levelL, leastL, mostL := filledL, filledL-topUpL.Min, filledL // all along, by that figure
	for _, x := range t.Bath.Changes {
		levelL -= x.BailL
		leastL = min(leastL, levelL)
		levelL += x.AddL
		mostL = max(mostL, levelL)
	}
	capacityL := max(d.Plan.Kit.Tubs[c.Tub].CapacityL, mostL-filledL+t.Bath.VolumeL)
	switch rim := max(d.roomL(c.Tub), level); {
	case !(c.LevelL <= rim):
		return nil, fmt.Errorf("%s holds %s to the rim%s, no more", name, u.Volume(rim), d.withFleece(c.Tub))
	case mostL > capacityL:
		return nil, fmt.Errorf("%s would have held %s before some was bailed out, more than its %s", name, u.Volume(mostL), u.Volume(capacityL))
	case !(leastL >= 0): // less than was bailed out, or than was poured in later
		return nil, fmt.Errorf("%s holds more than %s: say how much, with what it was topped up by", name, u.Volume(max(0, c.LevelL)))
	case !c.Sure && (c.LevelL > 2*level || c.LevelL < level/2):
		return nil, shed.Unlikelyf("%s should hold %s, and %s is far from it", name, u.Volume(level), u.Volume(c.LevelL))
	}
	return []Event{FillCorrected{c.Tub, filledL, t.Bath.HotL * filledL / t.Bath.VolumeL}}, nil
}

// doubtTopUp asks about water that leaves the bath hotter than it should be, or too cool
// where it was not.
func (d *Day) doubtTopUp(e ToppedUp, now time.Time) error {
	h := d.Heat(e.Tub)
	wasC, _ := h.At(now)
	if !measure.Finite(wasC) {
		return nil
	}
	t, k := d.Tubs[e.Tub], d.Plan.Kit
	s, name, u := t.Step(), d.TubName(e.Tub), k.Units
	left := cooling.Portion{HeatJPerK: t.Bath.HeatJPerK(k.Tubs[e.Tub]) - cooling.WaterPortion(e.BailL, wasC).HeatJPerK, TempC: wasC}
	isC := cooling.Mix(left, cooling.WaterPortion(e.VolumeL, e.TempC))
	mostC, than := d.hottestC(e.Tub, wasC)
	mark := max(k.KettleMarkL(), 0) / t.Bath.LevelL() * (e.TempC - mostC) // nobody pours half of one
	switch {
	case isC > mostC+max(GapSlackC, mark):
		return shed.Unlikelyf("%s would come to about %s, hotter than %s: %s", name, u.Temp(isC), than, d.enoughText(e, wasC, mostC))
	case !t.fleeceIn() && TooCoolToBegin(s, isC) && !TooCoolToBegin(s, wasC):
		return shed.Unlikelyf("%s would come down to about %s, too cool to begin below %s: it needs hot water", name, u.Temp(isC), u.Temp(s.LowestSinkC))
	case isC < s.ReleaseC-0.5 && wasC >= s.ReleaseC:
		return shed.Unlikelyf("%s would come down to about %s, below %s where the wax sets: it needs hot water", name, u.Temp(isC), u.Temp(s.ReleaseC))
	}
	return nil
}

// hottestC is as warm as hot water should make the bath of a tub that has wasC now, and
// what that is.
func (d *Day) hottestC(tub int, wasC float64) (c float64, than string) {
	t, u := d.Tubs[tub], d.Plan.Kit.Units
	s := t.Step()
	c, than = hottestFillC, "the "+u.Temp(hottestFillC)+" of the hottest bath"
	if s.Water == shed.Mixed {
		c = s.AimC
		if !t.fleeceIn() { // which cools it
			c = max(c, d.WantedToSinkC(tub))
		}
		than = "the " + u.Temp(c) + " of its " + s.Name
	}
	if t.fleeceIn() {
		if s.MaxGapC > 0 && wasC+s.MaxGapC < c {
			c = wasC + s.MaxGapC
			than = "the " + u.Temp(c) + " that are no shock to the fleece"
		}
	} else if mostC := d.hottestRinseC(tub, t.Bath.HeatJPerK(d.Plan.Kit.Tubs[tub])); mostC < c {
		c, than = mostC, "its last bath began, "+u.Temp(max(t.LastSankC, t.LastLiftC))
	}
	return c, than
}

// enoughText is how much of that water would have been right.
func (d *Day) enoughText(e ToppedUp, wasC, mostC float64) string {
	t, k := d.Tubs[e.Tub], d.Plan.Kit
	mark := k.KettleMarkL()
	r, ok := cooling.Standing{
		Bath: cooling.Portion{HeatJPerK: t.Bath.HeatJPerK(k.Tubs[e.Tub]), TempC: wasC}, WaterL: t.Bath.LevelL(), KettleC: e.TempC,
	}.PutRight(mostC)
	l := r.PourL
	if mark > 0 {
		l = math.Floor(l/mark+1e-6) * mark
	}
	if ok && l > 0 {
		return k.KettleText(l) + " would do"
	}
	return fmt.Sprintf("at %s it needs none", k.Units.Temp(wasC))
}

// CheckTopUpL says what is wrong with a top-up of l litres; what there is room for is
// told by the command.
func (d *Day) CheckTopUpL(tub int, l float64) error {
	k := d.Plan.Kit
	if err := k.Units.CheckVolumeL(l, topUpL); err != nil {
		return fmt.Errorf("%s: a top-up of %w", d.TubName(tub), err)
	}
	if most := k.Tubs[tub].CapacityL; l > most {
		return fmt.Errorf("%s: a top-up of %s is more than the tub holds, %s", d.TubName(tub), k.Units.Volume(l), k.Units.Volume(most))
	}
	return nil
}

// OverRimL is how much of a pour would run over a tub's rim, litres, with so much
// bailed out before; 0 if none, a millilitre aside.
func (d *Day) OverRimL(tub int, pourL, bailL float64) float64 {
	if over := d.Tubs[tub].Bath.LevelL() - bailL + pourL - d.roomL(tub); over > 0.001 {
		return over
	}
	return 0
}
