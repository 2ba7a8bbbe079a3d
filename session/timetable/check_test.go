package timetable_test

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"fleece.example/tubside/session/long"
	"fleece.example/tubside/session/timetable"
)

// Check has to find what is wrong, or all tests that lean on it are blind.
func TestCheckFindsWhatIsWrong(t *testing.T) {
	d := full(3, 2).problem()
	good := solve(t, d.Problem, timetable.Budget{Places: 2000})
	last := slices.Index(good.Start, slices.Max(good.Start))
	lift := slices.Index(d.what, "lift and drain")
	wash := slices.IndexFunc(d.Lags, func(l timetable.Lag) bool { return l.Class == timetable.Hard && l.MinS == 20*60 })
	for _, c := range []struct {
		name  string
		spoil func(s *timetable.Solution)
	}{
		{"a start is missing", func(s *timetable.Solution) { s.Start = s.Start[1:] }},
		{"a tub that is not there", func(s *timetable.Solution) { s.Tub[0] = 2 }},
		{"no tub", func(s *timetable.Solution) { s.Tub[0] = timetable.None }},
		{"before the day", func(s *timetable.Solution) { s.Start[0] = -1 }},
		{"a soak too short", func(s *timetable.Solution) { s.Start[lift]-- }},
		{"all in one tub", func(s *timetable.Solution) { s.Tub = []int{0, 0, 0} }},
		{"the finish is wrong", func(s *timetable.Solution) { s.FinishS-- }},
		{"the bound is beyond the finish", func(s *timetable.Solution) { s.BoundS = s.FinishS + 1 }},
		{"proven without a bound", func(s *timetable.Solution) { s.Proven, s.BoundS = true, s.FinishS-1 }},
		{"two tasks at once", func(s *timetable.Solution) { s.Start[0] = s.Start[last] }},
		{"late without cause", func(s *timetable.Solution) { s.Late = []timetable.Late{{Task: 0, Lag: timetable.None, ByS: 1}} }},
		{"a wash too long, in silence", func(s *timetable.Solution) {
			to := d.Lags[wash].To
			by := 3600
			for i := range s.Start {
				if s.Start[i] >= s.Start[to] {
					s.Start[i] += by
				}
			}
			s.FinishS += by
		}},
	} {
		bad := good
		bad.Start, bad.Tub = slices.Clone(good.Start), slices.Clone(good.Tub)
		c.spoil(&bad)
		if err := timetable.Check(d.Problem, bad); err == nil {
			t.Errorf("%s: not found", c.name)
		}
	}
}

// Lifts that are due about now, more than can be done in time: against every
// order, hard lateness first, then soft.
func TestLeastLatenessAgainstAllOrders(t *testing.T) {
	missed := 0
	days := long.Of[uint64](60, 200)
	for seed := uint64(1); seed <= days; seed++ {
		rng := rand.New(rand.NewPCG(seed, 19))
		p := timetable.Problem{Resources: 1, Tubs: 6}
		n := 2 + rng.IntN(5)
		for tub := range n {
			p.Jobs = append(p.Jobs, timetable.Job{NeedsTub: true, Started: true, Tubs: []int{tub}})
			p.Tasks = append(p.Tasks, timetable.Task{Job: tub, Resources: []int{person}, DurS: 60 + rng.IntN(240),
				LatestS: rng.IntN(600), LateClass: timetable.Class(rng.IntN(2))})
		}
		s := solve(t, p, plan)
		got := [2]int{}
		for _, l := range s.Late {
			got[l.Class] += l.ByS
		}
		want := [2]int{math.MaxInt, 0}
		var try func(done, at int, late [2]int)
		try = func(done, at int, late [2]int) {
			if done == 1<<n-1 && (late[0] < want[0] || late[0] == want[0] && late[1] < want[1]) {
				want = late
			}
			for i, task := range p.Tasks {
				if done&(1<<i) == 0 {
					next := late
					next[task.LateClass] += max(0, at-task.LatestS)
					try(done|1<<i, at+task.DurS, next)
				}
			}
		}
		try(0, 0, [2]int{})
		if got != want {
			missed++
			t.Logf("seed %d: late by %d s hard and %d s soft, least %d and %d", seed, got[0], got[1], want[0], want[1])
		}
	}
	if missed > 0 {
		t.Errorf("%d of %d days are later than need be", missed, days)
	}
}
