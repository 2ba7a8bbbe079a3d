package session

import (
	"fmt"
	"slices"
	"time"

	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
)

// NextBreak is the first break that lasts beyond t; ok is false where there is none. One that
// the person has told of, or called off, stands for those hours of the plan that it meets itself, not
// for others that meet these.
func (d *Day) NextBreak(t time.Time) (s shed.Span, ok bool) {
	s, ok = d.Plan.AwayBut(d.Plan.OnTheWall(t), d.stoodFor())
	for _, b := range d.breaks {
		if b.To.After(t) && (!ok || b.From.Before(s.From)) {
			s, ok = b.Span, true
		}
	}
	return s, ok
}

// stoodFor are the times that stand for what of the plan they meet.
func (d *Day) stoodFor() []shed.Span {
	all := d.breaksOff
	for _, b := range d.breaks {
		all = append(slices.Clip(all), b.Span)
	}
	return all
}

// ToldBreak is the break that was told of last.
func (d Day) ToldBreak() (s shed.Span) {
	if n := len(d.breaks); n > 0 {
		s = d.breaks[n-1].Span
	}
	return s
}

// Away says that the person has a break, and until when.
func (d *Day) Away(now time.Time) (until time.Time, away bool) {
	s, ok := d.NextBreak(now)
	return s.To, ok && s.Has(now)
}

// notLeft says that what lies in a tub does not wait till that is over: a hot wash in quiet hours.
func (d Day) notLeft(tub int, s shed.Span) bool {
	_, quiet := d.Plan.QuietIn(s)
	return quiet && d.Tubs[tub].Bath.Step.HasRelease()
}

// RingsOn says that no break puts a deed at a tub off: wet fleece rings for it, or an alarm stood when the break was
// told of. Whoever goes all the same has not answered it.
func (d *Day) RingsOn(tub int, s shed.Span) bool {
	for i := range d.Alarms {
		a := &d.Alarms[i]
		if a.Tub != tub || a.Kind != WetWaiting && a.Kind != NotLifted && a.Kind != LeftSoaking {
			continue
		}
		for _, b := range d.breaks {
			if b.From.Equal(s.From) && !a.RaisedAt.After(b.at) {
				return true
			}
		}
		if a.Kind == WetWaiting {
			return true
		}
	}
	return false
}

// waitsForWash says that what a tub waits to be filled for is a wash, which no break may last longer than.
func (t *TubRun) waitsForWash() bool {
	return t.Phase == shed.ToFill && t.At < len(t.Steps) && t.Steps[t.At].LongestMin > 0 && t.Steps[t.At].HasRelease()
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
	b := toldBreak{at: at}
	b.From = at.Add(measure.Lasting(e.InMin))
	b.To = b.From.Add(measure.Lasting(e.ForMin))
	over := e.ForMin <= 0
	if over {
		b.Span, _ = d.NextBreak(at)
	}
	planned, was := over, d.breaks
	d.breaks = nil
	for _, o := range was { // back from it, or another in its place
		if !o.Meets(b.Span) {
			d.breaks = append(d.breaks, o)
			continue
		}
		if planned = false; over { // what of the plan it stood for does not come back
			if q, ok := d.Plan.QuietIn(o.Span); ok && o.From.Before(q.From) {
				o.To = q.From
			}
			d.breaksOff = append(slices.Clip(d.breaksOff), o.Span)
		}
		if o.From.Before(at) && !over {
			d.breaks = append(d.breaks, toldBreak{shed.Span{From: o.From, To: at}, at})
		}
	}
	begun := b.From.Before(at)
	if over {
		b.To = at
	} else if q, ok := d.Plan.QuietAt(b.To); ok && b.From.Before(q.From) && !q.MeetsAny(d.stoodFor()) {
		b.To = q.To // who is away when they begin comes back when they are over
	}
	if !over || begun {
		d.breaks = append(d.breaks, b)
	}
	if planned {
		if !begun {
			b.To = b.From.Add(time.Second) // all that begins with it
		}
		d.breaksOff = append(slices.Clip(d.breaksOff), b.Span)
	}
}

// moveBreaks has the breaks told of go with the times that a clock is set by. Those of the plan that
// are off stay at their time of the day, as it does.
func (d *Day) moveBreaks(by time.Duration, moved func(t, from time.Time) time.Time) {
	told, off, days := d.breaks, d.breaksOff, by.Round(24*time.Hour)
	d.breaks, d.breaksOff = nil, nil
	for _, b := range told {
		d.breaks = append(d.breaks, toldBreak{shed.Span{From: moved(b.From, b.at), To: moved(b.To, b.at)}, moved(b.at, b.at)})
	}
	for _, s := range off {
		d.breaksOff = append(d.breaksOff, shed.Span{From: s.From.Add(days), To: s.To.Add(days)})
	}
}
