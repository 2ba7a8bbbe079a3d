package timetable_test

import (
	"testing"

	"fleece.example/tubside/session/timetable"
)

// A wish is passed where that ends the day sooner by more than it weighs, no other limit is, and what
// begins the wait is put off as far as costs nothing.
func TestWishesAreWeighed(t *testing.T) {
	for _, c := range []struct {
		maxS            int
		class           timetable.Class
		firstS, finishS int
		late            int
	}{
		{100, timetable.Wish, 90, 260, 0},
		{89, timetable.Wish, 100, 260, 1},
		{87, timetable.Wish, 200, 270, 0}, // 3 s past it weigh more than 10 of the day
		{89, timetable.Soft, 200, 270, 0},
	} {
		p := timetable.Problem{Resources: 1, Jobs: []timetable.Job{{}}, Tasks: []timetable.Task{
			{Resources: []int{0}, DurS: 10, EarliestS: 60, LatestS: timetable.None},
			{Resources: []int{0}, DurS: 60, LatestS: timetable.None},
			{Job: timetable.None, Resources: []int{0}, DurS: 90, EarliestS: 110, LatestS: timetable.None, Fixed: true},
		}, Lags: []timetable.Lag{{From: 0, To: 1, Limits: timetable.Limits{MaxS: c.maxS}, Class: c.class}}}
		s := solve(t, p, timetable.Budget{Places: 100, Nodes: 100})
		late := 0
		for _, l := range s.Late {
			late += l.ByS
		}
		if s.FinishS != c.finishS || late != c.late || s.Start[0] < c.firstS || s.Unavoidable || s.Proven != (late == 0) {
			t.Errorf("at most %d s, class %d: begun at %d, done at %d, %d s past it, proven %v", c.maxS, c.class, s.Start[0], s.FinishS, late, s.Proven)
		}
	}
}
