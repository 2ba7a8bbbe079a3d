package session

import (
	"math"
	"time"

	"fleece.example/tubside/cooling"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
)

// GapSlackC is a thermometer's error: so much further than its step a bath may be, °C.
const GapSlackC = 1.0

// wetFleece is the heat capacity, J/K, of a batch with the water it carries
// and its basket, and its temperature, °C, just before it sinks in.
func (d *Day) wetFleece(tub int) (jPerK, tempC float64) {
	t := d.Tubs[tub]
	b, _ := d.Batch(t.Batch)
	comesG := d.Plan.ComesG(b, t.Washed)
	jPerK = comesG*cooling.WoolJPerGK + basketJPerK
	if !t.LastWet {
		return jPerK, d.Plan.Kit.RoomC // dry from the sack
	}
	return jPerK + comesG*d.carried(tub)*waterJPerGK, d.emptied(tub)
}

// leave is the fleece out of its bath, which it left at liftC and went into at sankC.
func (t *TubRun) leave(liftC, sankC float64) {
	t.LastWet, t.LastLiftC, t.LastSankC = true, liftC, sankC
	t.Washed = t.Washed || t.Bath.Step.Kind.Facts().Release
}

// carried is the water that a tub's fleece brings along from its last bath, for each
// gram that it would be without.
func (d *Day) carried(tub int) float64 {
	switch b, _ := d.Batch(d.Tubs[tub].Batch); {
	case !d.Tubs[tub].LastWet:
		return 0
	case b.Form == shed.Locks:
		return carriedLocks
	}
	return carriedLoose
}

// basketJPerK is a basket of polypropylene of about 150 g (the mass from
// memory), 1800 J/(kg·K) (EN ISO 10456).
const basketJPerK = 270.0

// emptied is the temperature of what has been in the last bath and stood
// empty for some minutes since: halfway to the room's.
func (d *Day) emptied(tub int) float64 {
	t, roomC := d.Tubs[tub], d.Plan.Kit.RoomC
	if !t.LastWet || t.LastLiftC == 0 {
		return roomC
	}
	return (t.LastLiftC + roomC) / 2
}

// LeastBathPart is the least that a bath is offered to be filled to, as a part of the usual one.
const LeastBathPart = 0.5

// FillPlan is what goes into a tub for its next bath.
type FillPlan struct {
	_       [0]func() // nobody compares two: no code for it
	VolumeL float64
	WaterC  float64 // what the water should be in the tub before the fleece
	AfterC  float64 // what that leaves once the fleece is in
	Pour    cooling.Fill
	DoseML  float64
	// GapC is how much cooler (positive) or hotter (negative) the bath is than
	// the one before; 0 for the first.
	GapC float64
	// HottestC is the hottest water that is handled for it: as it comes from the tap
	// or from the kettle, or as it is in the tub.
	HottestC float64
	// ShortC is how far below the aim it stays: the tap and kettle can't do it.
	ShortC float64
	// KettleLoads is how many boils that is, 0 for none.
	KettleLoads int
	// LeastL is the least that its fleece opens out in.
	LeastL float64
}

// Fill plans the current bath of a tub that waits for water, with the hot tap
// as the kit has it.
func (d *Day) Fill(tub int) FillPlan { return d.FillWith(tub, asItIs(d.Plan.Kit)) }

// Supply is what a bath is made from.
type Supply struct {
	HotC    float64 // of the hot tap
	BoiledL float64 // the most boiling water, from kettle and pans; 0: from the kettle, in as many boils as are worth it
	FillL   float64 // the most that goes in; 0: as tub and method have it
	// StoodMin is for how long the kettle has boiled when the fill begins, min.
	StoodMin float64
	// PailMin is for how long what is in the pail has been boiled, min; 0 as reckoned.
	PailMin float64
	tapOnly bool // nothing boils
}

// KettleLeadMin is how long before its fill the kettle is to have boiled, min: a hand that
// comes a little late to it costs nothing. Our own choice.
const KettleLeadMin = 1.0

// asItIs is the kit's own supply.
func asItIs(k shed.Kit) Supply { return Supply{HotC: k.HotTapC, StoodMin: KettleLeadMin} }

// FillWith is Fill from some other supply.
func (d *Day) FillWith(tub int, from Supply) FillPlan {
	t, k := d.Tubs[tub], d.Plan.Kit
	s, vessel := t.Step(), k.Tubs[tub]
	if !s.Kind.IsBath() {
		return FillPlan{}
	}
	// A method may ask for more than the usual bath, never for more than the tub holds.
	volumeL := min(vessel.FillL*s.FillPart, vessel.CapacityL)
	if from.FillL > 0 {
		volumeL = min(volumeL, from.FillL)
	}
	hotC := from.HotC
	wetJPerK, wetC := d.wetFleece(tub)
	w := cooling.FillWish{
		VolumeL: volumeL, HotC: hotC, ColdC: min(k.ColdTapC, hotC), KettleC: math.NaN(), StepL: k.JugL, CapacityL: vessel.CapacityL,
		Tub:    cooling.Portion{HeatJPerK: cooling.VesselHeatJPerK(vessel.Vessel(), volumeL), TempC: d.emptied(tub)},
		Fleece: []cooling.Portion{{HeatJPerK: wetJPerK, TempC: wetC}},
	}
	switch s.Water {
	case shed.FromCold: // whatever it comes to
		w.HotC = w.ColdC
	case shed.FromHot:
		w.ColdC = hotC
		d.nearLast(tub, &w, from)
	case shed.Mixed:
		w.TargetC, w.HottestC = s.AimC, hottestFillC
		if s.Kind.Facts().NoHotter && t.LastWet && t.LastLiftC != 0 {
			w.TargetC, w.HottestC = min(w.TargetC, t.LastLiftC), min(w.HottestC, t.LastLiftC)
		}
		switch {
		case from.tapOnly:
		case from.BoiledL > 0:
			w = withBoiled(k, w, from)
		default:
			w = withKettle(k, w, shed.MostKettleLoads, from)
		}
	}
	f := cooling.FillFor(w)
	p := FillPlan{WaterC: noColder(f.WaterC), AfterC: noColder(f.AfterC), VolumeL: f.HotL + f.ColdL + f.KettleL}
	switch {
	case s.Water == shed.FromCold:
		f.HotL, f.ColdL = 0, p.VolumeL
	case w.ColdC == hotC: // all of it from one tap
		f.HotL, f.ColdL = f.HotL+f.ColdL, 0
	}
	if p.Pour = f; s.Water == shed.Mixed {
		p.ShortC = f.ShortC
	}
	if f.KettleL > 0 && from.BoiledL == 0 {
		p.KettleLoads = int(math.Ceil(f.KettleL/k.Kettle.CapacityL - 1e-9))
	}
	if p.HottestC = f.WaterC; f.HotL > 0 {
		p.HottestC = max(p.HottestC, hotC)
	}
	if f.KettleL > 0 {
		p.HottestC = max(p.HottestC, k.BoilingC())
	}
	b, _ := d.Batch(t.Batch)
	p.LeastL = max(LeastBathPart*p.VolumeL, d.Plan.ComesG(b, t.Washed)/d.Plan.MostGPerL(b))
	if dose := s.Dose(); dose > 0 {
		p.DoseML = k.DoseFor(b.NowG()*dose, d.FleeceOf(b.ID).Wax)
	}
	if t.LastWet && t.LastLiftC != 0 {
		p.GapC = t.LastLiftC - p.AfterC
	}
	return p
}

// soakLosesC: a bath loses at least this while the fleece is in it. So a rinse that is
// warmer than the last lift by no more is no hotter than the last bath began.
const soakLosesC = 3.0

// sameC: two baths from one tap differ by up to this.
const sameC = 0.5

// withKettle lets a fill have so many boils of the kettle, if there is one.
func withKettle(k shed.Kit, w cooling.FillWish, boils float64, from Supply) cooling.FillWish {
	if full := k.Kettle.CapacityL; full > 0 {
		w.KettleC, w.KettleMaxL, w.KettleFullL, w.KettleStepL = k.KettleC(), full*boils, full, k.KettleMarkL()
		w.KettleAtC = k.Boil(false, from.StoodMin, from.PailMin).PouredC()
	}
	return w
}

// withBoiled lets a fill have the boiling water that there is, from kettle and pans.
func withBoiled(k shed.Kit, w cooling.FillWish, from Supply) cooling.FillWish {
	w.KettleC, w.KettleMaxL, w.KettleFullL, w.KettleStepL = k.BoiledC(), from.BoiledL, from.BoiledL, k.KettleMarkL()
	w.KettleAtC = k.Boil(k.Kettle.CapacityL <= 0, from.StoodMin, from.PailMin).PouredC()
	return w
}

// nearLast keeps a bath from the hot tap near the one before it. A rinse is never
// hotter. Where it would be cooler than its step allows, one boil of the kettle helps.
func (d *Day) nearLast(tub int, w *cooling.FillWish, from Supply) {
	t, k := d.Tubs[tub], d.Plan.Kit
	s := t.Step()
	if !t.LastWet || t.LastLiftC == 0 {
		return
	}
	switch f := cooling.FillFor(*w); {
	case f.WaterC > d.hottestRinseC(tub, w.Tub.HeatJPerK+cooling.WaterPortion(w.VolumeL, w.HotC).HeatJPerK):
		w.TargetC, w.HottestC, w.ColdC = t.LastLiftC, t.LastLiftC, min(k.ColdTapC, w.HotC)
	case TooFar(s, t.LastLiftC-f.AfterC):
		w.TargetC = t.LastLiftC - s.MaxGapC
		switch {
		case from.tapOnly:
		case from.BoiledL > 0:
			*w = withBoiled(k, *w, from)
		default:
			*w = withKettle(k, *w, 1, from)
		}
	}
}

// hottestRinseC is the hottest that a rinse's water may be, °C: with the fleece in, the
// rinse is no hotter than the bath before was when it began. bathJPerK is the heat
// capacity of the water. +Inf for any other step and for a first bath.
func (d *Day) hottestRinseC(tub int, bathJPerK float64) float64 {
	t := d.Tubs[tub]
	if !t.Step().Kind.Facts().NoHotter || !t.LastWet || t.LastLiftC == 0 {
		return math.Inf(1)
	}
	jPerK, wetC := d.wetFleece(tub)
	beginsC := t.LastSankC + sameC
	return max(t.LastLiftC+soakLosesC, beginsC+(beginsC-wetC)*jPerK/bathJPerK)
}

// hotEnoughC: a bath as hot as that is not called short of its aim; common practice
// washes from 60 °C.
const hotEnoughC = 60.0

// Short says that tap and kettle leave a bath short of its aim, so that it matters.
func (f *FillPlan) Short() bool { return f.ShortC > 0.5 && math.Round(f.AfterC) < hotEnoughC }

// SinkInto is the bath of a filled tub with its fleece sunk in at now.
func (d *Day) SinkInto(tub int, now time.Time) Bath {
	jPerK, wetC := d.wetFleece(tub)
	b := d.Tubs[tub].Bath
	b.Changes = append(b.Changes[:len(b.Changes):len(b.Changes)], HeatChange{At: now, Cover: d.Plan.Kit.Tubs[tub].Cover, AddJPerK: jPerK, AddC: wetC})
	return b
}

// decideSink is the fleece going into the bath that is filled.
func decideSink(d Day, tub int, now time.Time) []Event {
	jPerK, wetC := d.wetFleece(tub)
	e := FleeceSunk{Tub: tub, WetJPerK: jPerK, WetC: wetC, Cover: d.Plan.Kit.Tubs[tub].Cover}
	// What the bath comes to: the same model that will be used from here on.
	b := d.SinkInto(tub, now)
	h := BathHeat(&d.Plan, &b)
	e.ForecastC, _ = h.At(now)
	if soakMin := d.SoaksMin(tub, now); soakMin != b.SoakMin {
		e.SoakMin = soakMin
	}
	return []Event{e}
}

// SoaksMin is how long a soak in a tub's bath lasts that begins at now: over a night till washing is to
// begin, else till the person is up, and no longer than it may.
func (d *Day) SoaksMin(tub int, now time.Time) float64 {
	min, s := d.Tubs[tub].Bath.SoakMin, d.Tubs[tub].Step()
	if !s.Overnight() {
		return min
	}
	end := d.Plan.OnTheWall(now.Add(measure.Lasting(min)))
	up := d.Plan.Kit.WhenUp(end)
	wash, planned := d.Plan.WashFrom(d.StartedAt, now)
	if washMin := measure.MinutesBetween(now, wash); planned && min == s.SoakMin && (s.LongestMin == 0 || washMin <= s.LongestMin) { // else the person has set it, or it begins out of its time
		up = wash
	}
	if up.Equal(end) {
		return min
	}
	if min = measure.MinutesBetween(now, up); s.LongestMin > 0 && min > s.LongestMin {
		return s.LongestMin
	}
	return min
}

// WashWaits is till when a batch that has not begun, and does not soak over the night, waits for those that do.
func (d *Day) WashWaits(b *shed.Batch, now time.Time) (wash time.Time, waits bool) {
	wash = d.Plan.OnTheWall(d.StartedAt.Add(measure.Lasting(d.Plan.WashInMin)))
	return wash, now.Before(wash) && d.Fate[b.ID].SunkAt.IsZero() && !d.Plan.SoaksOvernight(b)
}

// TooFar says that a bath which is GapC cooler than the one before (hotter if below 0)
// is outside its step.
func TooFar(s *shed.Step, gapC float64) bool {
	return s.MaxGapC > 0 && math.Abs(gapC) > s.MaxGapC+GapSlackC
}

// noColder is a bath's temperature as reckoned, but not below where water freezes: it
// comes liquid from the tap into a tub out of a frost.
func noColder(c float64) float64 {
	if c < 0 {
		return 0
	}
	return c
}
