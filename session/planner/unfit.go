package planner

import (
	"errors"
	"fmt"
	"math"
	"strings"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
)

// unfit says why a batch cannot be washed in a tub: a bath that is too cool, or
// does not last the shortest soak. The sentence names what would do.
func unfit(l *session.LookAhead, tub int, batch *shed.Batch, ahead []session.BathAhead) error {
	for _, a := range ahead {
		if a.Overstays(l.Hands[shed.Lift]) <= 0 {
			continue
		}
		return errors.New(sayUnfit(l, tub, batch, a))
	}
	return nil
}

// sayUnfit says what is wrong with a bath that is not worth its water, and what
// would do.
func sayUnfit(l *session.LookAhead, tub int, batch *shed.Batch, a session.BathAhead) string {
	k := l.Day.Plan.Kit
	t := k.Tubs[tub]
	ways := IdleRemedies(l, tub, batch, a)
	if !l.TooCool(a) {
		return fmt.Sprintf("%s's %s in %s cools too fast to wash, %s: %s", batch.ID, a.Step.Name, t.Name, IdleReason(l, a), strings.Join(ways, ", or "))
	}
	return fmt.Sprintf("%s's %s in %s is too cool to wash, %s: %s", batch.ID, a.Step.Name, t.Name, IdleReason(l, a), strings.Join(ways, ", or "))
}

// IdleReason is what is wrong with a bath, in figures.
func IdleReason(l *session.LookAhead, a session.BathAhead) string {
	u, s := l.Day.Plan.Kit.Units, a.Step
	switch {
	case s.Kind.Facts().Release && (a.Fill.AfterC < s.ReleaseC+0.5 || a.ReleaseMin < 1):
		return fmt.Sprintf("%s with the fleece in, and wax sets below %s", u.Temp(a.Fill.AfterC), u.Temp(s.ReleaseC))
	case a.Overstays(l.Hands[shed.Lift]) > 0:
		return fmt.Sprintf("%s with the fleece in, and perhaps %s after %s, before soak and lift are over (%s)", u.Temp(a.Fill.AfterC), u.Temp(s.ReleaseC), measure.Minutes(math.Floor(a.ReleaseMin)), measure.Minutes(math.Ceil(a.ReleaseMin+a.Overstays(l.Hands[shed.Lift]))))
	}
	return fmt.Sprintf("%s before the fleece, and it takes %s to begin", u.Temp(a.Fill.WaterC), u.Temp(s.LowestSinkC))
}

// IdleRemedies are what would make a bath worth its water, each by itself. Each has been
// tried: the bath made so begins warm enough and lasts the shortest soak.
func IdleRemedies(l *session.LookAhead, tub int, batch *shed.Batch, a session.BathAhead) []string {
	k := l.Day.Plan.Kit
	u, from := k.Units, l.From
	made := func(s session.Supply) session.BathAhead {
		with := *l
		with.From = s
		return with.Bath(tub, batch, a.Step, a.From)
	}
	does := func(s session.Supply) bool {
		with := made(s)
		return with.Fill.WaterC >= a.Step.LowestSinkC && !l.Idle(with)
	}
	var out []string
	if !l.TooCool(a) {
		if c, ok := session.BetterCover(k.Tubs[tub].Cover, k.Tubs[tub].Cover); ok {
			covered := l.Day
			covered.Plan.Kit.Tubs = append([]shed.Tub(nil), k.Tubs...)
			covered.Plan.Kit.Tubs[tub].Cover = c
			look := covered.LookAhead()
			look.From = from
			if with := look.Bath(tub, batch, a.Step, a.From); !look.Idle(with) {
				return []string{fmt.Sprintf("%s it lasts %s", session.CoverPhrase(c), measure.Minutes(math.Floor(with.ReleaseMin)))}
			}
		}
		return []string{"take a larger tub, or leave this one out"}
	}
	if a.Step.Water != shed.FromCold {
		degrees := func(n int) float64 { return float64(n) }
		low, high := int(math.Ceil(from.HotC)), int(session.HottestTankC)
		if u.Fahrenheit() {
			degrees = func(n int) float64 { return measure.FToC(float64(n)) }
			low, high = int(math.Ceil(measure.CToF(from.HotC))), int(measure.CToF(session.HottestTankC))
		}
		if n, ok := session.SmallestThat(low, high, func(n int) bool { s := from; s.HotC = degrees(n); return does(s) }); ok {
			out = append(out, "raise the tank to "+u.Temp(degrees(n)))
		}
	}
	mark, own := k.JugL, k.KettleMarkL()
	if mark <= 0 {
		mark, own = shed.JugFor(u), shed.JugFor(u)
	}
	marks := int(a.Fill.VolumeL/mark + 1e-9)
	if a.Step.Water == shed.Mixed {
		boil := func(n int) session.Supply { s := from; s.BoiledL = float64(n) * own; return s }
		if n, ok := session.SmallestThat(1, int(a.Fill.VolumeL/own+1e-9), func(n int) bool { return does(boil(n)) }); ok {
			pour, where := made(boil(n)).Fill.Pour, "pans"
			if k.Kettle.CapacityL > 0 {
				where = "kettle and pans"
			}
			out = append(out, fmt.Sprintf("boil %s in %s, with %s from the hot tap", k.KettleText(pour.KettleL), where, u.Pour(pour.HotL, k.JugL)))
		}
		for n := marks - 1; float64(n)*mark >= a.Fill.LeastL; n-- {
			less := from
			if less.FillL = float64(n) * mark; does(less) {
				out = append(out, fmt.Sprintf("fill no more than %s", u.Pour(less.FillL, mark)))
				break
			}
		}
	}
	if len(out) == 0 {
		out = append(out, "nothing in this kit makes it hot enough, so leave it out today")
	}
	return out
}
