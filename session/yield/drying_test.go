package yield

import (
	"math"
	"strings"
	"testing"
	"time"

	"fleece.example/tubside/session/must"
)

// exact is a batch of 120 g at rest with 100 g of water that halves every 200
// minutes, read without rounding.
func exact(mins ...float64) []Weighing {
	var ws []Weighing
	for _, m := range mins {
		ws = append(ws, Weighing{m, 120 + 100*math.Exp2(-m/200)})
	}
	return ws
}

var rack225 = Rack{RawG: 225, Type: "medium", StepG: 0.1}

func TestDryingFindsTheLaw(t *testing.T) {
	f := must.Get(ForecastDrying(exact(0, 150, 300, 500, 700, 900, 1200, 1500), rack225, nil)).In(t)
	if !f.RestingG.holds(120) || f.RestingG.High-f.RestingG.Low > 4 {
		t.Errorf("resting weight %+v, 120 g", f.RestingG)
	}
	if tau := 200 / math.Ln2; !f.TauMin.holds(tau) {
		t.Errorf("tau %+v, %.0f min", f.TauMin, tau)
	}
	// 1 % of 120 g is left when 100 g has become 1.2 g; the rule's other half
	// (0.5 % in 2 h) comes a little before or after.
	if at := 200 * math.Log2(100/1.2); f.DryAtMin.Low > at*1.1 || f.DryAtMin.High < at*0.9 {
		t.Errorf("dry at %+v, about %.0f min", f.DryAtMin, at)
	}
}

// Before any weighing the time constant is as was assumed of it: nine in ten lie within
// 1.645 standard deviations of its logarithm, half below the median.
func TestTauBeforeAnyWeighing(t *testing.T) {
	f := must.Get(ForecastDrying(nil, rack225, nil)).In(t)
	for _, q := range []struct{ is, sigmas float64 }{{f.TauMin.Low, -1.645}, {f.TauMin.Likely, 0}, {f.TauMin.High, 1.645}} {
		want := usualTauMin * math.Exp(tauLogSD*q.sigmas)
		if off := math.Log(q.is/want) / tauLogSD; math.Abs(off) > 0.15 { // half a step of what it is integrated over
			t.Errorf("%.0f min at %g standard deviations, want %.0f, which is %.2f deviations off", q.is, q.sigmas, want, off)
		}
	}
}

func TestEachWeighingNarrowsTheRest(t *testing.T) {
	last := math.Inf(1)
	for _, mins := range [][]float64{{0}, {0, 300, 600}, {0, 300, 600, 900, 1200}, {0, 300, 600, 900, 1200, 1500, 1800}} {
		f := must.Get(ForecastDrying(exact(mins...), rack225, nil)).In(t)
		width := f.RestingG.High - f.RestingG.Low
		if width >= last || !f.RestingG.holds(120) {
			t.Errorf("%d weighings: %+v after %.1f g wide", len(mins), f.RestingG, last)
		}
		if r, err := RestsAt(exact(mins...), rack225, nil); err != nil || r != f.RestingG {
			t.Errorf("alone it is forecast to rest at %+v, %v, else at %+v", r, err, f.RestingG)
		}
		last = width
		if f.WeighNextAt < mins[len(mins)-1]+againMin {
			t.Errorf("weigh again at %v, %v was the last", f.WeighNextAt, mins[len(mins)-1])
		}
	}
}

func TestDryRule(t *testing.T) {
	for _, row := range []struct {
		name string
		ws   []Weighing
		dry  bool
	}{
		{"at rest", []Weighing{{0, 220}, {300, 160}, {900, 122}, {1500, 118}, {2300, 118}, {3000, 118}}, true},
		{"at rest, in two evenings", []Weighing{{0, 220}, {300, 160}, {1800, 118}, {3200, 118}, {3300, 118}, {4650, 118}}, false},
		{"likely at rest, at two times of day", []Weighing{{6, 169}, {180, 143}, {360, 128}, {600, 118}, {1200, 112}, {1680, 110}, {1920, 110}}, false},
		{"an hour apart only", []Weighing{{0, 220}, {300, 160}, {900, 122}, {960, 122}}, false},
		{"still losing", []Weighing{{0, 220}, {300, 160}, {900, 135}, {1100, 131}}, false},
		{"steady yet far from rest", []Weighing{{0, 300}, {120, 299}}, false},
	} {
		f, err := ForecastDrying(row.ws, Rack{RawG: 225, Type: "medium"}, nil)
		if err != nil || f.Dry != row.dry {
			t.Errorf("%s: dry %v, resting %+v, %v", row.name, f.Dry, f.RestingG, err)
		}
	}
}

// A scale that shows no 2 % of a batch is told from one that does; by it a small one is dry later, not never.
func TestDryRuleOfACoarseScale(t *testing.T) {
	weights := func(restG, stepG float64, later ...float64) (ws []Weighing) {
		for _, min := range append([]float64{0, 300, 840, 1440, 2280}, later...) {
			ws = append(ws, Weighing{min, stepG * math.Round(restG*(1+math.Exp(-min/240))/stepG)})
		}
		return ws
	}
	for _, row := range []struct {
		rawG, stepG    float64
		dry, tooCoarse bool
	}{{60, 5, false, true}, {80, 2.83, true, true}, {60, 0.1, true, false}, {600, 5, true, false}} {
		f, err := ForecastDrying(weights(0.53*row.rawG, row.stepG), Rack{RawG: row.rawG, Type: "medium", StepG: row.stepG}, nil)
		if err != nil || f.Dry != row.dry || TooCoarse(0.53*row.rawG, row.stepG) != row.tooCoarse {
			t.Errorf("%g g raw by %g g: dry %v (risk %.3f), too coarse %v, %v", row.rawG, row.stepG, f.Dry, f.FreeRisk, TooCoarse(0.53*row.rawG, row.stepG), err)
		}
	}
}

// A thick batch that rests at more than its fleece's others gave looks wet for long, so the time
// forecast for it slides. Who weighs it when asked is asked each day, and so finds it dry.
func TestAskedEachDay(t *testing.T) {
	const rawG, restG, tauMin = 113.4, 71.0, 720.0
	rack := Rack{RawG: rawG, Type: "medium", StepG: 2.835, Yield: Interval{0.53, 0.555, 0.58}}
	var ws []Weighing
	for at := 600.0; at < 9*dayMin; {
		ws = append(ws, Weighing{at, rack.StepG * math.Round(restG*(1+0.9*math.Exp(-at/tauMin))/rack.StepG)})
		rack.LainMin = ws[0].AtMin
		f := must.Get(ForecastDrying(ws, rack, nil)).In(t)
		if f.Dry {
			return
		}
		if f.WeighNextAt > at+dayMin || f.WeighNextAt < at+againMin {
			t.Errorf("weighed at %.0f h, next at %.0f h", at/60, f.WeighNextAt/60)
		}
		at = f.WeighNextAt
	}
	t.Errorf("not dry in nine days: %v", ws)
}

// The air of an evening is one air: four weighings in it say hardly more of the resting
// weight than one, four at different times of day much more.
func TestWeighingsOfOneEvening(t *testing.T) {
	wide := func(at ...float64) float64 {
		ws := []Weighing{{0, 290}, {400, 170}}
		for _, min := range at {
			ws = append(ws, Weighing{min, 118 + math.Mod(min/60, 2)})
		}
		f := must.Get(ForecastDrying(ws, Rack{RawG: 225, Type: "medium"}, nil)).In(t)
		return f.RestingG.High - f.RestingG.Low
	}
	one, evening, days := wide(4320), wide(4320, 4380, 4440, 4500), wide(4320, 5100, 5820, 6540)
	t.Logf("one weighing %.1f g wide, four of an evening %.1f g, four at two times of day %.1f g", one, evening, days)
	if evening < 0.62*one || days > 0.7*evening {
		t.Errorf("one %.1f g, four of an evening %.1f g, four at two times of day %.1f g", one, evening, days)
	}
}

// A batch that was drier than the room takes up moisture.
func TestWeighingsThatGoUp(t *testing.T) {
	f := must.Get(ForecastDrying([]Weighing{{0, 112}, {120, 115}, {300, 118}}, Rack{RawG: 225, Type: "medium"}, nil)).In(t)
	if !f.Rising || f.Dry || f.RestingG.High < 118 || f.RestingG.Low <= 0 || len(f.Remarks) == 0 {
		t.Errorf("%+v", f)
	}
	if f.RestingG.Likely < 117 {
		t.Errorf("it goes up, but is said to rest at %+v", f.RestingG)
	}
}

func TestMomentsAndOrder(t *testing.T) {
	at := time.Date(2026, 5, 16, 18, 0, 0, 0, time.UTC)
	ws := Since(at, []Moment{{at.Add(5 * time.Hour), 160}, {at, 220}, {at.Add(15 * time.Hour), 122}})
	if ws[0].AtMin != 300 || ws[1].AtMin != 0 {
		t.Fatalf("%+v", ws)
	}
	mixed := must.Get(ForecastDrying(ws, rack225, nil)).In(t)
	sorted, err := ForecastDrying([]Weighing{{0, 220}, {300, 160}, {900, 122}}, rack225, nil)
	if err != nil || mixed.RestingG != sorted.RestingG {
		t.Errorf("%+v, in order %+v, %v", mixed.RestingG, sorted.RestingG, err)
	}
	// The weighings' clock may begin anywhere.
	later := must.Get(ForecastDrying([]Weighing{{5000, 220}, {5300, 160}, {5900, 122}}, rack225, nil)).In(t)
	near(t, "resting on another clock", later.RestingG.Likely, sorted.RestingG.Likely, 1e-6)
	near(t, "dry on another clock", later.DryAtMin.Likely, sorted.DryAtMin.Likely+5000, 1e-6)
}

func TestDryingRefusals(t *testing.T) {
	one := []Weighing{{0, 200}}
	for _, row := range []struct {
		ws   []Weighing
		rack Rack
		want string
	}{
		{nil, Rack{Type: "medium"}, "has not been weighed"},
		{[]Weighing{{math.NaN(), 200}}, rack225, "not a number"},
		{[]Weighing{{0, 0}}, rack225, "too little"},
		{one, Rack{RawG: -1}, "a raw weight"},
		{one, Rack{StepG: -1}, "a scale can't have steps"},
		{one, Rack{Type: "camel"}, "not a type of fleece"},
		{one, Rack{RawG: 225, Yield: Interval{0.6, 0.5, 0.4}}, "the lower first"},
		{[]Weighing{{0, 200000}}, rack225, "is the unit right?"},
		{make([]Weighing, mostWeighings+1), rack225, "takes at most"},
	} {
		if _, err := ForecastDrying(row.ws, row.rack, nil); err == nil || !strings.Contains(err.Error(), row.want) {
			t.Errorf("%+v: %v, want %q", row.rack, err, row.want)
		}
	}
}

// Before any weighing a batch dries as such batches do: in about a day, half a day to
// three (common practice), from when it was laid on the rack.
func TestForecastBeforeAnyWeighing(t *testing.T) {
	f := must.Get(ForecastDrying(nil, rack225, nil)).In(t)
	const h = 60
	if d := f.DryAtMin; d.Low < 4*h || d.Low > 12*h || d.Likely < 18*h || d.Likely > 30*h || d.High < 48*h || d.High > 96*h {
		t.Errorf("dry at %+v min", d)
	}
	usual := must.Get(Usual("medium")).In(t)
	if r := f.RestingG; !r.holds(225*usual.Low) || !r.holds(225*usual.High) || f.Dry || f.Rising || f.WetAgain {
		t.Errorf("%+v", f)
	}
	if f.WeighNextAt != f.DryAtMin.Low {
		t.Errorf("first weighed at %v min, dry at %+v", f.WeighNextAt, f.DryAtMin)
	}
}

// What the fleece's other batches gave narrows the forecast of one weighing.
func TestForecastYieldGuidesTheRack(t *testing.T) {
	loose := must.Get(ForecastDrying(exact(0, 200), rack225, nil)).In(t)
	guided := rack225
	guided.Yield = Interval{0.51, 0.53, 0.56}
	tight, err := ForecastDrying(exact(0, 200), guided, nil)
	if err != nil || tight.RestingG.High-tight.RestingG.Low >= loose.RestingG.High-loose.RestingG.Low {
		t.Errorf("%+v, without it %+v, %v", tight.RestingG, loose.RestingG, err)
	}
}

// What lay on the rack for weeks before its first weighing is dry: it rests at
// what it weighs.
func TestFirstWeighedAfterWeeks(t *testing.T) {
	rack := Rack{RawG: 283.5, Type: "medium", StepG: 2.835, LainMin: 20 * 24 * 60}
	f, err := ForecastDrying([]Weighing{{0, 187.1}}, rack, nil)
	if err != nil {
		t.Fatal(err)
	}
	if !f.RestingG.holds(187.1) || f.RestingG.Likely < 183 || f.DryAtMin.High > 0 {
		t.Errorf("%+v", f)
	}
	// Heavier later: it got wet. It rests where it did.
	f = must.Get(ForecastDrying([]Weighing{{0, 187.1}, {75, 252.3}}, rack, nil)).In(t)
	if !f.WetAgain || !f.RestingG.holds(187.1) || f.RestingG.High > 200 || f.DryAtMin.Likely < 200 {
		t.Errorf("%+v", f)
	}
	// And dries again.
	f, err = ForecastDrying([]Weighing{{0, 187.1}, {75, 252.3}, {600, 200}, {1500, 187.1}, {2300, 187.1}, {3000, 187.1}}, rack, nil)
	if err != nil || !f.Dry || f.WetAgain {
		t.Errorf("%+v, %v", f, err)
	}
}

// No pair of weighings has it rest below what its raw weight and type give,
// above what it weighs, or on nothing at all.
func TestForecastStaysWithinRawAndType(t *testing.T) {
	const rawG = 340.2
	for _, kind := range []string{"fine", "double-coated"} {
		usual := must.Get(Usual(kind)).In(t)
		for _, first := range []float64{180, 340, 900} {
			for _, last := range []float64{150, 190, 330, 482, 650, 900} {
				for _, gap := range []float64{6, 90, 3000} {
					f, err := ForecastDrying([]Weighing{{0, first}, {gap, last}}, Rack{RawG: rawG, Type: kind, StepG: 1}, nil)
					if err != nil {
						continue
					}
					least, most := min(LeastOfUsual*usual.Low*rawG, first, last), Dampened(last, 1)
					if first <= most {
						most = max(most, Dampened(first, 1))
					}
					if r := f.RestingG; r.Low < least-1e-6 || r.Likely > last || r.High > most+1e-6 || r.Low > r.Likely || r.Likely > r.High {
						t.Errorf("%s %v, %v after %v min: %+v", kind, first, last, gap, r)
					}
				}
			}
		}
	}
	// 22 oz and 17 oz six minutes later: nothing dries so fast.
	if f, err := ForecastDrying([]Weighing{{0, 623.7}, {6, 481.9}}, Rack{RawG: rawG, Type: "medium", StepG: 2.835}, nil); err == nil || !strings.Contains(err.Error(), "don't fit together") {
		t.Errorf("%+v, %v", f, err)
	}
	// One weight alone is another batch's, not at odds with itself.
	if f, err := ForecastDrying([]Weighing{{1500, 450}}, Rack{RawG: 150, Type: "medium", StepG: 1}, nil); err == nil || err.Error() != "450 g doesn't fit a batch of 150 g raw: it may be another batch" {
		t.Errorf("%+v, %v", f, err)
	}
}

// Two weights that read the same a day and a half apart, one by day and one by night, make a batch dry, also on a
// coarse scale.
func TestTwoEqualWeightsADayAndAHalfApart(t *testing.T) {
	const ounce = 28.349523125
	for _, c := range []struct {
		stepG  float64
		before []Weighing
	}{{1, nil}, {5, nil}, {ounce / 10, []Weighing{{-44 * 60, 102}}}, {5, []Weighing{{-20 * 60, 102}}}, {5, []Weighing{{-8 * 60, 63.6}}}} {
		ws := append(c.before, Weighing{0, 60}, Weighing{32 * 60, 60})
		rack := Rack{RawG: 107, Type: "medium", StepG: c.stepG}
		if c.before == nil {
			rack.LainMin = 20 * 60
		}
		f, err := ForecastDrying(ws, rack, nil)
		if err != nil || !f.Dry {
			t.Errorf("%v on %.1f g: dry %t, risk %.4f (%v)", ws, c.stepG, f.Dry, f.FreeRisk, err)
		}
	}
}
