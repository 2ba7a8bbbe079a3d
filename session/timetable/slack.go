package timetable

import (
	"cmp"
	"fmt"
	"slices"
	"sort"
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
	k := newSlackSearch(m, &s)
	// The last first: what was found of it serves those before it.
	lastFirst := make([]int, m.n)
	for i := range lastFirst {
		lastFirst[i] = i
	}
	slices.SortStableFunc(lastFirst, func(a, b int) int { return s.Start[b] - s.Start[a] })
	out := make([]int, m.n)
	for _, i := range lastFirst {
		slackS, standsS := k.slack(i)
		k.answers[i] = answer{true, slackS, standsS}
		out[i] = slackS
	}
	return out, nil
}

// edge leads from one task to another that its delay reaches, once that delay is
// more than spareS.
type edge struct{ to, spareS int }

// answer is the slack of a task that was asked about. Where the limit is the longest
// wait after a task that stands as it is, standsS is the start of that one; -1 where
// it is the latest start of some task.
type answer struct {
	known           bool
	slackS, standsS int
}

// slackSearch finds slacks as nearest ways in the graph of delays (Dijkstra).
type slackSearch struct {
	m       *model
	start   []int
	ownS    []int    // of each task, to its own hard latest start
	delays  [][]edge // from each task to those after it
	waits   [][]edge // from the end of each hard longest wait back to its From, and what is left of the wait
	spareTo []int    // from the task asked about to each task; it counts where askedAt is the running question
	askedAt []int
	asked   int // number of the running question
	heap    []edge
	answers []answer
}

func newSlackSearch(m *model, s *Solution) *slackSearch {
	k := &slackSearch{m: m, start: s.Start, ownS: make([]int, m.n), delays: make([][]edge, m.n), waits: make([][]edge, m.n),
		spareTo: make([]int, m.n), askedAt: make([]int, m.n), answers: make([]answer, m.n)}
	tub := func(j int) int {
		if j == None {
			return None
		}
		return s.Tub[j]
	}
	end := func(i int) int { return s.Start[i] + m.dur[i] }
	for i, t := range m.p.Tasks {
		if k.ownS[i] = unlimited; t.LatestS != None && t.LateClass == Hard {
			k.ownS[i] = max(0, t.LatestS-s.Start[i])
		}
	}
	for l, lag := range m.p.Lags {
		shortest, longest := m.limitsIn(l, tub(m.lagJob[l]))
		waitS := s.Start[lag.To] - end(lag.From)
		k.delays[lag.From] = append(k.delays[lag.From], edge{lag.To, max(0, waitS-shortest)})
		if longest < unlimited && lag.Class == Hard {
			k.waits[lag.To] = append(k.waits[lag.To], edge{lag.From, max(0, longest-waitS)})
		}
	}
	k.addQueues(s, end)
	return k
}

// addQueues has each use of a resource or a tub delay the next one.
func (k *slackSearch) addQueues(s *Solution, end func(int) int) {
	m := k.m
	type use struct{ first, last, fromS, toS int }
	uses := make([][]use, m.p.Resources+m.p.Tubs)
	for i := range m.n {
		for _, r := range m.uses[i] {
			uses[r] = append(uses[r], use{i, i, s.Start[i], end(i)})
		}
	}
	for h, hold := range m.p.Holds {
		u := use{hold.From, hold.To, s.Start[hold.From], s.Start[hold.To]}
		if m.holdToEnd[h] {
			u.toS = end(hold.To)
		}
		uses[hold.Resource] = append(uses[hold.Resource], u)
	}
	for j, tasks := range m.jobTasks {
		if m.p.Jobs[j].NeedsTub && len(tasks) > 0 {
			first, last := tasks[0], tasks[len(tasks)-1]
			tub := m.p.Resources + s.Tub[j]
			uses[tub] = append(uses[tub], use{first, last, s.Start[first], end(last)})
		}
	}
	k.addStock(s)
	for _, queue := range uses {
		sort.SliceStable(queue, func(i, j int) bool {
			return cmp.Or(queue[i].fromS-queue[j].fromS, queue[i].toS-queue[j].toS) < 0
		})
		for x := 1; x < len(queue); x++ {
			before, next := queue[x-1], queue[x]
			k.delays[before.last] = append(k.delays[before.last], edge{next.first, max(0, next.fromS-before.toS)})
		}
	}
}

// addStock has each task that takes from the stock delay the next one that does: a second
// later there may be a second's less for that.
func (k *slackSearch) addStock(s *Solution) {
	m := k.m
	var takers []int
	for i, t := range m.p.Tasks {
		if len(t.Takes) > 0 {
			takers = append(takers, i)
		}
	}
	slices.SortStableFunc(takers, func(a, b int) int { return s.Start[a] - s.Start[b] })
	spare, _ := StockSpare(m.p, s)
	for x := 1; x < len(takers); x++ {
		k.delays[takers[x-1]] = append(k.delays[takers[x-1]], edge{takers[x], max(0, spare[takers[x]])})
	}
}

// slack goes from a task to all it delays, nearest first, until no limit further on
// can be the nearest.
//
// What is known of a later task j is of the same delays with more tasks standing
// as they are, for fewer start with it or after it. A task that stands makes a
// limit at least as near as delaying it would, so the slack of j is never more
// than what is left from j on here; and it is just that if its own limit is a
// latest start, or a task that stands here too.
func (k *slackSearch) slack(task int) (bestS, standsS int) {
	k.asked++
	nowS := k.start[task]
	bestS = unlimited
	limit := func(atS, stands int) {
		if atS < bestS {
			bestS, standsS = atS, stands
		}
	}
	k.heap = k.heap[:0]
	k.reach(task, 0)
	for len(k.heap) > 0 {
		here := k.nearest()
		if here.spareS >= bestS {
			break
		}
		if here.spareS > k.spareTo[here.to] { // reached by a nearer way since
			continue
		}
		if a := &k.answers[here.to]; a.known {
			if a.slackS >= unlimited || here.spareS+a.slackS >= bestS {
				continue
			}
			if a.standsS < nowS {
				limit(here.spareS+a.slackS, a.standsS)
				continue
			}
		}
		limit(here.spareS+k.ownS[here.to], -1)
		for _, e := range k.delays[here.to] {
			k.reach(e.to, here.spareS+e.spareS)
		}
		for _, e := range k.waits[here.to] {
			if k.start[e.to] < nowS {
				limit(here.spareS+e.spareS, k.start[e.to])
			} else {
				k.reach(e.to, here.spareS+e.spareS)
			}
		}
	}
	return min(bestS, unlimited), standsS
}

// reach notes a way to a task if it is the nearest so far.
func (k *slackSearch) reach(task, spareS int) {
	if k.askedAt[task] == k.asked && k.spareTo[task] <= spareS {
		return
	}
	k.askedAt[task], k.spareTo[task] = k.asked, spareS
	k.heap = append(k.heap, edge{task, spareS})
	for i := len(k.heap) - 1; i > 0; {
		up := (i - 1) / 2
		if k.heap[up].spareS <= k.heap[i].spareS {
			break
		}
		k.heap[up], k.heap[i] = k.heap[i], k.heap[up]
		i = up
	}
}

// nearest takes the task with the least spare off the heap.
func (k *slackSearch) nearest() edge {
	top := k.heap[0]
	n := len(k.heap) - 1
	k.heap[0] = k.heap[n]
	k.heap = k.heap[:n]
	for i := 0; ; {
		least := i
		for _, c := range [2]int{2*i + 1, 2*i + 2} {
			if c < n && k.heap[c].spareS < k.heap[least].spareS {
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
