package timetable

import (
	"cmp"
	"slices"
)

// mostExact is how many tasks the exact search takes on: each node costs their
// number squared, and more has little hope of coming to an end. With few nodes
// to spend it is mostExactShort. Budget.Nodes are meant for nodesFor tasks; with
// more there are fewer, so that the search costs no more.
const (
	mostExact      = 90
	mostExactShort = 72
	fewNodes       = 500
	nodesFor       = 60
)

// exactNodes is how many nodes the exact search may look at.
func (s *search) exactNodes() int {
	nodes, n := s.budget.Nodes, s.m.n
	switch {
	case n > mostExact || n > mostExactShort && nodes < fewNodes:
		return 0
	case n > nodesFor:
		return nodes * nodesFor * nodesFor / (n * n)
	}
	return nodes
}

// block is a stretch of time for which a resource or a tub serves one thing:
// from the start of first (or from the beginning) to the start of last plus
// lengthS.
type block struct{ first, last, lengthS int }

// pair is two blocks of which one has to come before the other.
type pair struct{ a, b int }

// exact searches all orders by halves: which of two blocks comes first. Every
// node has the longest way between every two tasks (gap), so that an order that
// no longest wait allows is seen at once.
type exact struct {
	s      *search
	m      *model
	nodes  int // left
	out    bool
	n      int // tasks; n itself stands for the beginning
	w      int
	best   int // the finish to beat
	tub    []int
	jobs   []int // those that have to be given a tub
	blocks []block
	fixed  [][]int // blocks of each resource
	pairs  []pair  // of resources
	inTub  []int   // the block of each job in its tub
	mats   [][]int // gaps of the nodes from the root to here
	works  []work
	alike  [][2]int // tasks of which the first starts no later
}

func (s *search) newExact(kind []int, best int) *exact {
	m := s.m
	e := &exact{s: s, m: m, n: m.n, w: m.n + 1, best: best, tub: make([]int, len(m.p.Jobs)), inTub: make([]int, len(m.p.Jobs))}
	e.fixed = make([][]int, m.p.Resources)
	add := func(r int, b block) {
		e.fixed[r] = append(e.fixed[r], len(e.blocks))
		e.blocks = append(e.blocks, b)
	}
	for i := range m.n {
		for _, r := range m.uses[i] {
			add(r, block{i, i, m.dur[i]})
		}
	}
	for h, hold := range m.p.Holds {
		b := block{hold.From, hold.To, 0}
		if m.holdToEnd[h] {
			b.lengthS = m.dur[hold.To]
		}
		add(hold.Resource, b)
	}
	for _, list := range e.fixed {
		for k, a := range list {
			for _, b := range list[:k] {
				e.pairs = append(e.pairs, pair{b, a})
			}
		}
	}
	for j, job := range m.p.Jobs {
		e.tub[j] = None
		tasks := m.jobTasks[j]
		if !job.NeedsTub || len(tasks) == 0 {
			if job.NeedsTub {
				e.tub[j] = 0
				if len(job.Tubs) > 0 {
					e.tub[j] = job.Tubs[0]
				}
			}
			continue
		}
		first := tasks[0]
		if job.Started {
			first = e.n
		}
		e.inTub[j] = len(e.blocks)
		last := tasks[len(tasks)-1]
		e.blocks = append(e.blocks, block{first, last, m.dur[last]})
		e.jobs = append(e.jobs, j)
	}
	e.alike = alikeFirst(m, kind)
	// The jobs with least choice first.
	slices.SortStableFunc(e.jobs, func(a, b int) int { return cmp.Compare(e.choices(a), e.choices(b)) })
	return e
}

func (e *exact) choices(job int) int {
	if tubs := e.m.p.Jobs[job].Tubs; len(tubs) > 0 {
		return len(tubs)
	}
	return e.m.p.Tubs
}

func (e *exact) limitsOf(l int) (int, int) {
	if j := e.m.lagJob[l]; j != None && e.tub[j] != None {
		return e.m.limitsIn(l, e.tub[j])
	}
	return e.m.shortest[l], e.m.longest[l]
}

// run searches and says whether it came to its end.
func (e *exact) run(nodes int) bool {
	e.nodes = nodes
	gap := make([]int, e.w*e.w)
	for i := range gap {
		gap[i] = noWay
	}
	for i := range e.w {
		gap[i*e.w+i] = 0
	}
	e.mats = [][]int{gap}
	if e.base(gap) {
		e.assign(0, 0)
	}
	return !e.out
}

// base puts in what holds by the tubs chosen so far and by the finish to beat.
func (e *exact) base(gap []int) bool {
	for i, t := range e.m.p.Tasks {
		if !e.arc(gap, e.n, i, t.EarliestS) || !e.arc(gap, i, e.n, -(e.best-1-e.m.dur[i])) {
			return false
		}
		if t.LatestS != None && !e.arc(gap, i, e.n, -t.LatestS) {
			return false
		}
	}
	for l, lag := range e.m.p.Lags {
		shortest, longest := e.limitsOf(l)
		dur := e.m.dur[lag.From]
		if !e.arc(gap, lag.From, lag.To, dur+shortest) {
			return false
		}
		if longest < unlimited && !e.arc(gap, lag.To, lag.From, -dur-longest) {
			return false
		}
	}
	for _, first := range e.alike {
		if !e.arc(gap, first[0], first[1], 0) {
			return false
		}
	}
	return true
}

// noWay is the gap between two tasks that nothing ties.
const noWay = -unlimited

// arc says that to starts at least w after from, and what follows; false if it
// cannot.
func (e *exact) arc(gap []int, from, to, w int) bool {
	n := e.w
	if gap[from*n+to] >= w {
		return true
	}
	if back := gap[to*n+from]; back > noWay && back+w > 0 {
		return false
	}
	rowTo := gap[to*n : to*n+n]
	for x := range n {
		row := gap[x*n : x*n+n]
		way := row[from]
		if way <= noWay || way+w <= row[to] {
			continue
		}
		way += w
		for y, g := range rowTo {
			if g > noWay && way+g > row[y] {
				row[y] = way + g
			}
		}
	}
	return true
}

// down copies the gaps of a node for one below it.
func (e *exact) down(depth int) []int {
	if len(e.mats) == depth+1 {
		e.mats = append(e.mats, make([]int, e.w*e.w))
	}
	copy(e.mats[depth+1], e.mats[depth])
	return e.mats[depth+1]
}

// assign gives tubs to the jobs from k on, then searches the orders.
func (e *exact) assign(depth, k int) {
	if e.nodes--; e.nodes < 0 {
		e.out = true
		return
	}
	pairs := e.pairs
	gap := e.mats[depth]
	for x, a := range e.jobs[:k] {
		for _, b := range e.jobs[:x] {
			if e.tub[a] == e.tub[b] {
				pairs = append(pairs[:len(pairs):len(pairs)], pair{e.inTub[b], e.inTub[a]})
			}
		}
	}
	if !e.tighten(gap, pairs) {
		return
	}
	if k == len(e.jobs) {
		e.order(depth, pairs)
		return
	}
	j := e.jobs[k]
	e.m.allowed(j, func(tub int) {
		if e.out || e.alikeIsFree(tub, k) {
			return
		}
		gap := e.down(depth)
		e.tub[j] = tub
		if e.base(gap) {
			e.assign(depth+1, k+1)
		}
		e.tub[j] = None
	})
}

// alikeIsFree says that an interchangeable tub with a lower number has no job
// yet, so that this one need not be tried.
func (e *exact) alikeIsFree(tub, k int) bool {
	for t := range tub {
		if e.m.tubKind[t] == e.m.tubKind[tub] && !slices.ContainsFunc(e.jobs[:k], func(j int) bool { return e.tub[j] == t }) {
			return true
		}
	}
	return false
}

// slackAB is how far a before b can be from impossible.
func (e *exact) slack(gap []int, a, b *block) int {
	back := gap[b.first*e.w+a.last]
	return -back - a.lengthS
}

func (e *exact) before(gap []int, a, b *block) bool {
	return gap[a.last*e.w+b.first] >= a.lengthS
}

// tighten decides every pair that has one way left, again and again.
func (e *exact) tighten(gap []int, pairs []pair) bool {
	for changed := true; changed; {
		changed = false
		for _, p := range pairs {
			a, b := &e.blocks[p.a], &e.blocks[p.b]
			if e.before(gap, a, b) || e.before(gap, b, a) {
				continue
			}
			ab, ba := e.slack(gap, a, b), e.slack(gap, b, a)
			switch {
			case ab < 0 && ba < 0:
				return false
			case ab < 0:
				if !e.arc(gap, b.last, a.first, b.lengthS) {
					return false
				}
				changed = true
			case ba < 0:
				if !e.arc(gap, a.last, b.first, a.lengthS) {
					return false
				}
				changed = true
			}
		}
		if !changed && !e.fits(gap) {
			return false
		}
	}
	return true
}

// fits says whether each resource by itself could meet the finish to beat.
func (e *exact) fits(gap []int) bool {
	for _, list := range e.fixed {
		works := e.works[:0]
		for _, k := range list {
			b := &e.blocks[k]
			head, length := gap[e.n*e.w+b.first], gap[b.first*e.w+b.last]+b.lengthS
			latest := -gap[b.first*e.w+e.n]
			works = append(works, work{head, length, e.best - 1 - latest - length})
		}
		e.works = works
		if oneAtATime(works) > e.best-1 {
			return false
		}
	}
	return true
}

// order decides the pairs that are still open.
func (e *exact) order(depth int, pairs []pair) {
	gap := e.mats[depth]
	var pick pair
	pickKey, wide, open := unlimited, 0, false
	for _, p := range pairs {
		a, b := &e.blocks[p.a], &e.blocks[p.b]
		if e.before(gap, a, b) || e.before(gap, b, a) {
			continue
		}
		ab, ba := e.slack(gap, a, b), e.slack(gap, b, a)
		less, more := min(ab, ba), max(ab, ba)
		if key := less + more; !open || key < pickKey || key == pickKey && less < wide {
			open, pickKey, wide = true, key, less
			if pick = p; ba > ab {
				pick = pair{p.b, p.a}
			}
		}
	}
	if !open {
		e.leaf(gap)
		return
	}
	for _, p := range [2]pair{pick, {pick.b, pick.a}} {
		if e.nodes--; e.nodes < 0 {
			e.out = true
		}
		if e.out {
			return
		}
		next := e.down(depth)
		a, b := &e.blocks[p.a], &e.blocks[p.b]
		if e.beat(next) && e.arc(next, a.last, b.first, a.lengthS) && e.tighten(next, pairs) {
			e.order(depth+1, pairs)
		}
	}
}

// beat puts in the finish to beat, which may have come down since the node was
// made.
func (e *exact) beat(gap []int) bool {
	for i := range e.n {
		if !e.arc(gap, i, e.n, -(e.best - 1 - e.m.dur[i])) {
			return false
		}
	}
	return true
}

// leaf keeps a timetable in which all is decided.
func (e *exact) leaf(gap []int) {
	finish := 0
	for i := range e.n {
		finish = max(finish, gap[e.n*e.w+i]+e.m.dur[i])
	}
	if finish >= e.best {
		return
	}
	e.best = finish
	start := gap[e.n*e.w : e.n*e.w+e.n]
	e.s.keep(cost{finish: finish, sum: e.m.endSum(start)}, start, e.tub)
}
