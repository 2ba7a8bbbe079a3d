package session

import (
	"math"
	"time"

	"fleece.example/tubside/cooling"
)

// wetFleece is the heat capacity, J/K, of a batch with the water it carries
// and its basket, and its temperature, °C, just before it sinks in.
func (d Day) wetFleece(tub int) (jPerK, tempC float64) {
	t := d.Tubs[tub]
	b, _ := d.Batch(t.Batch)
	jPerK = b.RawG*cooling.WoolJPerGK + basketJPerK
	if !t.LastWet {
		return jPerK, d.Plan.Kit.RoomC // dry from the sack
	}
	return jPerK + b.RawG*d.carried(tub)*waterJPerGK, d.emptied(tub)
}

// carried is the water that a tub's fleece brings along from its last bath, for each
// gram raw.
func (d Day) carried(tub int) float64 {
	switch b, _ := d.Batch(d.Tubs[tub].Batch); {
	case !d.Tubs[tub].LastWet:
		return 0
	case b.Form == Locks:
		return carriedLocks
	}
	return carriedLoose
}

// basketJPerK is a basket of polypropylene of about 150 g (the mass from
// memory), 1800 J/(kg·K) (EN ISO 10456).
const basketJPerK = 270.0

// emptied is the temperature of what has been in the last bath and stood
// empty for some minutes since: halfway to the room's.
func (d Day) emptied(tub int) float64 {
	t, roomC := d.Tubs[tub], d.Plan.Kit.RoomC
	if !t.LastWet || t.LastLiftC == 0 {
		return roomC
	}
	return (t.LastLiftC + roomC) / 2
}

// FillPlan is what goes into a tub for its next bath.
type FillPlan struct {
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
	// ShortC is how far below the aim it stays: the tap and kettle cannot do it.
	ShortC float64
	// KettleLoads is how many boils that is, 0 for none.
	KettleLoads int
}

// Fill plans the current bath of a tub that waits for water, with the hot tap
// as the kit has it.
func (d Day) Fill(tub int) FillPlan { return d.fillWith(tub, d.Plan.Kit.asItIs()) }

// FillAt is Fill with the hot tap as the tank gives it at now.
func (d Day) FillAt(tub int, now time.Time) FillPlan {
	from := d.fromTank(tub, d.hotLeftL(now))
	if k, on := d.KettleOn(now); on && k.isFor(d.Tubs[tub]) {
		from.boiledL = k.VolumeL // as it was put on, whatever has changed since
	}
	return d.fillWith(tub, from)
}

// fillFromTap is FillAt with nothing boiled.
func (d Day) fillFromTap(tub int, now time.Time) FillPlan {
	from := d.fromTank(tub, d.hotLeftL(now))
	from.tapOnly = true
	return d.fillWith(tub, from)
}

// supply is what a bath is made from.
type supply struct {
	hotC    float64 // of the hot tap
	boiledL float64 // the most boiling water, from kettle and pans; 0: from the kettle, in as many boils as are worth it
	fillL   float64 // the most that goes in; 0: as tub and method have it
	tapOnly bool    // nothing boils
}

// asItIs is the kit's own supply.
func (k Kit) asItIs() supply { return supply{hotC: k.HotTapC} }

// fillWith is Fill from some other supply.
func (d Day) fillWith(tub int, from supply) FillPlan {
	t, k := d.Tubs[tub], d.Plan.Kit
	s, vessel := t.Step(), k.Tubs[tub]
	if !s.Kind.IsBath() {
		return FillPlan{}
	}
	// A method may ask for more than the usual bath, never for more than the tub holds.
	volumeL := min(vessel.FillL*s.FillPart, vessel.CapacityL)
	if from.fillL > 0 {
		volumeL = min(volumeL, from.fillL)
	}
	hotC := from.hotC
	wetJPerK, wetC := d.wetFleece(tub)
	w := cooling.FillWish{
		VolumeL: volumeL, HotC: hotC, ColdC: min(k.ColdTapC, hotC), KettleC: math.NaN(), StepL: k.JugL, CapacityL: vessel.CapacityL,
		Tub:    cooling.Portion{HeatJPerK: cooling.VesselHeatJPerK(vessel.Vessel(), volumeL), TempC: d.emptied(tub)},
		Fleece: []cooling.Portion{{HeatJPerK: wetJPerK, TempC: wetC}},
	}
	switch s.Water {
	case FromCold: // whatever it comes to
		w.HotC = w.ColdC
	case FromHot:
		w.ColdC = hotC
		d.nearLast(tub, &w, from)
	case Mixed:
		w.TargetC, w.HottestC = s.AimC, hottestFillC
		if s.Kind.Facts().NoHotter && t.LastWet && t.LastLiftC != 0 {
			w.TargetC, w.HottestC = min(w.TargetC, t.LastLiftC), min(w.HottestC, t.LastLiftC)
		}
		switch {
		case from.tapOnly:
		case from.boiledL > 0:
			w = k.withBoiled(w, from.boiledL)
		default:
			w = k.withKettle(w, MostKettleLoads)
		}
	}
	f := cooling.FillFor(w)
	p := FillPlan{WaterC: f.WaterC, AfterC: f.AfterC, VolumeL: f.HotL + f.ColdL + f.KettleL}
	switch {
	case s.Water == FromCold:
		f.HotL, f.ColdL = 0, p.VolumeL
	case w.ColdC == hotC: // all of it from one tap
		f.HotL, f.ColdL = f.HotL+f.ColdL, 0
	}
	if p.Pour = f; s.Water == Mixed {
		p.ShortC = f.ShortC
	}
	if f.KettleL > 0 && from.boiledL == 0 {
		p.KettleLoads = int(math.Ceil(f.KettleL/k.Kettle.CapacityL - 1e-9))
	}
	if p.HottestC = f.WaterC; f.HotL > 0 {
		p.HottestC = max(p.HottestC, hotC)
	}
	if f.KettleL > 0 {
		p.HottestC = max(p.HottestC, k.BoilingC())
	}
	if s.Dosed {
		b, _ := d.Batch(t.Batch)
		p.DoseML = k.DoseFor(b.RawG, d.FleeceOf(b.ID).Wax)
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
func (k Kit) withKettle(w cooling.FillWish, boils float64) cooling.FillWish {
	if full := k.Kettle.CapacityL; full > 0 {
		w.KettleC, w.KettleMaxL, w.KettleFullL, w.KettleStepL = k.KettleC(), full*boils, full, k.KettleMarkL()
	}
	return w
}

// withBoiled lets a fill have so much boiling water, from kettle and pans.
func (k Kit) withBoiled(w cooling.FillWish, boiledL float64) cooling.FillWish {
	w.KettleC, w.KettleMaxL, w.KettleFullL, w.KettleStepL = k.boiledC(), boiledL, boiledL, k.KettleMarkL()
	return w
}

// nearLast keeps a bath from the hot tap near the one before it. A rinse is never
// hotter. Where it would be cooler than its step allows, one boil of the kettle helps.
func (d Day) nearLast(tub int, w *cooling.FillWish, from supply) {
	t, k := d.Tubs[tub], d.Plan.Kit
	s := t.Step()
	if !t.LastWet || t.LastLiftC == 0 {
		return
	}
	switch f := cooling.FillFor(*w); {
	case f.WaterC > d.hottestRinseC(tub, w.Tub.HeatJPerK+cooling.WaterPortion(w.VolumeL, w.HotC).HeatJPerK):
		w.TargetC, w.HottestC, w.ColdC = t.LastLiftC, t.LastLiftC, min(k.ColdTapC, w.HotC)
	case s.tooFar(t.LastLiftC - f.AfterC):
		w.TargetC = t.LastLiftC - s.MaxGapC
		switch {
		case from.tapOnly:
		case from.boiledL > 0:
			*w = k.withBoiled(*w, from.boiledL)
		default:
			*w = k.withKettle(*w, 1)
		}
	}
}

// hottestRinseC is how hot the water of a rinse may be, °C, for the fleece to be no
// hotter in it than when its last bath began; bathJPerK is the bath's heat capacity.
// +Inf if it is no rinse, or the first bath.
func (d Day) hottestRinseC(tub int, bathJPerK float64) float64 {
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

// short says that tap and kettle leave a bath short of its aim, so that it matters.
func (f FillPlan) short() bool { return f.ShortC > 0.5 && math.Round(f.AfterC) < hotEnoughC }

// sinkInto is the bath of a filled tub with its fleece sunk in at now.
func (d Day) sinkInto(tub int, now time.Time) Bath {
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
	b := d.sinkInto(tub, now)
	e.ForecastC, _ = bathHeat(d.Plan, b).at(now)
	if t := d.Tubs[tub]; t.Step().overNight() { // it ends when the person is up, not before
		end := d.Plan.local(now.Add(minutes(b.SoakMin)))
		if up := d.Plan.Kit.WhenUp(end); up.After(end) {
			e.SoakMin = minutesBetween(now, up)
			if longest := t.Step().LongestMin; longest > 0 {
				e.SoakMin = min(e.SoakMin, longest)
			}
		}
	}
	return []Event{e}
}
