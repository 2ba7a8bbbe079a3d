package planner

import (
	"slices"
	"time"

	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
)

// Help is something more to wash with, with which a day is done sooner.
type Help struct {
	What      string
	Finish    time.Time
	SoonerMin float64
}

// What is less than that is not worth saying, and nor is what a search that proves nothing may
// have gained by itself, as part of the day. Our own choices.
const (
	leastHelpMin  = 5
	leastHelpPart = 0.03
)

// Helps plans the day once more with a second kettle, and with one more tub, and says what each
// gains; nothing where it gains too little.
func (o *Outlook) Helps(start time.Time) (out []Help) {
	try := func(what string, more func(*shed.Kit)) {
		p := o.Plan
		more(&p.Kit)
		than, err := PlanAhead(p, start, AsGiven, Thorough)
		if err != nil {
			return
		}
		least := float64(leastHelpMin)
		if !o.Timetable.Proven {
			least = max(least, leastHelpPart*o.Sums.LengthMin)
		}
		if sooner := measure.ShownMin(than.Timetable.Finish, o.Timetable.Finish); sooner >= least {
			out = append(out, Help{what, than.Timetable.Finish, sooner})
		}
	}
	if o.Sums.Boils > 0 {
		try("a second kettle", func(k *shed.Kit) { k.Kettle.CapacityL, k.Kettle.PowerW = 2*k.Kettle.CapacityL, 2*k.Kettle.PowerW })
	}
	if tubs := o.Plan.Kit.Tubs; len(tubs) > 0 && len(o.Plan.Batches) > len(tubs) {
		like := tubs[0]
		for _, t := range tubs {
			if t.FillL > like.FillL {
				like = t
			}
		}
		what := "one more tub like " + like.Name
		like.ID, like.Name = "", what
		try(what, func(k *shed.Kit) { k.Tubs = append(slices.Clone(tubs), like) })
	}
	if len(out) == 2 && out[1].Finish.Before(out[0].Finish) {
		out[0], out[1] = out[1], out[0]
	}
	return out
}
