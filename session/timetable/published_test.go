package timetable_test

import (
	"testing"

	"fleece.example/tubside/session/timetable"
)

// Fisher and Thompson, 6 x 6: in J. F. Muth and G. L. Thompson (eds.),
// Industrial Scheduling, Prentice-Hall, 1963, p. 236. Rows of machine and
// minutes; the least finish is 55.
var sixBySix = [6][12]int{
	{2, 1, 0, 3, 1, 6, 3, 7, 5, 3, 4, 6},
	{1, 8, 2, 5, 4, 10, 5, 10, 0, 10, 3, 4},
	{2, 5, 3, 4, 5, 8, 0, 9, 1, 1, 4, 7},
	{1, 5, 0, 5, 2, 5, 3, 3, 4, 8, 5, 9},
	{2, 9, 1, 3, 4, 5, 5, 4, 0, 3, 3, 1},
	{1, 3, 3, 3, 5, 9, 0, 10, 4, 4, 2, 1},
}

func jobShop(rows [][]int, machines int) timetable.Problem {
	p := timetable.Problem{Resources: machines}
	for j, row := range rows {
		p.Jobs = append(p.Jobs, timetable.Job{})
		for k := 0; k < len(row); k += 2 {
			i := len(p.Tasks)
			p.Tasks = append(p.Tasks, timetable.Task{Job: j, Resources: row[k : k+1], DurS: row[k+1], LatestS: timetable.None})
			if k > 0 {
				p.Lags = append(p.Lags, timetable.Lag{From: i - 1, To: i, Limits: timetable.Limits{MaxS: timetable.None}})
			}
		}
	}
	return p
}

func TestSixBySix(t *testing.T) {
	var rows [][]int
	for _, row := range sixBySix {
		rows = append(rows, row[:])
	}
	p := jobShop(rows, 6)
	s := solve(t, p, plan)
	t.Logf("finish %d, bound %d", s.FinishS, s.BoundS)
	if s.FinishS != 55 || !s.Proven {
		t.Errorf("finish %d, proven %t: published 55, proven", s.FinishS, s.Proven)
	}
}
