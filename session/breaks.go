package session

import (
	"fmt"
	"time"

	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
)

// offFor is how long a break lasts that is off: it only stands for those of the plan.
const offFor = time.Second

// NextBreak is the first break that lasts beyond t; ok is false where there is none. One that
// the person has told of stands for those hours of the plan that it meets itself, not for others that
// meet these.
func (d Day) NextBreak(t time.Time) (s shed.Span, ok bool) {
	told := d.Break
	has := told.To.After(t) && told.To.Sub(told.From) > offFor
	if s, ok = d.Plan.AwayBut(d.Plan.OnTheWall(t), told); !ok || has && told.From.Before(s.From) {
		return told, has
	}
	return s, ok
}

// Away says that the person has a break, and until when.
func (d Day) Away(now time.Time) (until time.Time, away bool) {
	s, ok := d.NextBreak(now)
	return s.To, ok && s.Has(now)
}

// notLeft says that what lies in a tub does not wait till that is over: a hot wash in quiet hours.
func (d Day) notLeft(tub int, s shed.Span) bool {
	_, quiet := d.Plan.QuietIn(s)
	return quiet && d.Tubs[tub].Bath.Step.HasRelease()
}

// GoesOn says that a break or quiet hours, at now, do not stop the batch of a tub whose fleece cannot
// be left till they end: the person has done something there since they began. Fleece that hung
// already goes on too, except in a break that they told of: they went all the same.
func (d Day) GoesOn(tub int, s shed.Span, now time.Time) bool {
	t := d.Tubs[tub]
	by, since := t.LongestAt(), t.PhaseAt.After(s.From)
	if t.Phase != shed.Soaking {
		by, since = t.WetBy(), since || !s.From.Equal(d.Break.From)
	}
	return since && s.Has(now) && !by.IsZero() && by.Before(s.To)
}

func decideBreak(d Day, c TakeBreak, now time.Time) ([]Event, error) {
	if _, ok := d.NextBreak(now); !ok && c.ForMin == 0 {
		return nil, fmt.Errorf("no break to end: type how many minutes you are away")
	}
	for _, min := range []float64{c.InMin, c.ForMin} {
		if !breakMin.Contains(min) {
			return nil, fmt.Errorf("a break lasts up to %[1]s and starts within %[1]s", measure.Minutes(breakMin.Max))
		}
	}
	return []Event{BreakTaken(c)}, nil
}

func (d *Day) takeBreak(e BreakTaken, at time.Time) {
	s := shed.Span{From: at.Add(measure.Lasting(e.InMin))}
	if s.To = s.From.Add(measure.Lasting(e.ForMin)); e.ForMin <= 0 { // that one is over
		s, _ = d.NextBreak(at)
		if s.To = at; !s.From.Before(at) {
			s.To = s.From.Add(offFor)
		}
	}
	if q, ok := d.Plan.QuietAt(s.To); ok && e.ForMin > 0 && s.From.Before(q.From) {
		s.To = q.To // who is away when they begin comes back when they are over
	}
	d.Break = s
}
