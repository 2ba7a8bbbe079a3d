package cooling_test

import (
	"math"
	"math/rand/v2"
	"reflect"
	"sort"
	"testing"

	"fleece.example/tubside/cooling"
	"pgregory.net/rapid"
)

// washBath is 8 L at 65 °C with a lid in a 20 °C room: the sink-in after a
// minute, the lid lifted at 20 min for five, a litre bailed and a kettle
// poured in at 30 min.
func washBath() cooling.Bath {
	return cooling.Bath{
		RoomC: 20, StartC: 65, StartSDC: 0.7, HeatJPerK: 33500, LossWPerK: 2.1, LossSDLog: 0.3,
		Changes: []cooling.Change{
			{AtMin: 1, AddJPerK: 1400, AddC: 16},
			{AtMin: 20, LossWPerK: 4},
			{AtMin: 25, LossWPerK: 2.1},
			{AtMin: 30, RemoveJPerK: 4100, AddJPerK: 4000, AddC: 94},
		},
	}
}

// simulate is the temperature by the plain law, segment by segment, written
// without the package's own bookkeeping.
func simulate(b cooling.Bath, startC, scale, atMin float64) float64 {
	temp, heat, loss, roomC, now := startC, b.HeatJPerK, b.LossWPerK, b.RoomC, 0.0
	for _, c := range b.Changes {
		if c.AtMin > atMin {
			break
		}
		temp = cooling.TempAt(temp, roomC, scale*loss/heat*60, c.AtMin-now)
		now = c.AtMin
		heat -= c.RemoveJPerK
		if c.AddJPerK > 0 {
			temp = cooling.Mix(cooling.Portion{HeatJPerK: heat, TempC: temp}, cooling.Portion{HeatJPerK: c.AddJPerK, TempC: c.AddC})
			heat += c.AddJPerK
		}
		if c.Room {
			roomC = c.RoomC
		}
		if c.LossWPerK > 0 {
			loss = c.LossWPerK
		}
	}
	return cooling.TempAt(temp, roomC, scale*loss/heat*60, atMin-now)
}

func TestFitWithoutReadingsIsThePrior(t *testing.T) {
	b := washBath()
	b.Changes = append(b.Changes, cooling.Change{AtMin: 40, Room: true, RoomC: 0}, cooling.Change{AtMin: 55, Room: true, RoomC: 28, LossWPerK: 1.9})
	f := b.Fit(nil, 0.5)
	near(t, "start", f.StartC(), 65, 0)
	near(t, "start, sd", f.StartSDC(), 0.7, 1e-12)
	near(t, "loss scale", f.LossScale(), 1, 0)
	near(t, "loss scale, sd of ln", f.LossSDLog(), 0.3, 1e-12)
	temp, sd := f.At(0)
	near(t, "at the filling", temp, 65, 0)
	near(t, "at the filling, sd", sd, 0.7, 1e-12)
	for minute := 0.0; minute < 120; minute += 2.5 {
		temp, _ := f.At(minute)
		near(t, "history", temp, simulate(b, 65, 1, minute), 1e-9)
	}
}

// A top-up with nothing lost on the way keeps the energy.
func TestTopUpInABathKeepsEnergy(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		bath, added := portions.Draw(t, "bath"), portions.Draw(t, "added")
		b := cooling.Bath{RoomC: 20, StartC: bath.TempC, HeatJPerK: bath.HeatJPerK,
			Changes: []cooling.Change{{AtMin: 5, AddJPerK: added.HeatJPerK, AddC: added.TempC}}}
		before, _ := b.Fit(nil, 0).At(4.99)
		after, _ := b.Fit(nil, 0).At(5)
		near(t, "before", before, bath.TempC, 0)
		near(t, "after", after, cooling.Mix(bath, added), 1e-9)
	})
}

func TestFitRecoversTheTruth(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := washBath()
		b.StartSDC, b.LossSDLog = 5, 1
		start := b.StartC + rapid.Float64Range(-6, 6).Draw(t, "start off by")
		scale := math.Exp(rapid.Float64Range(-1, 1).Draw(t, "ln scale"))
		minutes := rapid.SliceOfN(rapid.Float64Range(0, 90), 3, 20).Draw(t, "minutes")
		minutes = append(minutes, 0, 60)
		readings := make([]cooling.Reading, 0, len(minutes))
		for _, m := range minutes {
			readings = append(readings, cooling.Reading{AtMin: m, TempC: simulate(b, start, scale, m)})
		}
		f := b.Fit(readings, 0.001)
		near(t, "start", f.StartC(), start, 1e-4)
		near(t, "loss scale", f.LossScale()/scale, 1, 1e-4)
		if f.LossSDLog() >= b.LossSDLog || f.StartSDC() >= b.StartSDC {
			t.Error("readings left less known than before")
		}
	})
}

// The error bar of At is the linearised one: how far the temperature moves
// with each parameter, by small differences.
func TestErrorBarsOfTheForecast(t *testing.T) {
	b := washBath()
	f := b.Fit(nil, 0.5)
	for _, minute := range []float64{0, 1, 10, 20, 22, 30, 55, 200} {
		const h = 1e-5
		byStart := (simulate(b, 65+h, 1, minute) - simulate(b, 65-h, 1, minute)) / (2 * h)
		byLog := (simulate(b, 65, math.Exp(h), minute) - simulate(b, 65, math.Exp(-h), minute)) / (2 * h)
		_, sd := f.At(minute)
		near(t, "sd", sd, math.Hypot(0.7*byStart, 0.3*byLog), 1e-6)
	}
}

func TestCrossing(t *testing.T) {
	b := washBath()
	f := b.Fit(nil, 0.5)
	c := f.Crossing(49, 0)
	if !(0 < c.EarlyMin && c.EarlyMin < c.LikelyMin && c.LikelyMin < c.LateMin && !math.IsInf(c.LateMin, 1)) {
		t.Fatalf("%+v", c)
	}
	near(t, "temperature then", simulate(b, 65, 1, c.LikelyMin), 49, 1e-9)

	already := f.Crossing(70, 12)
	if already != (cooling.Crossing{EarlyMin: 12, LikelyMin: 12, LateMin: 12}) {
		t.Errorf("already below: %+v", already)
	}
	inf := math.Inf(1)
	if never := f.Crossing(20, 0); never != (cooling.Crossing{EarlyMin: inf, LikelyMin: inf, LateMin: inf}) {
		t.Errorf("the room's own temperature: %+v", never)
	}
	// The sink-in itself takes the bath past 64 °C; the kettle at 30 min brings
	// it back over 60 °C, so that from then on it passes once more.
	near(t, "at the sink-in", f.Crossing(64, 0).LikelyMin, 1, 0)
	if first, second := f.Crossing(60.2, 0).LikelyMin, f.Crossing(60.2, 30).LikelyMin; !(first < 30 && second > 31) {
		t.Errorf("first %v, after the kettle %v", first, second)
	}
}

// By the early minute one bath in twenty must have crossed, by the late one
// nineteen, whatever the spread.
func TestCrossingKeepsItsOdds(t *testing.T) {
	random := rand.New(rand.NewPCG(3, 4))
	b := washBath()
	for _, target := range []float64{61, 55, 49} {
		c := b.Fit(nil, 0.5).Crossing(target, 0)
		early, late := 0, 0
		const baths = 20000
		for range baths {
			start, scale := 65+0.7*random.NormFloat64(), math.Exp(0.3*random.NormFloat64())
			crossed := func(by float64) bool {
				one := b
				one.StartC, one.StartSDC, one.LossSDLog = start, 0, 0
				one.LossWPerK *= scale
				one.Changes = append([]cooling.Change(nil), b.Changes...)
				for i := range one.Changes {
					one.Changes[i].LossWPerK *= scale
				}
				return one.Fit(nil, 0).Crossing(target, 0).LikelyMin <= by
			}
			if crossed(c.EarlyMin) {
				early++
			}
			if crossed(c.LateMin) {
				late++
			}
		}
		t.Logf("%v °C: %+v, odds %v %v", target, c, float64(early)/baths, float64(late)/baths)
		near(t, "crossed by the early minute", float64(early)/baths, 0.05, 0.01)
		near(t, "crossed by the late minute", float64(late)/baths, 0.95, 0.01)
	}
}

func TestHotterRoomNeverCrossesEarlier(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := washBath()
		b.LossWPerK = rapid.Float64Range(0.5, 10).Draw(t, "loss")
		b.RoomC = rapid.Float64Range(0, 35).Draw(t, "room")
		target := rapid.Float64Range(25, 64).Draw(t, "target")
		from := rapid.Float64Range(0, 60).Draw(t, "from")
		cool := b.Fit(nil, 0.5).Crossing(target, from)
		b.RoomC += rapid.Float64Range(0.1, 20).Draw(t, "hotter by")
		hot := b.Fit(nil, 0.5).Crossing(target, from)
		if hot.LikelyMin < cool.LikelyMin-1e-9 {
			t.Errorf("%+v, in the hotter room %+v", cool, hot)
		}
	})
}

func TestCrossingIsTheFirst(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := washBath()
		b.LossWPerK = rapid.Float64Range(0.5, 10).Draw(t, "loss")
		target := rapid.Float64Range(25, 66).Draw(t, "target")
		from := rapid.Float64Range(0, 60).Draw(t, "from")
		f := b.Fit(nil, 0.5)
		c := f.Crossing(target, from)
		if !(from <= c.EarlyMin && c.EarlyMin <= c.LikelyMin && c.LikelyMin <= c.LateMin) {
			t.Fatalf("out of order: %+v", c)
		}
		for m := from; m < min(c.LikelyMin, from+200); m += 0.25 {
			if temp, _ := f.At(m); temp < target-1e-9 {
				t.Fatalf("%v °C already at %v min, crossing at %v", temp, m, c.LikelyMin)
			}
		}
		if temp, _ := f.At(c.LikelyMin); temp > target+1e-9 {
			t.Errorf("%v °C at the crossing of %v", temp, target)
		}
	})
}

// Order of arguments and of the caller's slices does not matter, and the
// caller's slices are not touched.
func TestFitLeavesItsArgumentsAlone(t *testing.T) {
	b := washBath()
	readings := []cooling.Reading{{25, 58.6}, {2, 63}, {math.NaN(), 60}, {12, math.Inf(1)}, {-3, 80}, {40, 60}}
	want := b.Fit([]cooling.Reading{{2, 63}, {25, 58.6}, {40, 60}}, 0.5)
	b.Changes[0], b.Changes[3] = b.Changes[3], b.Changes[0]
	changesBefore := append([]cooling.Change(nil), b.Changes...)
	readingsBefore := append([]cooling.Reading(nil), readings...)
	got := b.Fit(readings, 0.5)
	if !reflect.DeepEqual(got.Crossing(49, 40), want.Crossing(49, 40)) || got.StartC() != want.StartC() {
		t.Error("order matters")
	}
	if !reflect.DeepEqual(b.Changes, changesBefore) || sort.SliceIsSorted(readings, func(i, j int) bool { return readings[i].AtMin < readings[j].AtMin }) || readings[0] != readingsBefore[0] {
		t.Error("the caller's slices were touched")
	}
	b.Changes[1].LossWPerK = 100
	if got.Crossing(49, 40) != want.Crossing(49, 40) {
		t.Error("a fit changes with the caller's slice")
	}
}

func TestCertainParametersStay(t *testing.T) {
	b := washBath()
	readings := []cooling.Reading{{5, 60}, {15, 58}}
	b.StartSDC = 0
	f := b.Fit(readings, 0.5)
	if f.StartC() != 65 || f.StartSDC() != 0 || f.LossScale() <= 1 {
		t.Errorf("start %v ± %v, scale %v", f.StartC(), f.StartSDC(), f.LossScale())
	}
	b.StartSDC, b.LossSDLog = 1, 0
	f = b.Fit(readings, 0.5)
	if f.StartC() >= 65 || f.LossScale() != 1 || f.LossSDLog() != 0 {
		t.Errorf("start %v, scale %v ± %v", f.StartC(), f.LossScale(), f.LossSDLog())
	}
	b.StartSDC = 0
	f = b.Fit(readings, 0.5)
	if c := f.Crossing(49, 0); f.StartC() != 65 || c.EarlyMin != c.LikelyMin || c.LateMin != c.LikelyMin {
		t.Errorf("nothing is open, yet %+v", c)
	}
}

// Nothing panics or hangs, and what makes no sense answers NaN.
func TestExtremesOfABath(t *testing.T) {
	wild := rapid.OneOf(rapid.Float64(), rapid.Float64Range(-100, 100),
		rapid.SampledFrom([]float64{math.NaN(), math.Inf(1), math.Inf(-1), 0, math.MaxFloat64, -math.MaxFloat64, math.SmallestNonzeroFloat64}))
	rapid.Check(t, func(t *rapid.T) {
		b := cooling.Bath{wild.Draw(t, "room"), wild.Draw(t, "start"), wild.Draw(t, "sd"), wild.Draw(t, "heat"), wild.Draw(t, "loss"), wild.Draw(t, "loss at"), wild.Draw(t, "tilt"), wild.Draw(t, "sdlog"), nil}
		for range rapid.IntRange(0, 3).Draw(t, "changes") {
			b.Changes = append(b.Changes, cooling.Change{wild.Draw(t, "at"), wild.Draw(t, "loss"), wild.Draw(t, "loss at"), wild.Draw(t, "tilt"), wild.Draw(t, "add"), wild.Draw(t, "addC"), wild.Draw(t, "remove"), rapid.Bool().Draw(t, "room changes"), wild.Draw(t, "new room")})
		}
		var readings []cooling.Reading
		for range rapid.IntRange(0, 3).Draw(t, "readings") {
			readings = append(readings, cooling.Reading{wild.Draw(t, "at"), wild.Draw(t, "temp")})
		}
		f := b.Fit(readings, wild.Draw(t, "reading sd"))
		f.At(wild.Draw(t, "minute"))
		f.Crossing(wild.Draw(t, "target"), wild.Draw(t, "from"))
		cooling.LossWPerK(cooling.Vessel{CapacityL: wild.Draw(t, "capacity")}, wild.Draw(t, "fill"), cooling.Lid, wild.Draw(t, "water"), wild.Draw(t, "room"))
		cooling.PourFor(wild.Draw(t, "volume"), wild.Draw(t, "target"), wild.Draw(t, "hot"), wild.Draw(t, "cold"), wild.Draw(t, "kettle"))
	})
	nan, most := math.NaN(), math.MaxFloat64
	lost := cooling.Bath{RoomC: 20, StartC: 65, HeatJPerK: most, Changes: []cooling.Change{{AtMin: 5, AddJPerK: most}, {AtMin: 6, AddJPerK: most}, {AtMin: 7}}}
	if c := lost.Fit(nil, 0).Crossing(-1, 0); !math.IsNaN(c.LikelyMin) { // no number from minute 6 on, and more to come
		t.Errorf("%+v", c)
	}
	for _, b := range []cooling.Bath{{}, {RoomC: nan, StartC: 65, HeatJPerK: 1}, {StartC: nan, HeatJPerK: 1}, {StartC: 65, HeatJPerK: -1}, {StartC: 65, HeatJPerK: nan}} {
		f := b.Fit([]cooling.Reading{{1, 60}}, 0.5)
		temp, sd := f.At(5)
		if c := f.Crossing(49, 0); !math.IsNaN(temp) || !math.IsNaN(sd) || !math.IsNaN(c.EarlyMin) || !math.IsNaN(c.LikelyMin) || !math.IsNaN(c.LateMin) {
			t.Errorf("%+v: %v ± %v, %+v", b, temp, sd, c)
		}
	}
	still := cooling.Bath{RoomC: 20, StartC: 65, HeatJPerK: 33500}.Fit(nil, 0.5)
	if temp, _ := still.At(math.Inf(1)); temp != 65 {
		t.Errorf("without loss it comes to %v", temp)
	}
	long := washBath().Fit(nil, 0.5)
	if temp, sd := long.At(math.Inf(1)); temp != 20 || sd != 0 {
		t.Errorf("in the end it is at %v ± %v", temp, sd)
	}
}

func twentyReadings() (b cooling.Bath, readings []cooling.Reading) {
	b = washBath()
	random := rand.New(rand.NewPCG(5, 6))
	for m := 2.0; m <= 59; m += 3 {
		readings = append(readings, cooling.Reading{AtMin: m, TempC: simulate(b, 64.2, 1.3, m) + 0.4*random.NormFloat64()})
	}
	return b, readings
}

func TestFitHardlyAllocates(t *testing.T) {
	b, readings := twentyReadings()
	if n := testing.AllocsPerRun(100, func() { b.Fit(readings, 0.5) }); n > 1 { // its copy of the changes
		t.Errorf("%v allocations", n)
	}
	f := b.Fit(readings, 0.5)
	if n := testing.AllocsPerRun(100, func() { f.Crossing(49, 60); f.At(70) }); n > 0 {
		t.Errorf("%v allocations in a forecast", n)
	}
}

func BenchmarkFitTwentyReadings(b *testing.B) {
	bath, readings := twentyReadings()
	b.ReportAllocs()
	for b.Loop() {
		bath.Fit(readings, 0.5)
	}
}

func BenchmarkCrossing(b *testing.B) {
	bath, readings := twentyReadings()
	f := bath.Fit(readings, 0.5)
	b.ReportAllocs()
	for b.Loop() {
		f.Crossing(49, 60)
	}
}
