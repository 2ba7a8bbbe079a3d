package session

import "time"

// Evaluate says what time and temperature have done to a running day at now:
// alarms raised, rung again, cleared. It is a pure function of the day and
// now; a late call costs nothing but the lateness.
func Evaluate(d Day, now time.Time) []Event {
	if !d.Running() {
		return nil
	}
	var out []Event
	for i := range d.Tubs {
		cause, has := alarmCause(d, i, now)
		for _, a := range d.Alarms {
			if a.Tub == i && (!has || a.Kind != cause) {
				out = append(out, AlarmCleared{Alarm: a.Kind, Tub: i, Answered: !has || urgency(cause) > urgency(a.Kind)})
			}
		}
		if !has {
			continue
		}
		j := d.findAlarm(cause, i)
		if j < 0 {
			out = append(out, AlarmRaised{cause, i})
			continue
		}
		a := d.Alarms[j]
		if a.Unanswered() {
			if now.Sub(a.RungAt) >= repeatAfter(a, now) {
				out = append(out, AlarmRepeated{cause, i})
			}
		} else if now.Sub(a.AckedAt) >= cause.Facts().Back {
			out = append(out, AlarmRepeated{cause, i})
		}
	}
	return out
}

// alarmCause is the one alarm that holds for a tub now: the worst, so that one
// forgotten tub is one alarm and not three.
func alarmCause(d Day, tub int, now time.Time) (AlarmKind, bool) {
	t := d.Tubs[tub]
	if t.Phase != Soaking {
		return 0, false
	}
	if release := t.Bath.Step.ReleaseC; t.Bath.Step.Kind == Wash && release > 0 {
		h := d.heat(tub)
		if c, _ := h.at(now); c <= release {
			return BelowRelease, true
		}
		early := h.crossing(release).Early
		if !early.IsZero() && !now.Before(early.Add(-minutes(d.Plan.Kit.LeadMin))) {
			return NearRelease, true
		}
	}
	if end := t.LongestAt(); !end.IsZero() && !now.Before(end) {
		return OverLongest, true
	}
	if !t.Held() && !now.Before(t.SoakEndAt(now)) {
		return SoakDone, true
	}
	return 0, false
}
