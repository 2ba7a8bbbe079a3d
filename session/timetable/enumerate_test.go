package timetable_test

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"

	"fleece.example/tubside/session/long"
	"fleece.example/tubside/session/timetable"
)

// leastFinish tries every order of a person's tasks and every tub for every
// job; -1 if no order keeps the limits. It knows only problems in which each
// task of a job needs the person and other tasks (boils) the kettle, held until
// the task they serve; then the order of the person's tasks settles all others.
func leastFinish(p timetable.Problem) int {
	chains := make([][]int, len(p.Jobs))
	for i, t := range p.Tasks {
		if t.Job != timetable.None {
			chains[t.Job] = append(chains[t.Job], i)
		}
	}
	best := -1
	tubs := make([]int, len(p.Jobs))
	var giveTubs func(j int)
	giveTubs = func(j int) {
		if j < len(p.Jobs) {
			for t := range p.Tubs {
				if only := p.Jobs[j].Tubs; len(only) == 0 || slices.Contains(only, t) {
					tubs[j] = t
					giveTubs(j + 1)
				}
			}
			return
		}
		done := make([]int, len(p.Jobs))
		var order []int
		var extend func()
		extend = func() {
			any := false
			for j, chain := range chains {
				if done[j] == len(chain) {
					continue
				}
				any = true
				if done[j] == 0 && tubTaken(tubs, done, chains, j) || waitsFor(p, order, chain[done[j]]) {
					continue
				}
				order = append(order, chain[done[j]])
				done[j]++
				extend()
				done[j]--
				order = order[:len(order)-1]
			}
			if any {
				return
			}
			if f := timeOrder(p, order, tubs, best); f >= 0 && (best < 0 || f < best) {
				best = f
			}
		}
		extend()
	}
	giveTubs(0)
	return best
}

// waitsFor says that a lag leads to a task from one of another job that is not in the order yet.
func waitsFor(p timetable.Problem, order []int, task int) bool {
	return slices.ContainsFunc(p.Lags, func(l timetable.Lag) bool {
		return l.To == task && p.Tasks[l.From].Job != timetable.None && !slices.Contains(order, l.From)
	})
}

func tubTaken(tubs, done []int, chains [][]int, job int) bool {
	for j := range tubs {
		if j != job && tubs[j] == tubs[job] && done[j] > 0 && done[j] < len(chains[j]) {
			return true
		}
	}
	return false
}

// timeOrder finds the earliest starts for one order by pushing until nothing moves, or until
// it comes no sooner than a finish that is known already, 0 or more.
func timeOrder(p timetable.Problem, order, tubs []int, known int) int {
	dur := func(i int) int { return p.Tasks[i].DurS }
	limits := func(l timetable.Lag) timetable.Limits {
		if len(l.OnS) > 0 {
			return l.OnS[tubs[p.Tasks[l.From].Job]]
		}
		return l.Limits
	}
	boils := make([]int, len(p.Tasks)) // one more than the boil of each task
	for _, h := range p.Holds {
		boils[h.To] = h.From + 1
	}
	start := make([]int, len(p.Tasks))
	for i, t := range p.Tasks {
		start[i] = t.EarliestS
	}
	for round := 0; ; round++ {
		moved, tooLate := false, false
		raise := func(i, at int) {
			if at > start[i] {
				start[i], moved = at, true
				tooLate = tooLate || known >= 0 && at+dur(i) >= known || p.Tasks[i].LatestS != timetable.None && at > p.Tasks[i].LatestS
			}
		}
		for _, l := range p.Lags {
			m := limits(l)
			raise(l.To, start[l.From]+dur(l.From)+m.MinS)
			if m.MaxS != timetable.None {
				raise(l.From, start[l.To]-m.MaxS-dur(l.From))
			}
		}
		served := timetable.None
		level, since := p.Stock.FirstS, 0
		for k, i := range order {
			if takes := p.Tasks[i].Takes; len(takes) > 0 {
				x := takes[0]
				if len(takes) > 1 {
					x = takes[tubs[p.Tasks[i].Job]]
				}
				level, since = min(p.Stock.FullS, level+start[i]-since), start[i]
				raise(i, start[i]+max(0, x.NeedS-level))
				level = max(level-x.TakeS, min(level, x.LeftS))
			}
			if k > 0 {
				raise(i, start[order[k-1]]+dur(order[k-1]))
			}
			if boil := boils[i] - 1; boil >= 0 {
				if served != timetable.None {
					raise(boil, start[served])
				}
				served = i
			}
			for _, f := range p.Tasks {
				if from, to := f.EarliestS, f.EarliestS+f.DurS; f.Fixed {
					if start[i] < to && start[i]+dur(i) > from {
						raise(i, to)
					}
					if boil := boils[i] - 1; boil >= 0 && len(f.Resources) > 1 && start[boil] < to && start[i] > from {
						raise(boil, to)
					}
				}
			}
		}
		if !moved {
			break
		}
		if tooLate || round > 2000 {
			return -1
		}
	}
	finish := 0
	for i, t := range p.Tasks {
		if t.LatestS != timetable.None && start[i] > t.LatestS {
			return -1
		}
		finish = max(finish, start[i]+dur(i))
	}
	return finish
}

// smallDay is a random day of three short batches on two tubs, on a coarse grid
// of seconds so that ties abound.
func smallDay(rng *rand.Rand) timetable.Problem {
	p := timetable.Problem{Resources: 2, Tubs: 2}
	apart := rng.IntN(3) == 0 // tubs that differ
	for j := range 3 {
		job := timetable.Job{NeedsTub: true}
		if rng.IntN(6) == 0 {
			job.Tubs = []int{rng.IntN(2)}
		}
		p.Jobs = append(p.Jobs, job)
		chain := 3 + rng.IntN(2)
		if j == 2 {
			chain = 2
		}
		for k := range chain {
			i := len(p.Tasks)
			t := timetable.Task{Job: j, Resources: []int{person}, DurS: 1 + rng.IntN(5), LatestS: timetable.None}
			if rng.IntN(10) == 0 {
				t.EarliestS = rng.IntN(15)
			}
			if rng.IntN(14) == 0 {
				t.LatestS = 5 + rng.IntN(40)
			}
			p.Tasks = append(p.Tasks, t)
			if k == 0 {
				continue
			}
			l := timetable.Lag{From: i - 1, To: i, Limits: timetable.Limits{MinS: rng.IntN(8), MaxS: timetable.None}}
			if rng.IntN(2) == 0 {
				l.MaxS = l.MinS + rng.IntN(5)
				l.Class = timetable.Class(rng.IntN(2))
			}
			if apart {
				l.OnS = []timetable.Limits{l.Limits, l.Limits}
				l.OnS[1].MinS = max(0, l.MinS-rng.IntN(3))
			}
			p.Lags = append(p.Lags, l)
		}
	}
	if rng.IntN(2) == 0 { // a boil for the first task of some
		for i, t := range p.Tasks[:len(p.Tasks):len(p.Tasks)] {
			if t.Job != timetable.None && (i == 0 || p.Tasks[i-1].Job != t.Job) && rng.IntN(4) > 0 {
				boil := len(p.Tasks)
				p.Tasks = append(p.Tasks, timetable.Task{Job: timetable.None, Resources: []int{kettle}, DurS: 2 + rng.IntN(4), LatestS: timetable.None})
				p.Lags = append(p.Lags, timetable.Lag{From: boil, To: i, Limits: timetable.Limits{MaxS: rng.IntN(6)}})
				p.Holds = append(p.Holds, timetable.Hold{Resource: kettle, From: boil, To: i})
			}
		}
	}
	return p
}

// tankDay is a small day whose fills take from a tank: kettles that may not stand, fleece
// that may not hang, and hot water that has to come back.
func tankDay(rng *rand.Rand) timetable.Problem {
	p := smallDay(rng)
	p.Stock = timetable.Stock{FullS: 12 + rng.IntN(10)}
	p.Stock.FirstS = p.Stock.FullS - rng.IntN(8)
	for i, t := range p.Tasks {
		if t.Job == timetable.None || rng.IntN(3) == 0 {
			continue
		}
		for range 1 + rng.IntN(2) {
			need := 3 + rng.IntN(p.Stock.FullS-3)
			p.Tasks[i].Takes = append(p.Tasks[i].Takes, timetable.Take{NeedS: need, TakeS: 1 + rng.IntN(p.Stock.FullS), LeftS: rng.IntN(need)})
		}
	}
	return p
}

// Days with a tank against every order and tub, timed by other code than the timetable's:
// limits are kept where they can be, and the finish is the best or near it.
func TestTankDaysAgainstAllOrders(t *testing.T) {
	t.Parallel()
	var over []float64
	best, late, days := 0, 0, 0
	for seed := uint64(1); seed <= long.Of[uint64](8, 200); seed++ {
		p := tankDay(rand.New(rand.NewPCG(seed, 13)))
		want := leastFinish(p)
		s := solve(t, p, timetable.Budget{Places: 20_000, Nodes: 20_000})
		if want < 0 {
			continue
		}
		days++
		switch {
		case len(s.Late) > 0:
			late++
		case s.FinishS < want:
			t.Errorf("seed %d: finish %d, all orders %d", seed, s.FinishS, want)
		case s.FinishS == want:
			best++
		default:
			over = append(over, float64(s.FinishS-want)/float64(want))
		}
		if s.BoundS > want || s.Proven && s.FinishS != want {
			t.Errorf("seed %d: bound %d, proven %v, all orders %d", seed, s.BoundS, s.Proven, want)
		}
	}
	t.Logf("seeds from 1: %d days, %d best, %d late, the others over by %.2f", days, best, late, over)
}

// Small days are solved to the end, and of alike batches, which are searched in one order only,
// nothing is lost.
func TestSmallDaysAgainstAllOrders(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name   string
		day    func(*rand.Rand) timetable.Problem
		stream uint64
	}{{"small", smallDay, 7}, {"alike", alikeDay, 11}} {
		for seed := uint64(1); seed <= long.Of[uint64](10, 40); seed++ {
			t.Run(fmt.Sprintf("%s, seed %d", c.name, seed), func(t *testing.T) {
				p := c.day(rand.New(rand.NewPCG(seed, c.stream)))
				isBest(t, leastFinish(p), solve(t, p, timetable.Budget{Places: int(seed%2) * 2000, Nodes: 20_000}))
			})
		}
	}
}

// isBest holds what the exact search found to the least finish of all orders, -1 for none.
func isBest(t *testing.T, want int, s timetable.Solution) {
	t.Helper()
	switch {
	case want < 0 && (!s.Unavoidable || len(s.Late) == 0):
		t.Errorf("no order keeps the limits; late %v, unavoidable %t", s.Late, s.Unavoidable)
	case want >= 0 && (!s.Proven || s.FinishS != want):
		t.Errorf("finish %d (proven %t, late %v): all orders %d", s.FinishS, s.Proven, s.Late, want)
	}
}

// breakDay is a small day with one or two breaks, in which nobody is there for the kettle either.
func breakDay(rng *rand.Rand) timetable.Problem {
	p := smallDay(rng)
	for from := 3 + rng.IntN(20); from < 40; from += 10 + rng.IntN(40) {
		p.Tasks = append(p.Tasks, timetable.Task{Job: timetable.None, Resources: []int{person, kettle}[:1+rng.IntN(2)], DurS: 2 + rng.IntN(7), EarliestS: from, LatestS: timetable.None, Fixed: true})
	}
	return p
}

// Days with breaks against every order and tub: nothing is done in one, limits are kept where
// they can be, and what is found in few steps is not far from the best.
func TestBreaksAgainstAllOrders(t *testing.T) {
	best, days, late, two := 0, 0, 0, 0
	for seed := uint64(1); seed <= long.Of[uint64](12, 80); seed++ {
		t.Run(fmt.Sprintf("seed %d", seed), func(t *testing.T) {
			p := breakDay(rand.New(rand.NewPCG(seed, 17)))
			want := leastFinish(p)
			s := solve(t, p, timetable.Budget{Places: 3000, Nodes: 20_000})
			isBest(t, want, s)
			if want >= 0 && workBehind(p, s) > 1 {
				two++
			}
			s = solve(t, p, timetable.Budget{Places: 3000})
			switch {
			case want < 0:
				return
			case len(s.Late) > 0:
				late++
			case s.FinishS == want:
				best++
			}
			days++
		})
	}
	t.Logf("without the exact search: %d days, %d best, %d late; %d days go around two breaks", days, best, late, two)
	if two < 3 {
		t.Errorf("%d days alone go around two breaks", two)
	}
	if late > days/20 || best < days/3 {
		t.Errorf("without the exact search %d of %d are best, and %d late", best, days, late)
	}
}

// workBehind is how many breaks have work behind them.
func workBehind(p timetable.Problem, s timetable.Solution) (n int) {
	for i, b := range p.Tasks {
		for j, t := range p.Tasks {
			if b.Fixed && !t.Fixed && s.Start[j] >= s.Start[i]+b.DurS {
				n++
				break
			}
		}
	}
	return n
}

// alikeDay is a small day of which two or all three batches are alike, boils
// and limits too.
func alikeDay(rng *rand.Rand) timetable.Problem {
	p := timetable.Problem{Resources: 2, Tubs: 2}
	chain := func(n int) (tasks []timetable.Task, lags []timetable.Limits, boilS int) {
		for range n {
			tasks = append(tasks, timetable.Task{Resources: []int{person}, DurS: 1 + rng.IntN(5), LatestS: timetable.None})
			l := timetable.Limits{MinS: rng.IntN(8), MaxS: timetable.None}
			if rng.IntN(2) == 0 {
				l.MaxS = l.MinS + rng.IntN(5)
			}
			lags = append(lags, l)
		}
		if rng.IntN(12) == 0 {
			tasks[n-1].LatestS = 25 + rng.IntN(40)
		}
		return tasks, lags, rng.IntN(2) * (2 + rng.IntN(4))
	}
	tasks, lags, boilS := chain(3)
	apart := rng.IntN(2)
	for j := range 3 {
		if j == 2 && apart == 1 {
			tasks, lags, boilS = chain(2)
		}
		p.Jobs = append(p.Jobs, timetable.Job{NeedsTub: true})
		for k, t := range tasks {
			i := len(p.Tasks)
			t.Job = j
			p.Tasks = append(p.Tasks, t)
			if k > 0 {
				p.Lags = append(p.Lags, timetable.Lag{From: i - 1, To: i, Limits: lags[k]})
			}
		}
		if boilS > 0 {
			boil, fill := len(p.Tasks), len(p.Tasks)-len(tasks)
			p.Tasks = append(p.Tasks, timetable.Task{Job: timetable.None, Resources: []int{kettle}, DurS: boilS, LatestS: timetable.None})
			p.Lags = append(p.Lags, timetable.Lag{From: boil, To: fill, Limits: timetable.Limits{MaxS: 3}})
			p.Holds = append(p.Holds, timetable.Hold{Resource: kettle, From: boil, To: fill})
		}
	}
	return p
}
