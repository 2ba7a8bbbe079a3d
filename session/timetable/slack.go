package timetable

import (
	"fmt"
	"slices"
)

// NoLimit is the slack of a task whose delay endangers nothing hard.
const NoLimit = unlimited

// Slack says for each task by how many seconds its start may slip, the order of
// the tasks on each resource and of the jobs in each tub kept, before a hard
// limit is passed anywhere: NoLimit if none ever is, 0 if one is passed already.
//
// It is asked at the moment when the task should start. What starts before it
// stands as it is; what starts with it or later is put off as far as needed, a
// later fill for instance so that its soak does not get too long.
func Slack(p Problem, s Solution) ([]int, error) {
	m, err := compile(&p)
	if err != nil {
		return nil, err
	}
	if len(s.Start) != m.n || len(s.Tub) != len(p.Jobs) {
		return nil, fmt.Errorf("the timetable has %d starts and %d tubs: the problem has %d tasks and %d jobs",
			len(s.Start), len(s.Tub), m.n, len(p.Jobs))
	}
	for j, tub := range s.Tub {
		if tub != None && !within(tub, p.Tubs) || p.Jobs[j].NeedsTub && tub == None {
			return nil, fmt.Errorf("job %d is in tub %d: there are only 0 to %d", j, tub, p.Tubs-1)
		}
	}
	k := newSlacker(m, &s)
	// The last first: what was found of it serves those before it.
	order := make([]int, m.n)
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return s.Start[b] - s.Start[a] })
	for _, i := range order {
		k.known[i].slack, k.known[i].standsS = k.slack(i)
		k.known[i].ok = true
	}
	out := make([]int, m.n)
	for i := range out {
		out[i] = k.known[i].slack
	}
	return out, nil
}

// nudge says that a delay of one task beyond some seconds delays another.
type nudge struct{ to, spare int }

// found is the slack of a task asked about before. standsS is when the task
// started that stands as it is and so makes the limit; -1 if it is the latest
// start of some task.
type found struct {
	ok             bool
	slack, standsS int
}

type slacker struct {
	m       *model
	start   []int
	room    []int     // of each task, to its own hard latest start
	pushes  [][]nudge // from each task to those after it
	longest [][]nudge // to each task: the task From a longest wait reaches here, and what is left of that wait
	reached []int     // the spare on the way from the task asked about, by stamp
	stamp   []int
	asked   int
	heap    []nudge
	known   []found
}

func newSlacker(m *model, s *Solution) *slacker {
	k := &slacker{m: m, start: s.Start, room: make([]int, m.n), pushes: make([][]nudge, m.n), longest: make([][]nudge, m.n),
		reached: make([]int, m.n), stamp: make([]int, m.n), known: make([]found, m.n)}
	tub := func(j int) int {
		if j == None {
			return None
		}
		return s.Tub[j]
	}
	end := func(i int) int { return s.Start[i] + m.dur[i] }
	for i, t := range m.p.Tasks {
		if k.room[i] = unlimited; t.LatestS != None && t.LateClass == Hard {
			k.room[i] = max(0, t.LatestS-s.Start[i])
		}
	}
	for l, lag := range m.p.Lags {
		shortest, longest := m.limitsIn(l, tub(m.lagJob[l]))
		wait := s.Start[lag.To] - end(lag.From)
		k.pushes[lag.From] = append(k.pushes[lag.From], nudge{lag.To, max(0, wait-shortest)})
		if longest < unlimited && lag.Class == Hard {
			k.longest[lag.To] = append(k.longest[lag.To], nudge{lag.From, max(0, longest-wait)})
		}
	}
	k.queues(s, end)
	return k
}

// queues finds who waits for whom on each resource and tub.
func (k *slacker) queues(s *Solution, end func(int) int) {
	m := k.m
	type turn struct{ first, last, from, to int }
	turns := make([][]turn, m.p.Resources+m.p.Tubs)
	for i := range m.n {
		for _, r := range m.uses[i] {
			turns[r] = append(turns[r], turn{i, i, s.Start[i], end(i)})
		}
	}
	for h, hold := range m.p.Holds {
		t := turn{hold.From, hold.To, s.Start[hold.From], s.Start[hold.To]}
		if m.holdToEnd[h] {
			t.to = end(hold.To)
		}
		turns[hold.Resource] = append(turns[hold.Resource], t)
	}
	for j, tasks := range m.jobTasks {
		if m.p.Jobs[j].NeedsTub && len(tasks) > 0 {
			first, last := tasks[0], tasks[len(tasks)-1]
			t := turn{first, last, s.Start[first], end(last)}
			turns[m.p.Resources+s.Tub[j]] = append(turns[m.p.Resources+s.Tub[j]], t)
		}
	}
	for _, q := range turns {
		slices.SortStableFunc(q, func(a, b turn) int {
			if a.from != b.from {
				return a.from - b.from
			}
			return a.to - b.to
		})
		for x := 1; x < len(q); x++ {
			k.pushes[q[x-1].last] = append(k.pushes[q[x-1].last], nudge{q[x].first, max(0, q[x].from-q[x-1].to)})
		}
	}
}

// slack goes from a task to all it pushes, nearest first, until no limit
// further on can be the nearest.
//
// What is known of a later task j is of the same pushes with more tasks standing
// as they are, for fewer start with it or after it. A task that stands makes a
// limit at least as near as pushing it on would, so the slack of j is never more
// than what is left from j on here; and it is just that if its own limit is a
// latest start, or a task that stands here too.
func (k *slacker) slack(task int) (best, standsS int) {
	k.asked++
	now := k.start[task]
	best = unlimited
	nearer := func(at, stands int) {
		if at < best {
			best, standsS = at, stands
		}
	}
	k.heap = k.heap[:0]
	k.reach(task, 0)
	for len(k.heap) > 0 {
		at := k.take()
		if at.spare >= best {
			break
		}
		if at.spare > k.reached[at.to] {
			continue
		}
		if f := &k.known[at.to]; f.ok {
			if f.slack >= unlimited || at.spare+f.slack >= best {
				continue
			}
			if f.standsS < now {
				nearer(at.spare+f.slack, f.standsS)
				continue
			}
		}
		nearer(at.spare+k.room[at.to], -1)
		for _, next := range k.pushes[at.to] {
			k.reach(next.to, at.spare+next.spare)
		}
		for _, l := range k.longest[at.to] {
			if k.start[l.to] < now {
				nearer(at.spare+l.spare, k.start[l.to])
			} else {
				k.reach(l.to, at.spare+l.spare)
			}
		}
	}
	return min(best, unlimited), standsS
}

func (k *slacker) reach(task, spare int) {
	if k.stamp[task] == k.asked && k.reached[task] <= spare {
		return
	}
	k.stamp[task], k.reached[task] = k.asked, spare
	k.heap = append(k.heap, nudge{task, spare})
	for i := len(k.heap) - 1; i > 0; {
		up := (i - 1) / 2
		if k.heap[up].spare <= k.heap[i].spare {
			break
		}
		k.heap[up], k.heap[i] = k.heap[i], k.heap[up]
		i = up
	}
}

func (k *slacker) take() nudge {
	top := k.heap[0]
	n := len(k.heap) - 1
	k.heap[0] = k.heap[n]
	k.heap = k.heap[:n]
	for i := 0; ; {
		least := i
		for _, c := range [2]int{2*i + 1, 2*i + 2} {
			if c < n && k.heap[c].spare < k.heap[least].spare {
				least = c
			}
		}
		if least == i {
			return top
		}
		k.heap[i], k.heap[least] = k.heap[least], k.heap[i]
		i = least
	}
}
