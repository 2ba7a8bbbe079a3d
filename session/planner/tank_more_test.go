package planner_test

import (
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"fleece.example/tubside/session/long"
	"fleece.example/tubside/session/planner"
	"fleece.example/tubside/session/sessiontest"
	"fleece.example/tubside/session/shed"
)

// lowDay is a drawn day whose tank, as large as it may be, can run low.
func lowDay(t *testing.T, r *rand.Rand) shed.Plan {
	p := sessiontest.MixedTubs()
	p.Kit.Tubs = p.Kit.Tubs[:1+r.IntN(3)]
	p.Kit.HotTapC, p.Kit.ColdTapC, p.Kit.JugL = float64(50+5*r.IntN(3)), 9, 0.25
	p.Kit.Tank.HeaterW = []float64{1000, 2000, 3000}[r.IntN(3)]
	wax := []shed.Level{shed.Average, shed.High}[r.IntN(2)]
	p.Fleeces = []shed.Fleece{{ID: "f", Animal: "Invented", Type: shed.Fine, Wax: wax, RawG: 1300}}
	var err error
	if p.Batches, err = planner.Split(p, planner.Part{Fleece: p.Fleeces[0], RawG: float64(300 + 100*r.IntN(10))}); err != nil {
		t.Fatal(err)
	}
	for i := range p.Batches {
		p.Batches[i].Presoak = []shed.PresoakChoice{shed.PresoakNone, shed.PresoakAsMethod}[r.IntN(2)]
	}
	return p
}

// A larger tank never finishes later, nor a larger kettle, unless the smaller one leaves baths
// cooler, which are left sooner; and nothing is asked for in notes that is in the timetable.
func TestLargerTankOrKettleFinishesNoLater(t *testing.T) {
	t.Parallel()
	tanks := []float64{20, 40, 80, 200, 0} // the last never runs low
	r := rand.New(rand.NewPCG(1911, 7))
	plans, worse, sumMin := 0, 0, 0.0
	for day := range long.Of(3, 20) {
		p := lowDay(t, r)
		ends, cool := map[[2]int]float64{}, map[[2]int]bool{}
		for x, kettleL := range []float64{0, 1.7, 3} {
			for y, tankL := range tanks {
				p.Kit.Kettle.CapacityL, p.Kit.Tank.VolumeL = kettleL, tankL
				o, err := planner.PlanAhead(p, sessiontest.Dawn, planner.AsGiven, planner.Thorough)
				if err != nil {
					continue
				}
				at := [2]int{x, y}
				plans++
				ends[at] = o.Sums.LengthMin
				sumMin += ends[at]
				cool[at] = slices.ContainsFunc(o.Timetable.Baths, func(b planner.PlannedBath) bool { f, _ := o.FillOf(b); return f.Pour.UnderC > 0 })
				smaller := func(as [2]int, moreMin float64) {
					if was := ends[as]; was > 0 && ends[at] > was+moreMin {
						worse++
						t.Errorf("day %d, kettle of %g L, tank of %g L: %.1f min, smaller %.1f min", day, kettleL, tankL, ends[at], was)
					}
				}
				if y > 0 {
					smaller([2]int{x, y - 1}, 0)
				}
				if as := [2]int{x - 1, y}; x > 0 && !cool[as] {
					smaller(as, 1.5) // its own marks pour another mix, which draws on the tank elsewhere
				}
				if bound := o.Timetable.Bound.Sub(o.Timetable.From).Minutes(); ends[at] < bound-1e-6 {
					t.Errorf("day %d, tank of %g L: %.1f min, said to be no less than %.1f", day, tankL, ends[at], bound)
				}
				for _, c := range o.Cautions {
					if strings.Contains(c, "the tap is down") {
						t.Errorf("day %d, kettle of %g L, tank of %g L: %s", day, kettleL, tankL, c)
					}
				}
			}
		}
	}
	t.Logf("%d plans, %d later than with less, %.0f min in all", plans, worse, sumMin)
}
