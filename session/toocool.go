package session

import (
	"math"
	"time"

	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
)

// TooCoolToBegin says that a bath of tempC is below the coolest start of a step.
func TooCoolToBegin(s *shed.Step, tempC float64) bool {
	return s.LowestSinkC > 0 && measure.Finite(tempC) && tempC < s.LowestSinkC-0.5 // less would read as no difference
}

// Idle says that a bath is not worth its water: too cool to begin, or below its
// release temperature before the shortest soak is over.
func (l *LookAhead) Idle(a BathAhead) bool {
	return TooCoolToBegin(&a.Step, a.Fill.WaterC) || a.Overstays(l.Hands[shed.Lift]) > 0
}

// TooCool says that a bath fails for want of hot water, and not because its tub keeps
// no heat.
func (l *LookAhead) TooCool(a BathAhead) bool {
	return a.Fill.ShortC > 0.5 || a.Step.Water != shed.Mixed || TooCoolToBegin(&a.Step, a.Fill.WaterC)
}

// IdleFill is a bath to be filled that is not worth its water.
type IdleFill struct {
	Look  *LookAhead // with the water that there is now
	Batch shed.Batch
	Bath  BathAhead
	// WaitMin is how long the tank takes until it is worth it; +Inf if no wait does.
	WaitMin float64
}

// IdleFill looks at the bath that a tub waits for: ok is false if nothing speaks
// against it. It is what keeps anyone from pouring a bath that cannot wash.
func (d *Day) IdleFill(tub int, now time.Time) (out IdleFill, ok bool) {
	t := d.Tubs[tub]
	s := *t.Step()
	if t.Phase != shed.ToFill || !s.Kind.Facts().Release && s.LowestSinkC <= 0 {
		return out, false
	}
	if t.Bath.SoakMin > 0 { // as the person has set it
		s.SoakMin = t.Bath.SoakMin
		s.ShortestMin = min(s.ShortestMin, s.SoakMin)
	}
	b, _ := d.Batch(t.Batch)
	out.Batch = *b
	look, left := d.LookAhead(), d.HotLeftL(now)
	at := func(storedL float64) BathAhead {
		look.From = d.FromTank(tub, storedL)
		return look.Bath(tub, &out.Batch, s, t.Lifted())
	}
	out.Look, out.Bath, out.WaitMin = look, at(left), math.Inf(1)
	if !look.Idle(out.Bath) {
		return out, false
	}
	from := look.From
	if look.TooCool(out.Bath) {
		if n, can := d.TankMin(left, func(storedL float64) bool { return !look.Idle(at(storedL)) }); can {
			out.WaitMin = float64(n)
		}
	}
	look.From = from
	return out, true
}
