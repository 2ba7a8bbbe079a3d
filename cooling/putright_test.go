package cooling_test

import (
	"math"
	"testing"

	"fleece.example/tubside/cooling"
	"pgregory.net/rapid"
)

// Energy is kept, the level holds, and what cannot be done is said.
func TestPutRightKeepsEnergyAndLevel(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		waterL := rapid.Float64Range(2, 30).Draw(t, "water")
		tempC := rapid.Float64Range(30, 60).Draw(t, "temp")
		water := cooling.WaterPortion(waterL, tempC)
		s := cooling.Standing{
			Bath:      cooling.Portion{HeatJPerK: water.HeatJPerK + rapid.Float64Range(0, 5000).Draw(t, "besides"), TempC: tempC},
			WaterL:    waterL,
			CapacityL: waterL * rapid.Float64Range(1, 1.5).Draw(t, "capacity"),
			KettleC:   rapid.Float64Range(85, 100).Draw(t, "kettle"),
			KettleL:   rapid.SampledFrom([]float64{0, 0.5, 1.7}).Draw(t, "kettle L"),
		}
		want := tempC + rapid.Float64Range(0, 15).Draw(t, "warmer by")
		r, ok := s.PutRight(want)
		if !ok {
			t.Fatal("no answer")
		}
		// Enthalpy above 0 °C, each part with its own heat capacity.
		before := (s.Bath.HeatJPerK-r.RemoveJPerK)*tempC + r.AddJPerK*s.KettleC
		after := (s.Bath.HeatJPerK - r.RemoveJPerK + r.AddJPerK) * r.TempC
		near(t, "energy", after/before, 1, 1e-12)
		near(t, "short", r.ShortC, want-r.TempC, 1e-8)
		if r.LevelL > s.CapacityL+1e-9 {
			t.Errorf("runs over: %+v", r)
		}
		if s.KettleL > 0 && r.PourL > s.KettleL+1e-12 {
			t.Errorf("more than the kettle holds: %+v", r)
		}
		if r.ShortC > 0 && !(s.KettleL > 0 && r.PourL > s.KettleL-1e-9) && r.BailL < waterL-1e-6 {
			t.Errorf("short without need: %+v", r)
		}
		if r.BailL > 0 && r.LevelL < s.CapacityL-1e-6 {
			t.Errorf("bailed more than needed: %+v", r)
		}
		near(t, "dose kept", r.DoseKept*waterL+r.BailL, waterL, 1e-9)
		near(t, "dose strength", r.DoseStrength*r.LevelL, r.DoseKept*waterL, 1e-9)
		if s.KettleL == 0 && r.BailL == 0 {
			near(t, "heat of what is poured", r.AddJPerK, cooling.WaterPortion(r.PourL, s.KettleC).HeatJPerK, 1e-9*r.AddJPerK)
			near(t, "brought to it", r.TempC, want, 1e-9)
		}
		// The same in a bath.
		b := cooling.Bath{RoomC: 20, StartC: tempC, HeatJPerK: s.Bath.HeatJPerK, Changes: []cooling.Change{r.Change(0, s.KettleC)}}
		got, _ := b.Fit(nil, 0).At(0)
		near(t, "in a bath", got, r.TempC, 1e-9)
	})
}

func TestPutRightByHand(t *testing.T) {
	// 8 L at 50 °C back to 60 with a kettle of 95: about 10/35 of the heat
	// there, 2.3 L, and a weaker dose.
	s := cooling.Standing{Bath: cooling.WaterPortion(8, 50), WaterL: 8, KettleC: 95}
	r, ok := s.PutRight(60)
	if !ok || r.BailL != 0 || r.ShortC != 0 {
		t.Fatalf("%+v %v", r, ok)
	}
	near(t, "pour", r.PourL, 2.33, 0.02)
	near(t, "level", r.LevelL, 10.28, 0.03)
	near(t, "strength", r.DoseStrength, 0.778, 0.005)
	s.CapacityL = 9
	r, _ = s.PutRight(60)
	near(t, "level of a fuller tub", r.LevelL, 9, 1e-9)
	near(t, "temperature", r.TempC, 60, 1e-9)
	near(t, "bailed", r.BailL, 0.99, 0.03)
	if r, ok := s.PutRight(50); !ok || r.PourL != 0 || r.DoseStrength != 1 || r.TempC != 50 {
		t.Errorf("already there: %+v", r)
	}
	for _, bad := range []float64{95, 99, math.NaN(), math.Inf(1)} {
		if r, ok := s.PutRight(bad); ok {
			t.Errorf("%v °C from a kettle of 95: %+v", bad, r)
		}
	}
}

func TestAdvice(t *testing.T) {
	v := bucket
	f := planned(cooling.Open, 65, 1, 0).Fit([]cooling.Reading{{4, 62}, {8, 60}, {12, 58}, {16, 56}}, 0.5)
	lidW, _ := cooling.LossWPerK(v, simFillL, cooling.Lid, 57, simRoomC)
	tempC, _ := f.At(18)
	standing := cooling.Standing{Bath: cooling.Portion{HeatJPerK: 35000, TempC: tempC}, WaterL: 8, CapacityL: 9.5, KettleC: 97, KettleL: 1}
	remedy, _ := standing.PutRight(62)
	q := cooling.Question{
		NowMin: 18, FloorC: simFloorC,
		Covered: cooling.Change{LossWPerK: lidW, LossAtC: 57, LossTilt: 0.005},
		Poured:  remedy.Change(0, 97),
	}
	best := func(until float64) cooling.Option {
		q.UntilMin = until
		return f.Advise(q).Best
	}
	a := f.Advise(q)
	want := []cooling.Choice{cooling.Leave, cooling.PutCover, cooling.PourKettle, cooling.CoverAndPour, cooling.LiftNow}
	if len(a.Options) != len(want) {
		t.Fatalf("%+v", a)
	}
	for i, o := range a.Options {
		t.Logf("%-16s early %.1f, likely %.1f, gains %.1f min", o.Choice, o.Crossing.EarlyMin, o.Crossing.LikelyMin, o.GainMin)
		if o.Choice != want[i] || o.GainMin != o.Crossing.EarlyMin-a.Options[0].Crossing.EarlyMin {
			t.Errorf("%+v", o)
		}
	}
	cover, pour, both := a.Options[1], a.Options[2], a.Options[3]
	if !(cover.GainMin > 0 && pour.GainMin > 0 && both.GainMin > max(cover.GainMin, pour.GainMin)) {
		t.Errorf("%+v", a)
	}
	for _, row := range []struct {
		until float64
		want  cooling.Choice
	}{
		{18, cooling.LiftNow}, // the time is up
		{a.Options[0].Crossing.EarlyMin - 0.1, cooling.Leave},
		{a.Options[0].Crossing.EarlyMin + 0.1, cooling.PutCover},
		{(cover.Crossing.EarlyMin + pour.Crossing.EarlyMin) / 2, map[bool]cooling.Choice{true: cooling.PourKettle, false: cooling.PutCover}[pour.Crossing.EarlyMin > cover.Crossing.EarlyMin]},
		{both.Crossing.EarlyMin - 0.1, cooling.CoverAndPour},
		{both.Crossing.EarlyMin + 60, cooling.CoverAndPour}, // not enough, but longest
	} {
		if got := best(row.until); got.Choice != row.want {
			t.Errorf("until %v: %v, want %v", row.until, got.Choice, row.want)
		}
	}
	// At the floor with nothing to pour, a cover does not help.
	q.NowMin, q.Poured = 60, cooling.Change{}
	if got := best(70); got.Choice != cooling.LiftNow {
		t.Errorf("too cold: %+v", got)
	}
	if got := (cooling.Fitted{}).Advise(q); got.Best.Choice != cooling.Leave || len(got.Options) != 2 {
		t.Errorf("no telling: %+v", got)
	}
	if got := cooling.CoverAndPour.String(); got != "cover and top up" {
		t.Error(got)
	}
}

// What would be done does not touch the bath it is asked of.
func TestWithLeavesTheBathAlone(t *testing.T) {
	f := planned(cooling.Open, 65, 1, 0).Fit(nil, 0)
	before := f.Crossing(simFloorC, 0)
	covered := f.With(cooling.Change{AtMin: 10, LossWPerK: 2}, cooling.Change{AtMin: 5, LossWPerK: 3})
	if f.Crossing(simFloorC, 0) != before || !(covered.Crossing(simFloorC, 0).LikelyMin > before.LikelyMin) {
		t.Error("the bath changed, or did not")
	}
}

// In whole marks of a jug the bath comes to what is wanted or higher by no more
// than a mark does, unless kettle or tub are too small: then no further mark
// would have fitted.
func TestInMarks(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		water := rapid.Float64Range(2, 20).Draw(t, "water")
		s := cooling.Standing{
			Bath: cooling.Portion{cooling.WaterPortion(water, 55).HeatJPerK * rapid.Float64Range(1, 1.2).Draw(t, "fleece"), rapid.Float64Range(20, 62).Draw(t, "temp")}, WaterL: water,
			CapacityL: water + rapid.Float64Range(0, 10).Draw(t, "room"), KettleC: 97, KettleL: rapid.SampledFrom([]float64{0, 0.2, 1.7, 3}).Draw(t, "kettle"),
		}
		step, want := rapid.SampledFrom([]float64{0, 0.25, 0.5, 1}).Draw(t, "step"), rapid.Float64Range(30, 68).Draw(t, "want")
		exact, _ := s.PutRight(want)
		r, ok := s.InMarks(want, step, step)
		if !ok || step == 0 || exact.PourL == 0 {
			if r != exact {
				t.Fatalf("%+v, want %+v", r, exact)
			}
			return
		}
		whole := func(l float64) bool { return math.Abs(l/step-math.Round(l/step)) < 1e-6 }
		if r == exact && s.KettleL > 0 && s.KettleL < step {
			return
		}
		if full := s.KettleL > 0 && r.PourL == s.KettleL; !whole(r.PourL) && !full || !whole(r.BailL) { // a full kettle needs no mark
			if r == exact { // nothing of whole marks fits
				return
			}
			t.Fatalf("%+v is not of whole marks of %g", r, step)
		}
		if r.LevelL > s.CapacityL+1e-6 || r.BailL > s.WaterL || s.KettleL > 0 && r.PourL > s.KettleL+1e-9 {
			t.Fatalf("%+v does not fit %+v", r, s)
		}
		// The energy is kept.
		left := s.Bath.HeatJPerK - r.RemoveJPerK
		if e := left*s.Bath.TempC + r.AddJPerK*s.KettleC - (left+r.AddJPerK)*r.TempC; math.Abs(e) > 1e-3 {
			t.Fatalf("%g J are lost in %+v", e, r)
		}
		if r.TempC < want-1e-6 && r.ShortC == 0 || r.TempC >= want && r.ShortC != 0 {
			t.Fatalf("%+v does not say that it is short of %g", r, want)
		}
		if exact.ShortC == 0 && r.PourL > exact.PourL+step+1e-6 && r.BailL == 0 {
			t.Fatalf("%+v pours more than a mark above %+v", r, exact)
		}
	})
}
