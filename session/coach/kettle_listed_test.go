package coach_test

import (
	"math"
	"testing"

	"fleece.example/tubside/session/coach"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/must"
	"fleece.example/tubside/session/planner"
	"fleece.example/tubside/session/sessiontest"
	"fleece.example/tubside/session/shed"
)

// What the list has boiled for a bath is what its fill then asks for, within a mark of the kettle.
func TestKettleListedAsPoured(t *testing.T) {
	for _, tapC := range []float64{45, 48} {
		p := sessiontest.ThreeTubs()
		p.Kit.HotTapC, p.Kit.Units, p.Kit.Kettle.CapacityL = tapC, measure.US, 1.7
		r := sessiontest.Start(t, p)
		type bath struct {
			batch, name string
		}
		listed, most, seen := map[bath]float64{}, map[bath]float64{}, 0
		for i := 0; i < 600 && !r.Day.AllRacked(); i++ {
			plan := must.Get(planner.Schedule(r.Day, r.Now, planner.Quick)).In(t)
			acts := coach.Next(r.Day, r.Now, plan)
			for _, a := range acts {
				if a.Boil && !a.BoilOn && !a.Refill {
					b := bath{a.Batch, a.BoilFor}
					if _, ok := listed[b]; !ok {
						listed[b] = a.BoilL
					}
					most[b] = max(most[b], a.BoilL)
				}
			}
			for tub, run := range r.Day.Tubs {
				b := bath{run.Batch, ""}
				if run.Phase == shed.ToFill {
					b.name = run.Step().Name
				}
				if first, ok := listed[b]; ok {
					seen++
					pours := r.Day.FillAt(tub, r.Now).Pour.KettleL
					if mark := r.Day.Plan.Kit.KettleMarkL(); math.Abs(first-pours) > mark+0.01 || math.Abs(most[b]-pours) > mark+0.01 {
						t.Errorf("tap %.0f °C, %s: %s's %s was listed with %.2f and up to %.2f L, and takes %.2f (mark %.2f)", tapC, r.Now.Format("15:04"), r.Day.TubName(tub), b.name, first, most[b], pours, mark)
					}
					delete(listed, b)
					delete(most, b)
				}
			}
			goOn(r, acts)
			r.Wait(1)
		}
		if seen < 3 {
			t.Errorf("tap %.0f °C: %d fills that were listed", tapC, seen)
		}
	}
}
