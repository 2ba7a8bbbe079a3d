package session

import (
	"fleece.example/tubside/cooling"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
)

// WantedToSinkC is what a bath should have before its fleece goes in, as its
// fill was meant, but no less than it may begin with.
func (d *Day) WantedToSinkC(tub int) float64 {
	low := d.Tubs[tub].Step().LowestSinkC
	if f := d.Fill(tub); measure.Finite(f.WaterC) {
		return max(low, f.WaterC)
	}
	return low
}

// TooCool says that a filled bath is too cool to begin with.
func (d *Day) TooCool(tub int, tempC float64) bool {
	return TooCoolToBegin(d.Tubs[tub].Step(), tempC)
}

// Remedy is what one kettle does to bring the bath of a tub, now at tempC, back
// to wantC; ok is false without a kettle, or if nothing is needed.
func (d *Day) Remedy(tub int, tempC, wantC float64) (r cooling.Remedy, ok bool) {
	k, b := d.Plan.Kit, d.Tubs[tub].Bath
	if k.Kettle.CapacityL <= 0 {
		return r, false
	}
	r, ok = cooling.Standing{
		Bath: cooling.Portion{HeatJPerK: b.HeatJPerK(k.Tubs[tub]), TempC: tempC}, WaterL: b.LevelL(),
		CapacityL: d.roomL(tub), KettleC: k.KettleC(), KettleL: k.Kettle.CapacityL,
	}.InMarks(wantC, k.KettleMarkL(), k.JugL)
	return r, ok && r.PourL > 0.02
}

// HeatJPerK is the heat capacity of all that is in the bath, J/K.
func (b *Bath) HeatJPerK(tub shed.Tub) float64 {
	sum := cooling.WaterPortion(b.VolumeL, b.FillC).HeatJPerK + cooling.VesselHeatJPerK(tub.Vessel(), b.VolumeL)
	for _, c := range b.Changes {
		sum += c.AddJPerK
		if c.BailL > 0 {
			sum -= cooling.WaterPortion(c.BailL, b.FillC).HeatJPerK
		}
		if c.AddL > 0 {
			sum += cooling.WaterPortion(c.AddL, c.AddC).HeatJPerK
		}
	}
	return sum
}

// BetterCover is the next better cover than the one that lies there: the tub's
// usual one on open water, else lid and film together.
func BetterCover(now, usual cooling.Cover) (cooling.Cover, bool) {
	switch {
	case now == cooling.LidAndFilm:
		return now, false
	case now == cooling.Open && usual != cooling.Open:
		return usual, true
	case now == cooling.Open:
		return cooling.Lid, true
	}
	return cooling.LidAndFilm, true
}

// CoverPhrase is a cover as a sentence begins with it: "lid on", "left open".
func CoverPhrase(c cooling.Cover) string {
	switch c {
	case cooling.Lid:
		return "lid on"
	case cooling.Film:
		return "film on"
	case cooling.LidAndFilm:
		return "film and lid on"
	case cooling.Open:
	}
	return "left open"
}

// roomL is how much water a tub holds to the rim, beside the fleece that is in it: a
// litre for each kilogram (from memory; wool sinks and wax floats), and what it
// brought along from its last bath.
func (d *Day) roomL(tub int) float64 {
	t, l := d.Tubs[tub], d.Plan.Kit.Tubs[tub].CapacityL
	if b, ok := d.Batch(t.Batch); ok && t.fleeceIn() {
		l -= d.Plan.ComesG(b, t.Washed) * (1 + d.carried(tub)) / 1000
	}
	return max(l, 0.001) // none at all, and not no limit
}

// LevelL is the water in the bath, litres: filled, bailed and topped up.
func (b *Bath) LevelL() float64 {
	l := b.VolumeL
	for _, c := range b.Changes {
		l += c.AddL - c.BailL
	}
	return l
}
