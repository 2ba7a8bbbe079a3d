package timetable

import (
	"fmt"
	"slices"
	"sort"
)

// sortFixed checks the fixed tasks and puts them in order.
func (m *model) sortFixed() error {
	p, last := m.p, None
	sort.Slice(m.fixed, func(a, b int) bool { return p.Tasks[m.fixed[a]].EarliestS < p.Tasks[m.fixed[b]].EarliestS })
	for _, i := range m.fixed {
		t := &p.Tasks[i]
		if t.Job != None || t.LatestS != None || len(t.Takes) > 0 || len(m.in[i])+len(m.out[i]) > 0 {
			return fmt.Errorf("task %d is fixed: it has no job, no latest start and no lag, and takes nothing from the stock", i)
		}
		if last != None && p.Tasks[last].EarliestS+m.dur[last] > t.EarliestS {
			return fmt.Errorf("tasks %d and %d are fixed and meet: make them one", last, i)
		}
		last = i
	}
	return nil
}

// around is when to start a task that could start at a moment so that it meets no fixed one, nor
// do those that have to follow it soon: a bath is not made whose lift would be due in a break.
// For those it passes no limit of its own.
func (q *sequence) around(i, at int) int {
	for was := None; at != was; { // for one it may come to lie at another
		was = at
		for _, f := range q.m.fixed {
			from := q.m.p.Tasks[f].EarliestS
			to := from + q.m.dur[f]
			switch {
			case at >= to:
			case at+q.m.dur[i] > from && q.share(i, f):
				at = to
			default:
				if put := q.passes(i, at, f); put <= q.lastStart(i) {
					at = put
				}
			}
			for _, h := range q.m.holdsTo[i] {
				if s := q.m.p.Holds[h].From; at > from && q.share(s, f) {
					q.start[s] = max(q.start[s], to)
					at = max(at, to+q.m.dur[s]+q.shortest[q.m.out[s][0]])
				}
			}
		}
	}
	return at
}

// share says that two tasks use the same resource.
func (q *sequence) share(a, b int) bool {
	uses := q.m.p.Tasks[b].Resources
	return slices.ContainsFunc(q.m.p.Tasks[a].Resources, func(r int) bool { return slices.Contains(uses, r) })
}

// triesAround are the searches that go around a fixed task. An order stays on the side of it where
// it began, so each begins from a rule of its own; the more room is left before it, the less is late,
// and the later all is done; and all may be better begun later, each try by some minutes more.
func triesAround() (all []trial) {
	for rule := range 8 {
		for _, roomS := range [...]int{0, 900, 2400} {
			all = append(all, trial{roomS, rule, 0}, trial{roomS, 7 - rule, 300 + 400*rule})
		}
	}
	return all
}

// passes is the first start of a task from a moment on with which none of those that have to
// follow it soon is due while a fixed one lasts.
func (q *sequence) passes(i, at, fixed int) int {
	m := q.m
	from := m.p.Tasks[fixed].EarliestS
	to := from + m.dur[fixed]
	for at < to {
		first, last, put := at, at, at // starts of what follows
		for k := i; k != None; {
			if before := from - m.dur[k]; q.share(k, fixed) {
				if k != i {
					before -= q.roomS
				}
				if first > before && last < to { // all of them meet it
					put = at + to - last
					break
				}
				if first > before {
					first = max(first, to)
				}
				if last < to {
					last = min(last, before)
				}
			}
			next, shortest, longest := None, 0, unlimited
			for _, l := range m.out[k] {
				if to := m.p.Lags[l].To; m.p.Tasks[to].Job == m.p.Tasks[k].Job {
					next, shortest, longest = to, max(shortest, q.shortest[l]), min(longest, q.longest[l])
				}
			}
			if longest == unlimited {
				break
			}
			first, last, k = first+m.dur[k]+shortest, last+m.dur[k]+longest, next
		}
		if put == at {
			break
		}
		at = put
	}
	return at
}

// lastStart is the latest start of a task that passes no limit.
func (q *sequence) lastStart(i int) int {
	last := unlimited
	if t := &q.m.p.Tasks[i]; t.LatestS != None {
		last = t.LatestS
	}
	for _, l := range q.m.in[i] {
		if from := q.m.p.Lags[l].From; q.longest[l] < unlimited && q.m.p.Tasks[from].Job == q.m.p.Tasks[i].Job {
			last = min(last, q.start[from]+q.m.dur[from]+q.longest[l])
		}
	}
	return last
}
