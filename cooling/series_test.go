package cooling_test

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"fleece.example/tubside/cooling"
	"fleece.example/tubside/session/long"
	"fleece.example/tubside/session/must"
	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/optimize"
	"pgregory.net/rapid"
)

func TestSeriesRecoversTheTruth(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		room := rapid.Float64Range(5, 30).Draw(t, "room")
		start := room + rapid.Float64Range(20, 60).Draw(t, "above")*rapid.SampledFrom([]float64{1, -1}).Draw(t, "sign")
		rate := rapid.Float64Range(0.003, 0.1).Draw(t, "rate")
		first := rapid.Float64Range(0, 50).Draw(t, "first")
		span := rapid.Float64Range(1, 3).Draw(t, "decay") / rate
		n := rapid.IntRange(4, 20).Draw(t, "readings")
		var points []cooling.Reading
		for i := range n {
			m := first + span*float64(n-1-i)/float64(n-1) // latest first
			points = append(points, cooling.Reading{AtMin: m, TempC: cooling.TempAt(start, room, rate, m)})
		}
		floor := room + (start-room)*0.3
		for _, o := range []cooling.SeriesOptions{
			{RoomFree: true, StartFree: true}, {RoomC: room, StartFree: true},
			{RoomFree: true, StartC: start}, {RoomC: room, StartC: start},
		} {
			o.FloorC, o.HasFloor = floor, true
			o.ReadingSDC = 0.2 // left to judge, four readings may be too few to tell the room
			f, err := cooling.FitSeries(points, o)
			if err != nil {
				t.Fatalf("%+v: %v", o, err)
			}
			if f.RoomUntold && room < cooling.CoolestTriedC { // the curve is of the nearest room there may be
				near(t, "free room", f.FreeRoomC, room, 1e-7)
				near(t, "nearest room", f.RoomC, cooling.CoolestTriedC, 0)
				continue
			}
			near(t, "room", f.RoomC, room, 1e-7)
			near(t, "start", f.StartC, start, 1e-6)
			near(t, "rate", f.RatePerMin/rate, 1, 1e-8)
			if want, _ := cooling.MinutesUntil(start, room, rate, floor); start > room {
				near(t, "crossing", f.Crossing.LikelyMin/want, 1, 1e-7)
			} else {
				near(t, "crossing of a floor never risen from", f.Crossing.LikelyMin, 0, 0)
			}
		}
	})
}

// The optimum and its deviations against gonum's general optimiser, and against
// the inverse of JᵀJ by gonum's matrices; all three parameters free.
func TestSeriesAgainstGeneralOptimiser(t *testing.T) {
	random := rand.New(rand.NewPCG(21, 22))
	for range 10 {
		room, start, rate := 18+6*random.Float64(), 60+8*random.Float64(), 0.01+0.02*random.Float64()
		var points []cooling.Reading
		for m := 3.0; m < 120; m += 4 + 4*random.Float64() {
			points = append(points, cooling.Reading{AtMin: m, TempC: cooling.TempAt(start, room, rate, m) + 0.3*random.NormFloat64()})
		}
		f := must.Get(cooling.FitSeries(points, cooling.SeriesOptions{RoomFree: true, StartFree: true})).In(t)
		// Around the truth, with the rate on the scale of the others.
		miss := func(x []float64, p cooling.Reading) (m, byRoom, byStart, byRate float64) {
			k := rate * math.Exp(x[2]/10)
			left := math.Exp(-k * p.AtMin)
			r, s := room+x[0], start+x[1]
			return r + (s-r)*left - p.TempC, 1 - left, left, -(s - r) * p.AtMin * left * k / 10
		}
		problem := optimize.Problem{
			Func: func(x []float64) (sum float64) {
				for _, p := range points {
					m, _, _, _ := miss(x, p)
					sum += m * m / 2
				}
				return sum
			},
			Grad: func(grad, x []float64) {
				grad[0], grad[1], grad[2] = 0, 0, 0
				for _, p := range points {
					m, a, b, c := miss(x, p)
					grad[0], grad[1], grad[2] = grad[0]+m*a, grad[1]+m*b, grad[2]+m*c
				}
			},
			Hess: func(hess *mat.SymDense, x []float64) {
				hess.Zero()
				for _, p := range points {
					_, a, b, c := miss(x, p)
					hess.SymRankOne(hess, 1, mat.NewVecDense(3, []float64{a, b, c}))
				}
			},
		}
		best, err := optimize.Minimize(problem, []float64{0, 0, 0}, &optimize.Settings{GradientThreshold: 1e-11}, &optimize.Newton{})
		if best == nil {
			t.Fatal(err)
		}
		bestRate := rate * math.Exp(best.X[2]/10)
		near(t, "room", f.RoomC, room+best.X[0], 1e-8*room)
		near(t, "start", f.StartC, start+best.X[1], 1e-8*start)
		near(t, "rate", f.RatePerMin/bestRate, 1, 1e-8)
		near(t, "RSS", f.RSS/(2*best.F), 1, 1e-8)

		jacobian := mat.NewDense(len(points), 3, nil)
		for i, p := range points {
			_, a, b, c := miss(best.X, p)
			jacobian.SetRow(i, []float64{a, b, c * 10 / bestRate})
		}
		var square, inverse mat.Dense
		square.Mul(jacobian.T(), jacobian)
		must.Do(t, inverse.Inverse(&square))
		variance := 2 * best.F / float64(len(points)-3)
		near(t, "sd of room", f.RoomSDC/math.Sqrt(variance*inverse.At(0, 0)), 1, 1e-7)
		near(t, "sd of start", f.StartSDC/math.Sqrt(variance*inverse.At(1, 1)), 1, 1e-7)
		near(t, "sd of rate", f.RateSDPerMin/math.Sqrt(variance*inverse.At(2, 2)), 1, 1e-7)
	}
}

// The interval of a crossing from a plain series, with what is known varied. The true
// baths lose more the hotter they are, open ones most, and leave the law as real ones
// do; a room that nobody knows is one where people are.
func TestSeriesCrossingKeepsItsOdds(t *testing.T) {
	t.Parallel()
	const seed1, seed2 = 23, 24
	runs := long.Of(100, 400)
	for _, row := range []struct {
		what     string
		o        cooling.SeriesOptions
		untilMin float64
	}{
		{"room given, error given", cooling.SeriesOptions{StartFree: true, ReadingSDC: 0.5}, 24},
		{"room given, error judged", cooling.SeriesOptions{StartFree: true}, 24},
		{"room free, start given", cooling.SeriesOptions{RoomFree: true, StartC: 65, ReadingSDC: 0.5}, 40},
		{"room free, error judged", cooling.SeriesOptions{RoomFree: true, StartFree: true}, 40},
	} {
		random := rand.New(rand.NewPCG(seed1, seed2))
		row.o.HasFloor, row.o.FloorC = true, 42
		held, early, failed := 0, 0, 0
		for range runs {
			roomC := 20 + 3*random.NormFloat64()
			bend := []float64{0.007, 0.015, 0.03}[random.IntN(3)]
			b := cooling.Bath{RoomC: roomC, StartC: 65, HeatJPerK: 4186, LossWPerK: 0.5 + 0.3*random.Float64(), LossAtC: roomC + 30, LossTilt: bend / (1 + 30*bend)}
			truth := b.Fit(nil, 0)
			var points []cooling.Reading
			for m := 4.0; m <= row.untilMin; m += 4 {
				tempC, _ := truth.At(m)
				points = append(points, cooling.Reading{AtMin: m, TempC: tempC + 0.5*random.NormFloat64()})
			}
			crosses := leavesTheLaw(random, truth, b, 1, row.untilMin).Crossing(row.o.FloorC, 0).LikelyMin
			row.o.RoomC = roomC
			f, err := cooling.FitSeries(points, row.o)
			switch {
			case err != nil:
				failed++
			case crosses < f.Crossing.EarlyMin:
				early++
			case crosses <= f.Crossing.LateMin:
				held++
			}
		}
		share, soon := float64(held)/float64(runs-failed), float64(early)/float64(runs-failed)
		t.Logf("%s (seed %d, %d): %.1f %% of %d inside, %.1f %% before early; no answer to %d", row.what, seed1, seed2, 100*share, runs-failed, 100*soon, failed)
		if share < 0.85 || soon > 0.07 {
			t.Errorf("%s: %.3f", row.what, share)
		}
	}
}

func TestSeriesRefusesInASentence(t *testing.T) {
	nan := math.NaN()
	known := cooling.SeriesOptions{RoomC: 20, StartFree: true}
	noRoom := cooling.SeriesOptions{RoomFree: true, StartFree: true}
	for _, row := range []struct {
		points []cooling.Reading
		o      cooling.SeriesOptions
		want   string
	}{
		{nil, known, "0 readings are too few: it takes 3 to find rate and start"},
		{[]cooling.Reading{{1, 60}}, cooling.SeriesOptions{RoomC: 20, StartC: 65}, "1 reading is too few: it takes 2 to find the rate"},
		{[]cooling.Reading{{1, 60}, {2, 59}}, cooling.SeriesOptions{RoomFree: true, StartFree: true, ReadingSDC: 1}, "2 readings are too few: it takes 3 to find rate, room and start"},
		{[]cooling.Reading{{3, 60}, {3, 59}, {3, 61}}, known, "the readings are from too few different times: it takes 2 to find rate and start"},
		{[]cooling.Reading{{0, 64}, {0, 65}, {0, 66}}, cooling.SeriesOptions{RoomC: 20, StartC: 65}, "the readings are from too few different times: it takes 1 to find the rate"},
		{[]cooling.Reading{{1, 60}, {2, nan}, {3, 58}}, known, "reading 2 is not a number"},
		{[]cooling.Reading{{1, 60}, {math.Inf(1), 59}, {3, 58}}, known, "reading 2 is not a number"},
		{[]cooling.Reading{{-1, 60}, {2, 59}, {3, 58}}, known, "reading 1 is from before minute 0"},
		{[]cooling.Reading{{1, 60}, {2, 60}, {3, 60}}, known, "all readings are alike: nothing is cooling"},
		{[]cooling.Reading{{1, 60}, {2, 62}, {3, 64}, {4, 66}}, known, "the readings do not approach the room's temperature"},
		{[]cooling.Reading{{1, 60}, {2, 62}, {3, 66}, {4, 74}}, noRoom, "the readings do not level off: the room cannot be told from them, only given"},
		{[]cooling.Reading{{1, 66}, {2, 64}, {3, 62}, {4, 60}}, noRoom, "the readings do not level off: the room cannot be told from them, only given"},
		{[]cooling.Reading{{100, 20}, {200, 20.01}, {300, 19.99}, {400, 20}}, cooling.SeriesOptions{RoomC: 20, StartC: 65}, "the readings show only the end of the cooling: a rate cannot be told from them"},
		{[]cooling.Reading{{1, 60}, {2, 59}, {3, 58}}, cooling.SeriesOptions{RoomC: nan, StartFree: true}, "the room and the start have to be temperatures, or free"},
		{[]cooling.Reading{{1, 60}, {2, 59}, {3, 58}}, cooling.SeriesOptions{RoomC: 20, StartFree: true, ReadingSDC: -1}, "a reading error and a guess of the rate have to be 0 or more"},
		{[]cooling.Reading{{1, 60}, {2, 59}, {3, 58}}, cooling.SeriesOptions{RoomC: 20, StartFree: true, HasFloor: true, FloorC: nan}, "the floor has to be a temperature"},
	} {
		if f, err := cooling.FitSeries(row.points, row.o); err == nil || err.Error() != row.want {
			t.Errorf("%v, %+v:\n got %v\nwant %s\n%+v", row.points, row.o, err, row.want, f)
		}
	}
}

// What is wild gives a sentence or numbers, never a NaN that was not asked for
// and never a hang.
func TestSeriesExtremes(t *testing.T) {
	wild := rapid.OneOf(rapid.Float64(), rapid.Float64Range(0, 100), rapid.Float64Range(-100, 1000),
		rapid.SampledFrom([]float64{0, 0, 1, math.NaN(), math.Inf(1), math.MaxFloat64, math.SmallestNonzeroFloat64}))
	rapid.Check(t, func(t *rapid.T) {
		o := cooling.SeriesOptions{
			RoomC: wild.Draw(t, "room"), RoomFree: rapid.Bool().Draw(t, "room free"),
			StartC: wild.Draw(t, "start"), StartFree: rapid.Bool().Draw(t, "start free"),
			ReadingSDC: rapid.SampledFrom([]float64{0, 0.5}).Draw(t, "sd"),
			FloorC:     wild.Draw(t, "floor"), HasFloor: rapid.Bool().Draw(t, "has floor"),
			RateGuessPerMin: rapid.SampledFrom([]float64{0, 0.01, 1e300, 1e-300}).Draw(t, "guess"),
		}
		var points []cooling.Reading
		for range rapid.IntRange(0, 8).Draw(t, "n") {
			points = append(points, cooling.Reading{AtMin: wild.Draw(t, "at"), TempC: wild.Draw(t, "temp")})
		}
		f, err := cooling.FitSeries(points, o)
		if err != nil {
			if strings.Contains(err.Error(), "NaN") {
				t.Errorf("a NaN in words: %v", err)
			}
			return
		}
		for _, x := range []float64{f.RoomC, f.RoomSDC, f.StartC, f.StartSDC, f.RatePerMin, f.RateSDPerMin, f.RSS, f.ReadingSDC} {
			if math.IsNaN(x) || math.IsInf(x, 0) {
				t.Errorf("%+v from %v, %+v", f, points, o)
			}
		}
		if c := f.Crossing; o.HasFloor && !(c.EarlyMin <= c.LikelyMin && c.LikelyMin <= c.LateMin) {
			t.Errorf("%+v from %v, %+v", c, points, o)
		}
	})
}
