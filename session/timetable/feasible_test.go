package timetable

import (
	"fmt"
	"slices"
)

// Check says whether a timetable obeys its problem: nil if every task has its
// start, no resource and no tub serves two at once, every shortest wait is kept,
// and Late names exactly the limits that are passed. It shares no code with the
// searches.
func Check(p Problem, s Solution) error {
	if err := p.check(); err != nil {
		return err
	}
	if len(s.Start) != len(p.Tasks) || len(s.Tub) != len(p.Jobs) {
		return fmt.Errorf("the timetable has %d starts and %d tubs: the problem has %d tasks and %d jobs",
			len(s.Start), len(s.Tub), len(p.Tasks), len(p.Jobs))
	}
	for j, job := range p.Jobs {
		t := s.Tub[j]
		if job.NeedsTub != (t != None) || t != None && !within(t, p.Tubs) || len(job.Tubs) > 0 && !slices.Contains(job.Tubs, t) {
			return fmt.Errorf("job %d is in tub %d: it needs one of %v of %d", j, t, job.Tubs, p.Tubs)
		}
	}
	c := checker{p: &p, s: &s}
	if err := c.tasks(); err != nil {
		return err
	}
	if err := c.lags(); err != nil {
		return err
	}
	if err := c.late(); err != nil {
		return err
	}
	if err := c.stock(); err != nil {
		return err
	}
	return c.busy()
}

// stock lets the stock fill second by second, and has every task find what it needs.
func (c *checker) stock() error {
	level, most := c.p.Stock.FirstS, 0
	for _, at := range c.s.Start {
		most = max(most, at)
	}
	for now := 0; now <= most; now++ {
		for i, at := range c.s.Start {
			takes := c.p.Tasks[i].Takes
			if at != now || len(takes) == 0 {
				continue
			}
			x := takes[0]
			if len(takes) > 1 {
				x = takes[c.tubOf(i)]
			}
			if level < x.NeedS {
				return fmt.Errorf("task %d starts at %d s with %d s in the stock, and needs %d", i, now, level, x.NeedS)
			}
			level = max(level-x.TakeS, min(level, x.LeftS))
		}
		level = min(level+1, c.p.Stock.FullS)
	}
	return nil
}

type checker struct {
	p    *Problem
	s    *Solution
	want []Late
}

func (c *checker) tubOf(task int) int {
	if j := c.p.Tasks[task].Job; j != None {
		return c.s.Tub[j]
	}
	return None
}

func (c *checker) end(task int) int {
	return c.s.Start[task] + c.p.Tasks[task].DurS
}

func (c *checker) tasks() error {
	finish := 0
	for i, t := range c.p.Tasks {
		at := c.s.Start[i]
		if at < t.EarliestS || t.Fixed && at != t.EarliestS {
			return fmt.Errorf("task %d starts at %d s: not before %d s", i, at, t.EarliestS)
		}
		if t.LatestS != None && at > t.LatestS {
			c.want = append(c.want, Late{i, None, at - t.LatestS, t.LateClass})
		}
		finish = max(finish, c.end(i))
	}
	if finish != c.s.FinishS || c.s.BoundS > finish || c.s.Proven && (c.s.BoundS != finish || len(c.s.Late) > 0) {
		return fmt.Errorf("the last task ends at %d s, the timetable says %d s with %d s for a bound (proven: %t)",
			finish, c.s.FinishS, c.s.BoundS, c.s.Proven)
	}
	return nil
}

func (c *checker) lags() error {
	for l, lag := range c.p.Lags {
		lim, tub := lag.Limits, c.tubOf(lag.From)
		if tub == None {
			tub = c.tubOf(lag.To)
		}
		if len(lag.OnS) > 0 {
			lim = lag.OnS[tub]
		}
		wait := c.s.Start[lag.To] - c.end(lag.From)
		if wait < lim.MinS {
			return fmt.Errorf("task %d starts %d s after task %d: at least %d s", lag.To, wait, lag.From, lim.MinS)
		}
		if lim.MaxS != None && wait > lim.MaxS {
			c.want = append(c.want, Late{lag.To, l, wait - lim.MaxS, lag.Class})
		}
	}
	return nil
}

func (c *checker) late() error {
	for _, w := range c.want {
		if !slices.Contains(c.s.Late, w) {
			return fmt.Errorf("task %d starts %d s too late (lag %d) and the timetable does not say so", w.Task, w.ByS, w.Lag)
		}
	}
	if len(c.want) != len(c.s.Late) {
		return fmt.Errorf("%d limits are passed and the timetable names %d", len(c.want), len(c.s.Late))
	}
	return nil
}

type span struct{ thing, from, to, who int }

// busy looks for two spans of one resource or tub that overlap.
func (c *checker) busy() error {
	var spans []span
	holds := func(i, r int) bool {
		return slices.ContainsFunc(c.p.Holds, func(h Hold) bool { return h.Resource == r && (h.From == i || h.To == i) })
	}
	for i, t := range c.p.Tasks {
		for _, r := range t.Resources {
			if !holds(i, r) {
				spans = append(spans, span{r, c.s.Start[i], c.end(i), i})
			}
		}
	}
	for _, h := range c.p.Holds {
		to := c.s.Start[h.To]
		if slices.Contains(c.p.Tasks[h.To].Resources, h.Resource) {
			to = c.end(h.To)
		}
		spans = append(spans, span{h.Resource, c.s.Start[h.From], to, h.From})
	}
	first, last := make([]int, len(c.p.Jobs)), make([]int, len(c.p.Jobs))
	for i := len(c.p.Tasks) - 1; i >= 0; i-- {
		if j := c.p.Tasks[i].Job; j != None {
			first[j] = i + 1
			if last[j] == 0 {
				last[j] = i + 1
			}
		}
	}
	for j, job := range c.p.Jobs {
		if job.NeedsTub && first[j] > 0 {
			from := c.s.Start[first[j]-1]
			if job.Started {
				from = 0
			}
			spans = append(spans, span{c.p.Resources + c.s.Tub[j], from, c.end(last[j] - 1), first[j] - 1})
		}
	}
	slices.SortFunc(spans, func(a, b span) int {
		switch {
		case a.thing != b.thing:
			return a.thing - b.thing
		case a.from != b.from:
			return a.from - b.from
		}
		return a.to - b.to
	})
	until := span{thing: None}
	for _, s := range spans {
		if s.thing == until.thing && s.from < until.to && s.to > s.from {
			what, k := "resource", s.thing
			if k >= c.p.Resources {
				what, k = "tub", k-c.p.Resources
			}
			return fmt.Errorf("%s %d serves tasks %d and %d at once, from %d s on", what, k, until.who, s.who, s.from)
		}
		if s.thing != until.thing || s.to > until.to {
			until = s
		}
	}
	return nil
}
