package timetable

import "slices"

// row is an order of all tasks and the timetable it stands for: one after the
// other, each as soon as it can on what those before it left. Where a builder
// looks for gaps, a row leaves as few as its order allows, and a small change
// of the order costs only the part behind it.
//
// A task that serves only another one and holds a resource for it (a boil) has
// no place of its own: it goes with the task it serves.
type row struct {
	m    *model
	with [][]int // the holds whose first task goes with each task
	own  []bool  // the task has a place in the order

	order []int // tasks, so that lags go forward
	at    []int // of each task: its place in the order
	main  int   // the resource with the most to do
	w     int   // width of a state

	// The row tried.
	start, tub      []int
	dur, lmin, lmax []int // with the tubs chosen
	floor           []int // a task is put off to this, so that a wait after it is not too long
	floors          []floor
	fresh           []int // states before each place, from the first one tried on
	now             []int
	low, end        int // the places gone through
	opens           []int
	asked           []asked // of each lag
	tries           int

	saved   []int    // part of the order as it was
	savedAt int      // from this place on
	kind    []uint64 // of each job: equal for those that are alike
	swaps   []int    // jobs that may change places

	// The row kept.
	states             []int // before each place, and after the last
	keptStart, keptTub []int
	keptFloors         []floor
	placed             int
}

// floor says that a task is put off for the sake of another one after it, so
// that the wait of a lag between them is not too long.
type floor struct{ task, by, lag, atS int }

// asked is how often and how far a lag wanted its first task put off in one go
// through a row.
type asked struct {
	tries, byS int
	inVain     bool
}

// What a state has: first of each resource and of each tub since when it is
// free, then of each tub the job in it, then these.
const (
	rowIdle   = iota // how long the main resource stood idle, s
	rowBusy          // how long it worked, s
	rowHard          // hard lateness, s
	rowSoft          // soft lateness, s
	rowFinish        // end of the last task, s
	rowSum           // sum of the ends of the jobs, s
	rowWidth
)

// mostPutOff is how often tasks are put off for others in one go through a row.
const mostPutOff = 100

// newRow is nil for a problem with other holds than those of serving tasks.
func (m *model) newRow() *row {
	r := &row{m: m, with: make([][]int, m.n), own: make([]bool, m.n)}
	for i := range r.own {
		r.own[i] = true
	}
	for h, hold := range m.p.Holds {
		from, to := hold.From, hold.To
		if len(m.in[from]) > 0 || len(m.holds[from]) != 1 || len(m.holds[to]) > 0 || len(m.out[from]) != 1 || m.tub[from] != None {
			return nil
		}
		r.with[to] = append(r.with[to], h)
		r.own[from] = false
	}
	if m.p.Resources == 0 {
		return nil
	}
	n, jobs, lags := m.n, len(m.p.Jobs), len(m.lmin)
	r.at, r.start, r.keptStart, r.floor = make([]int, n), make([]int, n), make([]int, n), make([]int, n)
	r.tub, r.keptTub = make([]int, jobs), make([]int, jobs)
	r.dur, r.lmin, r.lmax = make([]int, n), make([]int, lags), make([]int, lags)
	copy(r.dur, m.dur)
	copy(r.lmin, m.lmin)
	copy(r.lmax, m.lmax)
	for k, load := range m.load {
		if load > m.load[r.main] {
			r.main = k
		}
	}
	r.w = m.p.Resources + 2*m.p.Tubs + rowWidth
	r.now, r.opens, r.asked = make([]int, r.w), make([]int, n), make([]asked, lags)
	r.order = make([]int, 0, n)
	r.states, r.fresh = make([]int, (n+1)*r.w), make([]int, (n+1)*r.w)
	return r
}

// settle makes a job's durations and waits those of a tub.
func (r *row) settle(job, tub int) {
	r.tub[job] = tub
	if tub == None || !r.m.varies[job] {
		return
	}
	for _, i := range r.m.jobTasks[job] {
		r.dur[i] = r.m.durIn(i, tub)
		for _, ls := range [2][]int{r.m.in[i], r.m.out[i]} {
			for _, l := range ls {
				if r.m.lagTub[l] == job {
					r.lmin[l], r.lmax[l] = r.m.limitsIn(l, tub)
				}
			}
		}
	}
}

// clear empties the row.
func (r *row) clear() {
	m := r.m
	r.order, r.keptFloors, r.floors = r.order[:0], r.keptFloors[:0], r.floors[:0]
	for i := range r.at {
		r.at[i], r.floor[i] = None, 0
	}
	s := r.states[:r.w]
	clear(s)
	for t := range m.p.Tubs {
		s[m.p.Resources+m.p.Tubs+t] = None
	}
	for j, job := range m.p.Jobs {
		r.tub[j] = None
		switch {
		case job.Started:
			r.settle(j, job.Tubs[0])
			if len(m.jobTasks[j]) > 0 {
				s[m.p.Resources+m.p.Tubs+job.Tubs[0]] = j
			}
		case job.NeedsTub && len(m.jobTasks[j]) == 0:
			if r.tub[j] = 0; len(job.Tubs) > 0 {
				r.tub[j] = job.Tubs[0]
			}
		}
	}
}

// line puts the tasks in the order of starts and says whether that can be done.
func (r *row) line(start []int) bool {
	r.clear()
	for _, i := range r.m.order {
		if r.own[i] {
			r.order = append(r.order, i)
		}
	}
	slices.SortStableFunc(r.order, func(a, b int) int { return start[a] - start[b] })
	for k, i := range r.order {
		r.at[i] = k
	}
	return r.settled()
}

// settled goes through a new order and keeps it.
func (r *row) settled() bool {
	if !r.try(0, far, cost{hard: far}) {
		return false
	}
	r.keep()
	return true
}

// cost is that of the row kept.
func (r *row) cost() cost {
	s := r.states[len(r.order)*r.w:]
	s = s[r.w-rowWidth:]
	return cost{s[rowHard], s[rowSoft], s[rowFinish], s[rowSum]}
}

// try goes through the row from a place on, what lies before it being as it was
// kept. It gives up, and says false, when the finish would lie beyond atMost or
// the lateness beyond that of a cost.
func (r *row) try(from, atMost int, most cost) bool {
	m := r.m
	from = r.raise(from)
	r.low, r.end = from, from
	copy(r.now, r.states[from*r.w:(from+1)*r.w])
	sums := r.now[r.w-rowWidth:]
	work := m.load[r.main]
	r.tries++
	putOff := 0
	for k := from; k < len(r.order); k++ {
		copy(r.fresh[k*r.w:(k+1)*r.w], r.now)
		r.end = max(r.end, k)
		r.placed++
		i := r.order[k]
		if !r.place(i) {
			return false
		}
		if back := r.over(i, sums[rowIdle]); back != None && putOff < mostPutOff {
			putOff++
			k = r.at[back]
			if k < r.low {
				r.low = k
				copy(r.now, r.states[k*r.w:(k+1)*r.w])
			} else {
				copy(r.now, r.fresh[k*r.w:(k+1)*r.w])
			}
			k--
			continue
		}
		r.late(i, sums)
		if sums[rowHard] > most.hard || sums[rowHard] == most.hard && sums[rowSoft] > most.soft ||
			max(r.start[i]+m.tail[i], r.now[r.main]+work-sums[rowBusy]) > atMost {
			return false
		}
	}
	copy(r.fresh[len(r.order)*r.w:], r.now)
	return true
}

// raise drops the floors that lie from a place on, and goes back to those before
// it that are for what lies behind it.
func (r *row) raise(from int) int {
	for moved := true; moved; {
		moved = false
		for _, f := range r.keptFloors {
			if r.at[f.task] < from && r.at[f.by] >= from {
				from, moved = r.at[f.task], true
			}
		}
	}
	r.floors = r.floors[:0]
	for _, f := range r.keptFloors {
		if r.at[f.task] < from {
			r.floors = append(r.floors, f)
		} else {
			r.floor[f.task] = 0
		}
	}
	return from
}

// place starts a task as soon as it can; false if there is no tub for it.
func (r *row) place(i int) bool {
	m, now := r.m, r.now
	p := m.p
	t := &p.Tasks[i]
	at := max(t.EarliestS, r.floor[i])
	for _, h := range r.with[i] {
		b := p.Holds[h].From
		begin := max(p.Tasks[b].EarliestS, now[p.Holds[h].Resource])
		for _, res := range m.alone[b] {
			begin = max(begin, now[res])
		}
		r.start[b] = begin
	}
	for _, l := range m.in[i] {
		from := p.Lags[l].From
		at = max(at, r.start[from]+r.dur[from]+r.lmin[l])
	}
	for _, res := range m.alone[i] {
		at = max(at, now[res])
	}
	j := m.tub[i]
	if j != None && i == m.jobTasks[j][0] && !p.Jobs[j].Started {
		tub := r.free(j)
		if tub == None {
			return false
		}
		if r.tub[j] != tub {
			r.settle(j, tub)
		}
		at = max(at, now[p.Resources+tub])
		now[p.Resources+p.Tubs+tub] = j
	}
	r.start[i] = at
	end := at + r.dur[i]
	for _, h := range r.with[i] {
		b, res := p.Holds[h].From, p.Holds[h].Resource
		if l := m.out[b][0]; r.lmax[l] < far {
			r.start[b] = max(r.start[b], at-r.lmax[l]-r.dur[b])
		}
		for _, other := range m.alone[b] {
			now[other] = r.start[b] + r.dur[b]
		}
		if now[res] = at; m.holdToEnd[h] {
			now[res] = end
		}
	}
	sums := now[r.w-rowWidth:]
	for _, res := range m.alone[i] {
		if res == r.main {
			sums[rowIdle] += at - now[res]
			sums[rowBusy] += m.dur[i]
		}
		now[res] = end
	}
	if tasks := m.jobTasks; t.Job != None && i == tasks[t.Job][len(tasks[t.Job])-1] {
		sums[rowSum] = plus(sums[rowSum], end)
		if j != None {
			now[p.Resources+p.Tubs+r.tub[j]] = None
			now[p.Resources+r.tub[j]] = end
		}
	}
	sums[rowFinish] = max(sums[rowFinish], end)
	return true
}

// free is the free tub in which a job would be done first, or None.
func (r *row) free(job int) int {
	p := r.m.p
	tubs := p.Jobs[job].Tubs
	best, bestEnd := None, 0
	for t := range p.Tubs {
		if r.now[p.Resources+p.Tubs+t] != None || len(tubs) > 0 && !slices.Contains(tubs, t) {
			continue
		}
		if end := r.now[p.Resources+t] + r.m.jobLength[job][t]; best == None || end < bestEnd {
			best, bestEnd = t, end
		}
	}
	return best
}

// over puts a task off so that the wait between it and one placed gets no longer
// than it may, if the main resource stands idle for long enough in between. It
// says which task; if that turned out to be in vain, it is let go again.
func (r *row) over(i, idle int) int {
	for _, l := range r.m.in[i] {
		if r.lmax[l] >= far {
			continue
		}
		from := r.m.p.Lags[l].From
		by := r.start[i] - r.start[from] - r.dur[from] - r.lmax[l]
		if by <= 0 || !r.own[from] {
			continue
		}
		ask := &r.asked[l]
		if ask.tries == r.tries && (ask.inVain || by >= ask.byS) {
			if ask.inVain {
				continue
			}
			ask.inVain = true
			r.letGo(from, l)
			return from
		}
		// The state behind from, as far as it was gone through anew.
		k := r.at[from] + 1
		states := r.fresh
		if k <= r.low {
			states = r.states
		}
		if idle-states[k*r.w+r.w-rowWidth+rowIdle] >= by {
			*ask = asked{r.tries, by, false}
			at := r.start[from] + by
			r.floor[from] = at
			r.floors = append(r.floors, floor{from, i, l, at})
			return from
		}
	}
	return None
}

// letGo takes back that a task was put off for the sake of a lag.
func (r *row) letGo(task, lag int) {
	r.floors = slices.DeleteFunc(r.floors, func(f floor) bool { return f.lag == lag })
	r.floor[task] = 0
	for _, f := range r.floors {
		if f.task == task {
			r.floor[task] = max(r.floor[task], f.atS)
		}
	}
}

// late counts the limits that a task's start passes, and those of what serves it.
func (r *row) late(i int, sums []int) {
	p := r.m.p
	count := func(by int, class Class) {
		switch {
		case by <= 0:
		case class == Hard:
			sums[rowHard] = plus(sums[rowHard], by)
		default:
			sums[rowSoft] = plus(sums[rowSoft], by)
		}
	}
	if t := &p.Tasks[i]; t.LatestS != None {
		count(r.start[i]-t.LatestS, t.LateClass)
	}
	for _, h := range r.with[i] {
		if t := &p.Tasks[p.Holds[h].From]; t.LatestS != None {
			count(r.start[p.Holds[h].From]-t.LatestS, t.LateClass)
		}
	}
	for _, l := range r.m.in[i] {
		if r.lmax[l] < far {
			from := p.Lags[l].From
			count(r.start[i]-r.start[from]-r.dur[from]-r.lmax[l], p.Lags[l].Class)
		}
	}
}

// keep makes the row tried the one kept.
func (r *row) keep() {
	copy(r.states[r.low*r.w:], r.fresh[r.low*r.w:(len(r.order)+1)*r.w])
	for _, i := range r.order[r.low:] {
		r.keptStart[i] = r.start[i]
		for _, h := range r.with[i] {
			b := r.m.p.Holds[h].From
			r.keptStart[b] = r.start[b]
		}
	}
	copy(r.keptTub, r.tub)
	r.keptFloors = append(r.keptFloors[:0], r.floors...)
}

// drop goes back to the row kept. The order has to be as it was tried.
func (r *row) drop() {
	for _, i := range r.order[r.low:min(r.end+1, len(r.order))] {
		r.start[i] = r.keptStart[i]
		for _, h := range r.with[i] {
			b := r.m.p.Holds[h].From
			r.start[b] = r.keptStart[b]
		}
	}
	for j, tub := range r.keptTub {
		if r.tub[j] != tub {
			r.settle(j, tub)
		}
	}
	for _, f := range r.floors {
		r.floor[f.task] = 0
	}
	for _, f := range r.keptFloors {
		r.floor[f.task] = 0
	}
	for _, f := range r.keptFloors {
		r.floor[f.task] = max(r.floor[f.task], f.atS)
	}
}
