package cooling_test

import (
	"math"
	"math/rand/v2"
	"sort"
	"testing"

	"fleece.example/tubside/cooling"
	"fleece.example/tubside/session/long"
)

// Baths with a known truth: 8 L at about 65 °C in a bucket, the fleece sunk in
// after a minute, then covered. Loss and start are drawn from the prior, and
// readings come every 3-6 minutes with a normal error and rounded to the degree. From
// the last of them on the loss is off the law by as much as real baths are.
const (
	simRoomC       = 20.0
	simFloorC      = 49.0
	simStartSDC    = 0.7
	simThermometer = 0.5
	simFillL       = 8.0
)

// simReadingSDC is the error of a reading with its rounding.
var simReadingSDC = math.Sqrt(simThermometer*simThermometer + 1.0/12)

var bucket = cooling.Vessel{CapacityL: 10, Shape: cooling.Deep}

// planned is the bath as the program knows it, under one cover.
func planned(c cooling.Cover, startC, scale, sdLog float64) cooling.Bath {
	const midC = (65 + simFloorC) / 2
	loss, handbookSD := cooling.LossWPerK(bucket, simFillL, c, midC, simRoomC)
	if sdLog == 0 {
		sdLog = handbookSD
	}
	return cooling.Bath{
		RoomC: simRoomC, StartC: startC, StartSDC: simStartSDC,
		HeatJPerK: cooling.WaterPortion(simFillL, 65).HeatJPerK + cooling.VesselHeatJPerK(bucket, simFillL),
		LossWPerK: loss * scale, LossSDLog: sdLog,
		LossAtC: midC, LossTilt: cooling.LossTilt(bucket, simFillL, c, midC, simRoomC),
		Changes: []cooling.Change{{AtMin: 1, AddJPerK: 1400, AddC: 16}},
	}
}

// truthOf is the same bath with its loss and start as they really are.
func truthOf(b cooling.Bath, startC, lossScale float64) cooling.Fitted {
	b.StartC, b.StartSDC, b.LossSDLog = startC, 0, 0
	b.LossWPerK *= lossScale
	return b.Fit(nil, 0)
}

// readingsOf takes n readings of a true bath, stopping at the floor.
func readingsOf(random *rand.Rand, truth cooling.Fitted, n int) (readings []cooling.Reading) {
	for minute := 1.5; len(readings) < n; {
		minute += 3 + 3*random.Float64()
		tempC, _ := truth.At(minute)
		if tempC <= simFloorC {
			break
		}
		readings = append(readings, cooling.Reading{AtMin: minute, TempC: math.Round(tempC + simThermometer*random.NormFloat64())})
	}
	return readings
}

// leavesTheLaw is a true bath that loses more or less from a minute on, by as much as
// real ones do.
func leavesTheLaw(random *rand.Rand, truth cooling.Fitted, b cooling.Bath, lossScale, fromMin float64) cooling.Fitted {
	return truth.With(cooling.Change{
		AtMin: fromMin, LossWPerK: b.LossWPerK * lossScale * math.Exp(cooling.LawSDLog(fromMin)*random.NormFloat64()),
		LossAtC: b.LossAtC, LossTilt: b.LossTilt,
	})
}

func TestNineBathsInTenCrossInsideTheInterval(t *testing.T) {
	const seed1, seed2, baths = 31, 32, 2000
	random := rand.New(rand.NewPCG(seed1, seed2))
	for _, c := range []cooling.Cover{cooling.Lid, cooling.Open} {
		for _, n := range []int{0, 1, 2, 3, 5, 8} {
			held, early := 0, 0
			width := 0.0
			for range baths {
				b := planned(c, 65, 1, 0)
				lossScale := math.Exp(b.LossSDLog * random.NormFloat64())
				truth := truthOf(b, 65+simStartSDC*random.NormFloat64(), lossScale)
				readings := readingsOf(random, truth, n)
				if n > 0 && len(readings) > 0 {
					truth = leavesTheLaw(random, truth, b, lossScale, readings[len(readings)-1].AtMin)
				}
				crosses := truth.Crossing(simFloorC, 0).LikelyMin
				forecast := b.Forecast(readings, simReadingSDC).Crossing(simFloorC, 0)
				if forecast.EarlyMin <= crosses && crosses <= forecast.LateMin {
					held++
				}
				if crosses < forecast.EarlyMin {
					early++
				}
				width += (forecast.LateMin - forecast.EarlyMin) / crosses / baths
			}
			share := float64(held) / baths
			t.Logf("%s, %d readings (seed %d, %d): of %d true crossings %.1f %% inside, %.1f %% before the early bound; mean width %.0f %% of the time",
				c, n, seed1, seed2, baths, 100*share, 100*float64(early)/baths, 100*width)
			if share < 0.865 || share > 0.92 {
				t.Errorf("%s, %d readings: %.3f inside", c, n, share)
			}
		}
	}
}

// The interval narrows, on average, with each true reading.
func TestAReadingNarrowsTheInterval(t *testing.T) {
	const seed1, seed2, baths, most = 33, 34, 400, 8
	random := rand.New(rand.NewPCG(seed1, seed2))
	var width [most + 1]float64
	for range baths {
		b := planned(cooling.Lid, 65, 1, 0)
		truth := truthOf(b, 65+simStartSDC*random.NormFloat64(), math.Exp(b.LossSDLog*random.NormFloat64()))
		readings := readingsOf(random, truth, most)
		for n := range width {
			c := b.Forecast(readings[:min(n, len(readings))], simReadingSDC).Crossing(simFloorC, 0)
			width[n] += (c.LateMin - c.EarlyMin) / baths
		}
	}
	t.Logf("mean width in minutes with 0-%d readings (seed %d, %d): %.1f", most, seed1, seed2, width)
	for n := range most {
		if width[n+1] > width[n] {
			t.Errorf("with %d readings %v min wide, with one more %v", n, width[n], width[n+1])
		}
	}
}

// Learned baths make a forecast without any reading. Days differ as little as in a
// shut room, as is usual, and as in a draughty shed: nobody says which, and what is
// learned of it keeps the odds. Ten readings are three quarters of an hour.
func TestLearnedBathsKeepTheirOdds(t *testing.T) {
	t.Parallel()
	const seed1, seed2 = 35, 36
	tubs := long.Of(300, 1000)
	for _, days := range []float64{0.1, 0.2, 0.3} {
		for _, c := range []cooling.Cover{cooling.Lid, cooling.Open} {
			random := rand.New(rand.NewPCG(seed1, seed2))
			off, width, held := teach(random, c, days, 10, tubs)
			for bath := range off {
				q := quartiles(off[bath])
				t.Logf("%s, days differ by %.2f, %d baths learned (seed %d, %d): off by %.1f %% at the median (quartiles %.1f, %.1f), median width %.0f %%, %.1f %% inside",
					c, days, bath, seed1, seed2, 100*q[1], 100*q[0], 100*q[2], 100*quartiles(width[bath])[1], 100*held[bath])
				if held[bath] < 0.8 || bath == 8 && held[bath] > 0.97 {
					t.Errorf("%s, days differ by %v: after %d baths %v inside", c, days, bath, held[bath])
				}
			}
			if q := quartiles(off[3]); days == 0.1 && q[1] > 0.1 {
				t.Errorf("%s: after three baths off by %v at the median", c, q[1])
			}
		}
	}
}

// teach lives through nine baths of each tub and gives, for the forecast before
// each without a reading, how far off it was, how wide, and how often right.
func teach(random *rand.Rand, c cooling.Cover, days float64, readings, tubs int) (off, width [9][]float64, held [9]float64) {
	_, handbookSD := cooling.LossWPerK(bucket, simFillL, c, 57, simRoomC)
	for range tubs {
		tub := math.Sqrt(handbookSD*handbookSD-days*days) * random.NormFloat64()
		known := cooling.TubDays{HandbookSDLog: handbookSD}
		for bath := range off {
			startC := 65 + simStartSDC*random.NormFloat64()
			truth := truthOf(planned(c, 65, 1, 0), startC, math.Exp(tub+days*random.NormFloat64()))
			crosses := truth.Crossing(simFloorC, 0).LikelyMin

			scale, sdLog := cooling.Prior(known.Learn(cooling.BetweenDays(known)[0], bath), handbookSD)
			b := planned(c, 65, scale, sdLog)
			forecast := b.Fit(nil, 0).Crossing(simFloorC, 0)
			off[bath] = append(off[bath], math.Abs(forecast.LikelyMin-crosses)/crosses)
			width[bath] = append(width[bath], (forecast.LateMin-forecast.EarlyMin)/crosses)
			if forecast.EarlyMin <= crosses && crosses <= forecast.LateMin {
				held[bath] += 1 / float64(tubs)
			}
			fitted := b.Fit(readingsOf(random, truth, readings), simReadingSDC)
			if lesson, ok := fitted.Lesson(scale); ok {
				known.Days = append(known.Days, lesson)
			}
		}
	}
	return off, width, held
}

// A tub that loses 1.8 times what the handbook has, or that part of it, lies in its
// band on its first day, though days differ by a fifth.
func TestATubFarFromTheHandbookIsInItsBand(t *testing.T) {
	const seed1, seed2, days = 37, 38, 2000
	for _, c := range []cooling.Cover{cooling.Lid, cooling.Open} {
		for _, factor := range []float64{1.8, 1 / 1.8} {
			random := rand.New(rand.NewPCG(seed1, seed2))
			forecast := planned(c, 65, 1, 0).Fit(nil, 0).Crossing(simFloorC, 0)
			held := 0
			for range days {
				truth := truthOf(planned(c, 65, 1, 0), 65+simStartSDC*random.NormFloat64(), factor*math.Exp(0.2*random.NormFloat64()))
				if crosses := truth.Crossing(simFloorC, 0).LikelyMin; forecast.EarlyMin <= crosses && crosses <= forecast.LateMin {
					held++
				}
			}
			t.Logf("%s, %.2f times the handbook (seed %d, %d): %.1f %% inside", c, factor, seed1, seed2, 100*float64(held)/days)
			if held < 0.85*days {
				t.Errorf("%s, %.2f times the handbook: %d of %d inside", c, factor, held, days)
			}
		}
	}
}

// quartiles of a sample.
func quartiles(xs []float64) (q [3]float64) {
	sort.Float64s(xs)
	for i := range q {
		q[i] = xs[(i+1)*len(xs)/4]
	}
	return q
}

// Readings of the first minutes count as far as the later ones bear them out: hot water at
// the thermometer before it is stirred does not make a bath that cools fast.
func TestFirstMinutesCountAsFarAsTheyAreBorneOut(t *testing.T) {
	b := planned(cooling.Lid, 65, 1, 0)
	truth := truthOf(b, 65, 1)
	for _, tooHotC := range []float64{0, 4} {
		var readings []cooling.Reading
		for _, minute := range []float64{2, 5, 9, 13, 17, 21, 25} {
			tempC, _ := truth.At(minute)
			if minute < 6 {
				tempC += tooHotC
			}
			readings = append(readings, cooling.Reading{AtMin: minute, TempC: tempC})
		}
		want := truth.Crossing(simFloorC, 0).LikelyMin
		all, settled := b.Fit(readings, 0.5).Crossing(simFloorC, 0).LikelyMin-want, b.Forecast(readings, 0.5).Crossing(simFloorC, 0).LikelyMin-want
		t.Logf("%g °C too hot: off by %.1f min with all readings alike, %.1f as forecast", tooHotC, all, settled)
		if math.Abs(settled) > 0.5+math.Abs(all)/2 {
			t.Errorf("%g °C too hot: off by %v min", tooHotC, settled)
		}
	}
}
