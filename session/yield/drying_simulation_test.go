package yield

import (
	"math"
	"math/rand/v2"
	"testing"

	"fleece.example/tubside/session/long"
)

// A rackful is how a simulated batch really dries, invented for the test.
type rackful struct {
	restG, waterG, tauMin float64
	law                   law
	air                   wander
	stepG                 float64
}

// weigh is what the scale says at these moments, in order.
func (r rackful) weigh(rnd *rand.Rand, at ...float64) []Weighing {
	sin, cos, weather := rnd.NormFloat64(), rnd.NormFloat64(), rnd.NormFloat64()
	out := make([]Weighing, len(at))
	for i, t := range at {
		if i > 0 {
			keeps := math.Exp(-(t - at[i-1]) / weatherMin)
			weather = keeps*weather + math.Sqrt(1-keeps*keeps)*rnd.NormFloat64()
		}
		day := 2 * math.Pi * t / dayMin
		strays := r.air.each*rnd.NormFloat64() + r.air.wave*(sin*math.Sin(day)+cos*math.Cos(day)) + r.air.weather*weather
		g := r.restG*(1+strays) + r.waterG*r.law.left(t/r.tauMin)
		out[i] = Weighing{t, max(r.stepG, math.Round(g/r.stepG)*r.stepG)}
	}
	return out
}

// dryG is what the scale shows of it once it is dry, some other time.
func (r rackful) dryG(rnd *rand.Rand) float64 {
	return math.Round(r.restG*(1+r.air.alone()*rnd.NormFloat64())/r.stepG) * r.stepG
}

func (r rackful) minutesToDry() float64 { return r.law.minutesToDry(r.restG, r.waterG, r.tauMin) }

// fromPrior draws a batch as the forecast believes them to be.
func fromPrior(rnd *rand.Rand, rawG, stepG float64) rackful {
	u, err := Usual("medium")
	if err != nil {
		panic(err)
	}
	if rnd.Float64() < anyTypes {
		u = anyType
	}
	middle := rawG * (u.Low + u.High) / 2
	r := rackful{
		stepG: stepG, law: pick(rnd, laws, func(l law) float64 { return l.weight }),
		air: pick(rnd, wanders, func(w wander) float64 { return w.weight }),
	}
	least := LeastOfUsual * ranges[1].Low * rawG // of a medium, as below
	for r.restG < least || r.restG > highestPlain*rawG {
		r.restG = middle + rawG*(u.High-u.Low)/rangeIsSigmas*rnd.NormFloat64()
	}
	for r.waterG <= 0 { // it comes from the wet
		r.waterG = middle * (usualWater + usualWaterSD*rnd.NormFloat64())
	}
	r.tauMin = usualTauMin * math.Exp(tauLogSD*rnd.NormFloat64())
	return r
}

func pick[T any](rnd *rand.Rand, from []T, weight func(T) float64) T {
	at := rnd.Float64()
	for _, s := range from {
		if at -= weight(s); at < 0 {
			return s
		}
	}
	return from[len(from)-1]
}

// resting counts how often the interval held what it weighed once dry, and what the
// dry rule said.
func resting(t *testing.T, draw func(rnd *rand.Rand, rawG, stepG float64) rackful, stepG float64, weighings, batches int, seed uint64) (held, when tally, dry, right int) {
	t.Helper()
	rnd := rand.New(rand.NewPCG(seed, uint64(weighings)))
	for range batches {
		rawG := 115 + 110*rnd.Float64()
		r := draw(rnd, rawG, stepG)
		var at []float64
		for t := 0.0; len(at) < weighings; t += 90 + 210*rnd.Float64() {
			at = append(at, t)
		}
		ws := r.weigh(rnd, at...)
		f, err := ForecastDrying(ws, Rack{RawG: rawG, Type: "medium", StepG: stepG}, nil)
		if err != nil {
			f.RestingG, f.DryAtMin = Interval{-1, -1, -1}, Interval{-1, -1, -1} // what is refused holds nothing
		}
		held.add(f.RestingG, r.dryG(rnd))
		when.add(f.DryAtMin, r.minutesToDry())
		if f.Dry {
			dry++
			if r.waterG*r.law.left(ws[len(ws)-1].AtMin/r.tauMin) <= FreePart*r.restG {
				right++
			}
		}
	}
	return held, when, dry, right
}

// Batches drawn as the forecast believes them to be: what they weigh once dry has to
// lie in its 90 % interval in 88-92 % of them (82-98 % of a few). What is called dry is told beside
// what really had no more than 2 % to lose.
func TestRestingWeightHeld(t *testing.T) {
	batches, off := long.Of(80, 2000), long.Of(0.06, 0)
	for _, n := range []int{0, 1, 2, 3, 5, 8} {
		const seed = 51
		held, when, dry, right := resting(t, fromPrior, 1, n, batches, seed)
		t.Logf("1 g, %d weighings, seed %d: %d of %d held (%.1f %%), %.1f g wide; time to dry %.1f %% held, %.1f h wide; %d called dry, %d of them with no more than 2 %% of water",
			n, seed, held.held, held.all, 100*held.part(), held.width/float64(held.all), 100*when.part(), when.width/float64(when.all)/60, dry, right)
		if when.part() < 0.85-off {
			t.Errorf("%d weighings: the time to dry lies in its range in %.1f %%", n, 100*when.part())
		}
		if held.part() < 0.88-off || held.part() > 0.92+off {
			t.Errorf("%d weighings: %.1f %% is not 88-92 %%", n, 100*held.part())
		}
	}
}

// A scale of coarse steps: on the rack's plateau its rounding is one and the same
// error, so the interval holds somewhat more than it says, never less.
func TestRestingWeightOnCoarseScales(t *testing.T) {
	const seed = 52
	batches, off := long.Of(40, 600), long.Of(0.1, 0)
	for _, stepG := range []float64{2.8349523125, 5} {
		for _, n := range []int{2, 5, 8} {
			held, _, _, _ := resting(t, fromPrior, stepG, n, batches, seed)
			t.Logf("steps of %.1f g, %d weighings, seed %d: %.1f %% held, %.1f g wide", stepG, n, seed, 100*held.part(), held.width/float64(batches))
			if held.part() < 0.87-off || held.part() > 0.97+off {
				t.Errorf("steps of %.1f g, %d weighings: %.1f %% held", stepG, n, 100*held.part())
			}
		}
	}
}

// What happens to batches that are not as the forecast believes them to be. least
// is what has to hold of the resting weights after 2 and after 8 weighings.
func TestRestingWeightOffThePrior(t *testing.T) {
	t.Parallel()
	const seed = 53
	batches, off := long.Of(40, 300), long.Of(0.12, 0)
	for _, c := range []struct {
		name           string
		change         func(rnd *rand.Rand, rawG float64, r *rackful)
		least2, least8 float64
	}{
		{"exponential from the start", func(_ *rand.Rand, _ float64, r *rackful) { r.law = laws[0] }, 0.80, 0.85},
		{"spun, 35-50 % of water", func(rnd *rand.Rand, _ float64, r *rackful) { r.waterG = r.restG * (0.35 + 0.15*rnd.Float64()) }, 0.85, 0.85},
		{"squeezed by hand, 100-200 %", func(rnd *rand.Rand, _ float64, r *rackful) { r.waterG = r.restG * (1 + rnd.Float64()) }, 0.80, 0.80},
		{"time constant 20 h", func(_ *rand.Rand, _ float64, r *rackful) { r.tauMin = 1200 }, 0.85, 0.80},
		{"medium that yields 70 %", func(_ *rand.Rand, rawG float64, r *rackful) { r.restG = 0.7 * rawG }, 0.45, 0.80},
		{"steady down to 10 % of the water", func(_ *rand.Rand, _ float64, r *rackful) { r.law = law{part: 0.1} }, 0.80, 0.55},
		{"a room twice as restless as any believed in", func(_ *rand.Rand, _ float64, r *rackful) { r.air = wander{each: 0.024} }, 0.80, 0.50},
	} {
		draw := func(rnd *rand.Rand, rawG, stepG float64) rackful {
			r := fromPrior(rnd, rawG, stepG)
			c.change(rnd, rawG, &r)
			return r
		}
		two, _, _, _ := resting(t, draw, 1, 2, batches, seed)
		eight, _, dry, right := resting(t, draw, 1, 8, batches, seed)
		t.Logf("%s, seed %d: %.1f %% held of 2 weighings, %.1f %% of 8 (%d called dry, %d of them with no more than 2 %% of water)",
			c.name, seed, 100*two.part(), 100*eight.part(), dry, right)
		if two.part() < c.least2-off || eight.part() < c.least8-off {
			t.Errorf("%s: %.3f, %.3f held", c.name, two.part(), eight.part())
		}
	}
}

// What the steady beginning is in the law for: batches that dry steadily down to
// 35 % of their water, forecast with it and by a plain exponential.
func TestPlainExponentialFallsShort(t *testing.T) {
	const seed = 54
	batches := long.Of(150, 500)
	steady := func(rnd *rand.Rand, rawG, stepG float64) rackful {
		r := fromPrior(rnd, rawG, stepG)
		r.law = law{part: 0.35}
		return r
	}
	ours, _, _, _ := resting(t, steady, 1, 8, batches, seed)
	kept := laws
	defer func() { laws = kept }()
	laws = []law{{part: 1, weight: 1}}
	plain, _, _, _ := resting(t, steady, 1, 8, batches, seed)
	t.Logf("8 weighings, seed %d: %.1f %% held, by a plain exponential %.1f %%", seed, 100*ours.part(), 100*plain.part())
	if ours.part() < 0.86 || plain.part() > 0.65 {
		t.Errorf("%v, plain %v", ours, plain)
	}
}
