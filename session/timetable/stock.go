package timetable

import (
	"errors"
	"slices"
)

// checkStock checks what is taken from the stock. All that take from it share a resource, so
// that they take in the order in which they are done.
func (p *Problem) checkStock() error {
	ok := seconds(p.Stock.FullS) && within(p.Stock.FirstS, p.Stock.FullS+1)
	for i := range p.Tasks {
		t := &p.Tasks[i]
		n := len(t.Takes)
		ok = ok && (n == 0 || slices.Contains(t.Resources, 0)) && (n < 2 || n == p.Tubs && p.needsTub(i))
		for _, x := range t.Takes {
			ok = ok && within(x.NeedS, p.Stock.FullS+1) && within(x.TakeS, p.Stock.FullS+1) && within(x.LeftS, x.NeedS+1)
		}
	}
	if !ok {
		return errors.New("a task takes from the stock what it does not hold, or not with resource 0, or not once for each tub: all share that one, and take no more than it holds when full")
	}
	return nil
}

// takes is what a task takes from the stock in a tub; no need where it takes nothing.
func (m *model) takes(i, tub int) Take {
	switch t := m.p.Tasks[i].Takes; {
	case len(t) == 0:
		return Take{}
	case len(t) == 1 || tub == None:
		return t[0]
	default:
		return t[tub]
	}
}

// StockSpare is how much more than it needs each task finds in the stock, s, NoLimit for one
// that takes nothing; ok is false if some task has less.
func StockSpare(p *Problem, s *Solution) (spareS []int, ok bool) {
	spareS, ok = make([]int, len(p.Tasks)), true
	order := make([]int, len(p.Tasks))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return s.Start[a] - s.Start[b] })
	level, since := p.Stock.FirstS, 0
	for _, i := range order {
		level, since = min(p.Stock.FullS, level+s.Start[i]-since), s.Start[i]
		t := &p.Tasks[i]
		if len(t.Takes) == 0 {
			spareS[i] = NoLimit
			continue
		}
		x := t.Takes[0]
		if len(t.Takes) > 1 {
			x = t.Takes[s.Tub[t.Job]]
		}
		spareS[i] = level - x.NeedS
		ok = ok && spareS[i] >= 0
		level = x.from(level)
	}
	return spareS, ok
}
