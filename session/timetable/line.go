package timetable

import "sort"

// line is when a resource is busy: spans in order that neither touch nor
// overlap.
type line struct{ from, to []int }

func (l *line) clear() { l.from, l.to = l.from[:0], l.to[:0] }

// after is the first span that ends later than at.
func (l *line) after(at int) int {
	// Most questions are about the end of the line.
	n := len(l.to)
	if n == 0 || l.to[n-1] <= at {
		return n
	}
	return sort.SearchInts(l.to, at+1)
}

// fit is the earliest time from at on from which the resource is free for as
// long as asked.
func (l *line) fit(at, length int) int {
	for i := l.after(at); i < len(l.from) && l.from[i] < at+length; i++ {
		at = l.to[i]
	}
	return at
}

// fitUntil is the earliest time from at on from which the resource is free
// until end, which is not before that time.
func (l *line) fitUntil(at, end int) int {
	for i := l.after(at); i < len(l.from) && l.from[i] < max(at, end); i++ {
		at = l.to[i]
	}
	return at
}

// take makes the resource busy.
func (l *line) take(from, to int) {
	if from >= to {
		return
	}
	i := l.after(from)
	joinsLeft := i > 0 && l.to[i-1] == from
	joinsRight := i < len(l.from) && l.from[i] == to
	switch {
	case joinsLeft && joinsRight:
		l.to[i-1] = l.to[i]
		l.from = append(l.from[:i], l.from[i+1:]...)
		l.to = append(l.to[:i], l.to[i+1:]...)
	case joinsLeft:
		l.to[i-1] = to
	case joinsRight:
		l.from[i] = from
	default:
		l.from, l.to = append(l.from, 0), append(l.to, 0)
		copy(l.from[i+1:], l.from[i:])
		copy(l.to[i+1:], l.to[i:])
		l.from[i], l.to[i] = from, to
	}
}
