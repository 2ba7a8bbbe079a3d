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
	whole := max(1, until-s.placed)
	gaps := r.gaps(nil)
	for s.placed < until && !(s.best.onTime() && s.best.finish <= s.bound) {
		s.placed++
		from, count, to := s.move(r, gaps)
		if from == to {
			continue
		}
		r.turn(from, count, to)
		atMost, most := far, r.cost()
		if s.best.onTime() {
			atMost, most = s.best.finish+longest*(until-s.placed)/whole, s.best
		}
		r.placed = 0
		ok := r.try(min(from, to), atMost, most)
		s.placed += r.placed
		if !ok {
			r.drop()
			r.turn(to, count, from)
			continue
		}
		r.keep()
		gaps = r.gaps(gaps[:0])
		s.keep(r.cost(), r.keptStart, r.keptTub)
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

// turn moves some tasks to another place.
func (r *row) turn(from, count, to int) {
	lo, mid, hi := from, from+count, to+count
	if to < from {
		lo, mid, hi = to, from, from+count
	}
	part := r.order[lo:hi]
	slices.Reverse(part[:mid-lo])
	slices.Reverse(part[mid-lo:])
	slices.Reverse(part)
	for k, i := range part {
		r.at[i] = lo + k
	}
}
