package yield

import (
	"math"
	"math/rand/v2"
	"testing"

	"fleece.example/tubside/session/long"
	"fleece.example/tubside/session/must"
)

// evening is a rack of alike batches of 190 % of water, each weighed once, so many
// minutes after it was laid there. Without others none is told of the others.
func evening(t *testing.T, together bool, lain ...float64) []DryForecast {
	t.Helper()
	all := make([]Beside, len(lain))
	for i, min := range lain {
		g := math.Round(176 * (1 + 1.9*law{part: 0.5}.left(min/420)))
		all[i] = Beside{Weighings: []Weighing{{min, g}}, Rack: Rack{RawG: 320, Type: "medium", StepG: 1, LainMin: min}}
	}
	out := make([]DryForecast, len(all))
	for i, b := range all {
		if together {
			for j, o := range all {
				if j != i {
					b.Rack.Beside = append(b.Rack.Beside, o)
				}
			}
		}
		var err error
		if out[i], err = ForecastDrying(b.Weighings, b.Rack, nil); err != nil {
			t.Fatal(err)
		}
	}
	return out
}

// farthest is by how much the last of them is likely dry after the first, by the first.
func farthest(fs []DryForecast) float64 {
	low, high := math.Inf(1), 0.0
	for _, f := range fs {
		low, high = min(low, f.DryAtMin.Likely), max(high, f.DryAtMin.Likely)
	}
	return high/low - 1
}

// Alike batches of one day are dry at about the same time after they were laid on the
// rack, whenever the first weighing of each was.
func TestBatchesOfADayDryAlike(t *testing.T) {
	alone, together := farthest(evening(t, false, 0, 5, 105, 200)), farthest(evening(t, true, 0, 5, 105, 200))
	t.Logf("the last after the first: alone %.0f %%, beside each other %.0f %%", 100*alone, 100*together)
	if alone < 0.3 || together > 0.12 {
		t.Errorf("alone %.2f, beside each other %.2f", alone, together)
	}
}

// What is not weighed dries as those beside it; what says nothing changes nothing.
func TestWhatLiesBeside(t *testing.T) {
	rack := Rack{RawG: 225, Type: "medium"}
	alone := must.Get(ForecastDrying(nil, rack, nil)).In(t)
	ws := []Weighing{{0, 300}, {300, 190}, {600, 125}, {900, 118}, {1300, 117}}
	rack.Beside = []Beside{{Weighings: ws, Rack: rack, DryG: 117}}
	fast, err := ForecastDrying(nil, rack, nil)
	if err != nil || fast.DryAtMin.Likely > 0.75*alone.DryAtMin.Likely || fast.DryAtMin.High > 0.6*alone.DryAtMin.High {
		t.Errorf("beside a fast one %+v, alone %+v, %v", fast.DryAtMin, alone.DryAtMin, err)
	}
	for name, b := range map[string]Beside{
		"not weighed": {Rack: Rack{RawG: 200}}, "no such type": {Weighings: ws, Rack: Rack{RawG: 225, Type: "camel"}},
		"got wet": {Weighings: []Weighing{{0, 200}, {60, 300}}, Rack: Rack{RawG: 225}}, "nothing that dries": {Weighings: []Weighing{{0, 624}, {6, 482}}, Rack: Rack{RawG: 340}},
	} {
		rack.Beside = []Beside{b}
		if f, err := ForecastDrying(nil, rack, nil); err != nil || f.DryAtMin != alone.DryAtMin {
			t.Errorf("%s: %+v, %v", name, f.DryAtMin, err)
		}
	}
}

// Days drawn as the forecast believes them to be: batches weighed once within three hours,
// beside four that were weighed twice more. Their ranges are narrower and hold as much.
func TestTimeToDryHeldBeside(t *testing.T) {
	days := long.Of(20, 150)
	const batches, seed = 5, 55
	rnd := rand.New(rand.NewPCG(seed, 0))
	var alone, together tally
	for range days {
		day := fromPrior(rnd, 170, 1)
		common := math.Sqrt(1 - besideTau*besideTau)
		logTau := common * math.Log(day.tauMin/usualTauMin)
		water := 0.0
		for water < 0.2 {
			water = usualWater + math.Sqrt(usualWaterSD*usualWaterSD-besideWaterSD*besideWaterSD)*rnd.NormFloat64()
		}
		var all []Beside
		var racks []rackful
		for range batches {
			rawG := 115 + 110*rnd.Float64()
			r := fromPrior(rnd, rawG, 1)
			r.law, r.air = day.law, wanders[besideRoom]
			r.tauMin = usualTauMin * math.Exp(logTau+besideTauSD*rnd.NormFloat64())
			r.waterG = r.restG * max(0.1, water+besideWaterSD*rnd.NormFloat64())
			at := 180 * rnd.Float64()
			ws := r.weigh(rnd, at, at+300, at+900)
			all = append(all, Beside{Weighings: ws, Rack: Rack{RawG: rawG, Type: "medium", StepG: 1, LainMin: at}})
			racks = append(racks, r)
		}
		for i, b := range all {
			r := racks[i]
			dry := r.minutesToDry()
			f, err := ForecastDrying(b.Weighings[:1], b.Rack, nil)
			if err != nil {
				continue
			}
			alone.add(f.DryAtMin, dry)
			for j, o := range all {
				if j != i {
					b.Rack.Beside = append(b.Rack.Beside, o)
				}
			}
			if f, err = ForecastDrying(b.Weighings[:1], b.Rack, nil); err != nil {
				t.Fatal(err)
			}
			together.add(f.DryAtMin, dry)
		}
	}
	t.Logf("seed %d, %d batches: time to dry held alone %.1f %%, %.1f h wide; beside each other %.1f %%, %.1f h wide", seed, alone.all,
		100*alone.part(), alone.width/float64(alone.all)/60, 100*together.part(), together.width/float64(together.all)/60)
	if together.part() < long.Of(0.80, 0.84) || together.part() > 0.96 || together.width > 0.7*alone.width {
		t.Errorf("held %.3f, width %.1f of %.1f", together.part(), together.width, alone.width)
	}
}
