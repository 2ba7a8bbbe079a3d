package timetable_test

import (
	"strings"
	"testing"

	"fleece.example/tubside/session/must"
	"fleece.example/tubside/session/timetable"
)

// The longest plan there is has sums beyond 31 bits: a board with ints of 32 bits
// plans it like any other machine, and one that is longer is refused by both.
func TestLongPlansFitSmallInts(t *testing.T) {
	const n, each = 40, 2_500_000 // s; together the most that is planned
	p := timetable.Problem{Resources: 1}
	for range n {
		p.Jobs = append(p.Jobs, timetable.Job{})
		p.Tasks = append(p.Tasks, timetable.Task{Job: len(p.Jobs) - 1, Resources: []int{0}, DurS: each, LatestS: 0, LateClass: timetable.Hard})
	}
	s := must.Get(timetable.Solve(p, timetable.Budget{Places: 20_000, Nodes: 10})).In(t)
	if s.FinishS != n*each {
		t.Errorf("finish %d s, want %d", s.FinishS, n*each)
	}
	late := int64(0)
	for _, l := range s.Late {
		late += int64(l.ByS)
	}
	if want := int64(each) * n * (n - 1) / 2; late != want || want <= 1<<30 {
		t.Errorf("late by %d s, want %d", late, want)
	}
	p.Tasks[0].EarliestS = 1
	if _, err := timetable.Solve(p, timetable.Budget{Places: 1}); err == nil || !strings.Contains(err.Error(), "can be planned") {
		t.Errorf("one second more: %v", err)
	}
}
