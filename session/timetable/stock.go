package timetable

import (
	"fmt"
	"slices"
)

// checkStock checks what is taken from the stock. All that take from it share a resource, so
// that they take in the order in which they are done.
func (p *Problem) checkStock() error {
	if !seconds(p.Stock.FullS) || p.Stock.FirstS < 0 || p.Stock.FirstS > p.Stock.FullS {
		return fmt.Errorf("the stock is full at %d s and begins with %d s: the first is 0 to %d, the second no more", p.Stock.FullS, p.Stock.FirstS, mostSeconds)
	}
	for i, t := range p.Tasks {
		if len(t.Takes) == 0 {
			continue
		}
		if len(t.Takes) > 1 && (len(t.Takes) != p.Tubs || !p.needsTub(i)) {
			return fmt.Errorf("task %d takes from the stock in %d ways: one for all, or one for each tub of a job with a tub", i, len(t.Takes))
		}
		if !slices.Contains(t.Resources, 0) {
			return fmt.Errorf("task %d takes from the stock and not resource 0: all that take from it share that one", i)
		}
		for _, x := range t.Takes {
			if x.NeedS < 0 || x.NeedS > p.Stock.FullS || x.TakeS < 0 || x.TakeS > x.NeedS {
				return fmt.Errorf("task %d needs %d s of the stock and takes %d s: no more than its %d s, and no more than it needs", i, x.NeedS, x.TakeS, p.Stock.FullS)
			}
		}
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

// StockAt is what the stock holds when each task starts, s, before it takes its part; ok is
// false if some task has less than it needs.
func StockAt(p Problem, s Solution) (levelS []int, ok bool) {
	levelS, ok = make([]int, len(p.Tasks)), true
	order := make([]int, len(p.Tasks))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return s.Start[a] - s.Start[b] })
	level, since := p.Stock.FirstS, 0
	for _, i := range order {
		level, since = min(p.Stock.FullS, level+s.Start[i]-since), s.Start[i]
		levelS[i] = level
		t := p.Tasks[i]
		if len(t.Takes) == 0 {
			continue
		}
		x := t.Takes[0]
		if len(t.Takes) > 1 {
			x = t.Takes[s.Tub[t.Job]]
		}
		ok = ok && level >= x.NeedS
		level -= x.TakeS
	}
	return levelS, ok
}
