package cooling_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"fleece.example/tubside/cooling"
	"fleece.example/tubside/session/must"
	"gonum.org/v1/gonum/optimize"
)

// twelveTubs is a full wash day: every tub with its sink-in, covers, a top-up
// and twenty readings.
func twelveTubs() (baths [12]cooling.Bath, readings [12][]cooling.Reading) {
	random := rand.New(rand.NewPCG(51, 52))
	for i := range baths {
		baths[i] = tiltedBath()
		truth := scaledTruth(baths[i], 65+0.7*random.NormFloat64(), math.Exp(0.3*random.NormFloat64()))
		for m := 2.0; m <= 59; m += 3 {
			tempC, _ := truth.At(m)
			readings[i] = append(readings[i], cooling.Reading{AtMin: m, TempC: math.Round(tempC + 0.5*random.NormFloat64())})
		}
	}
	return baths, readings
}

func forecastTubs(baths *[12]cooling.Bath, readings *[12][]cooling.Reading) {
	for i := range baths {
		f := baths[i].Fit(readings[i], 0.6)
		f.At(60)
		f.Crossing(49, 60)
	}
}

// All forecasts of a full day: fit, temperature now and crossing.
func BenchmarkTwelveTubsTwentyReadings(b *testing.B) {
	baths, readings := twelveTubs()
	b.ReportAllocs()
	for b.Loop() {
		forecastTubs(&baths, &readings)
	}
}

// One allocation for each tub, its copy of the changes, however often it is
// asked.
func TestForecastsDoNotPileUp(t *testing.T) {
	baths, readings := twelveTubs()
	first := testing.AllocsPerRun(20, func() { forecastTubs(&baths, &readings) })
	for range 2000 {
		forecastTubs(&baths, &readings)
	}
	later := testing.AllocsPerRun(20, func() { forecastTubs(&baths, &readings) })
	if first != 12 || later != first {
		t.Errorf("%v allocations, later %v", first, later)
	}
}

// fastPosterior is the posterior of washBath's plain law in one walk over its
// history, with its gradient, as one would write it for a general optimiser
// that is to be quick.
type fastPosterior struct {
	bath     cooling.Bath
	readings []cooling.Reading
}

func (p *fastPosterior) walk(x []float64) (cost, g0, g1 float64) {
	const weight = 1 / 0.5 / 0.5
	b := &p.bath
	scale := math.Exp(b.LossSDLog * x[1])
	tempC, byStart, byLog := b.StartC+b.StartSDC*x[0], b.StartSDC, 0.0
	heat, loss, now := b.HeatJPerK, b.LossWPerK, 0.0
	cost, g0, g1 = (x[0]*x[0]+x[1]*x[1])/2, x[0], x[1]
	cool := func(to float64) {
		decay := scale * loss / heat * 60 * (to - now)
		left := math.Exp(-decay)
		byLog = byLog*left - (tempC-b.RoomC)*left*decay*b.LossSDLog
		byStart *= left
		tempC = b.RoomC + (tempC-b.RoomC)*left
		now = to
	}
	changes := b.Changes
	for _, r := range p.readings {
		for len(changes) > 0 && changes[0].AtMin <= r.AtMin {
			c := changes[0]
			cool(c.AtMin)
			heat -= c.RemoveJPerK
			if c.AddJPerK > 0 {
				kept := heat / (heat + c.AddJPerK)
				tempC = c.AddC + (tempC-c.AddC)*kept
				byStart, byLog, heat = byStart*kept, byLog*kept, heat+c.AddJPerK
			}
			if c.LossWPerK > 0 {
				loss = c.LossWPerK
			}
			changes = changes[1:]
		}
		cool(r.AtMin)
		miss := tempC - r.TempC
		cost += miss * miss * weight / 2
		g0 += miss * byStart * weight
		g1 += miss * byLog * weight
	}
	return cost, g0, g1
}

// Our fit beside gonum's general optimiser on the same posterior in the same
// run: Nelder-Mead on the cost alone, BFGS with the exact gradient. The ratios
// are how many times longer they take.
func BenchmarkFitAgainstGeneralOptimiser(b *testing.B) {
	bath, readings := twentyReadings()
	p := &fastPosterior{bath, readings}
	problem := optimize.Problem{
		Func: func(x []float64) float64 { cost, _, _ := p.walk(x); return cost },
		Grad: func(grad, x []float64) { _, grad[0], grad[1] = p.walk(x) },
	}
	f := bath.Fit(readings, 0.5)
	methods := []struct {
		name   string
		method func() optimize.Method
		took   time.Duration
	}{
		{name: "nelder-mead", method: func() optimize.Method { return &optimize.NelderMead{} }},
		{name: "bfgs", method: func() optimize.Method { return &optimize.BFGS{} }},
	}
	var ours time.Duration
	rounds := 0
	for b.Loop() {
		begun := time.Now()
		bath.Fit(readings, 0.5)
		ours += time.Since(begun)
		for i := range methods {
			begun := time.Now()
			best, err := optimize.Minimize(problem, []float64{0, 0}, &optimize.Settings{GradientThreshold: 1e-6}, methods[i].method())
			methods[i].took += time.Since(begun)
			if best == nil {
				b.Fatal(err)
			}
			if math.Abs(bath.StartC+bath.StartSDC*best.X[0]-f.StartC()) > 1e-3 {
				b.Fatalf("%s: another optimum: %v", methods[i].name, best.X)
			}
		}
		rounds++
	}
	b.ReportMetric(float64(ours.Nanoseconds())/float64(rounds), "ns/ours")
	for _, m := range methods {
		b.ReportMetric(float64(m.took)/float64(ours), fmt.Sprintf("×/%s", m.name))
	}
}

func BenchmarkFitSeries(b *testing.B) {
	points := misra(b)
	b.ReportAllocs()
	for b.Loop() {
		must.Get(cooling.FitSeries(points, cooling.SeriesOptions{RoomFree: true})).In(b)
	}
}

// A file of 56 readings, the room free too.
func BenchmarkFitSeriesWithCrossing(b *testing.B) {
	data := published(b, "mug-open-and-film.csv")
	var points []cooling.Reading
	for i, minute := range data["minutes"] {
		points = append(points, cooling.Reading{AtMin: minute, TempC: data["film_c"][i]})
	}
	b.ReportAllocs()
	for b.Loop() {
		must.Get(cooling.FitSeries(points, cooling.SeriesOptions{RoomFree: true, StartFree: true, HasFloor: true, FloorC: 49})).In(b)
	}
}
