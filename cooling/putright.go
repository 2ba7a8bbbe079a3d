package cooling

import "math"

// A Standing is a bath as it stands, for what could be poured into it.
type Standing struct {
	Bath      Portion // all that shares the bath's temperature: water, fleece, wetted wall
	WaterL    float64 // the water of it, as it stands in the tub
	CapacityL float64 // how much water it may hold with all that is in it; not above 0: no limit
	KettleC   float64 // what is poured
	KettleL   float64 // the most there is of it; not above 0: as much as it takes
}

// A Remedy is what to do to a bath, and what that does to it. Water is never
// poured onto fleece: raise the basket first.
type Remedy struct {
	BailL float64 // first take out so much of the bath's water, to make room
	PourL float64 // then pour in so much, measured as it comes from the kettle

	TempC  float64 // what the bath comes to
	ShortC float64 // above 0: how far below the wanted temperature it stays
	LevelL float64 // water in the tub after it

	// DoseKept is the share of the scour that is still in the tub (bailing
	// takes some), DoseStrength its strength against before: to keep the
	// strength, add the missing part of a dose, 1 - DoseStrength, for the new
	// level.
	DoseKept, DoseStrength float64

	// Heat capacity bailed and poured, J/K: the parts of a [Change].
	RemoveJPerK, AddJPerK float64
}

// PutRight works out how much kettle water brings a bath to wantC, with the
// energy kept and nothing lost while pouring. If the level would rise above what
// the tub holds, water is bailed first, no more than needed; if the kettle holds
// too little, or the tub even emptied of water cannot take enough, the bath gets
// all that can be and ShortC says what is missing.
//
// A bath already at or above wantC needs nothing. ok is false if the kettle is
// no warmer than wantC or a number makes no sense.
func (s Standing) PutRight(wantC float64) (r Remedy, ok bool) {
	if !allFinite(s.Bath.HeatJPerK, s.Bath.TempC, s.WaterL, s.KettleC, wantC) || !(s.Bath.HeatJPerK > 0) || !(s.WaterL >= 0) || !(s.KettleC > wantC) {
		return Remedy{}, false
	}
	r = Remedy{TempC: s.Bath.TempC, LevelL: s.WaterL, DoseKept: 1, DoseStrength: 1}
	if wantC <= s.Bath.TempC {
		return r, true
	}
	perPoured := WaterPortion(1, s.KettleC).HeatJPerK          // J/K for each litre of the kettle
	perBailed := WaterPortion(1, s.Bath.TempC).HeatJPerK       // and of the bath
	bailable := min(s.WaterL, s.Bath.HeatJPerK/perBailed)      // what is not water stays
	ratio := (wantC - s.Bath.TempC) / (s.KettleC - wantC)      // heat capacity poured for each that is there
	grows := DensityKgPerM3(s.KettleC) / DensityKgPerM3(wantC) // a litre poured, as it stands in the bath

	pour := func(bail float64) float64 { return ratio * (s.Bath.HeatJPerK - bail*perBailed) / perPoured }
	if s.CapacityL > 0 && finite(s.CapacityL) {
		// Level after it: water - bail + pour(bail)·grows; linear in bail.
		over := s.WaterL + pour(0)*grows - s.CapacityL
		if over > 0 {
			r.BailL = min(over/(1+ratio*perBailed/perPoured*grows), bailable)
		}
	}
	r.PourL = pour(r.BailL)
	if s.CapacityL > 0 && finite(s.CapacityL) { // bailed dry and still too much
		r.PourL = min(r.PourL, max(s.CapacityL-s.WaterL+r.BailL, 0)/grows)
	}
	if s.KettleL > 0 && r.PourL > s.KettleL {
		r.PourL = s.KettleL
		// With so little to pour, so much need not be bailed.
		r.BailL = 0
		if s.CapacityL > 0 && finite(s.CapacityL) {
			r.BailL = min(max(s.WaterL+r.PourL*grows-s.CapacityL, 0), bailable)
		}
	}
	return s.after(r.BailL, r.PourL, wantC), true
}

// InMarks is PutRight in whole marks, poured by the kettle's (or all of it) and
// bailed by the jug's: at least what is needed where kettle and tub take it, else
// as many as they do.
func (s Standing) InMarks(wantC, stepL, jugL float64) (Remedy, bool) {
	r, ok := s.PutRight(wantC)
	if !ok || !(stepL > 0) || r.PourL <= 0 {
		return r, ok
	}
	grows := DensityKgPerM3(s.KettleC) / DensityKgPerM3(wantC)
	bailable := min(s.WaterL, s.Bath.HeatJPerK/WaterPortion(1, s.Bath.TempC).HeatJPerK) // what is not water stays
	whole := func(l, stepL float64) float64 { return max(0, math.Ceil(l/stepL-1e-6)) * stepL }
	// try is so much poured, with what has to be bailed for it.
	try := func(pourL float64) (bailL float64, fits bool) {
		if s.CapacityL > 0 && finite(s.CapacityL) {
			bailL = whole(max(0, s.WaterL+pourL*grows-s.CapacityL), max(jugL, stepL))
		}
		return bailL, bailL <= bailable && (s.KettleL <= 0 || pourL <= s.KettleL+1e-9)
	}
	marks := whole(r.PourL, stepL)
	if s.KettleL > 0 && marks > s.KettleL {
		if bailL, fits := try(s.KettleL); fits {
			return s.after(bailL, s.KettleL, wantC), true
		}
	}
	for pourL := marks; pourL > 0; pourL -= stepL {
		if bailL, fits := try(pourL); fits {
			return s.after(bailL, pourL, wantC), true
		}
	}
	return r, true // a kettle smaller than a mark
}

// after is the bath when so much is bailed and then so much poured in.
func (s Standing) after(bailL, pourL, wantC float64) Remedy {
	perPoured, perBailed := WaterPortion(1, s.KettleC).HeatJPerK, WaterPortion(1, s.Bath.TempC).HeatJPerK
	grows := DensityKgPerM3(s.KettleC) / DensityKgPerM3(wantC)
	r := Remedy{BailL: bailL, PourL: pourL, DoseKept: 1, DoseStrength: 1}
	r.RemoveJPerK, r.AddJPerK = r.BailL*perBailed, r.PourL*perPoured
	r.TempC = Mix(Portion{s.Bath.HeatJPerK - r.RemoveJPerK, s.Bath.TempC}, Portion{r.AddJPerK, s.KettleC})
	r.ShortC = max(wantC-r.TempC, 0)
	if r.ShortC < 1e-9 {
		r.ShortC = 0 // rounding
	}
	r.LevelL = s.WaterL - r.BailL + r.PourL*grows
	if s.WaterL > 0 {
		r.DoseKept = 1 - r.BailL/s.WaterL
	}
	if r.LevelL > 0 {
		r.DoseStrength = r.DoseKept * s.WaterL / r.LevelL
	}
	return r
}

// Change is the remedy as something done to a bath at a minute.
func (r Remedy) Change(atMin, kettleC float64) Change {
	return Change{AtMin: atMin, RemoveJPerK: r.RemoveJPerK, AddJPerK: r.AddJPerK, AddC: kettleC}
}
