package cooling_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"fleece.example/tubside/cooling"
)

// Three or four readings of a tub that nobody knows, the first at the fill: its cold wall takes
// up heat in the first minutes, and that so few lie on a curve says little of how they err.
func TestFewReadingsOfATubThatWarms(t *testing.T) {
	t.Parallel()
	const seed1, seed2, n, roomC, stepMin, endMin = 91, 92, 200, 16.0, 0.05, 600
	for few := 3; few <= 4; few++ {
		for _, free := range []bool{false, true} {
			if free && few == 3 {
				continue // too few for a fit
			}
			random := rand.New(rand.NewPCG(seed1, seed2))
			var sum realCount
			for range n {
				wallPart, takesMin := 0.06*random.Float64(), 0.3+1.7*random.Float64()
				perMin, bend := 0.003+0.007*random.Float64(), 0.03*random.Float64()
				waterC, wallC, truthMin := 64+2*random.Float64(), roomC, math.NaN()
				var readings []cooling.Reading
				next, everyMin := 0.0, 3+7*random.Float64()
				for at := 0.0; at < endMin && math.IsNaN(truthMin); at += stepMin {
					if at >= next && len(readings) < few {
						readings = append(readings, cooling.Reading{AtMin: at, TempC: math.Round(2*(waterC+0.2*random.NormFloat64())) / 2})
						next += everyMin
					}
					if waterC <= simFloorC {
						truthMin = at
					}
					above := waterC - roomC
					taken := (waterC - wallC) / takesMin * stepMin
					waterC -= wallPart*taken + perMin*above*(1+bend*(above-30))*stepMin
					wallC += taken
				}
				if len(readings) < few || truthMin < readings[few-1].AtMin+2 {
					continue
				}
				f, err := cooling.FitSeries(readings, cooling.SeriesOptions{RoomC: roomC, RoomFree: free, StartFree: true, HasFloor: true, FloorC: simFloorC})
				if err != nil {
					t.Fatal(readings, err)
				}
				sum.add(truthMin, f.Crossing)
			}
			t.Logf("%d readings, room free %v (seed %d, %d): %s", few, free, seed1, seed2, &sum)
			if sum.early > 0.05*sum.n || sum.inside < 0.85*sum.n {
				t.Errorf("%d readings, room free %v: %s", few, free, &sum)
			}
		}
	}
}
