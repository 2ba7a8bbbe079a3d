package timetable_test

import (
	"testing"
	"time"

	"fleece.example/tubside/session/timetable"
)

// plan is the effort for a day that has not begun, live for each event of one
// that runs.
var (
	plan = timetable.Budget{Places: 600_000, Nodes: 1000}
	live = timetable.Budget{Places: 30_000, Nodes: 50}
)

func gap(s timetable.Solution) float64 {
	return 100 * float64(s.FinishS-s.BoundS) / float64(s.BoundS)
}

func TestGapToTheBound(t *testing.T) {
	t.Parallel()
	for _, tubs := range []int{1, 2, 3, 5} {
		for _, batches := range []int{1, 3, 6, 12, 24, 48} {
			d := full(batches, tubs).problem()
			begin := time.Now()
			s := solve(t, d.Problem, plan)
			took := time.Since(begin) // with its check
			t.Logf("%2d batches on %d tubs: %4d tasks, finish %6.1f min, bound %6.1f min, gap %4.1f %%, proven %5t, late %d, %v",
				batches, tubs, len(d.Tasks), float64(s.FinishS)/60, float64(s.BoundS)/60, gap(s), s.Proven, len(s.Late), took.Round(time.Microsecond*100))
			if batches == 24 && tubs == 5 && !s.Proven && gap(s) > 1 {
				t.Errorf("24 batches on 5 tubs: %.1f %% over the bound", gap(s))
			}
		}
	}
}

// Other days of the same size: how far from the bound they stay.
func TestGapOfOtherDays(t *testing.T) {
	all := func(int) bool { return true }
	no := func(int) bool { return false }
	for _, c := range []struct {
		name string
		day  washing
	}{
		{"no waxy fleece", washing{batches: 24, tubs: 5, kettle: true, sink: true, waxy: no}},
		{"only waxy fleece", washing{batches: 24, tubs: 5, kettle: true, sink: true, waxy: all}},
		{"no presoak", washing{batches: 24, tubs: 5, kettle: true, sink: true, waxy: everyThird, presoak: no}},
		{"hot tap, no kettle", washing{batches: 24, tubs: 5, waxy: everyThird}},
		{"four tubs", full(24, 4)},
	} {
		d := c.day.problem()
		s := solve(t, d.Problem, plan)
		t.Logf("%s: finish %.1f min, bound %.1f min, gap %.1f %%", c.name, float64(s.FinishS)/60, float64(s.BoundS)/60, gap(s))
		if len(s.Late) > 0 || gap(s) > 1 {
			t.Errorf("%s: %.1f %% over the bound, late %v", c.name, gap(s), s.Late)
		}
	}
}
