package session

import (
	"slices"
	"time"

	"fleece.example/tubside/session/lifecycle"
)

// Evaluate says what time and temperature have done to a running day at now:
// alarms raised, rung again, pressing harder, cleared, off their shelf. It is a
// pure function of the day and now; a late call costs nothing but the lateness.
func Evaluate(d Day, now time.Time) []Event { return evaluate(d, now, false) }

// evaluate is Evaluate; acted says that it follows a person's deed, so that a
// cause that has gone was dealt with.
func evaluate(d Day, now time.Time, acted bool) []Event {
	if !d.Running() {
		return nil
	}
	var out []Event
	for tub := -1; tub < len(d.Tubs); tub++ {
		out = append(out, evaluateTub(d, tub, now, acted)...)
	}
	return out
}

func evaluateTub(d Day, tub int, now time.Time, acted bool) []Event {
	var out []Event
	causes := alarmCauses(d, tub, now)
	cause, has := d.worst(causes, tub, now)
	for _, a := range d.Alarms {
		if a.Tub != tub {
			continue
		}
		switch {
		case a.Life.State == lifecycle.Shelved && !slices.Contains(causes, a.Kind):
			out = append(out, AlarmCleared{Alarm: a.Kind, Tub: tub, Answered: true})
		case a.Life.ShelfOver(now):
			out = append(out, AlarmUnshelved{Alarm: a.Kind, Tub: tub})
			out = append(out, escalated(a, now)...)
		case a.Stands() && (!has || a.Kind != cause):
			out = append(out, AlarmCleared{Alarm: a.Kind, Tub: tub, Answered: !has || urgency(cause) > urgency(a.Kind), ByItself: !has && !acted})
		}
	}
	if !has {
		return out
	}
	j := d.findAlarm(cause, tub)
	if j < 0 || d.Alarms[j].Life.State == lifecycle.Returned {
		return append(out, AlarmRaised{cause, tub})
	}
	a := d.Alarms[j]
	switch {
	case a.Life.State == lifecycle.Shelved: // it comes off its shelf in this very pass
	case !a.Unanswered():
		if now.Sub(a.AckedAt) >= cause.Facts().Back {
			out = append(out, AlarmRepeated{cause, tub})
			out = append(out, escalated(a, now)...)
		}
	default:
		standing := now.Sub(a.RaisedAt)
		out = append(out, escalated(a, now)...)
		if wait, more := lifecycle.RepeatAfter(int(a.Priority), a.Rings, standing); more && now.Sub(a.RungAt) >= wait {
			out = append(out, AlarmRepeated{cause, tub})
		}
	}
	return out
}

// escalated raises the priority of an alarm that has stood too long.
func escalated(a Alarm, now time.Time) []Event {
	p := Priority(lifecycle.Priority(int(a.Kind.Facts().Priority), now.Sub(a.RaisedAt)))
	if p <= a.Priority {
		return nil
	}
	return []Event{AlarmEscalated{Alarm: a.Kind, Tub: a.Tub, Priority: p}}
}

// worst is the one alarm that a tub has now: the worst cause that is neither
// put off nor out of service, so that one forgotten tub is one alarm and not three.
func (d Day) worst(causes []AlarmKind, tub int, now time.Time) (AlarmKind, bool) {
	for _, k := range AlarmKinds() {
		if !slices.Contains(causes, k) || slices.Contains(d.Out, k) {
			continue
		}
		if j := d.findAlarm(k, tub); j >= 0 && d.Alarms[j].Life.State == lifecycle.Shelved && !d.Alarms[j].Life.ShelfOver(now) {
			continue
		}
		return k, true
	}
	return 0, false
}

// alarmCause is the worst cause that holds for a tub, put off or not.
func alarmCause(d Day, tub int, now time.Time) (AlarmKind, bool) {
	causes := alarmCauses(d, tub, now)
	for _, k := range AlarmKinds() {
		if slices.Contains(causes, k) {
			return k, true
		}
	}
	return 0, false
}

// What the alarms go by; our own choices, except as AlarmTable says.
const (
	wetTooLong   = wetWaitMin * time.Minute // the plan lets it wait as long, and does not ring at itself
	readingAhead = 10 * time.Minute         // before the alarm of the release temperature
	readingWide  = 15 * time.Minute         // early to likely, at least
	gapSlackC    = 1.0                      // a thermometer's error
	clockShown   = 5 * time.Minute

	longestBoilMin = 60.0 // a kettle is not put on sooner
)

// alarmCauses are all causes that hold for a tub at now, or for the day (-1).
func alarmCauses(d Day, tub int, now time.Time) []AlarmKind {
	var out []AlarmKind
	if tub < 0 {
		if !d.ClockSetAt.IsZero() && now.Sub(d.ClockSetAt) < clockShown {
			out = append(out, ClockJumped)
		}
		return out
	}
	t := d.Tubs[tub]
	switch t.Phase {
	case Soaking:
		return d.soakCauses(tub, now)
	case ToSink:
		if tempC, _, ok := d.TempNow(tub, now); ok && d.farFromLast(tub, tempC, now) {
			out = append(out, FarFromLast)
		}
	case Idle, ToFill, Draining, ToSpin, ToRack:
	}
	if by := t.wetBy(); !by.IsZero() && !now.Before(by) {
		out = append(out, WetWaiting)
	}
	return out
}

func (d Day) soakCauses(tub int, now time.Time) (out []AlarmKind) {
	t := d.Tubs[tub]
	end := t.SoakEndAt(now)
	over := !t.Held() && !now.Before(end)
	var h heatModel
	if t.Bath.Step.Kind == Wash && t.Bath.Step.ReleaseC > 0 {
		h = d.heat(tub)
		cross := d.release(tub, h)
		lead := cross.Early.Add(-minutes(d.Plan.Kit.LeadMin))
		switch {
		case cross.below(now):
			out = append(out, BelowRelease)
		case !cross.Early.IsZero() && !now.Before(lead):
			out = append(out, NearRelease)
		case !over && !cross.Early.IsZero() && len(t.Bath.Readings) == 0 && !now.Before(lead.Add(-readingAhead)) &&
			lead.Before(end) && (cross.Likely.IsZero() || cross.Likely.Sub(cross.Early) > readingWide):
			out = append(out, ReadingWanted) // it would be lifted before its soak is over, on a guess
		}
	}
	if at := t.LongestAt(); !at.IsZero() && !now.Before(at) {
		out = append(out, OverLongest)
	}
	if over {
		return append(out, SoakDone)
	}
	if left := minutesBetween(now, end); !t.Held() && left <= longestBoilMin && d.kettleWanted(tub, now, left, h) {
		out = append(out, KettleNow)
	}
	return out
}
