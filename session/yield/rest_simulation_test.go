package yield

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"fleece.example/tubside/session/long"
	"fleece.example/tubside/session/must"
)

// components estimates the spreads between cores of a bale and between bales
// from Dean and Voss's table by the analysis of variance.
func components(all []core) (within, between, mean float64) {
	const bales, each = 7, 4
	for _, c := range all {
		mean += c.part / (bales * each)
	}
	squareIn, squareOf := 0.0, 0.0
	for b := range bales {
		m := 0.0
		for _, c := range all[b*each : (b+1)*each] {
			m += c.part / each
		}
		squareOf += each * (m - mean) * (m - mean) / (bales - 1)
		for _, c := range all[b*each : (b+1)*each] {
			squareIn += (c.part - m) * (c.part - m) / (bales * (each - 1))
		}
	}
	return math.Sqrt(squareIn), math.Sqrt(max(squareOf-squareIn, 0) / each), mean
}

// Lots with the table's own spreads, and with parts twice and four times as
// different, drawn afresh: seven parts of four batches, of which one, two or three
// whole parts are weighed.
func TestWholePartsOfSimulatedFleeces(t *testing.T) {
	const seed = 62
	draws := long.Of(60, 500)
	within, between, mean := components(cores(t))
	t.Logf("Dean and Voss, Table 17.1: sd %.2f points between cores of a bale, %.2f between bales, mean %.2f", 100*within, 100*between, 100*mean)
	for _, by := range []float64{1, 2, 4} {
		for parts := 1; parts <= 3; parts++ {
			rnd := rand.New(rand.NewPCG(seed, uint64(parts)))
			var byPart, unnamed, plain tally
			for range draws {
				var all []core
				for p := range 7 {
					at := mean + by*between*rnd.NormFloat64()
					for range 4 {
						all = append(all, core{fmt.Sprint(p), at + within*rnd.NormFloat64()})
					}
				}
				d := try(all[:4*parts], all[4*parts:])
				byPart.add(d.forecast(t, len(all), named, "medium"), d.rest)
				unnamed.add(d.forecast(t, len(all), "", "medium"), d.rest)
				plain.add(d.plainT(len(all)), d.rest)
			}
			t.Logf("parts %.2f points apart, %d whole parts, seed %d: named %.1f %% (%.1f points wide), not named %.1f %%, plain t %.1f %%", 100*by*between, parts, seed,
				100*byPart.part(), 100*byPart.width/float64(draws), 100*unnamed.part(), 100*plain.part())
			// Parts four times as far apart are more than the forecast believes in.
			least := long.Of(0.83, 0.87)
			if by == 4 {
				least = long.Of(0.70, 0.78)
			}
			if byPart.part() < least || unnamed.part() < least {
				t.Errorf("parts x%g, %d of them: %v, not named %v", by, parts, byPart, unnamed)
			}
			if plain.part() > min(byPart.part(), unnamed.part()) {
				t.Errorf("parts x%g, %d of them: plain t %v holds more than %v, not named %v", by, parts, plain, byPart, unnamed)
			}
		}
	}
}

// The rounding of the scale alone: invented true masses, read off scales, for a
// batch and for fleeces.
func TestYieldHoldsWhatRoundingHid(t *testing.T) {
	const seed = 63
	draws, off := long.Of(500, 4000), long.Of(0.02, 0)
	for _, row := range []struct {
		batches     int
		stepG       float64
		least, most float64
	}{{1, 1, 0.88, 0.92}, {1, 5, 0.88, 0.92}, {1, 2.8349523125, 0.88, 0.92}, {2, 5, 0.88, 0.92}, {6, 1, 0.88, 0.92}, {6, 5, 0.88, 0.92}} {
		rnd := rand.New(rand.NewPCG(seed, uint64(row.batches)))
		var y tally
		for range draws {
			var bs []Batch
			raw, dry := 0.0, 0.0
			read := func(g float64) float64 { return math.Round(g/row.stepG) * row.stepG }
			for range row.batches {
				r := 115 + 110*rnd.Float64()
				d := r * (0.45 + 0.15*rnd.Float64())
				raw, dry = raw+r, dry+d
				bs = append(bs, Batch{RawG: read(r), DryG: read(d), RawStepG: row.stepG, DryStepG: row.stepG})
			}
			f := must.Get(OfFleece(bs, Room{}, TradeRegain, nil)).In(t)
			y.add(f.AsWeighed, dry/raw)
		}
		t.Logf("%d batches, steps of %.1f g, seed %d: %.1f %% held", row.batches, row.stepG, seed, 100*y.part())
		if y.part() < row.least-off || y.part() > row.most+off {
			t.Errorf("%d batches, steps of %.1f g: %v", row.batches, row.stepG, y)
		}
	}
}
