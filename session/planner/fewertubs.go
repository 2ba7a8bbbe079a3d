package planner

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"fleece.example/tubside/session/shed"
)

// CompareTubs works a plan out with 1, 2 … of its tubs, each time with those that do
// best: of one tub more, the one is left out without which the day is done soonest.
// With all of them it is the outlook itself, with fewer what PlanAhead says of those in
// this order; split makes the batches anew for them, nil leaves them as they are.
func CompareTubs(o Outlook, start time.Time, order Order, split func(shed.Plan) ([]shed.Batch, error)) []WithTubs {
	kit := o.Plan.Kit.Tubs
	out := make([]WithTubs, len(kit))
	if len(kit) == 0 {
		return out
	}
	out[len(kit)-1] = o.withTubs()
	for n := len(kit) - 1; n >= 1; n-- {
		var ways [][]shed.Tub
		tried := map[shed.Tub]bool{}
		for i := range kit {
			alike := kit[i]
			alike.ID, alike.Name = "", ""
			if !tried[alike] {
				tried[alike] = true
				ways = append(ways, slices.Delete(slices.Clone(kit), i, i+1))
			}
		}
		var best WithTubs
		kit = ways[0]
		for i, fewer := range ways {
			if len(ways) == 1 {
				break
			}
			if w := withTubs(o.Plan, fewer, start, AsGiven, Quick, split); i == 0 || w.better(best) {
				kit, best = fewer, w
			}
		}
		out[n-1] = withTubs(o.Plan, kit, start, order, Thorough, split)
	}
	return out
}

// SayDry says of each tub that is too small for every batch that it stays dry; "" where there is none.
func (o *Outlook) SayDry() string {
	p, u := o.Plan, o.Plan.Kit.Units
	var out []string
	for i, t := range p.Kit.Tubs {
		used, fits, leastL := false, false, math.Inf(1)
		for _, x := range o.Timetable.Pieces {
			used = used || x.Tub == i
		}
		for _, b := range p.Batches {
			fits = fits || p.FitsIn(&b, i)
			leastL = min(leastL, p.NeedsL(&b))
		}
		if used || fits || len(p.Batches) == 0 {
			continue
		}
		holds, need := u.Volume(p.Method.WashL(t)), u.Volume(leastL)
		if holds == need {
			out = append(out, t.Name+" stays dry: a little too small for these batches")
		} else {
			out = append(out, fmt.Sprintf("%s stays dry: holds %s, batches need %s", t.Name, holds, need))
		}
	}
	return strings.Join(out, ". ")
}

// withTubs is a plan worked out with these tubs alone.
func withTubs(p shed.Plan, tubs []shed.Tub, start time.Time, order Order, e Effort, split func(shed.Plan) ([]shed.Batch, error)) WithTubs {
	p.Kit.Tubs = tubs
	var err error
	if split != nil {
		p.Batches, err = split(p)
	}
	var o Outlook
	if err == nil {
		o, err = PlanAhead(p, start, order, e)
	}
	if err != nil {
		return WithTubs{Tubs: tubs, Problem: err.Error()}
	}
	w := o.withTubs()
	for _, b := range o.Plan.Batches {
		fits := false
		for i := range tubs {
			fits = fits || OverfullG(&p, &b, i) <= 0
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
