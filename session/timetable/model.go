package timetable

import (
	"fmt"
	"slices"
)

const (
	mostTasks   = 20_000
	mostServers = 1_000
	mostSeconds = 100_000_000 // three years, for any one time and for all of them together
)

// model is a Problem that has been found sound, with what the searches look up.
type model struct {
	p         *Problem
	n         int
	order     []int   // tasks so that every lag goes forward
	in, out   [][]int // lags to and from each task
	tubJob    []int   // the job of each task if it needs a tub, or None
	jobTasks  [][]int
	lagJob    []int   // the job whose tub chooses a lag's limits, or None
	uses      [][]int // resources each task occupies by itself, not through a hold
	holdFrom  []int   // the hold that begins with each task, or None
	holdsTo   [][]int // the holds that end with each task
	holdToEnd []bool  // the hold lasts to the end of its To
	tubKind   []int   // tubs with equal numbers are interchangeable
	varies    []bool  // jobs whose limits are not the same in all tubs
	jobLength [][]int // of each tub-needing job in each tub: the chain with its shortest waits

	dur               []int          // of each task
	shortest, longest []int          // of each lag, whatever the tub
	head, tail        []int          // longest way to a task's start, and from its start to the end
	latest            [][classes]int // latest start that keeps the hard limits ahead, those and the soft ones, all; or unlimited
	load              []int          // of each resource, but for what is fixed
	fixed             []int          // tasks, by their start
}

// unlimited is later than anything a timetable has. With ten times mostSeconds it fits an
// int of 32 bits, as small boards have, so that a problem has one answer everywhere.
const unlimited = 1 << 30

// plus adds lateness or ends up; a sum beyond unlimited counts as that.
func plus(sum, by int) int { return min(sum+by, unlimited) }

// share is a part of a whole of x, which may be too large in between for an int.
func share(x, part, whole int) int { return int(int64(x) * int64(part) / int64(whole)) }

func within(i, n int) bool { return i >= 0 && i < n }

func (p *Problem) check() error {
	if p.Resources < 0 || p.Tubs < 0 {
		return fmt.Errorf("there are %d resources and %d tubs: neither can be below 0", p.Resources, p.Tubs)
	}
	if max(len(p.Tasks), len(p.Jobs), len(p.Holds)) > mostTasks || len(p.Lags) > 4*mostTasks || max(p.Resources, p.Tubs) > mostServers {
		return fmt.Errorf("%d tasks, %d jobs, %d holds, %d lags, %d resources and %d tubs are too many: up to %d of the first three, %d lags and %d of the last two can be planned",
			len(p.Tasks), len(p.Jobs), len(p.Holds), len(p.Lags), p.Resources, p.Tubs, mostTasks, 4*mostTasks, mostServers)
	}
	if len(p.WishS) > 0 && len(p.WishS) != len(p.Tasks) {
		return fmt.Errorf("there are %d wishes for %d tasks: one for each, or none", len(p.WishS), len(p.Tasks))
	}
	for i, at := range p.WishS {
		if at != None && !seconds(at) {
			return fmt.Errorf("task %d is wished to start at %d s: 0 to %d, or %d for no wish", i, at, mostSeconds, None)
		}
	}
	held := map[int]int{}
	for j, job := range p.Jobs {
		if !job.NeedsTub {
			if job.Started || len(job.Tubs) > 0 {
				return fmt.Errorf("job %d needs no tub but names one: say that it needs it", j)
			}
			continue
		}
		if p.Tubs == 0 {
			return fmt.Errorf("job %d needs a tub and there is none: give at least one", j)
		}
		for _, t := range job.Tubs {
			if !within(t, p.Tubs) {
				return fmt.Errorf("job %d asks for tub %d: there are only 0 to %d", j, t, p.Tubs-1)
			}
		}
		if job.Started {
			if len(job.Tubs) != 1 {
				return fmt.Errorf("job %d has started but names %d tubs: it is in exactly one", j, len(job.Tubs))
			}
			if other, taken := held[job.Tubs[0]]; taken {
				return fmt.Errorf("jobs %d and %d are both in tub %d: a tub holds one", other, j, job.Tubs[0])
			}
			held[job.Tubs[0]] = j
		}
	}
	for i, t := range p.Tasks {
		if err := p.checkTask(i, t); err != nil {
			return err
		}
	}
	for l, lag := range p.Lags {
		if err := p.checkLag(l, lag); err != nil {
			return err
		}
	}
	if err := p.checkStock(); err != nil {
		return err
	}
	for h, hold := range p.Holds {
		if !within(hold.Resource, p.Resources) || !within(hold.From, len(p.Tasks)) || !within(hold.To, len(p.Tasks)) {
			return fmt.Errorf("hold %d of resource %d goes from task %d to %d: there are %d resources and %d tasks",
				h, hold.Resource, hold.From, hold.To, p.Resources, len(p.Tasks))
		}
	}
	if whole := p.wholeS(); whole > mostSeconds {
		return fmt.Errorf("all tasks and waits one after the other end after %d s: up to %d s can be planned", whole, mostSeconds)
	}
	return nil
}

// wholeS is when the last task would end if nothing were done at the same time: no
// timetable the searches build is longer.
func (p *Problem) wholeS() int64 {
	from := slices.Max(append([]int{0}, p.WishS...))
	var sum int64
	for _, t := range p.Tasks {
		from = max(from, t.EarliestS)
		sum += int64(t.DurS)
		if len(t.Takes) > 0 {
			sum += int64(p.Stock.FullS)
		}
	}
	for _, l := range p.Lags {
		most := l.MinS
		for _, on := range l.OnS {
			most = max(most, on.MinS)
		}
		sum += int64(most)
	}
	return int64(from) + sum
}

func seconds(s int) bool { return s >= 0 && s <= mostSeconds }

func (p *Problem) needsTub(task int) bool {
	j := p.Tasks[task].Job
	return j != None && p.Jobs[j].NeedsTub
}

func (p *Problem) checkTask(i int, t Task) error {
	if t.Job != None && !within(t.Job, len(p.Jobs)) {
		return fmt.Errorf("task %d is of job %d: there are %d jobs", i, t.Job, len(p.Jobs))
	}
	for k, r := range t.Resources {
		if !within(r, p.Resources) || slices.Contains(t.Resources[:k], r) {
			return fmt.Errorf("task %d asks for resource %d: each once, and there are %d", i, r, p.Resources)
		}
	}
	if !seconds(t.DurS) || !seconds(t.EarliestS) || t.LatestS != None && !seconds(t.LatestS) {
		return fmt.Errorf("task %d lasts %d s, starts from %d s on and not after %d s: each is 0 to %d, or %d for no latest start",
			i, t.DurS, t.EarliestS, t.LatestS, mostSeconds, None)
	}
	if !within(int(t.LateClass), classes) {
		return fmt.Errorf("task %d has a limit of class %d: it is %d (hard), %d (soft) or %d (wish)", i, t.LateClass, Hard, Soft, Wish)
	}
	return nil
}

func (p *Problem) checkLag(l int, lag Lag) error {
	if !within(lag.From, len(p.Tasks)) || !within(lag.To, len(p.Tasks)) || lag.From == lag.To {
		return fmt.Errorf("lag %d goes from task %d to %d: it ties two of %d tasks", l, lag.From, lag.To, len(p.Tasks))
	}
	if !within(int(lag.Class), classes) {
		return fmt.Errorf("lag %d has a limit of class %d: it is %d (hard), %d (soft) or %d (wish)", l, lag.Class, Hard, Soft, Wish)
	}
	if len(lag.OnS) > 0 && (len(lag.OnS) != p.Tubs || !p.needsTub(lag.From) && !p.needsTub(lag.To)) {
		return fmt.Errorf("lag %d has %d limits by tub: it needs %d and a job with a tub", l, len(lag.OnS), p.Tubs)
	}
	for _, m := range append([]Limits{lag.Limits}, lag.OnS...) {
		if !seconds(m.MinS) || m.MaxS != None && (!seconds(m.MaxS) || m.MaxS < m.MinS) {
			return fmt.Errorf("lag %d waits at least %d s and at most %d s: the first is 0 to %d, the second no less, or %d for no limit",
				l, m.MinS, m.MaxS, mostSeconds, None)
		}
	}
	return nil
}

// compile checks a problem and prepares it.
func compile(p *Problem) (*model, error) {
	if err := p.check(); err != nil {
		return nil, err
	}
	m := &model{p: p, n: len(p.Tasks)}
	n := m.n
	m.in, m.out, m.uses, m.dur, m.tubJob = make([][]int, n), make([][]int, n), make([][]int, n), make([]int, n), make([]int, n)
	m.jobTasks, m.varies, m.lagJob = make([][]int, len(p.Jobs)), make([]bool, len(p.Jobs)), make([]int, len(p.Lags))
	for i, t := range p.Tasks {
		m.dur[i], m.tubJob[i], m.uses[i] = t.DurS, None, t.Resources
		if t.Job != None {
			m.jobTasks[t.Job] = append(m.jobTasks[t.Job], i)
			if p.Jobs[t.Job].NeedsTub {
				m.tubJob[i] = t.Job
			}
		}
	}
	tied := map[[2]int]bool{}
	for l, lag := range p.Lags {
		m.out[lag.From], m.in[lag.To] = append(m.out[lag.From], l), append(m.in[lag.To], l)
		tied[[2]int{lag.From, lag.To}] = true
		m.lagJob[l] = None
		if len(lag.OnS) > 0 {
			m.lagJob[l] = m.tubJob[lag.From]
			if m.lagJob[l] == None {
				m.lagJob[l] = m.tubJob[lag.To]
			}
			m.varies[m.lagJob[l]] = true
		}
	}
	for j, tasks := range m.jobTasks {
		for k := 1; k < len(tasks) && p.Jobs[j].NeedsTub; k++ {
			if !tied[[2]int{tasks[k-1], tasks[k]}] {
				return nil, fmt.Errorf("job %d holds a tub, but no lag leads from its task %d to its next, %d", j, tasks[k-1], tasks[k])
			}
		}
	}
	if err := m.hold(tied); err != nil {
		return nil, err
	}
	if err := m.sort(); err != nil {
		return nil, err
	}
	m.relax()
	m.lengths()
	m.likeTubs()
	m.load = make([]int, p.Resources)
	for i := range n {
		if p.Tasks[i].Fixed {
			m.fixed = append(m.fixed, i)
			continue
		}
		for _, r := range m.uses[i] {
			m.load[r] += m.dur[i]
		}
	}
	return m, m.sortFixed()
}

// hold takes the holds up.
func (m *model) hold(tied map[[2]int]bool) error {
	p := m.p
	m.holdFrom, m.holdsTo = slices.Repeat([]int{None}, m.n), make([][]int, m.n)
	for h, hold := range p.Holds {
		from, to := hold.From, hold.To
		if !tied[[2]int{from, to}] || len(m.in[from]) > 0 || len(m.out[from]) != 1 || p.Tasks[from].Job != None || m.holdFrom[from] != None {
			return fmt.Errorf("hold %d of resource %d goes from task %d to %d: the first needs no job, no other hold, no lag to it and one from it, to the second", h, hold.Resource, from, to)
		}
		for _, other := range m.holdsTo[to] {
			if p.Holds[other].Resource == hold.Resource {
				return fmt.Errorf("hold %d of resource %d ends with task %d like another one: make them one", h, hold.Resource, to)
			}
		}
		m.holdFrom[from], m.holdsTo[to] = h, append(m.holdsTo[to], h)
		m.holdToEnd = append(m.holdToEnd, slices.Contains(p.Tasks[to].Resources, hold.Resource))
		for _, i := range []int{from, to} {
			m.uses[i] = slices.DeleteFunc(slices.Clone(m.uses[i]), func(r int) bool { return r == hold.Resource })
		}
	}
	return nil
}

// lengths measures each job in each tub.
func (m *model) lengths() {
	m.jobLength = make([][]int, len(m.p.Jobs))
	plain := make([]int, m.p.Tubs)
	for j, tasks := range m.jobTasks {
		switch {
		case !m.p.Jobs[j].NeedsTub:
			continue
		case !m.varies[j]:
			m.jobLength[j] = plain
			if len(tasks) == 0 {
				continue
			}
		}
		length := make([]int, m.p.Tubs)
		for tub := range length {
			ends := map[int]int{}
			for _, i := range tasks { // a chain in this order
				for _, l := range m.in[i] {
					if from := m.p.Lags[l].From; m.tubJob[from] == j {
						shortest, _ := m.limitsIn(l, tub)
						ends[i] = max(ends[i], ends[from]+shortest)
					}
				}
				ends[i] += m.dur[i]
				length[tub] = max(length[tub], ends[i])
			}
		}
		m.jobLength[j] = length
	}
}

// sort puts the tasks in an order in which every lag goes forward.
func (m *model) sort() error {
	left := make([]int, m.n)
	m.order = make([]int, 0, m.n)
	for i := range left {
		left[i] = len(m.in[i])
		if left[i] == 0 {
			m.order = append(m.order, i)
		}
	}
	for k := 0; k < len(m.order); k++ {
		for _, l := range m.out[m.order[k]] {
			to := m.p.Lags[l].To
			if left[to]--; left[to] == 0 {
				m.order = append(m.order, to)
			}
		}
	}
	if len(m.order) < m.n {
		i := slices.IndexFunc(left, func(k int) bool { return k > 0 })
		return fmt.Errorf("the lags go round in a circle that task %d waits for: one of them has to go", i)
	}
	return nil
}

// allowed calls with every tub a job may be put in.
func (m *model) allowed(job int, with func(tub int)) {
	if tubs := m.p.Jobs[job].Tubs; len(tubs) > 0 {
		for _, t := range tubs {
			with(t)
		}
		return
	}
	for t := range m.p.Tubs {
		with(t)
	}
}

func (m *model) limitsIn(lag, tub int) (minS, maxS int) {
	lim := m.p.Lags[lag].Limits
	if on := m.p.Lags[lag].OnS; len(on) > 0 && tub != None {
		lim = on[tub]
	}
	if lim.MaxS == None {
		return lim.MinS, unlimited
	}
	return lim.MinS, lim.MaxS
}

// relax finds what holds in whatever tub, and the longest ways with it.
func (m *model) relax() {
	p := m.p
	m.head, m.tail, m.latest = make([]int, m.n), make([]int, m.n), make([][classes]int, m.n)
	m.shortest, m.longest = make([]int, len(p.Lags)), make([]int, len(p.Lags))
	for l := range p.Lags {
		m.shortest[l], m.longest[l] = m.limitsIn(l, None)
		if m.lagJob[l] != None {
			m.shortest[l], m.longest[l] = unlimited, 0
			m.allowed(m.lagJob[l], func(tub int) {
				a, b := m.limitsIn(l, tub)
				m.shortest[l], m.longest[l] = min(m.shortest[l], a), max(m.longest[l], b)
			})
		}
	}
	for _, i := range m.order {
		m.head[i] = max(m.head[i], p.Tasks[i].EarliestS)
		for _, l := range m.out[i] {
			to := p.Lags[l].To
			m.head[to] = max(m.head[to], m.head[i]+m.dur[i]+m.shortest[l])
		}
	}
	for k := m.n - 1; k >= 0; k-- {
		i := m.order[k]
		m.tail[i], m.latest[i] = m.dur[i], [classes]int{unlimited, unlimited, unlimited}
		if at := p.Tasks[i].LatestS; at != None {
			for class := Wish; class >= p.Tasks[i].LateClass; class-- {
				m.latest[i][class] = at
			}
		}
		for _, l := range m.out[i] {
			to := p.Lags[l].To
			m.tail[i] = max(m.tail[i], m.dur[i]+m.shortest[l]+m.tail[to])
			for class, at := range m.latest[to] {
				m.latest[i][class] = min(m.latest[i][class], at-m.shortest[l]-m.dur[i])
			}
		}
	}
}

// likeTubs numbers the tubs so that interchangeable ones have one number.
func (m *model) likeTubs() {
	m.tubKind = make([]int, m.p.Tubs)
	alike := func(a, b int) bool {
		for _, l := range m.p.Lags {
			if len(l.OnS) > 0 && l.OnS[a] != l.OnS[b] {
				return false
			}
		}
		for _, t := range m.p.Tasks {
			if len(t.Takes) > 1 && t.Takes[a] != t.Takes[b] {
				return false
			}
		}
		for _, j := range m.p.Jobs {
			if len(j.Tubs) > 0 && (j.Started || slices.Contains(j.Tubs, a) != slices.Contains(j.Tubs, b)) &&
				(slices.Contains(j.Tubs, a) || slices.Contains(j.Tubs, b)) {
				return false
			}
		}
		return true
	}
	for t := range m.tubKind {
		m.tubKind[t] = t
		for u := range t {
			if m.tubKind[u] == u && alike(u, t) {
				m.tubKind[t] = u
				break
			}
		}
	}
}
