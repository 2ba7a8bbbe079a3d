package yield

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"fleece.example/tubside/session/must"
)

func ordered(t *rapid.T, what string, i Interval) {
	t.Helper()
	if !(finite(i.Low, i.Likely, i.High) && i.Low <= i.Likely && i.Likely <= i.High) {
		t.Fatalf("%s: %+v", what, i)
	}
}

var anyNumber = rapid.OneOf(rapid.Float64Range(0, 1000), rapid.Float64(),
	rapid.SampledFrom([]float64{0, -1, 1e300, math.NaN(), math.Inf(1), math.Inf(-1), math.SmallestNonzeroFloat64}))

var anyTypeWord = rapid.SampledFrom(append(Types(), "", "merino?"))

func genBatch(t *rapid.T, what string) Batch {
	raw := rapid.Float64Range(50, 400).Draw(t, what+" raw")
	return Batch{
		RawG: raw, DryG: raw * rapid.Float64Range(0.3, 0.84).Draw(t, what+" yield"),
		RawStepG: rapid.SampledFrom([]float64{0, 0.1, 1, 2.8349523125, 5}).Draw(t, what+" step"),
		Part:     rapid.SampledFrom([]string{"", "shoulder", "side", "britch"}).Draw(t, what+" part"),
	}
}

func TestIsothermRises(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b := rapid.Float64Range(0, 1).Draw(t, "a"), rapid.Float64Range(0, 1).Draw(t, "b")
		a, b = min(a, b), max(a, b)
		side := rapid.SampledFrom([]Side{SideUnknown, TakingUp, Drying}).Draw(t, "side")
		x, _, errA := Regain(a, side)
		y, sure, errB := Regain(b, side)
		if errA != nil || errB != nil || x > y || x < 0 || y > mostRegain || sure != (b <= SureRH) {
			t.Fatalf("%v: R(%v) = %v, R(%v) = %v, sure %v", side, a, x, b, y, sure)
		}
		up, _, _ := Regain(b, TakingUp)
		down, _, _ := Regain(b, Drying)
		if up > down {
			t.Fatalf("at %v wool that took up water holds %v, dried %v", b, up, down)
		}
	})
}

// Whatever comes in, there is a sentence or an ordered answer.
func TestYieldIsNeverNaN(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := Batch{
			RawG: anyNumber.Draw(t, "raw"), DryG: anyNumber.Draw(t, "dry"), RawStepG: anyNumber.Draw(t, "raw step"),
			DryStepG: anyNumber.Draw(t, "dry step"), Sure: rapid.Bool().Draw(t, "sure"),
		}
		room := Room{Known: rapid.Bool().Draw(t, "known"), RH: anyNumber.Draw(t, "rh") / 100, RHErr: anyNumber.Draw(t, "rh err") / 1000,
			Side: Side(rapid.IntRange(-1, 4).Draw(t, "side"))}
		r, err := ofBatch(b, room, anyNumber.Draw(t, "regain"))
		if err != nil {
			if err.Error() == "" {
				t.Fatal("an error without a sentence")
			}
			return
		}
		ordered(t, "as weighed", r.AsWeighed)
		ordered(t, "regain", r.Regain)
		ordered(t, "at standard", r.AtStandard)
	})
}

func TestFleeceOfOneBatchIsTheBatch(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := genBatch(t, "batch")
		room := Room{Known: true, RH: rapid.Float64Range(0, 1).Draw(t, "rh")}
		one, errOne := ofBatch(b, room, TradeRegain)
		all, errAll := OfFleece([]Batch{b}, room, TradeRegain, nil)
		if errOne != nil || errAll != nil {
			t.Fatal(errOne, errAll)
		}
		if one.AsWeighed != all.AsWeighed || one.AtStandard != all.AtStandard || one.AsWeighed.Likely != b.DryG/b.RawG {
			t.Fatalf("%+v, %+v", one, all)
		}
	})
}

// The same batches once more say the same with more certainty.
func TestMoreBatchesNarrowTheRange(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var bs []Batch
		for range rapid.IntRange(2, 6).Draw(t, "batches") {
			b := genBatch(t, "batch")
			b.Part = Mixed
			b.DryG = b.RawG * rapid.Float64Range(0.45, 0.60).Draw(t, "medium yield")
			bs = append(bs, b)
		}
		rest := []Part{{RawG: rapid.Float64Range(100, 3000).Draw(t, "rest")}}
		few := must.Get(ForecastRest(bs, rest, "medium", nil)).In(t)
		more := must.Get(ForecastRest(append(append([]Batch(nil), bs...), bs...), rest, "medium", nil)).In(t)
		ordered(t, "few", few.YieldPart)
		if more.YieldPart.High-more.YieldPart.Low > (few.YieldPart.High-few.YieldPart.Low)*1.001 {
			t.Fatalf("%+v from %d, %+v from twice as many", few.YieldPart, len(bs), more.YieldPart)
		}
		a, errA := OfFleece(bs, Room{}, TradeRegain, nil)
		b, errB := OfFleece(append(append([]Batch(nil), bs...), bs...), Room{}, TradeRegain, nil)
		if errA != nil || errB != nil || b.RoundingSD > a.RoundingSD {
			t.Fatalf("rounding %v of %d batches, %v of twice as many", a.RoundingSD, len(bs), b.RoundingSD)
		}
	})
}

func TestRestIsAnInterval(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var bs []Batch
		for range rapid.IntRange(0, 5).Draw(t, "batches") {
			bs = append(bs, genBatch(t, "batch"))
		}
		if len(bs) > 0 && rapid.Bool().Draw(t, "spoilt") {
			bs[0].DryG = anyNumber.Draw(t, "spoilt")
		}
		rest := []Part{{rapid.SampledFrom([]string{"", "side", "belly"}).Draw(t, "name"), anyNumber.Draw(t, "rest")}}
		f, err := ForecastRest(bs, rest, anyTypeWord.Draw(t, "type"), nil)
		if err != nil {
			return
		}
		ordered(t, "yield", f.YieldPart)
		ordered(t, "dry", f.DryG)
		if f.YieldPart.Low < 0 || f.YieldPart.High > 1 || !finite(f.SpreadSD, f.PartSD) {
			t.Fatalf("%+v", f)
		}
	})
}

func TestDryingIsAnInterval(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var ws []Weighing
		for range rapid.IntRange(0, 6).Draw(t, "weighings") {
			ws = append(ws, Weighing{anyNumber.Draw(t, "at"), anyNumber.Draw(t, "mass")})
		}
		f, err := ForecastDrying(ws, Rack{RawG: anyNumber.Draw(t, "raw"), Type: anyTypeWord.Draw(t, "type"), StepG: anyNumber.Draw(t, "step")}, nil)
		if err != nil {
			return
		}
		ordered(t, "resting", f.RestingG)
		ordered(t, "tau", f.TauMin)
		ordered(t, "dry at", f.DryAtMin)
		if !(f.RestingG.Low > 0) || !finite(f.WeighNextAt) {
			t.Fatalf("%+v", f)
		}
	})
}

// A quantile without sorting is the one that a sorted list has.
func TestQuantileOfSamples(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := make([]sample, rapid.IntRange(1, 40).Draw(t, "n"))
		total := 0.0
		for i := range s {
			s[i] = sample{float64(rapid.IntRange(0, 12).Draw(t, "value")), float64(rapid.IntRange(1, 4).Draw(t, "weight"))}
			total += s[i].weight
		}
		part := rapid.SampledFrom([]float64{0.05, 0.5, 0.95}).Draw(t, "part")
		got, upTo, under := quantile(s, part), 0.0, 0.0
		for _, x := range s {
			if x.value <= got {
				upTo += x.weight
			}
			if x.value < got {
				under += x.weight
			}
		}
		if upTo < part*total-1e-9 || under >= part*total+1e-9 {
			t.Fatalf("%v at %g: %g of %g up to it, %g below", got, part, upTo, total, under)
		}
	})
}

// Between normals that lie far apart as well the middle is where half of them are below.
func TestIntervalBetweenNormals(t *testing.T) {
	var m normals
	for _, n := range [][3]float64{{1, -1.5, 0.125}, {1, 2.875, 0.0625}, {0.625, -5, 1.375}, {1, -0.0625, 0.3125}} {
		m.add(n[0], n[1], n[2])
	}
	at := m.interval(-1, 5.5).Likely
	if p := (m.below(at) - m.below(-1)) / m.between(-1, 5.5); math.Abs(p-0.5) > 2e-7 {
		t.Errorf("%g of it is below %g", p, at)
	}
}

// The ends of a mixture's interval are where 5 and 95 % of what lies within the limits are below.
func TestIntervalOfMixture(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var m normals
		for range rapid.IntRange(1, 6).Draw(t, "n") {
			m.add(rapid.Float64Range(0.01, 1).Draw(t, "weight"), rapid.Float64Range(-5, 5).Draw(t, "mean"), rapid.Float64Range(0.05, 5).Draw(t, "sd"))
		}
		low := rapid.Float64Range(-6, 4).Draw(t, "low")
		high := low + rapid.Float64Range(0.1, 300).Draw(t, "wide")
		under, all := m.below(low), m.between(low, high)
		if all < 1e-3 {
			t.Skip("nothing lies there")
		}
		got := m.interval(low, high)
		for _, q := range []struct{ at, part float64 }{{got.Low, 0.05}, {got.Likely, 0.5}, {got.High, 0.95}} {
			if p := (m.below(q.at) - under) / all; math.Abs(p-q.part) > 1e-5 {
				t.Fatalf("%+v: %g below %g, not %g", got, p, q.at, q.part)
			}
		}
	})
}
