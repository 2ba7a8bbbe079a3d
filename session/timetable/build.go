package timetable

// choice is what steers the building of one timetable.
type choice struct {
	bias    []int // for each leg: added to its start when the next one is picked, s
	order   []int // the jobs that need a tub, in the order in which they get one
	lean    int   // eighths of what lies ahead of a leg that count for it
	urgency int   // how much legs with a latest start come first, 0 to 2
	wished  bool  // legs count by the starts wished for, not by those possible
	asWas   bool  // and no task starts before the start wished for
	// atOnce is how many jobs may be under way at once, 0 for no limit: with more
	// tubs than the hands can serve, everything begun waits too long.
	atOnce int
}

// builder builds timetables leg by leg: of the legs that can go next it places
// the one that starts first, into the earliest gap that suits all its tasks.
// Its memory is used again for each.
type builder struct {
	m *model
	g *legs

	claimed  []bool
	firstLeg []int // of each tub-needing job
	placed   int
	asWas    bool // choice.asWas

	// How far it has come.
	start           []int
	dur, lmin, lmax []int // with the tubs chosen so far
	tub             []int // of each job
	holder          []int // of each tub: the job in it, or None
	freeS           []int // of each tub: since when it has been free
	tasksLeft       []int // of each job
	legsLeft        []int // of each leg: predecessors not placed
	ready           []int // legs that can be placed, those of waiting jobs among them
	guess           []int // of each leg: its key task does not start before this
	offered         bool  // the free tubs have been offered since the last change
	hard, soft      int   // lateness so far, s
	lines           []line
	places          []place // choice.atOnce of them
	placeOf         []int   // of each job: the one it has, or None
}

// place is room for one job under way.
type place struct {
	freeS int // since when
	taken bool
}

func newBuilder(m *model, g *legs) *builder {
	n := len(m.p.Jobs)
	b := &builder{m: m, g: g, firstLeg: make([]int, n), claimed: make([]bool, m.p.Tubs),
		start: make([]int, m.n), dur: make([]int, m.n), lmin: make([]int, len(m.lmin)), lmax: make([]int, len(m.lmax)),
		tub: make([]int, n), holder: make([]int, m.p.Tubs), freeS: make([]int, m.p.Tubs), tasksLeft: make([]int, n),
		legsLeft: make([]int, len(g.tasks)), ready: make([]int, 0, len(g.tasks)), guess: make([]int, len(g.tasks)),
		lines: make([]line, m.p.Resources), placeOf: make([]int, n)}
	for j, tasks := range m.jobTasks {
		if len(tasks) > 0 {
			b.firstLeg[j] = g.of[tasks[0]]
		}
	}
	return b
}

// settle makes a job's durations and waits those of a tub.
func (b *builder) settle(job, tub int) {
	b.tub[job] = tub
	if !b.m.varies[job] {
		return
	}
	for _, i := range b.m.jobTasks[job] {
		b.dur[i] = b.m.durIn(i, tub)
		for _, ls := range [2][]int{b.m.in[i], b.m.out[i]} {
			for _, l := range ls {
				if b.m.lagTub[l] == job {
					b.lmin[l], b.lmax[l] = b.m.limitsIn(l, tub)
				}
			}
		}
	}
}

func (b *builder) reset() {
	m := b.m
	copy(b.dur, m.dur)
	copy(b.lmin, m.lmin)
	copy(b.lmax, m.lmax)
	copy(b.legsLeft, b.g.preds)
	for r := range b.lines {
		b.lines[r].clear()
	}
	for t := range b.holder {
		b.holder[t], b.freeS[t] = None, 0
	}
	for j, job := range m.p.Jobs {
		b.tub[j], b.tasksLeft[j] = None, len(m.jobTasks[j])
		switch {
		case job.Started:
			b.settle(j, job.Tubs[0])
			if b.tasksLeft[j] > 0 {
				b.holder[job.Tubs[0]] = j
			}
		case job.NeedsTub && b.tasksLeft[j] == 0: // nothing to do, so any tub is right
			if b.tub[j] = 0; len(job.Tubs) > 0 {
				b.tub[j] = job.Tubs[0]
			}
		}
	}
	b.ready, b.offered = b.ready[:0], false
	b.hard, b.soft = 0, 0
	for s, left := range b.legsLeft {
		b.guess[s] = b.m.head[b.g.key[s]]
		if left == 0 {
			b.ready = append(b.ready, s)
		}
	}
}

// build makes a timetable. It gives up, and says false, when the finish would
// lie beyond atMost, or when no leg can go next.
func (b *builder) build(c *choice, atMost int) bool {
	b.reset()
	b.asWas = c.asWas
	b.open(c.atOnce)
	for range b.g.tasks {
		s, at := b.pick(c)
		if at < 0 || b.guess[s]+b.g.tail[s] > atMost {
			return false
		}
		b.place(at)
	}
	return true
}

// pick chooses the leg to place next and leaves its tasks' starts in b.start.
// at is its place among the ready ones, or below 0 if there is none.
func (b *builder) pick(c *choice) (leg, at int) {
	if !b.offered {
		b.offer(c)
	}
	for checked := None; ; {
		best, bestKey := None, int64(0)
		for k, s := range b.ready {
			if !b.canTub(s) || !b.canBegin(s) {
				continue
			}
			key := b.key(s, c)
			if best == None || key < bestKey || key == bestKey && s < b.ready[best] {
				best, bestKey = k, key
			}
		}
		if best == None {
			return None, None
		}
		s := b.ready[best]
		if s == checked {
			return s, best
		}
		if !b.fit(s) {
			return None, None
		}
		checked = s
		b.guess[s] = b.start[b.g.key[s]]
	}
}

// key orders the ready legs, the least first.
func (b *builder) key(s int, c *choice) int64 {
	const sooner = 1 << 40
	bias := int64(c.bias[s])
	key := 8*(int64(b.guess[s])+bias) - int64(c.lean)*int64(b.g.tail[s])
	if c.wished {
		if wish := b.m.p.WishS[b.g.key[s]]; wish != None {
			key = 8 * (int64(wish) + bias)
		}
	}
	hard, soft := b.latest(s)
	switch {
	case c.urgency >= 1 && hard < far:
		return 8*int64(hard) - 2*sooner + 8*bias
	case c.urgency >= 2 && soft < far:
		return 8*int64(soft) - sooner + 8*bias
	}
	return key
}

// latest is when a leg should start by limits given, or by a longest wait after
// what has been placed and is not rigid.
func (b *builder) latest(s int) (hard, soft int) {
	hard, soft = b.g.latest[s], b.g.soft[s]
	for _, i := range b.g.tasks[s] {
		for _, l := range b.m.in[i] {
			lag := &b.m.p.Lags[l]
			if b.lmax[l] >= far || b.g.of[lag.From] == s {
				continue
			}
			by := b.start[lag.From] + b.dur[lag.From] + b.lmax[l]
			soft = min(soft, by)
			if lag.Class == Hard {
				hard = min(hard, by)
			}
		}
	}
	return hard, soft
}

// canTub says whether the jobs of a leg are in a tub or are offered one.
func (b *builder) canTub(s int) bool {
	for _, j := range b.g.jobs[s] {
		if b.tub[j] == None {
			return false
		}
	}
	return true
}

// open makes the places for jobs under way; those that run have theirs.
func (b *builder) open(atOnce int) {
	b.places = b.places[:0]
	for range atOnce {
		b.places = append(b.places, place{})
	}
	next := 0
	for j, job := range b.m.p.Jobs {
		b.placeOf[j] = None
		if job.Started && !job.Fresh && b.tasksLeft[j] > 0 && next < atOnce {
			b.placeOf[j], b.places[next].taken = next, true
			next++
		}
	}
}

// begins says that a leg is the first thing done to its job.
func (b *builder) begins(job int) bool {
	return b.tasksLeft[job] == len(b.m.jobTasks[job]) && (!b.m.p.Jobs[job].Started || b.m.p.Jobs[job].Fresh)
}

// room is the place that is free first, or None.
func (b *builder) room() int {
	best := None
	for k, p := range b.places {
		if !p.taken && (best == None || p.freeS < b.places[best].freeS) {
			best = k
		}
	}
	return best
}

// canBegin says whether a leg's job is under way or may begin now.
func (b *builder) canBegin(s int) bool {
	if len(b.places) == 0 {
		return true
	}
	for _, j := range b.g.jobs[s] {
		if !b.begins(j) {
			continue
		}
		k := b.room()
		if k == None {
			return false
		}
		b.guess[s] = max(b.guess[s], b.places[k].freeS)
	}
	return true
}

// waits says that a job has no tub for certain yet.
func (b *builder) waits(job int) bool {
	return b.tasksLeft[job] == len(b.m.jobTasks[job]) && !b.m.p.Jobs[job].Started
}

// offer goes through the waiting jobs in order and offers each the free tub in
// which it would be done first, as long as there are any.
func (b *builder) offer(c *choice) {
	b.offered = true
	spare := 0
	for t, holder := range b.holder {
		b.claimed[t] = holder != None
		if holder == None {
			spare++
		}
	}
	for _, j := range c.order {
		if !b.waits(j) || b.legsLeft[b.firstLeg[j]] > 0 {
			continue
		}
		best, bestEnd := None, 0
		for t := 0; t < len(b.holder) && spare > 0; t++ {
			if b.claimed[t] || !b.may(j, t) {
				continue
			}
			end := b.freeS[t] + b.m.jobLength[j][t]
			if best == None || end < bestEnd {
				best, bestEnd = t, end
			}
		}
		if best == None {
			b.tub[j] = None
			continue
		}
		b.claimed[best] = true
		spare--
		if b.tub[j] != best {
			b.settle(j, best)
			s := b.firstLeg[j]
			b.guess[s] = max(b.m.head[b.g.key[s]], b.freeS[best])
		}
	}
}

func (b *builder) may(job, tub int) bool {
	tubs := b.m.p.Jobs[job].Tubs
	for _, t := range tubs {
		if t == tub {
			return true
		}
	}
	return len(tubs) == 0
}

// fit finds the earliest starts of a leg's tasks among what has been placed.
// All that pushes a task later is a reason that no later start takes away, so
// pushing until nothing moves ends at the earliest.
func (b *builder) fit(s int) bool {
	m := b.m
	tasks := b.g.tasks[s]
	for _, i := range tasks {
		at := m.p.Tasks[i].EarliestS
		if b.asWas {
			at = max(at, m.p.WishS[i])
		}
		for _, l := range m.in[i] {
			if from := m.p.Lags[l].From; b.g.of[from] != s {
				at = max(at, b.start[from]+b.dur[from]+b.lmin[l])
			}
		}
		if j := m.tub[i]; j != None && i == m.jobTasks[j][0] && !m.p.Jobs[j].Started {
			at = max(at, b.freeS[b.tub[j]])
		}
		if j := m.tub[i]; j != None && len(b.places) > 0 && b.begins(j) {
			if k := b.room(); k != None {
				at = max(at, b.places[k].freeS)
			}
		}
		b.start[i] = at
	}
	for rounds := 0; ; rounds++ {
		b.placed += len(tasks)
		if rounds > 1000+20*m.n {
			return false
		}
		moved := false
		for _, i := range tasks {
			at := b.start[i]
			for _, l := range m.in[i] {
				if from := m.p.Lags[l].From; b.g.of[from] == s {
					at = max(at, b.start[from]+b.dur[from]+b.lmin[l])
				}
			}
			at = b.free(i, at)
			for _, l := range m.out[i] {
				if b.g.rigid[l] && b.lmax[l] < far {
					at = max(at, b.start[m.p.Lags[l].To]-b.lmax[l]-b.dur[i])
				}
			}
			if at > b.start[i] {
				b.start[i], moved = at, true
			}
		}
		for _, pair := range b.g.clash[s] {
			x, y := pair[0], pair[1]
			if end := b.useEnd(x); b.start[y.first] < end && b.start[x.first] < b.useEnd(y) {
				b.start[y.first], moved = end, true
			}
		}
		if !moved {
			return true
		}
	}
}

// free is the earliest start from at on at which a task's resources, and those
// held from it on, are free.
func (b *builder) free(i, at int) int {
	m := b.m
	for moved := true; moved; {
		moved = false
		for _, r := range m.alone[i] {
			if to := b.lines[r].fit(at, b.dur[i]); to > at {
				at, moved = to, len(m.alone[i]) > 1 || len(m.holds[i]) > 0
			}
		}
		for _, h := range m.holds[i] {
			if to := b.lines[m.p.Holds[h].Resource].fitUntil(at, b.holdEnd(h)); to > at {
				at, moved = to, true
			}
		}
	}
	return at
}

func (b *builder) holdEnd(h int) int {
	to := b.m.p.Holds[h].To
	if b.m.holdToEnd[h] {
		return b.start[to] + b.dur[to]
	}
	return b.start[to]
}

func (b *builder) useEnd(u use) int {
	if u.toEnd {
		return b.start[u.last] + b.dur[u.last]
	}
	return b.start[u.last]
}

// place keeps the starts that fit found for a ready leg.
func (b *builder) place(at int) {
	m, s := b.m, b.ready[at]
	b.ready = append(b.ready[:at], b.ready[at+1:]...)
	for _, i := range b.g.tasks[s] {
		for _, r := range m.alone[i] {
			b.lines[r].take(b.start[i], b.start[i]+b.dur[i])
		}
		for _, h := range m.holds[i] {
			b.lines[m.p.Holds[h].Resource].take(b.start[i], b.holdEnd(h))
		}
		b.late(i)
		j := m.tub[i]
		if j == None {
			continue
		}
		if b.waits(j) {
			b.holder[b.tub[j]], b.offered = j, false
		}
		if len(b.places) > 0 && b.begins(j) {
			if k := b.room(); k != None {
				b.placeOf[j], b.places[k].taken = k, true
			}
		}
		if b.tasksLeft[j]--; b.tasksLeft[j] == 0 {
			last := m.jobTasks[j][len(m.jobTasks[j])-1]
			b.holder[b.tub[j]], b.freeS[b.tub[j]], b.offered = None, b.start[last]+b.dur[last], false
			if k := b.placeOf[j]; k != None && len(b.places) > 0 {
				b.places[k] = place{freeS: b.start[last] + b.dur[last]}
			}
		}
	}
	for _, next := range b.g.succs[s] {
		if b.legsLeft[next]--; b.legsLeft[next] == 0 {
			b.ready = append(b.ready, next)
			b.offered = false
		}
	}
}

// late counts the limits that a task's start passes.
func (b *builder) late(i int) {
	count := func(by int, class Class) {
		switch {
		case by <= 0:
		case class == Hard:
			b.hard = plus(b.hard, by)
		default:
			b.soft = plus(b.soft, by)
		}
	}
	t := &b.m.p.Tasks[i]
	if t.LatestS != None {
		count(b.start[i]-t.LatestS, t.LateClass)
	}
	for _, l := range b.m.in[i] {
		if lag := &b.m.p.Lags[l]; b.lmax[l] < far && !b.g.rigid[l] {
			count(b.start[i]-b.start[lag.From]-b.dur[lag.From]-b.lmax[l], lag.Class)
		}
	}
}

// cost weighs what has been built.
func (b *builder) cost() cost {
	c := cost{hard: b.hard, soft: b.soft}
	for i := range b.m.n {
		c.finish = max(c.finish, b.start[i]+b.dur[i])
	}
	for _, tasks := range b.m.jobTasks {
		if len(tasks) > 0 {
			last := tasks[len(tasks)-1]
			c.sum = plus(c.sum, b.start[last]+b.dur[last])
		}
	}
	return c
}
