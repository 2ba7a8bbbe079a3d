package timetable

import (
	"cmp"
	"errors"
	"slices"
	"sort"
)

// Solve finds a timetable within a budget. Only an unsound problem, or one whose
// jobs wait for each other's tubs for ever, is an error; limits that cannot all
// be kept are not: they are passed by as little as was found possible, soft ones
// before hard ones, wishes where that is worth it, and named in Solution.Late.
//
// First it puts the tasks in an order, by the starts wished for and by rules, and
// improves the best order by chance that is the same each time (Budget.Places).
// Then, if there are few enough tasks for it, it searches all orders that could
// beat the best one (Budget.Nodes), which proves the finish when it comes to its
// end; what it found late in the day is improved again.
func Solve(p Problem, budget Budget) (Solution, error) {
	if Memory != nil {
		return remembered(p, budget)
	}
	return solve(p, budget)
}

func solve(p Problem, budget Budget) (Solution, error) {
	m, err := compile(&p)
	if err != nil {
		return Solution{}, err
	}
	tries := []trial{{}}
	if len(m.fixed) > 0 {
		tries = triesAround()
		budget.Places = share(budget.Places, 3, 2*len(tries))
		if (&search{m: m, budget: budget}).exactNodes() > 0 { // most of their searches of all orders are left out
			budget.Places *= 2
		}
	}
	var best search
	for _, t := range tries {
		s := search{m: m, budget: budget, bound: m.bound(), chance: 0x9E3779B97F4A7C15 + chance(t.rule+t.roomS+t.restS), rival: best.best, rivals: best.found, unavoidable: best.unavoidable}
		if s.run(t); s.found && (!best.found || s.best.less(best.best)) {
			best = s
		}
		best.unavoidable = s.unavoidable
		if best.found && (best.proven || best.meetsBound()) {
			break
		}
	}
	if !best.found {
		return Solution{}, errors.New("no timetable was found: each job waits for a tub that another one keeps; let fewer jobs wait for others in the middle")
	}
	return best.solution(), nil
}

// trial is one search: how long before a fixed task nothing more is counted on to be through, s,
// the rule of dispatch that it begins with, and from when on anything is begun, s.
type trial struct{ roomS, rule, restS int }

// search is the state of one Solve.
type search struct {
	m      *model
	budget Budget
	bound  int
	chance chance

	rival       cost // the best of the trials before, if there were any
	rivals      bool
	found       bool
	best        cost
	start, tub  []int
	proven      bool // nothing is better
	unavoidable bool // nothing keeps the limits that are no wish
	placed      int  // of budget.Places
	keptAt      int  // placed, when the best was found
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

// rules are what dispatch goes by, those most often best first.
var rules = []rule{
	{1, 900, 0}, {3, 0, 0}, {0, 300, 0}, {-8, 300, 120}, {-1, 0, 0}, {8, 0, 0}, {-8, 900, 0}, {1, 0, 0},
	{3, 0, 120}, {3, 300, 120}, {0, 0, 0}, {8, 900, 120}, {0, 900, 120}, {-3, 300, 0}, {-8, 0, 0}, {-8, 0, 120},
}

func (s *search) run(t trial) {
	q := s.m.newSequence()
	q.trial = t
	if t.rule == 0 && len(s.m.p.WishS) > 0 {
		s.keepIf(q, q.arrange(s.wishes()))
	}
	jobs := s.jobOrder()
	for _, by := range rules[t.rule:] {
		if s.found && (t.rule > 0 || s.meetsBound() || s.placed > s.budget.Places/3) {
			break
		}
		s.keepIf(q, q.dispatch(by, jobs))
	}
	s.improve(q, s.budget.Places/2)
	s.improve(q, share(s.budget.Places, 3, 4))
	s.prove(q.kind)
	if !s.proven {
		s.improve(q, s.budget.Places)
	}
}

// keepIf keeps the timetable of a sequence if it could be made.
func (s *search) keepIf(q *sequence, made bool) {
	s.placed += q.placed
	q.placed = 0
	if made {
		s.keep(q.cost(), q.keptStart, q.keptTub)
	}
}

// keep remembers a timetable if it is the best so far.
func (s *search) keep(c cost, start, tub []int) {
	if s.found && !c.less(s.best) {
		return
	}
	s.found, s.best, s.keptAt = true, c, s.placed
	s.start, s.tub = append(s.start[:0], start...), append(s.tub[:0], tub...)
}

// meetsBound says that the finish cannot be beaten.
func (s *search) meetsBound() bool { return s.best.onTime() && s.best.finish <= s.bound }

// idle says that nothing better was found for as long as the budget waits. Only where there
// is a timetable to begin with: from nothing, a long search may be worth its while.
func (s *search) idle() bool {
	return s.budget.Idle > 0 && len(s.m.p.WishS) > 0 && s.found && s.placed-s.keptAt > s.budget.Idle
}

// wishes is a start for each task that no lag speaks against.
func (s *search) wishes() []int {
	out := make([]int, s.m.n)
	for _, i := range s.m.order {
		out[i] = max(out[i], s.m.p.WishS[i], s.m.head[i])
		for _, l := range s.m.out[i] {
			to := s.m.p.Lags[l].To
			out[to] = max(out[to], out[i]+1)
		}
	}
	return out
}

// jobOrder is the jobs that need a tub: those with a latest start first, then
// the longest.
func (s *search) jobOrder() []int {
	var order []int
	m := s.m
	for j, job := range m.p.Jobs {
		if job.NeedsTub && len(m.jobTasks[j]) > 0 {
			order = append(order, j)
		}
	}
	slices.SortStableFunc(order, func(a, b int) int {
		x, y := m.jobTasks[a][0], m.jobTasks[b][0]
		return cmp.Or(slices.Compare(m.latest[x][:], m.latest[y][:]), cmp.Compare(m.tail[y], m.tail[x]))
	})
	return order
}

// prove searches all orders of a small problem for one that keeps all limits
// and beats the best.
func (s *search) prove(kind []int) {
	nodes := s.exactNodes()
	if nodes <= 0 || s.unavoidable || s.found && (s.meetsBound() || s.rivals && !s.best.less(s.rival)) {
		return
	}
	toBeat := int(s.m.p.wholeS()) + 1
	if s.found && s.best.keeps() {
		toBeat = s.best.worth()
	}
	if ended := s.newExact(kind, toBeat).run(nodes); ended && s.found {
		s.proven, s.unavoidable = s.best.keeps(), !s.best.keeps()
	}
}

// solution puts together what was found.
func (s *search) solution() Solution {
	out := Solution{Start: s.start, Tub: s.tub, FinishS: s.best.finish, BoundS: min(s.bound, s.best.finish),
		Late: s.m.late(s.start, s.tub), Unavoidable: s.unavoidable}
	if s.proven && s.best.onTime() {
		out.BoundS = out.FinishS
	}
	out.Proven = s.best.onTime() && out.BoundS == out.FinishS
	return out
}

// late lists the limits that a timetable does not keep, hard ones first.
func (m *model) late(start, tub []int) []Late {
	var out []Late
	for i, t := range m.p.Tasks {
		if t.LatestS != None && start[i] > t.LatestS {
			out = append(out, Late{i, None, start[i] - t.LatestS, t.LateClass})
		}
	}
	for l, lag := range m.p.Lags {
		in := None
		if m.lagJob[l] != None {
			in = tub[m.lagJob[l]]
		}
		_, longest := m.limitsIn(l, in)
		wait := start[lag.To] - start[lag.From] - m.dur[lag.From]
		if longest < unlimited && wait > longest {
			out = append(out, Late{lag.To, l, wait - longest, lag.Class})
		}
	}
	sort.SliceStable(out, func(i, j int) bool { return out[i].Class < out[j].Class })
	return out
}

// endSum is the sum of the jobs' ends.
func (m *model) endSum(start []int) int {
	sum := 0
	for _, tasks := range m.jobTasks {
		if len(tasks) > 0 {
			last := tasks[len(tasks)-1]
			sum = plus(sum, start[last]+m.dur[last])
		}
	}
	return sum
}
