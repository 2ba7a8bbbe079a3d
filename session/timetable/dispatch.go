package timetable

import "slices"

// candidate is a task that could be next.
type candidate struct {
	task   int
	readyS int          // when it could start if all resources were free
	at     int          // when it could start if it came next
	latest [classes]int // its latest start by limits given or after those placed: by hard ones, by soft ones too, by all
}

// rule says which of the tasks that could be next is next.
type rule struct {
	tailEighths int // of the way from a task to the end, which count against how long it has waited
	urgentS     int // a task this near to its latest start goes first
	waitS       int // so long the person may wait for a better task
}

// urgent puts what is nearly late before what is not.
const urgent = 1 << 50

// key orders the candidates, the least first.
func (r rule) key(c candidate, tailS int) int64 {
	if latest := c.latest[Wish]; latest-c.at <= r.urgentS {
		return 8*int64(latest) - urgent
	}
	return 8*int64(c.readyS) - int64(r.tailEighths)*int64(tailS)
}

// dispatch builds the sequence from its beginning, always the next task by a
// rule. It passes over a task that would make another one late. It says whether
// all tasks found their place.
func (q *sequence) dispatch(by rule, jobs []int) bool {
	m := q.m
	q.clear()
	copy(q.state, q.at(q.kept, 0))
	left := make([]int, m.n) // lags from tasks not placed
	first := make([]int, 0, len(jobs))
	waits := make([]bool, m.n) // for a tub
	for _, j := range jobs {
		if i := m.jobTasks[j][0]; !m.p.Jobs[j].Started {
			first = append(first, i)
			waits[i] = true
		}
	}
	var ready []int
	for _, i := range m.order {
		for _, l := range m.in[i] {
			if q.placeable(m.p.Lags[l].From) {
				left[i]++
			}
		}
		if left[i] == 0 && q.placeable(i) && !waits[i] {
			ready = append(ready, i)
		}
	}
	for {
		q.candidates = q.candidates[:0]
		for _, i := range ready {
			q.consider(i)
		}
		for _, i := range first {
			if left[i] == 0 && q.freeTub(m.tubJob[i]) != None {
				q.consider(i)
				break
			}
		}
		if len(q.candidates) == 0 {
			break
		}
		i := q.next(by)
		if !q.place(i) {
			return false
		}
		q.pos[i] = len(q.order)
		q.order = append(q.order, i)
		if waits[i] {
			first = without(first, i)
		} else {
			ready = without(ready, i)
		}
		for _, l := range m.out[i] {
			to := m.p.Lags[l].To
			if left[to]--; left[to] == 0 && !waits[to] {
				ready = append(ready, to)
			}
		}
	}
	for i, pos := range q.pos {
		if pos == None && q.placeable(i) {
			return false
		}
	}
	return q.keepAll()
}

func without(list []int, i int) []int {
	for k, x := range list {
		if x == i {
			return append(list[:k], list[k+1:]...)
		}
	}
	return list
}

// next chooses among the candidates.
func (q *sequence) next(by rule) int {
	soonest := unlimited
	for _, c := range q.candidates {
		soonest = min(soonest, c.at)
	}
	for class := Wish; class >= Hard; class-- {
		best, bestKey := None, int64(0)
		for _, c := range q.candidates {
			key := by.key(c, q.m.tail[c.task])
			if c.at <= soonest+by.waitS && !q.delays(c, class) && (best == None || key < bestKey || key == bestKey && c.task < best) {
				best, bestKey = c.task, key
			}
		}
		if best != None {
			return best
		}
	}
	return slices.MinFunc(q.candidates, func(a, b candidate) int { return slices.Compare(a.latest[:], b.latest[:]) }).task
}

// delays says that another candidate would pass a limit after this one, and would
// not before it: one of a class, or a harder one.
func (q *sequence) delays(c candidate, class Class) bool {
	end := c.at + q.m.dur[c.task]
	for _, other := range q.candidates {
		if latest := other.latest[class]; other.task != c.task && latest < end && other.at <= latest {
			return true
		}
	}
	return false
}

// consider adds a task to the candidates.
func (q *sequence) consider(i int) {
	m := q.m
	p := m.p
	c := candidate{task: i, readyS: p.Tasks[i].EarliestS, latest: m.latest[i]}
	for _, l := range m.in[i] {
		from := p.Lags[l].From
		if !q.placeable(from) {
			continue
		}
		end := q.start[from] + m.dur[from]
		c.readyS = max(c.readyS, end+q.shortest[l])
		if q.longest[l] < unlimited {
			for class := Wish; class >= p.Lags[l].Class; class-- {
				c.latest[class] = min(c.latest[class], end+q.longest[l])
			}
		}
	}
	c.at = max(c.readyS, q.resourcesFree(i))
	if len(p.Tasks[i].Takes) > 0 {
		tub := q.tubOf(i)
		if j := m.tubJob[i]; j != None && i == m.jobTasks[j][0] && !p.Jobs[j].Started {
			tub = q.freeTub(j)
		}
		c.at = max(c.at, q.stocked(i, tub))
	}
	c.at = q.forNext(i, c.at)
	for _, h := range m.holdsTo[i] {
		c.at = max(c.at, q.served(h))
	}
	c.at = q.around(i, c.at)
	for _, f := range m.fixed { // a limit that falls in one has to be kept before it
		from := p.Tasks[f].EarliestS
		if before := from - m.dur[i]; c.at <= before && q.share(i, f) {
			for class, at := range c.latest {
				if at > before && at < from+m.dur[f] {
					c.latest[class] = before
				}
			}
		}
	}
	q.candidates = append(q.candidates, c)
	q.placed++
}
