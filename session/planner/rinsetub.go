package planner

import (
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
)

// WithRinseTub is a day with one of the kit's tubs kept for rinses, beside the same day
// without.
type WithRinseTub struct {
	Tub     shed.Tub
	Outlook *Outlook
	// SoonerMin is by how much it is done sooner, LessHotL by how much it takes less from the
	// hot tap; below 0 for later, and for more.
	SoonerMin, LessHotL float64
}

// Beside is a day with a rinse tub beside the same without.
func Beside(without, o *Outlook) *WithRinseTub {
	r := &WithRinseTub{Outlook: o}
	if i := o.Plan.RinseTubAt(); i >= 0 {
		r.Tub = o.Plan.Kit.Tubs[i]
	}
	r.SoonerMin = measure.ShownMin(without.Timetable.From, without.Timetable.Finish) - measure.ShownMin(o.Timetable.From, o.Timetable.Finish)
	r.LessHotL = without.Sums.TapHotL() - o.Sums.TapHotL()
	return r
}

// Say is what it comes to: "with East as the rinse tub: done 12 min sooner, 2 L less hot water".
func (r *WithRinseTub) Say() string {
	return "with " + r.Tub.Name + " as the rinse tub: " + r.Gain()
}

// Gain is what it comes to alone.
func (r *WithRinseTub) Gain() string {
	u := r.Outlook.Plan.Kit.Units
	text := "done no sooner"
	switch {
	case !r.used():
		return "no basket of this plan goes into it"
	case r.SoonerMin >= 1:
		text = "done " + measure.Minutes(r.SoonerMin) + " sooner"
	case r.SoonerMin <= -1:
		text = "done " + measure.Minutes(-r.SoonerMin) + " later"
	}
	const little = 0.5 // L: no jug shows it
	switch {
	case r.LessHotL >= little:
		text += ", " + u.Volume(r.LessHotL) + " less hot water"
	case r.LessHotL <= -little:
		text += ", " + u.Volume(-r.LessHotL) + " more hot water"
	}
	return text
}

// used says that a basket goes into the rinse tub.
func (r *WithRinseTub) used() bool {
	for _, s := range r.Outlook.Timetable.Soaks {
		if s.Tub < len(r.Outlook.Plan.Kit.Tubs) && r.Outlook.Plan.Kit.Tubs[s.Tub].ID == r.Tub.ID {
			return true
		}
	}
	return false
}
