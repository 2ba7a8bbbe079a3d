package keep

import (
	"testing"
	"testing/synctest"
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/must"
	"fleece.example/tubside/session/planner"
)

// While the rest of the day is planned a screen has the last plan at once, or after as
// long as it will wait; the plan is told of when it is made, and is of the day then.
func TestNobodyWaitsForThePlan(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		const takes = 700 * time.Millisecond
		x := begin(t, func(w *With) { w.Hands = nil })
		x.solve = func(d session.Day, now time.Time, e planner.Effort, was planner.Timetable) (planner.Timetable, error) {
			time.Sleep(takes)
			return planner.Replan(d, now, e, was)
		}
		x.Run()
		ask := func(within, want time.Duration, wantFresh bool) {
			t.Helper()
			began := time.Now()
			plan, fresh := x.Timetable(began, within)
			if took := time.Since(began); took != want || fresh != wantFresh {
				t.Errorf("it takes %v, fresh %v; want %v, %v", took, fresh, want, wantFresh)
			}
			if fresh && len(plan.Pieces) == 0 {
				t.Error("nothing is planned")
			}
		}
		time.Sleep(5 * time.Second)
		synctest.Wait()
		ask(0, 0, true)
		for range 3 {
			st := x.State()
			must.Get(x.Do(st.ID, st.Day, session.AddNote{Tub: -1, Text: "seen"}, time.Now())).In(t)
			synctest.Wait() // the planner has begun
			ask(0, 0, false)
			ask(100*time.Millisecond, 100*time.Millisecond, false)
			for len(x.changed) > 0 {
				<-x.changed
			}
			ask(time.Minute, takes-100*time.Millisecond, true)
			synctest.Wait()
			if len(x.changed) == 0 {
				t.Error("no screen is told of the plan")
			}
		}
		x.end()
	})
}
