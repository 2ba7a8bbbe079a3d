package session_test

import (
	"fmt"
	"testing"
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/must"
	"fleece.example/tubside/session/sessiontest"
	"fleece.example/tubside/session/shed"
)

// A batch is dry by its own weights: what the others of its day weigh since moves its times,
// and it says whose.
func TestABatchDriesByItsOwnWeights(t *testing.T) {
	for _, others := range [][]float64{{330, 150, 119, 118}, {300, 260, 230, 210}, {240, 170, 140, 128}} {
		r := sessiontest.Start(t, sessiontest.RecordPlan()).Until(0, shed.ToRack).Next(0).Until(0, shed.ToRack).Next(0)
		r.Do(session.EndDay{Anyway: true})
		laid := r.Now
		weigh := func(id string, afterH, massG float64) {
			r.Now = laid.Add(time.Duration(afterH * float64(time.Hour)))
			r.Do(session.WeighWet{Batch: id, MassG: massG, Scale: sessiontest.KitchenScale, Sure: true})
		}
		own := func() string {
			x := must.Get(r.Day.Drying("A1")).In(t)
			return fmt.Sprint(x.Dry, x.Forecast.OtherTime, x.Forecast.FreeRisk)
		}
		moved := func() string {
			x, _ := r.Day.Drying("A1")
			return fmt.Sprint(x.Moved)
		}
		for i, g := range []float64{250, 150, 118, 112} {
			h := float64(1 + 14*i)
			weigh("A1", h, g)
			before := own()
			sessiontest.Same(t, "moved by", moved(), "[]")
			weigh("A2", h+0.5, others[i])
			if after := own(); after != before {
				t.Errorf("A1 of %g g: %s, and once A2 weighed %g g: %s", g, before, others[i], after)
			}
			sessiontest.Same(t, "moved by", moved(), "[A2]")
		}
		r.Do(session.Weigh{Batch: "A2", DryG: 130, Dry: true, Scale: sessiontest.KitchenScale, Sure: true})
		before := own()
		r.Do(session.Undo{})
		sessiontest.Same(t, "as before A2 was bagged", own(), before)
	}
}
