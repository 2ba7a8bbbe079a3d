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
// First it builds timetables by rules, and changes the order of the best one and
// the rules by chance that is the same each time (Budget.Places); then, if there
// are few enough tasks for it, it searches all orders that could beat the best
// one (Budget.Nodes), which proves the finish when it comes to its end.
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
func (s *search) keep(c cost, start, tub []int) {
	if s.found && !c.less(s.best) {
		return
	}
	s.found, s.best = true, c
	s.start, s.tub = append(s.start[:0], start...), append(s.tub[:0], tub...)
}

// try builds one timetable and keeps it if it is the best so far. Once limits
// can be kept it gives up on what would finish later than atMost.
func (s *search) try(b *builder, c *choice, atMost int) (cost, bool) {
	if !s.found || !s.best.onTime() {
		atMost = far
	}
	before := b.placed
	ok := b.build(c, atMost)
	s.placed += b.placed - before
	if !ok {
		return cost{}, false
	}
	got := b.cost()
	s.keep(got, b.start, b.tub)
	return got, true
}

func (s *search) run() error {
	s.chance = 0x9E3779B97F4A7C15
	places := s.budget.Places
	// Soft limits are mostly kept by themselves when everything starts as soon as
	// it can, and legs that are not tied by them find more gaps.
	loose := slices.ContainsFunc(s.m.p.Lags, func(l Lag) bool { return l.Class == Soft && !l.Tight })
	first := func(l Lag) bool { return !loose || l.Class == Hard || l.Tight }
	r := s.m.newRow()
	if r != nil {
		// Orders get better faster than rules do, so a few of these are enough to
		// begin with.
		b := newBuilder(s.m, s.m.cut(first))
		s.again(r, b)
		s.few(b)
		s.turns(r)
		s.mend(r, s.placed+(places-s.placed)/2)
	}
	if left := max(0, places-s.placed); r == nil || !s.found || !s.best.onTime() {
		s.byRules(left, loose, first)
	} else if s.best.finish > s.bound {
		s.walk(newBuilder(s.m, s.m.cut(first)), left/3, 0)
		if loose {
			s.walk(newBuilder(s.m, s.m.cut(func(Lag) bool { return true })), left/3, 0)
		}
	}
	s.mend(r, places)
	s.prove()
	if !s.found {
		return errors.New("no timetable was found: each job waits for a tub that another one keeps; let fewer jobs wait for others in the middle")
	}
	return nil
}

// again takes the order of the timetable wished for.
func (s *search) again(r *row, b *builder) {
	if len(s.m.p.WishS) == 0 {
		return
	}
	if r.line(s.wishes()) {
		s.keep(r.cost(), r.keptStart, r.keptTub)
		s.placed += r.placed
	}
	if !s.found || !s.best.onTime() {
		c := choice{bias: make([]int, len(b.g.tasks)), order: s.wishedOrder(), wished: true, asWas: true}
		s.try(b, &c, far)
		c.asWas = false
		s.try(b, &c, far)
	}
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

// few builds timetables by the rules that are most often best.
func (s *search) few(b *builder) {
	c := choice{bias: make([]int, len(b.g.tasks)), order: s.jobOrder()}
	for _, rule := range [4][2]int{{0, 0}, {0, 1}, {0, -1}, {2, 0}} {
		c.urgency, c.lean = rule[0], rule[1]
		s.try(b, &c, far)
		if s.placed > s.budget.Places/4 {
			return
		}
	}
}

// turns puts rows together by rules, the ones that are most often best first.
func (s *search) turns(r *row) {
	jobs := s.jobOrder()
	for _, rule := range [...]turn{
		{1, 900, 0}, {3, 0, 0}, {0, 300, 0}, {-8, 300, 120}, {-1, 0, 0}, {8, 0, 0}, {-8, 900, 0}, {1, 0, 0},
		{3, 0, 120}, {3, 300, 120}, {0, 0, 0}, {8, 900, 120}, {0, 900, 120}, {-3, 300, 0}, {-8, 0, 0}, {-8, 0, 120},
	} {
		if s.found && s.best.onTime() && s.best.finish <= s.bound {
			return
		}
		r.placed = 0
		ok := r.dispatch(rule, jobs)
		s.placed += r.placed
		if ok {
			s.keep(r.cost(), r.keptStart, r.keptTub)
		}
		if s.found && s.placed > s.budget.Places/3 {
			return
		}
	}
}

// byRules builds timetables by the plain rules and goes on from the best.
func (s *search) byRules(places int, loose bool, first func(Lag) bool) {
	until, early := s.placed+places, 0
	left := func() int { return max(0, until-s.placed) }
	if loose {
		early = places / 4
		s.walk(newBuilder(s.m, s.m.cut(first)), places, early)
	}
	if early == 0 || !s.best.onTime() {
		s.walk(newBuilder(s.m, s.m.cut(func(Lag) bool { return true })), left(), left()/2)
	}
	if s.found && !s.best.onTime() {
		// Where limits have to be passed, let longest waits give way too: the soft
		// ones first, then all.
		n := left()
		s.walk(newBuilder(s.m, s.m.cut(func(l Lag) bool { return l.Class == Hard })), n/2, n)
		s.walk(newBuilder(s.m, s.m.cut(func(Lag) bool { return false })), n/2, n)
	}
}

// prove searches all orders of a small problem for one that keeps all limits
// and beats the best.
func (s *search) prove() {
	nodes := s.exactNodes()
	if nodes <= 0 {
		return
	}
	if s.found && s.best.onTime() && s.best.finish <= s.bound {
		return
	}
	toBeat := int(s.m.p.wholeS()) + 1
	if s.found && s.best.onTime() {
		toBeat = s.best.finish
	}
	ended := s.newExact(func(Class) bool { return true }, toBeat).run(nodes)
	switch {
	case !ended || !s.found:
	case s.best.onTime():
		s.proven = true
	default:
		s.unavoidable = true
		if s.best.hard > 0 {
			s.newExact(func(c Class) bool { return c == Hard }, toBeat).run(nodes - s.nodes)
		}
	}
}

// weigh is the cost of a finished timetable.
func (s *search) weigh(start, tub []int) cost {
	was := *s
	s.start, s.tub = start, tub
	var c cost
	for _, l := range s.late() {
		if l.Class == Hard {
			c.hard = plus(c.hard, l.ByS)
		} else {
			c.soft = plus(c.soft, l.ByS)
		}
	}
	for i := range s.m.n {
		c.finish = max(c.finish, s.end(i))
	}
	for _, tasks := range s.m.jobTasks {
		if len(tasks) > 0 {
			c.sum = plus(c.sum, s.end(tasks[len(tasks)-1]))
		}
	}
	s.start, s.tub = was.start, was.tub
	return c
}

// walk builds timetables by the plain rules, then goes on from the best by
// changing it a little each time. When limits are still passed after stopLate
// placements it ends.
func (s *search) walk(b *builder, places, stopLate int) {
	until, untilLate := s.placed+places, s.placed+stopLate
	now := choice{bias: make([]int, len(b.g.tasks)), order: s.jobOrder()}
	best := choice{bias: make([]int, len(b.g.tasks)), order: slices.Clone(now.order)}
	tried := 0
	var base cost // of what best builds
	if len(s.m.p.WishS) > 0 {
		now.wished, now.order = true, s.wishedOrder()
		now.asWas = true
		s.try(b, &now, far)
		now.asWas = false
		for _, urgency := range [2]int{0, 2} {
			now.urgency = urgency
			if got, ok := s.try(b, &now, far); ok && (base == cost{} || got.less(base)) {
				best.wished, best.urgency, base = true, urgency, got
				copy(best.order, now.order)
			}
		}
		now.wished, now.order = false, s.jobOrder()
	}
	for _, atOnce := range s.underWay() {
		now.atOnce = atOnce
		for _, urgency := range [3]int{0, 2, 1} {
			if urgency > 0 && !s.limited(b.g) {
				break
			}
			for _, lean := range [7]int{0, 1, -1, 3, -3, 8, -8} {
				now.urgency, now.lean = urgency, lean
				if got, ok := s.try(b, &now, far); ok && (base == cost{} || !base.less(got)) {
					best.urgency, best.lean, best.atOnce, best.wished, base = urgency, lean, atOnce, false, got
					copy(best.order, now.order)
				}
				if tried++; s.placed >= until {
					return
				}
			}
		}
	}
	if s.found && s.best.onTime() && s.best.finish <= s.bound {
		// Only the ends of the single jobs can still get better.
		until = min(until, s.placed+places/4)
	}
	s.vary(b, &best, base, until, untilLate)
}

// vary changes the best choice a little, again and again. What is a little
// worse is gone on from too, less and less so as the effort runs out.
func (s *search) vary(b *builder, best *choice, at cost, until, untilLate int) {
	if len(b.g.tasks) < 2 || !s.found {
		return
	}
	now := choice{bias: make([]int, len(best.bias)), order: slices.Clone(best.order)}
	longest := slices.Max(append([]int{1}, s.m.dur...))
	if at == (cost{}) {
		at = s.best
	}
	whole := max(1, until-s.placed)
	for s.placed < until && (s.best.onTime() || s.placed < untilLate) {
		copy(now.bias, best.bias)
		copy(now.order, best.order)
		now.lean, now.urgency, now.wished, now.atOnce = best.lean, best.urgency, best.wished, best.atOnce
		s.change(&now, longest)
		slack := share(at.finish/100, until-s.placed, whole)
		got, ok := s.try(b, &now, at.finish+slack)
		got.finish -= slack
		if ok && got.less(at) {
			got.finish += slack
			at = got
			*best, now = now, *best
		}
	}
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
	if s.m.p.Tubs > 1 && s.chance.below(16) == 0 {
		c.atOnce = s.chance.below(s.m.p.Tubs)
	}
}

// underWay is the numbers of jobs under way at once that are worth a try: no
// limit, then from a tub fewer down.
func (s *search) underWay() []int {
	out := []int{0}
	jobs := len(s.jobOrder())
	for n := min(s.m.p.Tubs, jobs) - 1; n >= 1 && len(out) < 5; n-- {
		out = append(out, n)
	}
	return out
}

// limited says that some leg has a latest start, by itself or after another.
func (s *search) limited(g *legs) bool {
	for l, lag := range s.m.p.Lags {
		if s.m.lmax[l] < far && g.of[lag.From] != g.of[lag.To] {
			return true
		}
	}
	return slices.ContainsFunc(s.m.p.Tasks, func(t Task) bool { return t.LatestS != None })
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
		return cmp.Or(cmp.Compare(m.latest[x], m.latest[y]), cmp.Compare(m.softLatest[x], m.softLatest[y]), cmp.Compare(m.tail[y], m.tail[x]))
	})
	return order
}

// wishedOrder is the same jobs by the starts wished for.
func (s *search) wishedOrder() []int {
	order := s.jobOrder()
	wish := func(j int) int {
		if at := s.m.p.WishS[s.m.jobTasks[j][0]]; at != None {
			return at
		}
		return far
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(wish(a), wish(b)) })
	return order
}

// solution puts together what was found.
func (s *search) solution() Solution {
	out := Solution{Start: s.start, Tub: s.tub, FinishS: s.best.finish, BoundS: min(s.bound, s.best.finish),
		Unavoidable: s.unavoidable, Placed: s.placed, Nodes: s.nodes}
	if s.proven {
		out.BoundS = out.FinishS
	}
	out.Proven = s.best.onTime() && out.BoundS == out.FinishS
	out.Late = s.late()
	return out
}

func (s *search) tubOf(job int) int {
	if job == None {
		return None
	}
	return s.tub[job]
}

func (s *search) end(i int) int { return s.start[i] + s.m.durIn(i, s.tubOf(s.m.tub[i])) }

// late lists the limits that the timetable does not keep, hard ones first.
func (s *search) late() []Late {
	var out []Late
	for i, t := range s.m.p.Tasks {
		if t.LatestS != None && s.start[i] > t.LatestS {
			out = append(out, Late{i, None, s.start[i] - t.LatestS, t.LateClass})
		}
	}
	for l, lag := range s.m.p.Lags {
		_, longest := s.m.limitsIn(l, s.tubOf(s.m.lagTub[l]))
		wait := s.start[lag.To] - s.end(lag.From)
		if longest < far && wait > longest {
			out = append(out, Late{lag.To, l, wait - longest, lag.Class})
		}
	}
	slices.SortStableFunc(out, func(a, b Late) int { return cmp.Compare(a.Class, b.Class) })
	return out
}
