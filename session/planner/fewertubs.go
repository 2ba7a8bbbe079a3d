package planner

import (
	"slices"
	"time"

	"fleece.example/tubside/session/shed"
)

// CompareTubs works a plan out with 1, 2 … of its tubs, each time with those that do
// best: of one tub more, the one is left out without which the day is done soonest.
// With all of them it is the outlook itself.
func CompareTubs(o Outlook, start time.Time, e Effort) []WithTubs {
	kit := o.Plan.Kit.Tubs
	out := make([]WithTubs, len(kit))
	if len(kit) == 0 {
		return out
	}
	out[len(kit)-1] = o.withTubs(len(kit))
	for n := len(kit) - 1; n >= 1; n-- {
		var best []shed.Tub
		tried := map[shed.Tub]bool{}
		for i := range kit {
			alike := kit[i]
			alike.ID, alike.Name = "", ""
			if tried[alike] {
				continue
			}
			tried[alike] = true
			fewer := slices.Delete(slices.Clone(kit), i, i+1)
			if w := withTubs(o.Plan, fewer, start, e); best == nil || w.better(out[n-1]) {
				best, out[n-1] = fewer, w
			}
		}
		kit = best
	}
	return out
}

// withTubs is a plan worked out with these tubs alone.
func withTubs(p shed.Plan, tubs []shed.Tub, start time.Time, e Effort) WithTubs {
	p.Kit.Tubs = tubs
	o, err := PlanAhead(p, start, AsGiven, e)
	if err != nil {
		return WithTubs{Tubs: len(tubs), Problem: err.Error()}
	}
	w := o.withTubs(len(tubs))
	for _, b := range p.Batches {
		fits := false
		for i := range tubs {
			fits = fits || OverfullG(p, b, i) <= 0
		}
		if !fits {
			w.tight++
		}
	}
	return w
}

// better says that a day is possible, and with fewer batches too full for their tub, or
// done sooner, or the other is not possible.
func (w WithTubs) better(than WithTubs) bool {
	switch {
	case w.Problem != "" || than.Problem != "":
		return w.Problem == ""
	case w.tight != than.tight:
		return w.tight < than.tight
	}
	return w.Finish.Before(than.Finish)
}
