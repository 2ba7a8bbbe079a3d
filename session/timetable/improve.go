package timetable

import "slices"

// improve changes the order of the best timetable a little, again and again: it
// moves a task, mostly to or over an idle time of the bottleneck, or lets two
// jobs change places. What finishes later than the best by less than a long task
// is gone on from too, less and less so as the effort runs out.
func (s *search) improve(q *sequence, until int) {
	if !s.found || s.placed >= until {
		return
	}
	q.placed = 0
	ok := q.arrange(s.start)
	s.placed += q.placed
	if !ok || len(q.order) < 3 {
		return
	}
	s.keep(q.cost(), q.keptStart, q.keptTub)
	longest := 0
	for i, dur := range s.m.dur {
		if !s.m.p.Tasks[i].Fixed {
			longest = max(longest, dur)
		}
	}
	whole := max(1, until-s.placed)
	swaps := q.swappable()
	gaps := q.gaps(nil)
	for s.placed < until && !s.meetsBound() && !s.idle() {
		s.placed++
		first, ok := s.change(q, gaps, swaps)
		if !ok {
			continue
		}
		limit := s.best
		limit.finish, limit.sum = limit.finish+share(longest, until-s.placed, whole), unlimited
		q.placed = 0
		ok = q.try(first, limit)
		s.placed += q.placed
		if !ok {
			q.drop()
			q.restore()
			continue
		}
		q.keep()
		gaps = q.gaps(gaps[:0])
		s.keep(q.cost(), q.keptStart, q.keptTub)
	}
}

// change alters the order in one way or a few. It says from which place on, and
// false if nothing was changed.
func (s *search) change(q *sequence, gaps, swaps []int) (first int, changed bool) {
	q.save()
	first = len(q.order)
	for again := true; again; again = s.chance.below(4) == 0 {
		at, ok := 0, false
		if len(swaps) > 1 && s.chance.below(8) == 0 {
			at, ok = q.swap(swaps[s.chance.below(len(swaps))], swaps[s.chance.below(len(swaps))])
		} else {
			from, to := s.drawMove(q, gaps)
			if to = q.nearestPlace(from, to); from != to {
				q.move(from, to)
				at, ok = min(from, to), true
			}
		}
		if ok {
			first, changed = min(first, at), true
		}
	}
	return first, changed
}

// gaps lists the places before which the bottleneck stands idle.
func (q *sequence) gaps(out []int) []int {
	free := 0
	for k, i := range q.order {
		if slices.Contains(q.m.uses[i], q.bottleneck) {
			if q.keptStart[i] > free {
				out = append(out, k)
			}
			free = q.keptStart[i] + q.m.dur[i]
		}
	}
	return out
}

// drawMove draws which task to move where: from around a gap to the gap, or the
// other way.
func (s *search) drawMove(q *sequence, gaps []int) (from, to int) {
	const around, close = 12, 2
	n := len(q.order)
	near := s.chance.below(n)
	if len(gaps) > 0 && s.chance.below(4) > 0 {
		near = gaps[s.chance.below(len(gaps))]
	}
	from = near + s.chance.below(2*around+1) - around
	to = near + s.chance.below(2*close+1) - close
	if s.chance.below(2) == 0 {
		from, to = to, from
	}
	return min(max(0, from), n-1), min(max(0, to), n-1)
}

// nearestPlace is the place nearest to another one to which a task may move: it
// passes none that a lag ties it to.
func (q *sequence) nearestPlace(from, to int) int {
	i := q.order[from]
	if to < from {
		for _, l := range q.m.in[i] {
			to = max(to, q.pos[q.m.p.Lags[l].From]+1) // None is below all places
		}
		return to
	}
	for _, l := range q.m.out[i] {
		to = min(to, q.pos[q.m.p.Lags[l].To]-1)
	}
	return to
}

// move moves a task to another place.
func (q *sequence) move(from, to int) {
	i := q.order[from]
	if from < to {
		copy(q.order[from:], q.order[from+1:to+1])
	} else {
		copy(q.order[to+1:from+1], q.order[to:])
	}
	q.order[to] = i
	q.renumber(min(from, to), max(from, to)+1)
}

// renumber says at which places the tasks of a part of the order are.
func (q *sequence) renumber(lo, hi int) {
	for k, i := range q.order[lo:hi] {
		q.pos[i] = lo + k
	}
}

// swappable lists the jobs that wait for a tub, none if they are all alike.
func (q *sequence) swappable() []int {
	var out []int
	differ := false
	for j, job := range q.m.p.Jobs {
		if job.NeedsTub && q.kind[j] != None {
			out = append(out, j)
			differ = differ || q.kind[j] != q.kind[out[0]]
		}
	}
	if !differ {
		return nil
	}
	return out
}

// swap lets two jobs change places, task by task; what one of them has more comes
// last. It says false, and nothing is changed, if they are alike or a lag forbids
// it.
func (q *sequence) swap(a, b int) (first int, ok bool) {
	if q.kind[a] == q.kind[b] {
		return 0, false
	}
	x, y := q.m.jobTasks[a], q.m.jobTasks[b]
	lo := min(q.pos[x[0]], q.pos[y[0]])
	hi := max(q.pos[x[len(x)-1]], q.pos[y[len(y)-1]]) + 1
	was := slices.Clone(q.order[lo:hi])
	for k := lo; k < hi; k++ {
		next := &x
		switch j := q.m.tubJob[q.order[k]]; {
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
		q.order[k] = (*next)[0]
		*next = (*next)[1:]
	}
	q.renumber(lo, hi)
	for _, i := range q.order[lo:hi] {
		for _, l := range q.m.in[i] {
			if q.pos[q.m.p.Lags[l].From] > q.pos[i] {
				copy(q.order[lo:], was)
				q.renumber(lo, hi)
				return 0, false
			}
		}
	}
	return lo, true
}

// save remembers the order.
func (q *sequence) save() {
	q.savedOrder = append(q.savedOrder[:0], q.order...)
}

// restore goes back to what save remembered.
func (q *sequence) restore() {
	copy(q.order, q.savedOrder)
	q.renumber(0, len(q.order))
}
