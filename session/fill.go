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
	carried := carriedLoose
	if b.Form == Locks {
		carried = carriedLocks
	}
	jPerK += b.RawG * carried * waterJPerGK
	return jPerK, d.emptied(tub)
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
	return d.fillWith(tub, d.fromTank(tub, d.hotLeftL(now)))
}

// supply is what a bath is made from.
type supply struct {
	hotC    float64 // of the hot tap
	boiledL float64 // the most boiling water, from kettle and pans; 0: from the kettle, in as many boils as are worth it
	fillL   float64 // the most that goes in; 0: as tub and method have it
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
	case FromCold:
		w.TargetC, w.HotC = w.ColdC, w.ColdC
	case FromHot:
		w.TargetC, w.ColdC = hotC, hotC
	case Mixed:
		w.TargetC, w.HottestC = s.AimC, hottestFillC
		w.KettleStepL = k.KettleMarkL()
		if full := k.Kettle.CapacityL; from.boiledL > 0 {
			w.KettleC, w.KettleMaxL = k.boiledC(), from.boiledL
		} else if full > 0 {
			w.KettleC, w.KettleMaxL, w.KettleFullL = k.KettleC(), full*mostKettleLoads, full
		}
	}
	f := cooling.FillFor(w)
	p := FillPlan{WaterC: f.WaterC, AfterC: f.AfterC, Pour: f, VolumeL: f.HotL + f.ColdL + f.KettleL}
	switch {
	case s.Water == FromCold:
		f.HotL, f.ColdL = 0, p.VolumeL
		p.Pour = f
	case s.Water == FromHot:
		f.HotL, f.ColdL = p.VolumeL, 0
		p.Pour = f
	default:
		p.ShortC = f.ShortC
		if f.KettleL > 0 && from.boiledL == 0 {
			p.KettleLoads = int(math.Ceil(f.KettleL/k.Kettle.CapacityL - 1e-9))
		}
	}
	if s.Dosed {
		b, _ := d.Batch(t.Batch)
		p.DoseML = k.Scour.DoseFor(b.RawG, d.FleeceOf(b.ID).Wax)
	}
	if t.LastWet && t.LastLiftC != 0 {
		p.GapC = t.LastLiftC - p.AfterC
	}
	return p
}
