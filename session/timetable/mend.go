package timetable

import "slices"

// mend changes the order of the best timetable a little, again and again: it
// moves a task or a few that follow each other, mostly to or over a gap of the
// resource with the most to do. What is worse than the best by less than a long
// task is gone on from too, less and less so as the effort runs out.
func (s *search) mend(r *row, until int) {
	if r == nil || !s.found || s.placed >= until {
		return
	}
	r.placed = 0
	ok := r.line(s.start)
	s.placed += r.placed
	if !ok || len(r.order) < 3 {
		return
	}
	s.keep(r.cost(), r.keptStart, r.keptTub)
	longest := 0
	for i := range s.m.n {
		if slices.Contains(s.m.alone[i], r.main) {
			longest = max(longest, s.m.dur[i])
		}
	}
	r.kinds()
	whole := max(1, until-s.placed)
	gaps := r.gaps(nil)
	for s.placed < until && !(s.best.onTime() && s.best.finish <= s.bound) {
		s.placed++
		first, ok := s.shuffle(r, gaps)
		if !ok {
			continue
		}
		atMost, most := far, r.cost()
		if s.best.onTime() {
			atMost, most = s.best.finish+share(longest, until-s.placed, whole), s.best
		}
		r.placed = 0
		ok = r.try(first, atMost, most)
		s.placed += r.placed
		if !ok {
			r.drop()
			r.restore()
			continue
		}
		r.keep()
		gaps = r.gaps(gaps[:0])
		s.keep(r.cost(), r.keptStart, r.keptTub)
	}
}

// shuffle changes the order a little. It says from which place on, and false if
// nothing was changed.
func (s *search) shuffle(r *row, gaps []int) (first int, ok bool) {
	if len(r.swaps) > 1 && s.chance.below(8) == 0 {
		return r.swap(r.swaps[s.chance.below(len(r.swaps))], r.swaps[s.chance.below(len(r.swaps))])
	}
	from, count, to := s.move(r, gaps)
	if from == to {
		return 0, false
	}
	r.turn(from, count, to)
	return min(from, to), true
}

// kinds numbers the jobs so that alike ones have equal numbers, and lists those
// that wait for a tub, if they are not all alike.
func (r *row) kinds() {
	m := r.m
	r.kind, r.swaps = make([]uint64, len(m.p.Jobs)), r.swaps[:0]
	differ := false
	for j, job := range m.p.Jobs {
		if !job.NeedsTub || job.Started || len(m.jobTasks[j]) == 0 {
			continue
		}
		k := uint64(1469598103934665603)
		mix := func(v ...int) {
			for _, x := range v {
				k = (k ^ uint64(x)) * 1099511628211
			}
		}
		mix(job.Tubs...)
		for _, i := range m.jobTasks[j] {
			t := m.p.Tasks[i]
			mix(t.DurS, t.EarliestS, t.LatestS, len(r.with[i]), len(m.in[i]), len(m.out[i]))
			mix(t.DurOnS...)
			for _, l := range m.in[i] {
				mix(r.m.lmin[l], r.m.lmax[l])
			}
		}
		differ = differ || len(r.swaps) > 0 && k != r.kind[r.swaps[0]]
		r.kind[j], r.swaps = k, append(r.swaps, j)
	}
	if !differ {
		r.swaps = r.swaps[:0]
	}
}

// swap lets two jobs change places, task by task; what one of them has more
// comes last. It says false, and nothing is changed, if they are alike or a lag
// forbids it.
func (r *row) swap(a, b int) (first int, ok bool) {
	if a == b || r.kind[a] == r.kind[b] {
		return 0, false
	}
	x, y := r.m.jobTasks[a], r.m.jobTasks[b]
	lo := min(r.at[x[0]], r.at[y[0]])
	hi := max(r.at[x[len(x)-1]], r.at[y[len(y)-1]]) + 1
	r.save(lo, hi)
	for k := lo; k < hi; k++ {
		next := &x
		switch j := r.m.tub[r.order[k]]; {
		case j == a:
			next = &y
		case j != b:
			continue
		}
		if len(*next) == 0 {
			if next = &x; len(x) == 0 {
				next = &y
			}
		}
		r.order[k] = (*next)[0]
		*next = (*next)[1:]
	}
	for k, i := range r.order[lo:hi] {
		r.at[i] = lo + k
	}
	for _, i := range r.order[lo:hi] {
		for _, l := range r.m.in[i] {
			if from := r.m.p.Lags[l].From; r.own[from] && r.at[from] > r.at[i] {
				r.restore()
				return 0, false
			}
		}
	}
	return lo, true
}

// save remembers the order from one place to before another.
func (r *row) save(lo, hi int) {
	r.saved, r.savedAt = append(r.saved[:0], r.order[lo:hi]...), lo
}

// restore goes back to the order that save remembered.
func (r *row) restore() {
	copy(r.order[r.savedAt:], r.saved)
	for k, i := range r.saved {
		r.at[i] = r.savedAt + k
	}
}

// gaps lists the places before which the main resource stands idle.
func (r *row) gaps(out []int) []int {
	idle := 0
	for k := range r.order {
		next := r.states[(k+1)*r.w+r.w-rowWidth+rowIdle]
		if next > idle {
			out = append(out, k)
		}
		idle = next
	}
	return out
}

// move draws what to move where: count tasks from one place to another, as far
// as their lags let them.
func (s *search) move(r *row, gaps []int) (from, count, to int) {
	const reach, close = 12, 2
	n := len(r.order)
	count = 1
	if s.chance.below(3) == 0 {
		count = min(n, 2+s.chance.below(2))
	}
	near := s.chance.below(n)
	if len(gaps) > 0 && s.chance.below(4) > 0 {
		near = gaps[s.chance.below(len(gaps))]
	}
	from = near + s.chance.below(2*reach+1) - reach
	to = near + s.chance.below(2*close+1) - close
	if s.chance.below(2) == 0 {
		from, to = to, from
	}
	from, to = min(max(0, from), n-count), min(max(0, to), n-count)
	return from, count, r.within(from, count, to)
}

// within is the place nearest to another one to which some tasks may move: none
// of them passes one that a lag ties it to.
func (r *row) within(from, count, to int) int {
	m := r.m
	for _, i := range r.order[from : from+count] {
		if to < from {
			for _, l := range m.in[i] {
				if a := m.p.Lags[l].From; r.own[a] && r.at[a] < from {
					to = max(to, r.at[a]+1)
				}
			}
			continue
		}
		for _, l := range m.out[i] {
			if b := r.at[m.p.Lags[l].To]; b >= from+count {
				to = min(to, b-count)
			}
		}
	}
	return to
}

// turn moves some tasks to another place and saves what was there.
func (r *row) turn(from, count, to int) {
	lo, mid, hi := from, from+count, to+count
	if to < from {
		lo, mid, hi = to, from, from+count
	}
	r.save(lo, hi)
	part := r.order[lo:hi]
	slices.Reverse(part[:mid-lo])
	slices.Reverse(part[mid-lo:])
	slices.Reverse(part)
	for k, i := range part {
		r.at[i] = lo + k
	}
}
