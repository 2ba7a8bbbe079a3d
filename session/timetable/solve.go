package timetable

import (
	"cmp"
	"errors"
	"slices"
)

// Solve finds a timetable within a budget. Only an unsound problem, or one whose
// jobs wait for each other's tubs for ever, is an error; limits that cannot all
// be kept are not: they are passed by as little as was found possible, soft ones
// before hard ones, and named in Solution.Late.
//
// First it builds timetables by rules and by chance that is the same each time
// (Budget.Places); then, if there are few enough tasks for it, it searches all
// orders that could beat the best one (Budget.Nodes), which proves the finish
// when it comes to its end.
func Solve(p Problem, budget Budget) (Solution, error) {
	m, err := compile(&p)
	if err != nil {
		return Solution{}, err
	}
	s := search{m: m, budget: budget, bound: m.bound()}
	if err := s.run(); err != nil {
		return Solution{}, err
	}
	return s.solution(), nil
}

// search is the state of one Solve.
type search struct {
	m      *model
	budget Budget
	bound  int
	chance chance

	found       bool
	best        cost
	start, tub  []int
	proven      bool
	unavoidable bool
	placed      int
	nodes       int
}

// chance is a xorshift generator.
type chance uint64

func (c *chance) below(n int) int {
	x := *c
	x ^= x << 13
	x ^= x >> 7
	x ^= x << 17
	*c = x
	return int(uint64(x>>11) % uint64(n))
}

// keep remembers a timetable if it is the best so far.
func (s *search) keep(c cost, start, tub []int) bool {
	if s.found && !c.less(s.best) {
		return false
	}
	s.found, s.best = true, c
	s.start, s.tub = append(s.start[:0], start...), append(s.tub[:0], tub...)
	return true
}

// try builds one timetable and keeps it if it is the best so far. It says
// whether it is at least as good.
func (s *search) try(b *builder, c *choice) bool {
	atMost := far
	if s.found && s.best.onTime() {
		atMost = s.best.finish
	}
	before := b.placed
	ok := b.build(c, atMost)
	s.placed += b.placed - before
	if !ok {
		return false
	}
	got := b.cost()
	if s.found && s.best.less(got) {
		return false
	}
	s.keep(got, b.start, b.tub)
	return true
}

func (s *search) run() error {
	s.chance = 0x9E3779B97F4A7C15
	all := s.m.cut(func(Class) bool { return true })
	s.walk(newBuilder(s.m, all), s.budget.Places)
	if !s.found {
		return errors.New("no timetable was found: each job waits for a tub that another one keeps; let fewer jobs wait for others in the middle")
	}
	return nil
}

// walk builds timetables by the plain rules, then goes on from the best by
// changing it a little each time.
func (s *search) walk(b *builder, places int) {
	until := s.placed + places
	now := choice{bias: make([]int, len(b.g.tasks)), order: s.jobOrder()}
	best := choice{bias: make([]int, len(b.g.tasks)), order: slices.Clone(now.order)}
	tried := 0
	for _, urgency := range [3]int{2, 1, 0} {
		if urgency < 2 && !s.limited() {
			break
		}
		for _, lean := range [7]int{0, 1, -1, 3, -3, 8, -8} {
			now.urgency, now.lean = urgency, lean
			if s.try(b, &now) {
				best.urgency, best.lean = urgency, lean
			}
			if tried++; s.placed >= until {
				return
			}
		}
	}
	longest := s.longestHands()
	for s.placed < until && len(b.g.tasks) > 1 {
		copy(now.bias, best.bias)
		copy(now.order, best.order)
		now.lean, now.urgency = best.lean, best.urgency
		s.change(&now, longest)
		if s.try(b, &now) {
			best, now = now, best
		}
	}
}

// limited says that some start has a latest time.
func (s *search) limited() bool {
	return slices.ContainsFunc(s.m.p.Tasks, func(t Task) bool { return t.LatestS != None })
}

func (s *search) longestHands() int {
	longest := 1
	for i := range s.m.n {
		longest = max(longest, s.m.dur[i])
	}
	return longest
}

// change alters a choice a little.
func (s *search) change(c *choice, longest int) {
	for range 1 + s.chance.below(3) {
		k := s.chance.below(len(c.bias))
		if s.chance.below(4) == 0 {
			c.bias[k] = 0
		} else {
			c.bias[k] += s.chance.below(4*longest+1) - 2*longest
		}
	}
	if len(c.order) > 1 && s.chance.below(3) == 0 {
		a, b := s.chance.below(len(c.order)), s.chance.below(len(c.order))
		c.order[a], c.order[b] = c.order[b], c.order[a]
	}
	if s.chance.below(16) == 0 {
		c.lean = s.chance.below(17) - 8
	}
	if s.chance.below(16) == 0 {
		c.urgency = s.chance.below(3)
	}
}

// jobOrder is the jobs that need a tub, longest first.
func (s *search) jobOrder() []int {
	var order []int
	length := make([]int, len(s.m.p.Jobs))
	for j, job := range s.m.p.Jobs {
		if job.NeedsTub && len(s.m.jobTasks[j]) > 0 {
			order = append(order, j)
			length[j] = s.m.tail[s.m.jobTasks[j][0]]
		}
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(length[b], length[a]) })
	return order
}

// solution puts together what was found.
func (s *search) solution() Solution {
	m := s.m
	out := Solution{Start: s.start, Tub: s.tub, FinishS: s.best.finish, BoundS: min(s.bound, s.best.finish),
		Unavoidable: s.unavoidable, Placed: s.placed, Nodes: s.nodes}
	if s.proven {
		out.BoundS = out.FinishS
	}
	out.Proven = s.best.onTime() && out.BoundS == out.FinishS
	for i, t := range m.p.Tasks {
		if t.LatestS != None && s.start[i] > t.LatestS {
			out.Late = append(out.Late, Late{i, None, s.start[i] - t.LatestS, t.LateClass})
		}
	}
	tubOf := func(j int) int {
		if j == None {
			return None
		}
		return s.tub[j]
	}
	for l, lag := range m.p.Lags {
		_, longest := m.limitsIn(l, tubOf(m.lagTub[l]))
		wait := s.start[lag.To] - s.start[lag.From] - m.durIn(lag.From, tubOf(m.tub[lag.From]))
		if longest < far && wait > longest {
			out.Late = append(out.Late, Late{lag.To, l, wait - longest, lag.Class})
		}
	}
	slices.SortStableFunc(out.Late, func(a, b Late) int { return cmp.Compare(a.Class, b.Class) })
	return out
}
