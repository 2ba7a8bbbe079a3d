package cooling_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"fleece.example/tubside/cooling"
)

// washWish is a wash bath with a drained fleece of about 200 g raw.
func washWish() cooling.FillWish {
	return cooling.FillWish{
		VolumeL: 8, TargetC: 65.5, HotC: 51, ColdC: 12, KettleC: 97, StepL: 0.25, HottestC: 75,
		Tub:    cooling.Portion{HeatJPerK: 600, TempC: 18},
		Fleece: []cooling.Portion{{HeatJPerK: 200 * (1.36 + 1.3*4.186), TempC: 30}},
	}
}

func drawWish(t *rapid.T) cooling.FillWish {
	cold := rapid.Float64Range(2, 30).Draw(t, "cold")
	w := cooling.FillWish{
		VolumeL: rapid.Float64Range(0.5, 12).Draw(t, "volume"),
		TargetC: rapid.Float64Range(0, 90).Draw(t, "target"),
		ColdC:   cold, HotC: cold + rapid.Float64Range(0, 40).Draw(t, "hot"),
		KettleC:    math.NaN(),
		KettleMaxL: rapid.Float64Range(0, 4).Draw(t, "kettle most"),
		Tub:        cooling.Portion{HeatJPerK: rapid.Float64Range(0, 2000).Draw(t, "tub"), TempC: 15},
		Fleece:     []cooling.Portion{{HeatJPerK: rapid.Float64Range(0, 3000).Draw(t, "fleece"), TempC: 25}},
	}
	if rapid.Bool().Draw(t, "has kettle") {
		w.KettleC = rapid.Float64Range(80, 98).Draw(t, "kettle")
	}
	return w
}

// after mixes everything at once, tub and fleece too.
func after(w cooling.FillWish, hot, cold, kettle float64) float64 {
	parts := []cooling.Portion{cooling.WaterPortion(hot, w.HotC), cooling.WaterPortion(cold, w.ColdC), w.Tub}
	if kettle > 0 {
		parts = append(parts, cooling.WaterPortion(kettle, w.KettleC))
	}
	return cooling.Mix(append(parts, w.Fleece...)...)
}

func TestFillExactReachesTarget(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w := drawWish(t)
		f := cooling.FillFor(w)
		if got := after(w, f.HotL, f.ColdL, f.KettleL); math.Abs(got-f.AfterC) > 1e-6 {
			t.Fatalf("says %g °C, the parts come to %g", f.AfterC, got)
		}
		if sum := f.HotL + f.ColdL + f.KettleL; math.Abs(sum-w.VolumeL) > 1e-6 {
			t.Fatalf("pours %g L of %g", sum, w.VolumeL)
		}
		if f.KettleL > 0 && f.ColdL > 1e-6 {
			t.Fatalf("kettle water beside cold water: %+v", f)
		}
		coolest, hottest := after(w, 0, w.VolumeL, 0), after(w, w.VolumeL, 0, 0)
		if most := min(w.VolumeL, w.KettleMaxL); w.KettleC > w.HotC && w.KettleMaxL > 0 {
			hottest = after(w, w.VolumeL-most, 0, most)
		} else if w.KettleC > w.HotC {
			hottest = after(w, 0, 0, w.VolumeL)
		}
		want := min(max(w.TargetC, coolest), max(hottest, coolest))
		if math.Abs(f.AfterC-want) > 1e-3 {
			t.Fatalf("comes to %g °C, %g can be had: %+v of %+v", f.AfterC, want, f, w)
		}
		if short := w.TargetC - hottest; short > 0.06 != (f.ShortC > 0) && math.Abs(short-0.05) > 0.02 {
			t.Fatalf("short of it by %g, says %g", short, f.ShortC)
		}
	})
}

// Every way to pour whole marks is tried: none comes nearer to the target, but for the
// half degree that the kettle is not put on for; and what ends below the target by more
// than half a mark says so.
func TestFillMarksAgainstEveryWay(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w := drawWish(t)
		w.StepL = rapid.SampledFrom([]float64{0.25, 0.2365882365, 0.5}).Draw(t, "step")
		f := cooling.FillFor(w)
		for _, l := range []float64{f.HotL, f.ColdL, f.KettleL} {
			if n := l / w.StepL; math.Abs(n-math.Round(n)) > 1e-6 || l < 0 {
				t.Fatalf("%g L is not in marks of %g", l, w.StepL)
			}
		}
		total := max(1, int(math.Round(w.VolumeL/w.StepL)))
		if n := int(math.Round((f.HotL + f.ColdL + f.KettleL) / w.StepL)); n != total {
			t.Fatalf("pours %d marks of %d", n, total)
		}
		most := total
		if !(w.KettleC > w.HotC) {
			most = 0
		} else if w.KettleMaxL > 0 {
			most = min(total, int(w.KettleMaxL/w.StepL+1e-9))
		}
		most = min(most, int(w.VolumeL/w.StepL+1e-9))
		used := int(math.Round(f.KettleL / w.StepL))
		if used > most {
			t.Fatalf("takes %d marks from a kettle of %d", used, most)
		}
		off := math.Abs(f.AfterC - w.TargetC)
		markC := math.Inf(1) // from this way to the next hotter one
		for kettle := 0; kettle <= most; kettle++ {
			for cold := 0; cold+kettle <= total; cold++ {
				c := after(w, float64(total-cold-kettle)*w.StepL, float64(cold)*w.StepL, float64(kettle)*w.StepL)
				if c > f.AfterC+1e-9 && (cold == 0 || kettle == 0) {
					markC = min(markC, c-f.AfterC)
				}
				if saved := used == 0 && kettle > 0 && f.AfterC >= w.TargetC-0.5; cold > 0 && kettle > 0 || saved {
					continue
				}
				if math.Abs(c-w.TargetC) < off-1e-9 {
					t.Fatalf("%d cold and %d kettle marks come to %g °C, nearer to %g than %g", cold, kettle, c, w.TargetC, f.AfterC)
				}
			}
		}
		if under := w.TargetC - f.AfterC; under > markC/2+0.06 && math.Abs(f.UnderC-under) > 1e-9 {
			t.Fatalf("%g °C under its target, a mark is %g: says %g", under, markC, f.UnderC)
		}
	})
}

// What a fill that stays short says it needs does reach the target.
func TestFillNeed(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w := drawWish(t)
		f := cooling.FillFor(w)
		if f.ShortC == 0 {
			return
		}
		try := func(what string, v float64, change func(*cooling.FillWish)) {
			if math.IsNaN(v) {
				return
			}
			with := w
			change(&with)
			if got := cooling.FillFor(with); got.AfterC < w.TargetC-0.1 {
				t.Fatalf("%s of %g gives %g °C, not %g", what, v, got.AfterC, w.TargetC)
			}
		}
		try("kettle", f.Need.KettleL, func(o *cooling.FillWish) { o.KettleMaxL = f.Need.KettleL + 1e-6 })
		try("hot tap", f.Need.HotC, func(o *cooling.FillWish) { o.HotC = f.Need.HotC })
		try("volume", f.Need.VolumeL, func(o *cooling.FillWish) { o.VolumeL = f.Need.VolumeL })
	})
}

func TestFillWash(t *testing.T) {
	w := washWish()
	f := cooling.FillFor(w)
	if f.ColdL != 0 || f.KettleL == 0 || f.ShortC != 0 {
		t.Fatalf("a tap of 51 °C needs the kettle and nothing else: %+v", f)
	}
	w.KettleMaxL = 1.7
	short := cooling.FillFor(w)
	if short.ShortC < 5 || short.KettleL != 1.5 {
		t.Fatalf("1.7 L of kettle water in marks of 0.25 L cannot do: %+v", short)
	}
	if n := short.Need; !(n.KettleL > 2.5 && n.KettleL < 4.5) || !(n.HotC > 55 && n.HotC < 65) || !(n.VolumeL > 2 && n.VolumeL < 5) {
		t.Errorf("needs %+v", n)
	}
}

func TestFillOfNonsense(t *testing.T) {
	for _, change := range []func(*cooling.FillWish){
		func(w *cooling.FillWish) { w.VolumeL = 0 },
		func(w *cooling.FillWish) { w.VolumeL = math.Inf(1) },
		func(w *cooling.FillWish) { w.TargetC = math.NaN() },
		func(w *cooling.FillWish) { w.HotC = 5 },
		func(w *cooling.FillWish) { w.ColdC = math.Inf(-1) },
	} {
		w := washWish()
		change(&w)
		if f := cooling.FillFor(w); !math.IsNaN(f.WaterC) || f.HotL+f.ColdL+f.KettleL != 0 {
			t.Errorf("%+v pours %+v", w, f)
		}
	}
	w := washWish()
	w.StepL, w.KettleMaxL = 1e-9, math.NaN() // more marks than anyone pours: exactly
	if f := cooling.FillFor(w); math.Abs(f.AfterC-w.TargetC) > 0.01 {
		t.Errorf("%+v", f)
	}
}

func TestTank(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		tank := cooling.Tank{
			VolumeL: rapid.Float64Range(20, 400).Draw(t, "volume"), SetC: rapid.Float64Range(40, 75).Draw(t, "set"),
			ColdC: rapid.Float64Range(2, 25).Draw(t, "cold"), HeaterW: rapid.Float64Range(500, 6000).Draw(t, "heater"),
		}
		stored := tank.VolumeL * rapid.Float64Range(0, 1).Draw(t, "stored")
		litres := rapid.Float64Range(0.1, 300).Draw(t, "draw")
		meanC, left := tank.Draw(stored, litres)
		// What comes out is what the store loses.
		if out, lost := litres*(meanC-tank.ColdC), (stored-left)*(tank.SetC-tank.ColdC); math.Abs(out-lost) > 1e-6*(1+out) {
			t.Fatalf("gives %g, loses %g", out, lost)
		}
		// In two draws as in one.
		firstC, mid := tank.Draw(stored, litres/3)
		secondC, end := tank.Draw(mid, litres*2/3)
		if math.Abs(end-left) > 1e-9*tank.VolumeL || math.Abs((firstC+2*secondC)/3-meanC) > 1e-6 || secondC > firstC+1e-9 {
			t.Fatalf("two draws: %g and %g, left %g; one: %g, left %g", firstC, secondC, end, meanC, left)
		}
		if full := tank.Recover(left, 24*60); full > tank.VolumeL {
			t.Fatalf("%g L in a tank of %g L", full, tank.VolumeL)
		}
		need := rapid.Float64Range(10, 80).Draw(t, "need")
		wait, ok := tank.WaitMin(left, litres, need)
		if !ok {
			if full, _ := tank.Draw(tank.VolumeL, litres); full >= need {
				t.Fatalf("a full tank gives %g", full)
			}
			return
		}
		if got, _ := tank.Draw(tank.Recover(left, wait), litres); got < need-1e-3 {
			t.Fatalf("after %g min: %g °C, not %g", wait, got, need)
		}
		if wait > 0.1 {
			if got, _ := tank.Draw(tank.Recover(left, wait-0.1), litres); got > need {
				t.Fatalf("%g min would have done", wait-0.1)
			}
		}
	})
}

func TestNoTank(t *testing.T) {
	tank := cooling.Tank{SetC: 51, ColdC: 12}
	if c, _ := tank.Draw(0, 500); c != 51 {
		t.Errorf("a heater without a tank gives %g °C", c)
	}
	if wait, ok := tank.WaitMin(0, 500, 51); wait != 0 || !ok {
		t.Errorf("waits %g for it", wait)
	}
}

// A kettle is poured by its own figure: the jug's marks round only what is
// measured in the jug. All by the definition of the marks.
func TestKettleByItsOwnMarks(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w := drawWish(t)
		w.StepL = rapid.SampledFrom([]float64{0.25, 0.5, 0.946352946, 2}).Draw(t, "jug")
		w.KettleStepL = rapid.SampledFrom([]float64{0.2365882365, 0.25}).Draw(t, "mark")
		w.KettleFullL = rapid.SampledFrom([]float64{1, 1.656117656, 1.7, 3}).Draw(t, "full")
		w.KettleMaxL = 3 * w.KettleFullL
		w.CapacityL = w.VolumeL * rapid.SampledFrom([]float64{1, 1.1, 2}).Draw(t, "room")
		f := cooling.FillFor(w)
		for _, l := range []float64{f.HotL, f.ColdL} {
			if n := l / w.StepL; math.Abs(n-math.Round(n)) > 1e-6 || l < 0 {
				t.Fatalf("%g L is not in marks of %g", l, w.StepL)
			}
		}
		whole := func(l, step float64) bool { n := l / step; return math.Abs(n-math.Round(n)) < 1e-6 }
		ok := false
		for filled := 0.0; filled <= 3; filled++ {
			ok = ok || whole(f.KettleL-filled*w.KettleFullL, w.KettleStepL)
		}
		if !ok || f.KettleL > w.KettleMaxL+1e-9 {
			t.Fatalf("%g L of a kettle of %g with marks of %g", f.KettleL, w.KettleFullL, w.KettleStepL)
		}
		if all := f.HotL + f.ColdL + f.KettleL; all > w.CapacityL+1e-9 && all > w.StepL+1e-9 || math.Abs(all-w.VolumeL) > w.StepL+1e-9 {
			t.Fatalf("%g L for a bath of %g in a tub of %g, marks of %g", all, w.VolumeL, w.CapacityL, w.StepL)
		}
	})
}

// One boil more for a degree that no thermometer sees is not worth it.
func TestOneBoilLess(t *testing.T) {
	w := cooling.FillWish{VolumeL: 9, TargetC: 65.5, HotC: 51, ColdC: 12, KettleC: 97, KettleMaxL: 5.1, KettleFullL: 1.7, KettleStepL: 0.25, StepL: 0.25,
		Fleece: []cooling.Portion{{HeatJPerK: 2900, TempC: 18}}}
	f := cooling.FillFor(w)
	if math.Abs(f.KettleL-3.4) > 1e-9 || f.ShortC != 0 || f.AfterC < 64.5 || f.AfterC > 65 || math.Abs(f.UnderC-(65.5-f.AfterC)) > 1e-9 {
		t.Errorf("%+v", f)
	}
	w.Fleece[0].HeatJPerK *= 2 // now it is worth it
	if f = cooling.FillFor(w); f.KettleL <= 3.4 || math.Abs(f.AfterC-65.5) > 0.5 {
		t.Errorf("%+v", f)
	}
}

// The hot tap that a fill needs is the least that does with what is poured as it is:
// a bath half a degree short needs no tap five degrees hotter.
func TestFillNeedsTheLeastTap(t *testing.T) {
	for _, tapC := range []float64{46, 47, 48, 49, 50, 51, 52} {
		f := cooling.FillFor(cooling.FillWish{VolumeL: 14.1, TargetC: 65.5, HotC: tapC, ColdC: 12, KettleC: 97, KettleMaxL: 5.1, KettleFullL: 1.7, StepL: 0.5, KettleStepL: 0.25,
			Tub: cooling.Portion{HeatJPerK: 1000, TempC: 20}, Fleece: []cooling.Portion{{HeatJPerK: 2500, TempC: 20}}, HottestC: 75})
		if f.ShortC > 0 && f.Need.HotC > tapC+1.8*f.ShortC { // most of it is from the tap
			t.Errorf("a tap of %g °C leaves it %.2f °C short, and one of %.1f °C is asked for", tapC, f.ShortC, f.Need.HotC)
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		w := drawWish(t)
		f := cooling.FillFor(w)
		if f.ShortC == 0 || math.IsNaN(f.Need.HotC) || w.HottestC > 0 {
			return
		}
		with := func(c float64) float64 {
			parts := []cooling.Portion{w.Tub, cooling.WaterPortion(f.HotL, c), cooling.WaterPortion(f.ColdL, w.ColdC)}
			if f.KettleL > 0 {
				parts = append(parts, cooling.WaterPortion(f.KettleL, w.KettleC))
			}
			return cooling.Mix(append(parts, w.Fleece...)...)
		}
		if got := with(f.Need.HotC); math.Abs(got-w.TargetC) > 0.05 {
			t.Fatalf("%+v: a tap of %g °C gives %g °C, for %g", f, f.Need.HotC, got, w.TargetC)
		}
	})
}
