package coach_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/coach"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/must"
	"fleece.example/tubside/session/planner"
	"fleece.example/tubside/session/sessiontest"
	"fleece.example/tubside/session/shed"
)

// Water that has boiled is not forgotten, however long it stands: its fill says to bring it
// back to the boil, the key tells of that, and no other tub's kettle goes before it.
func TestBoiledWaterIsNotForgotten(t *testing.T) {
	for _, u := range []measure.System{measure.Metric, measure.US} {
		for _, first := range []int{0, 1} {
			for _, told := range []bool{true, false} {
				r := kettleTubs(t)
				k := r.Day.Plan.Kit
				k.Units = u
				r.Do(session.ChangeKit{Kit: k}, session.TellKettle{Tub: first}).Until(first, shed.ToFill)
				r.Until(1-first, shed.ToFill)
				fresh := r.Day.FillAt(first, r.Day.Kettle.ReadyAt()).AfterC
				if r.Wait(8); told {
					r.Do(session.TellKettle{Sure: true})
				}
				for _, stood := range []float64{9, 20, 29, 31, 45, 90, 300} {
					r.Now = r.Day.Kettle.ReadyAt().Add(sessiontest.Minutes(stood))
					at := fmt.Sprintf("%v, tub %d, told %v, %g min", u, first, told, stood)
					p, other := coach.PromptAt(r.Day, first, r.Now), coach.PromptAt(r.Day, 1-first, r.Now)
					waits := coach.KettleReady
					if stood > session.MostStoodMin { // told or not
						waits = coach.KettleCooled
					}
					if said := sessiontest.DetailLines(p)[0]; p.Kettle != waits || p.Rank != coach.Now || !strings.HasPrefix(said, "boil the kettle again") && !strings.HasPrefix(said, "check that the kettle boils") {
						t.Errorf("%s: %s", at, sessiontest.PromptText(p))
					}
					if cooled := fresh - r.Day.FillAt(first, r.Now).AfterC; (told || stood > session.MostStoodMin) != (cooled > 1) {
						t.Errorf("%s: the fill has it %.1f °C cooler than fresh", at, cooled)
					}
					if strings.Contains(sessiontest.PromptText(p), "no kettle water after all") {
						t.Errorf("%s: %s", at, sessiontest.PromptText(p))
					}
					if other.Kettle != coach.KettleFirst {
						t.Errorf("%s: the other: %s", at, sessiontest.PromptText(other))
					}
					plan := must.Get(planner.Schedule(r.Day, r.Now, planner.Quick)).In(t)
					acts := coach.Next(r.Day, r.Now, plan)
					for _, a := range acts {
						if a.Boil && a.Rank == coach.Now {
							t.Errorf("%s: %s", at, a.Title)
						}
					}
					if !slices.ContainsFunc(acts, func(a coach.NextAct) bool { return a.Boil && a.Tub == 1-first && a.Rank > coach.Now }) {
						t.Errorf("%s: the other's boil is not in the list", at)
					}
					if c, ok := coach.KettleKey(r.Day, r.Now, acts, 1-first); !ok || c.Tub != first {
						t.Errorf("%s: the key tells %+v, %v", at, c, ok)
					}
				}
			}
		}
	}
}
