package timetable

import "slices"

// work is something one resource has to do whole: not before head, and tail
// remains from its end to the end of the timetable.
type work struct{ head, length, tail int }

// oneAtATime is the least finish of works that may be interrupted, which those
// that may not be cannot beat: always do the one with the longest tail
// (Jackson's preemptive schedule). It reorders works.
func oneAtATime(works []work) int {
	for gap := len(works) / 2; gap > 0; gap /= 2 { // Shell's: that of package slices is 8 kB of code
		for i := gap; i < len(works); i++ {
			w, j := works[i], i
			for ; j >= gap && (works[j-gap].head > w.head || works[j-gap].head == w.head && works[j-gap].tail < w.tail); j -= gap {
				works[j] = works[j-gap]
			}
			works[j] = w
		}
	}
	finish := 0
	left := make([]int, len(works))
	var open []int // heap by tail, longest first
	at := 0
	for k := 0; k < len(works) || len(open) > 0; {
		if len(open) == 0 {
			at = max(at, works[k].head)
		}
		for ; k < len(works) && works[k].head <= at; k++ {
			left[k] = works[k].length
			open = push(open, k, works)
		}
		run := left[open[0]]
		if k < len(works) {
			run = min(run, works[k].head-at)
		}
		at += run
		if left[open[0]] -= run; left[open[0]] == 0 {
			finish = max(finish, at+works[open[0]].tail)
			open = pop(open, works)
		}
	}
	return finish
}

func push(heap []int, k int, works []work) []int {
	heap = append(heap, k)
	for i := len(heap) - 1; i > 0; {
		up := (i - 1) / 2
		if works[heap[up]].tail >= works[heap[i]].tail {
			break
		}
		heap[up], heap[i] = heap[i], heap[up]
		i = up
	}
	return heap
}

func pop(heap []int, works []work) []int {
	n := len(heap) - 1
	heap[0] = heap[n]
	heap = heap[:n]
	for i := 0; ; {
		best := i
		for _, c := range [2]int{2*i + 1, 2*i + 2} {
			if c < n && works[heap[c]].tail > works[heap[best]].tail {
				best = c
			}
		}
		if best == i {
			return heap
		}
		heap[i], heap[best] = heap[best], heap[i]
		i = best
	}
}

// severalAtATime is a least finish of works shared by k alike servers: over all
// works with at least some head and some tail, the k smallest heads, all the
// lengths and the k smallest tails fit into k times the finish; and one server
// gets at least its share of the number of works.
func severalAtATime(works []work, k int) int {
	best := 0
	heads, tails := make([]int, len(works)), make([]int, len(works))
	lengths := make([]int, len(works))
	for i, w := range works {
		heads[i], tails[i], lengths[i] = w.head, w.tail, w.length
		best = max(best, w.head+w.length+w.tail)
	}
	slices.Sort(lengths)
	slices.Sort(heads)
	slices.Sort(tails)
	// The n shortest of any subset of n works are no shorter than these.
	for n := k + 1; n <= len(works); n++ {
		share := (n + k - 1) / k
		sum := 0
		for _, d := range lengths[:share] {
			sum += d
		}
		best = max(best, heads[0]+sum+tails[0])
	}
	if len(works) > k {
		var sum int64
		for i, d := range lengths {
			sum += int64(d)
			if i < k {
				sum += int64(heads[i] + tails[i])
			}
		}
		best = max(best, int((sum+int64(k)-1)/int64(k)))
	}
	return best
}

// bound is a least finish, whatever the order.
func (m *model) bound() int {
	best := 0
	for i := range m.n {
		best = max(best, m.head[i]+m.tail[i])
	}
	works := make([][]work, m.p.Resources)
	for i := range m.n {
		for _, r := range m.uses[i] {
			works[r] = append(works[r], work{m.head[i], m.dur[i], m.tail[i] - m.dur[i]})
		}
	}
	for h, hold := range m.p.Holds {
		a, b := hold.From, hold.To
		after := m.tail[b]
		length := m.dur[a] + m.shortest[m.out[a][0]]
		if m.holdToEnd[h] {
			length += m.dur[b]
			after -= m.dur[b]
		}
		works[hold.Resource] = append(works[hold.Resource], work{m.head[a], length, after})
	}
	for _, w := range works {
		best = max(best, oneAtATime(w))
	}
	return max(best, m.tubBound(), m.stockBound())
}

// stockBound is a least finish because of the stock: of tasks with at least some tail the last
// begins when what the others have taken, and what it takes, has flowed in.
func (m *model) stockBound() int {
	best := 0
	for i := range m.n {
		if len(m.p.Tasks[i].Takes) == 0 {
			continue
		}
		in := -m.p.Stock.FirstS
		for k, t := range m.p.Tasks {
			if least := unlimited; len(t.Takes) > 0 && m.tail[k] >= m.tail[i] {
				for _, x := range t.Takes {
					least = min(least, x.TakeS, x.NeedS-x.LeftS)
				}
				in += least
			}
		}
		best = max(best, in+m.tail[i])
	}
	return best
}

// tubBound is a least finish because of the tubs alone.
func (m *model) tubBound() int {
	if m.p.Tubs == 0 {
		return 0
	}
	var all []work
	pinned := make([][]work, m.p.Tubs)
	for j, tasks := range m.jobTasks {
		job := m.p.Jobs[j]
		if !job.NeedsTub || len(tasks) == 0 {
			continue
		}
		last := tasks[len(tasks)-1]
		w := work{m.head[tasks[0]], unlimited, m.tail[last] - m.dur[last]}
		m.allowed(j, func(t int) { w.length = min(w.length, m.jobLength[j][t]) })
		if job.Started {
			w.head, w.length = 0, w.length+m.head[tasks[0]]
		}
		all = append(all, w)
		if len(job.Tubs) == 1 {
			pinned[job.Tubs[0]] = append(pinned[job.Tubs[0]], w)
		}
	}
	best := severalAtATime(all, m.p.Tubs)
	for _, w := range pinned {
		best = max(best, oneAtATime(w))
	}
	return best
}
