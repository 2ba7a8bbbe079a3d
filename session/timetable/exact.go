package timetable

import (
	"cmp"
	"slices"
)

// The exact search takes on mostTasksExact at the most: each node costs their number
// squared, and more has little hope of coming to an end. With fewer nodes to spend
// than hurriedNodes it is mostTasksHurried. Budget.Nodes are meant for nodesForTasks;
// with more tasks there are fewer, so that the search costs no more.
const (
	mostTasksExact   = 90
	mostTasksHurried = 72
	hurriedNodes     = 500
	nodesForTasks    = 60
)

// exactNodes is how many nodes the exact search may look at.
func (s *search) exactNodes() int {
	nodes, n := s.budget.Nodes, s.m.n
	switch {
	case n > mostTasksExact || n > mostTasksHurried && nodes < hurriedNodes:
		return 0
	case n > nodesForTasks:
		return nodes * nodesForTasks * nodesForTasks / (n * n)
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
	s          *search
	m          *model
	nodes      int // left
	outOfNodes bool
	n          int // tasks; n itself stands for the beginning
	width      int // of a row of gaps: the tasks and the beginning
	toBeat     int // a finish, with the wishes passed
	tub        []int
	jobs       []int // those that have to be given a tub
	blocks     []block
	blocksOf   [][]int  // of each resource
	pairs      []pair   // of resources
	tubBlock   []int    // of each job, the block in its tub
	gapsAt     [][]int  // of the nodes from the root to here, by depth
	scratch    []work   // for mayBeat
	startFirst [][2]int // tasks of which the first starts no later
}

func (s *search) newExact(kind []int, best int) *exact {
	m := s.m
	e := &exact{s: s, m: m, n: m.n, width: m.n + 1, toBeat: best, tub: make([]int, len(m.p.Jobs)), tubBlock: make([]int, len(m.p.Jobs))}
	e.blocksOf = make([][]int, m.p.Resources)
	add := func(r int, b block) {
		e.blocksOf[r] = append(e.blocksOf[r], len(e.blocks))
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
	for _, list := range e.blocksOf {
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
		e.tubBlock[j] = len(e.blocks)
		last := tasks[len(tasks)-1]
		e.blocks = append(e.blocks, block{first, last, m.dur[last]})
		e.jobs = append(e.jobs, j)
	}
	e.startFirst = alikeFirst(m, kind)
	// The jobs with least choice first.
	slices.SortStableFunc(e.jobs, func(a, b int) int { return cmp.Compare(e.choices(a), e.choices(b)) })
	return e
}

// choices is how many tubs a job may be put in.
func (e *exact) choices(job int) int {
	if tubs := e.m.p.Jobs[job].Tubs; len(tubs) > 0 {
		return len(tubs)
	}
	return e.m.p.Tubs
}

// limitsOf is the shortest and longest wait of a lag, with the tubs chosen so far.
func (e *exact) limitsOf(l int) (int, int) {
	if j := e.m.lagJob[l]; j != None && e.tub[j] != None {
		return e.m.limitsIn(l, e.tub[j])
	}
	return e.m.shortest[l], e.m.longest[l]
}

// run searches and says whether it came to its end.
func (e *exact) run(nodes int) bool {
	e.nodes = nodes
	gap := make([]int, e.width*e.width)
	for i := range gap {
		gap[i] = noWay
	}
	for i := range e.width {
		gap[i*e.width+i] = 0
	}
	e.gapsAt = [][]int{gap}
	if e.addGiven(gap) {
		e.assignTubs(0, 0)
	}
	return !e.outOfNodes
}

// addGiven puts in what holds by the tubs chosen so far and by the finish to beat;
// false if that cannot be.
func (e *exact) addGiven(gap []int) bool {
	// What a wish may be passed by: the more, the sooner the end.
	passed := [classes]int{Wish: (e.toBeat - 1 - e.s.bound) / WishWeighs}
	for i, t := range e.m.p.Tasks {
		if !e.require(gap, e.n, i, t.EarliestS) || !e.require(gap, i, e.n, -(e.toBeat-1-e.m.dur[i])) {
			return false
		}
		if t.LatestS != None && !e.require(gap, i, e.n, -t.LatestS-passed[t.LateClass]) || t.Fixed && !e.require(gap, i, e.n, -t.EarliestS) {
			return false
		}
	}
	for l, lag := range e.m.p.Lags {
		shortest, longest := e.limitsOf(l)
		dur := e.m.dur[lag.From]
		if !e.require(gap, lag.From, lag.To, dur+shortest) {
			return false
		}
		if longest < unlimited && !e.require(gap, lag.To, lag.From, -dur-longest-passed[lag.Class]) {
			return false
		}
	}
	for _, first := range e.startFirst {
		if !e.require(gap, first[0], first[1], 0) {
			return false
		}
	}
	return true
}

// noWay is the gap between two tasks that nothing ties. Sums with it stay far below any
// gap, and [exact.addGiven] ties each task to the beginning both ways, so none is left.
const noWay = -unlimited

// require has to start at least w after from, and puts in what follows; false if
// that cannot be.
func (e *exact) require(gap []int, from, to, w int) bool {
	n := e.width
	if gap[from*n+to] >= w {
		return true
	}
	if gap[to*n+from]+w > 0 {
		return false
	}
	rowTo := gap[to*n : to*n+n]
	for x := range n {
		row := gap[x*n : x*n+n]
		way := row[from] + w
		if way <= row[to] {
			continue
		}
		for y, g := range rowTo { // the dearest lines of the search: no branch in them
			row[y] = max(row[y], way+g)
		}
	}
	return true
}

// child copies the gaps of a node for one below it.
func (e *exact) child(depth int) []int {
	if len(e.gapsAt) == depth+1 {
		e.gapsAt = append(e.gapsAt, make([]int, e.width*e.width))
	}
	copy(e.gapsAt[depth+1], e.gapsAt[depth])
	return e.gapsAt[depth+1]
}

// assignTubs gives tubs to the jobs from k on, then searches the orders.
func (e *exact) assignTubs(depth, k int) {
	if e.nodes--; e.nodes < 0 {
		e.outOfNodes = true
		return
	}
	pairs := e.pairs
	gap := e.gapsAt[depth]
	for x, a := range e.jobs[:k] {
		for _, b := range e.jobs[:x] {
			if e.tub[a] == e.tub[b] {
				pairs = append(pairs[:len(pairs):len(pairs)], pair{e.tubBlock[b], e.tubBlock[a]})
			}
		}
	}
	if !e.decideForced(gap, pairs) {
		return
	}
	if k == len(e.jobs) {
		e.orderPairs(depth, pairs)
		return
	}
	j := e.jobs[k]
	e.m.allowed(j, func(tub int) {
		if e.outOfNodes || e.likeTubIsFree(tub, k) {
			return
		}
		gap := e.child(depth)
		e.tub[j] = tub
		if e.addGiven(gap) {
			e.assignTubs(depth+1, k+1)
		}
		e.tub[j] = None
	})
}

// likeTubIsFree says that an interchangeable tub with a lower number has no job
// yet, so that this one need not be tried.
func (e *exact) likeTubIsFree(tub, k int) bool {
	for t := range tub {
		if e.m.tubKind[t] == e.m.tubKind[tub] && !slices.ContainsFunc(e.jobs[:k], func(j int) bool { return e.tub[j] == t }) {
			return true
		}
	}
	return false
}

// spareS is the most that can lie between the end of a and the start of b, s; below 0
// a cannot come before b.
func (e *exact) spareS(gap []int, a, b *block) int {
	back := gap[b.first*e.width+a.last]
	return -back - a.lengthS
}

// isBefore says that it is decided: a comes before b.
func (e *exact) isBefore(gap []int, a, b *block) bool {
	return gap[a.last*e.width+b.first] >= a.lengthS
}

// decideForced decides every pair that has one way left, until none has; false if a
// pair has none.
func (e *exact) decideForced(gap []int, pairs []pair) bool {
	for changed := true; changed; {
		changed = false
		for _, p := range pairs {
			a, b := &e.blocks[p.a], &e.blocks[p.b]
			if e.isBefore(gap, a, b) || e.isBefore(gap, b, a) {
				continue
			}
			ab, ba := e.spareS(gap, a, b), e.spareS(gap, b, a)
			switch {
			case ab < 0 && ba < 0:
				return false
			case ab < 0:
				if !e.require(gap, b.last, a.first, b.lengthS) {
					return false
				}
				changed = true
			case ba < 0:
				if !e.require(gap, a.last, b.first, a.lengthS) {
					return false
				}
				changed = true
			}
		}
		if !changed && !e.mayBeat(gap) {
			return false
		}
	}
	return true
}

// finish is the least of a node.
func (e *exact) finish(gap []int) (at int) {
	for i, dur := range e.m.dur {
		at = max(at, gap[e.n*e.width+i]+dur)
	}
	return at
}

// worth is the finish with what wishes are passed by at the least.
func (e *exact) worth(gap []int) int {
	worth := e.finish(gap)
	for i, t := range e.m.p.Tasks {
		if t.LatestS != None && t.LateClass == Wish {
			worth = plus(worth, WishWeighs*max(0, gap[e.n*e.width+i]-t.LatestS))
		}
	}
	for l, lag := range e.m.p.Lags {
		if _, longest := e.limitsOf(l); lag.Class == Wish && longest < unlimited {
			worth = plus(worth, WishWeighs*max(0, gap[lag.From*e.width+lag.To]-e.m.dur[lag.From]-longest))
		}
	}
	return worth
}

// keepWishes puts off what would begin a wait longer than is wished, as far as the finish allows.
func (e *exact) keepWishes(gap []int) {
	finish := e.finish(gap)
	for i, dur := range e.m.dur {
		e.require(gap, i, e.n, dur-finish)
	}
	for l, lag := range e.m.p.Lags {
		if _, longest := e.limitsOf(l); lag.Class == Wish && longest < unlimited {
			e.require(gap, lag.To, lag.From, -max(e.m.dur[lag.From]+longest, gap[lag.From*e.width+lag.To]))
		}
	}
}

// mayBeat says whether each resource by itself could meet the finish to beat.
func (e *exact) mayBeat(gap []int) bool {
	if e.worth(gap) >= e.toBeat {
		return false
	}
	for _, list := range e.blocksOf {
		works := e.scratch[:0]
		for _, k := range list {
			b := &e.blocks[k]
			head, length := gap[e.n*e.width+b.first], gap[b.first*e.width+b.last]+b.lengthS
			latest := -gap[b.first*e.width+e.n]
			works = append(works, work{head, length, e.toBeat - 1 - latest - length})
		}
		e.scratch = works
		if oneAtATime(works) > e.toBeat-1 {
			return false
		}
	}
	return true
}

// orderPairs decides the pairs that are still open, one a node: first the one with
// the least to spare both ways together, and first the way with more to spare.
func (e *exact) orderPairs(depth int, pairs []pair) {
	gap := e.gapsAt[depth]
	var pick pair
	pickSum, pickLess, open := unlimited, 0, false
	for _, p := range pairs {
		a, b := &e.blocks[p.a], &e.blocks[p.b]
		if e.isBefore(gap, a, b) || e.isBefore(gap, b, a) {
			continue
		}
		ab, ba := e.spareS(gap, a, b), e.spareS(gap, b, a)
		sum, less := ab+ba, min(ab, ba)
		if !open || sum < pickSum || sum == pickSum && less < pickLess {
			open, pickSum, pickLess = true, sum, less
			if pick = p; ba > ab {
				pick = pair{p.b, p.a}
			}
		}
	}
	if !open {
		e.keepTimetable(gap)
		return
	}
	for _, p := range [2]pair{pick, {pick.b, pick.a}} {
		if e.nodes--; e.nodes < 0 {
			e.outOfNodes = true
		}
		if e.outOfNodes {
			return
		}
		next := e.child(depth)
		a, b := &e.blocks[p.a], &e.blocks[p.b]
		if e.mustBeat(next) && e.require(next, a.last, b.first, a.lengthS) && e.decideForced(next, pairs) {
			e.orderPairs(depth+1, pairs)
		}
	}
}

// mustBeat puts in the finish to beat, which may have come down since the node was
// made.
func (e *exact) mustBeat(gap []int) bool {
	for i := range e.n {
		if !e.require(gap, i, e.n, -(e.toBeat - 1 - e.m.dur[i])) {
			return false
		}
	}
	return true
}

// stocked puts off what finds too little in the stock, until nothing does; false if that
// cannot be. All that take from it are in an order by now, so each only waits.
func (e *exact) stocked(gap []int) bool {
	for e.m.p.Stock.FullS > 0 {
		s := Solution{Start: gap[e.n*e.width : e.n*e.width+e.n], Tub: e.tub}
		spare, ok := StockSpare(e.m.p, &s)
		if ok {
			return true
		}
		first := None
		for i, by := range spare {
			if by < 0 && (first == None || s.Start[i] < s.Start[first]) {
				first = i
			}
		}
		if !e.require(gap, e.n, first, s.Start[first]-spare[first]) {
			return false
		}
	}
	return true
}

// keepTimetable keeps a timetable in which all is decided.
func (e *exact) keepTimetable(gap []int) {
	if !e.stocked(gap) {
		return
	}
	e.keepWishes(gap)
	worth := e.worth(gap)
	if worth >= e.toBeat {
		return
	}
	e.toBeat = worth
	start := gap[e.n*e.width : e.n*e.width+e.n]
	finish := e.finish(gap)
	e.s.keep(cost{wish: worth - finish, finish: finish, sum: e.m.endSum(start)}, start, e.tub)
}
