package timetable

import "slices"

// Slack is by how many seconds the start of each task may slip, the order of
// work on every resource and in every tub kept, before some hard limit is
// passed that is kept now; mostSeconds or more stands for any. Tasks that start
// at or after untilS are not asked about and get None.
//
// A slip moves what has to come after the task, and what moves with it may be
// limited itself; a task that waits between its neighbours takes up the slip.
func Slack(p Problem, s Solution, untilS int) []int {
	out := make([]int, len(p.Tasks))
	m, err := compile(&p)
	if err != nil || len(s.Start) != len(p.Tasks) {
		for i := range out {
			out[i] = None
		}
		return out
	}
	k := newSlip(m, s)
	for i := range out {
		if s.Start[i] >= untilS {
			out[i] = None
			continue
		}
		out[i] = k.of(i)
	}
	return out
}

// slip moves one task and sees what that does.
type slip struct {
	m     *model
	s     Solution
	dur   []int
	order []int   // tasks by start
	place []int   // where each is in order
	next  [][]int // the tasks that have to wait for a task's end: on a resource, in a tub
	start []int   // scratch
}

func newSlip(m *model, s Solution) *slip {
	k := &slip{m: m, s: s, dur: make([]int, m.n), order: make([]int, m.n), place: make([]int, m.n), next: make([][]int, m.n), start: make([]int, m.n)}
	for i := range k.order {
		k.order[i] = i
		k.dur[i] = m.durIn(i, k.tubOf(i))
	}
	rank := make([]int, m.n)
	for at, i := range m.order {
		rank[i] = at
	}
	slices.SortFunc(k.order, func(a, b int) int {
		if s.Start[a] != s.Start[b] {
			return s.Start[a] - s.Start[b]
		}
		return rank[a] - rank[b]
	})
	for at, i := range k.order {
		k.place[i] = at
	}
	for r := range m.p.Resources {
		last := None
		for _, i := range k.order {
			if !slices.Contains(m.p.Tasks[i].Resources, r) {
				continue
			}
			if last != None {
				// A resource that is held is free when the hold ends.
				from := last
				for _, h := range m.holds[last] {
					if m.p.Holds[h].Resource == r {
						from = m.p.Holds[h].To
					}
				}
				if from != i {
					k.next[from] = append(k.next[from], i)
				}
			}
			last = i
		}
	}
	for t := range m.p.Tubs {
		last := None
		for _, i := range k.order {
			if k.tubOf(i) != t {
				continue
			}
			if last != None && m.p.Tasks[i].Job != m.p.Tasks[last].Job {
				k.next[last] = append(k.next[last], i)
			}
			last = i
		}
	}
	return k
}

func (k *slip) tubOf(task int) int {
	if j := k.m.tub[task]; j != None {
		return k.s.Tub[j]
	}
	return None
}

// of is the slack of one task: by halving, since more slip never breaks less.
func (k *slip) of(task int) int {
	if k.keeps(task, mostSeconds) {
		return mostSeconds
	}
	low, high := 0, 1
	for k.keeps(task, high) {
		low, high = high, high*2
	}
	for high-low > 1 {
		if mid := (low + high) / 2; k.keeps(task, mid) {
			low = mid
		} else {
			high = mid
		}
	}
	return low
}

// keeps reports whether the hard limits that are kept now are kept when a task
// slips by so much.
func (k *slip) keeps(task, by int) bool {
	copy(k.start, k.s.Start)
	k.start[task] += by
	moved := map[int]bool{task: true}
	reach := k.start[task] + k.dur[task] // nothing that starts after this is pushed
	for _, i := range k.order[k.place[task]:] {
		if k.s.Start[i] > reach {
			break
		}
		if !moved[i] {
			continue
		}
		end := k.start[i] + k.dur[i]
		push := func(to, at int) {
			if k.start[to] < at {
				k.start[to], moved[to] = at, true
				reach = max(reach, at+k.dur[to])
			}
		}
		for _, to := range k.next[i] {
			push(to, end)
		}
		for _, l := range k.m.out[i] {
			minS, _ := k.m.limitsIn(l, k.lagTub(l))
			push(k.m.p.Lags[l].To, end+minS)
			reach = max(reach, end+minS)
		}
	}
	for i := range moved {
		if t := k.m.p.Tasks[i]; t.LatestS != None && t.LateClass == Hard && k.start[i] > max(t.LatestS, k.s.Start[i]) {
			return false
		}
		for _, l := range k.m.in[i] {
			lag := k.m.p.Lags[l]
			if lag.Class != Hard {
				continue
			}
			_, maxS := k.m.limitsIn(l, k.lagTub(l))
			waited := k.start[i] - k.start[lag.From] - k.dur[lag.From]
			was := k.s.Start[i] - k.s.Start[lag.From] - k.dur[lag.From]
			if waited > max(maxS, was) {
				return false
			}
		}
	}
	return true
}

func (k *slip) lagTub(lag int) int {
	if j := k.m.lagTub[lag]; j != None {
		return k.s.Tub[j]
	}
	return None
}
