package timetable

import "slices"

// sequence is an order of all tasks and the timetable it stands for: one after
// the other, each as soon as it can on what those before it left. A small change
// of the order costs only the part behind it.
//
// A task that holds a resource for another one (a boil) has no place of its own:
// it goes with the task it serves. Nor has one that is fixed.
type sequence struct {
	m          *model
	kind       []int // of the jobs, see kinds
	bottleneck int   // the resource with the most to do, or None
	trial            // which it is of

	order []int // tasks, so that lags go forward
	pos   []int // of each task: its place in the order, or None

	// The timetable tried.
	start, tub        []int
	shortest, longest []int // of each lag, with the tubs chosen
	state             []int // what the tasks placed so far left
	states            []int // the same before each place tried
	from, to          int   // the places tried
	placed            int   // tasks placed since it was last set to 0

	// The timetable kept.
	kept               []int // states before each place, and after the last
	keptStart, keptTub []int

	savedOrder []int // see save
	candidates []candidate
}

// What a state has: since when each resource and each tub is free, the job in
// each tub, then these.
const (
	stateBusy    = iota // how long the bottleneck worked, s
	stateHard           // hard lateness, s
	stateSoft           // soft lateness, s
	stateWish           // wishes passed, s, as they weigh
	stateFinish         // end of the last task, s
	stateStock          // what the stock held when a task last took from it, s
	stateStockAt        // and when that was, s
	stateSum            // sum of the ends of the jobs, s
	stateSums
)

func (q *sequence) tubFree(s []int, tub int) *int { return &s[q.m.p.Resources+tub] }

func (q *sequence) jobIn(s []int, tub int) *int { return &s[q.m.p.Resources+q.m.p.Tubs+tub] }

func (q *sequence) sums(s []int) []int { return s[len(s)-stateSums:] }

func (q *sequence) at(states []int, pos int) []int {
	w := len(q.state)
	return states[pos*w : (pos+1)*w]
}

func (m *model) newSequence() *sequence {
	n, jobs, lags := m.n, len(m.p.Jobs), len(m.p.Lags)
	q := &sequence{m: m, kind: m.kinds(), bottleneck: None,
		order: make([]int, 0, n), pos: make([]int, n), start: make([]int, n), keptStart: make([]int, n),
		tub: make([]int, jobs), keptTub: make([]int, jobs), shortest: make([]int, lags), longest: make([]int, lags)}
	copy(q.shortest, m.shortest)
	copy(q.longest, m.longest)
	for r, load := range m.load {
		if q.bottleneck == None || load > m.load[q.bottleneck] {
			q.bottleneck = r
		}
	}
	for _, i := range m.fixed {
		q.start[i], q.keptStart[i] = m.p.Tasks[i].EarliestS, m.p.Tasks[i].EarliestS
	}
	w := m.p.Resources + 2*m.p.Tubs + stateSums
	q.state, q.states, q.kept = make([]int, w), make([]int, (n+1)*w), make([]int, (n+1)*w)
	return q
}

// placeable says that a task has a place in the order.
func (q *sequence) placeable(i int) bool { return q.m.holdFrom[i] == None && !q.m.p.Tasks[i].Fixed }

// assign puts a job in a tub, whose limits its lags have from then on.
func (q *sequence) assign(job, tub int) {
	q.tub[job] = tub
	if tub == None || !q.m.varies[job] {
		return
	}
	for _, i := range q.m.jobTasks[job] {
		for _, lags := range [2][]int{q.m.in[i], q.m.out[i]} {
			for _, l := range lags {
				if q.m.lagJob[l] == job {
					q.shortest[l], q.longest[l] = q.m.limitsIn(l, tub)
				}
			}
		}
	}
}

// clear empties the sequence.
func (q *sequence) clear() {
	q.order = q.order[:0]
	for i := range q.pos {
		q.pos[i] = None
	}
	s := q.at(q.kept, 0)
	clear(s)
	for r := range q.m.p.Resources {
		s[r] = q.restS
	}
	q.sums(s)[stateStock] = q.m.p.Stock.FirstS
	for _, i := range q.m.fixed {
		q.sums(s)[stateFinish] = max(q.sums(s)[stateFinish], q.start[i]+q.m.dur[i])
	}
	for t := range q.m.p.Tubs {
		*q.jobIn(s, t) = None
	}
	for j, job := range q.m.p.Jobs {
		q.tub[j] = None
		switch empty := len(q.m.jobTasks[j]) == 0; {
		case job.Started:
			q.assign(j, job.Tubs[0])
			if !empty {
				*q.jobIn(s, job.Tubs[0]) = j
			}
		case job.NeedsTub && empty: // any tub is right
			q.m.allowed(j, func(tub int) { q.tub[j] = tub })
		}
	}
}

// arrange puts the tasks in the order of starts; false if that cannot be done.
func (q *sequence) arrange(start []int) bool {
	q.clear()
	for _, i := range q.m.order {
		if q.placeable(i) {
			q.order = append(q.order, i)
		}
	}
	slices.SortStableFunc(q.order, func(a, b int) int { return start[a] - start[b] })
	for k, i := range q.order {
		q.pos[i] = k
	}
	return q.keepAll()
}

// keepAll times a new order and keeps it.
func (q *sequence) keepAll() bool {
	if !q.try(0, cost{hard: unlimited, finish: unlimited}) {
		return false
	}
	q.keep()
	return true
}

// cost is that of the timetable kept.
func (q *sequence) cost() cost {
	s := q.sums(q.at(q.kept, len(q.order)))
	return cost{s[stateHard], s[stateSoft], s[stateWish], s[stateFinish], s[stateSum]}
}

// try times the order from a place on; what lies before it is as it was kept. It
// gives up, and says false, when the cost is sure to exceed a limit.
func (q *sequence) try(from int, limit cost) bool {
	q.from = from
	copy(q.state, q.at(q.kept, from))
	sums := q.sums(q.state)
	for k, i := range q.order[from:] {
		q.to = from + k
		copy(q.at(q.states, q.to), q.state)
		q.placed++
		if !q.place(i) {
			return false
		}
		finish := q.start[i] + q.m.tail[i]
		if r := q.bottleneck; r != None {
			finish = max(finish, q.state[r]+q.m.load[r]-sums[stateBusy])
		}
		if limit.less(cost{sums[stateHard], sums[stateSoft], sums[stateWish], finish, 0}) {
			return false
		}
	}
	copy(q.at(q.states, len(q.order)), q.state)
	return true
}

// place starts a task as soon as it can; false if there is no tub for it.
func (q *sequence) place(i int) bool {
	m, s := q.m, q.state
	p := m.p
	at := p.Tasks[i].EarliestS
	for _, h := range m.holdsTo[i] {
		serving := p.Holds[h].From
		q.start[serving] = max(p.Tasks[serving].EarliestS, s[p.Holds[h].Resource], q.resourcesFree(serving))
	}
	for _, l := range m.in[i] {
		from := p.Lags[l].From
		at = max(at, q.start[from]+m.dur[from]+q.shortest[l])
	}
	at = max(at, q.resourcesFree(i))
	j := m.tubJob[i]
	if j != None && i == m.jobTasks[j][0] && !p.Jobs[j].Started {
		tub := q.freeTub(j)
		if tub == None {
			return false
		}
		if q.tub[j] != tub {
			q.assign(j, tub)
		}
		at = max(at, *q.tubFree(s, tub))
		*q.jobIn(s, tub) = j
	}
	at = q.forNext(i, max(at, q.comes(i)))
	at = q.around(i, at)
	q.take(i, at)
	q.start[i] = at
	end := at + m.dur[i]
	for _, h := range m.holdsTo[i] {
		q.serve(h, at, end)
	}
	sums := q.sums(s)
	for _, r := range m.uses[i] {
		if r == q.bottleneck {
			sums[stateBusy] += m.dur[i]
		}
		s[r] = end
	}
	if job := p.Tasks[i].Job; job != None && i == m.jobTasks[job][len(m.jobTasks[job])-1] {
		sums[stateSum] = plus(sums[stateSum], end)
		if j != None {
			*q.jobIn(s, q.tub[j]), *q.tubFree(s, q.tub[j]) = None, end
		}
	}
	sums[stateFinish] = max(sums[stateFinish], end)
	q.countLate(i, sums)
	return true
}

// tubOf is the tub of a task's job, None if it has none yet.
func (q *sequence) tubOf(i int) int {
	if j := q.m.tubJob[i]; j != None {
		return q.tub[j]
	}
	return None
}

// stocked is since when the stock holds what a task needs in a tub.
func (q *sequence) stocked(i, tub int) int {
	if len(q.m.p.Tasks[i].Takes) == 0 {
		return 0
	}
	sums := q.sums(q.state)
	return sums[stateStockAt] + max(0, q.m.takes(i, tub).NeedS-sums[stateStock])
}

// comes is when a task could start for what it takes from the stock and for what serves it.
func (q *sequence) comes(i int) int {
	at := q.stocked(i, q.tubOf(i))
	for _, h := range q.m.holdsTo[i] {
		at = max(at, q.served(h))
	}
	return at
}

// served is when the first task of a hold could be over, and its shortest wait.
func (q *sequence) served(h int) int {
	i := q.m.p.Holds[h].From
	return max(q.m.p.Tasks[i].EarliestS, q.state[q.m.p.Holds[h].Resource]) + q.m.dur[i] + q.shortest[q.m.out[i][0]]
}

// forNext is when to start a task that could start at a moment, so that the next one can come
// when its longest wait is over: the fleece soaks rather than hangs until the tank is hot, or
// the kettle. No limit of its own is passed for that.
func (q *sequence) forNext(i, at int) int {
	for _, l := range q.m.out[i] {
		if q.longest[l] >= unlimited {
			continue
		}
		by := q.comes(q.m.p.Lags[l].To) - q.longest[l] - q.m.dur[i]
		if by <= at {
			continue
		}
		for _, in := range q.m.in[i] {
			from := q.m.p.Lags[in].From
			by = min(by, q.start[from]+q.m.dur[from]+q.longest[in])
		}
		if latest := q.m.p.Tasks[i].LatestS; latest != None {
			by = min(by, latest)
		}
		at = max(at, by)
	}
	return at
}

// take has a task that starts at a moment take its part of the stock.
func (q *sequence) take(i, at int) {
	if len(q.m.p.Tasks[i].Takes) == 0 {
		return
	}
	sums := q.sums(q.state)
	sums[stateStock] = q.m.takes(i, q.tubOf(i)).from(min(q.m.p.Stock.FullS, sums[stateStock]+at-sums[stateStockAt]))
	sums[stateStockAt] = at
}

// serve puts the first task of a hold off until its longest wait is kept, but not
// past its own latest start, and lets its resources go.
func (q *sequence) serve(h, at, end int) {
	hold := q.m.p.Holds[h]
	i := hold.From
	if longest := q.longest[q.m.out[i][0]]; longest < unlimited {
		by := at - longest - q.m.dur[i]
		if latest := q.m.p.Tasks[i].LatestS; latest != None {
			by = min(by, latest)
		}
		q.start[i] = max(q.start[i], by)
	}
	for _, r := range q.m.uses[i] {
		q.state[r] = q.start[i] + q.m.dur[i]
	}
	q.state[hold.Resource] = at
	if q.m.holdToEnd[h] {
		q.state[hold.Resource] = end
	}
}

// resourcesFree is since when all resources of a task are free.
func (q *sequence) resourcesFree(i int) int {
	at := 0
	for _, r := range q.m.uses[i] {
		at = max(at, q.state[r])
	}
	return at
}

// freeTub is the free tub in which a job would be done first, or None.
func (q *sequence) freeTub(job int) int {
	best, bestEnd := None, 0
	q.m.allowed(job, func(t int) {
		if *q.jobIn(q.state, t) != None {
			return
		}
		if end := *q.tubFree(q.state, t) + q.m.jobLength[job][t]; best == None || end < bestEnd {
			best, bestEnd = t, end
		}
	})
	return best
}

// countLate counts the limits that a task's start passes, and those of what
// serves it.
func (q *sequence) countLate(i int, sums []int) {
	p := q.m.p
	count := func(by int, class Class) {
		if class == Wish {
			by *= WishWeighs
		}
		if k := stateHard + int(class); by > 0 {
			sums[k] = plus(sums[k], by)
		}
	}
	if t := &p.Tasks[i]; t.LatestS != None {
		count(q.start[i]-t.LatestS, t.LateClass)
	}
	for _, h := range q.m.holdsTo[i] {
		if t := &p.Tasks[p.Holds[h].From]; t.LatestS != None {
			count(q.start[p.Holds[h].From]-t.LatestS, t.LateClass)
		}
	}
	for _, l := range q.m.in[i] {
		if q.longest[l] < unlimited {
			from := p.Lags[l].From
			count(q.start[i]-q.start[from]-q.m.dur[from]-q.longest[l], p.Lags[l].Class)
		}
	}
}

// keep makes the timetable tried the one kept.
func (q *sequence) keep() {
	w := len(q.state)
	copy(q.kept[q.from*w:(len(q.order)+1)*w], q.states[q.from*w:])
	copyStarts(q.m, q.keptStart, q.start, q.order[q.from:])
	copy(q.keptTub, q.tub)
}

// drop goes back to the timetable kept. The order has to be as it was tried.
func (q *sequence) drop() {
	copyStarts(q.m, q.start, q.keptStart, q.order[q.from:q.to+1])
	for j, tub := range q.keptTub {
		if q.tub[j] != tub {
			q.assign(j, tub)
		}
	}
}

// copyStarts copies the starts of some tasks and of what serves them.
func copyStarts(m *model, to, from, tasks []int) {
	for _, i := range tasks {
		to[i] = from[i]
		for _, h := range m.holdsTo[i] {
			to[m.p.Holds[h].From] = from[m.p.Holds[h].From]
		}
	}
}
