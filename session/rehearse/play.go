package rehearse

import (
	"fmt"
	"math"
	"strings"
	"time"

	"fleece.example/tubside/session"
)

func sameName(a, b string) bool { return strings.EqualFold(a, b) }

// Play plays a whole day without a screen, a second at a time, until it has
// ended and every entry is done. emit, if not nil, gets every event in order
// with the day as it is after what was done at that moment. An entry that is
// refused, an expected event that did not come and a day that does not end are
// errors, each a sentence.
func Play(s Script, emit func(session.Recorded, session.Day)) (session.Day, error) {
	return play(s, emit, mostDays*24*time.Hour)
}

func play(s Script, emit func(session.Recorded, session.Day), limit time.Duration) (session.Day, error) {
	return playWith(s, NewPlayer(s), emit, limit)
}

func playWith(s Script, p *Player, emit func(session.Recorded, session.Day), limit time.Duration) (session.Day, error) {
	if err := s.check(); err != nil {
		return session.Day{}, err
	}
	var seen []session.Recorded
	keep := func(recs []session.Recorded, d session.Day) {
		for _, r := range recs {
			seen = append(seen, r)
			if emit != nil {
				emit(r, d)
			}
		}
	}
	now := s.Start
	d, recs, err := session.Do(session.Day{}, session.StartDay{Plan: s.Plan}, now)
	if err != nil {
		return d, err
	}
	keep(recs, d)
	for ; d.Running() || !p.through(); now = now.Add(time.Second) {
		if now.Sub(s.Start) > limit {
			return d, fmt.Errorf("the script goes on for more than %.0f hours: shorten it, or end the day", limit.Hours())
		}
		d, recs = session.Tick(d, now)
		keep(recs, d)
		for _, x := range p.act(d, now) {
			after, recs, err := d, []session.Recorded(nil), x.err
			if err == nil {
				after, recs, err = session.Do(d, x.command, now)
			}
			if err != nil && x.entry < 0 {
				return d, fmt.Errorf("the person at %s: %w", minText(now.Sub(s.Start).Minutes()), err)
			}
			if err != nil {
				return d, fmt.Errorf("%s: %w", s.entryName(x.entry), err)
			}
			d = after
			keep(recs, d)
		}
		if d.Running() && p.through() && p.stuck && !p.busy {
			return d, fmt.Errorf("the script is through at %s and the day goes on with nobody to do anything: end it with an entry end, or add hands",
				minText(now.Sub(s.Start).Minutes()))
		}
	}
	return d, s.met(seen)
}

// met says which expected event did not come.
func (s *Script) met(seen []session.Recorded) error {
	for i, x := range s.Expect {
		want := after(s.Start, *x.AtMin)
		nearest, found := time.Duration(math.MaxInt64), time.Time{}
		for _, r := range seen {
			if !x.is(r.Event, s.tubOr(x.Tub)) {
				continue
			}
			if off := r.At.Sub(want).Abs(); off < nearest {
				nearest, found = off, r.At
			}
		}
		if nearest <= time.Duration(x.WithinS*float64(time.Second)) {
			continue
		}
		came := "it never came"
		if !found.IsZero() {
			came = "it came at " + minText(found.Sub(s.Start).Minutes())
		}
		return fmt.Errorf("expectation %d: %s was to come at %s, within %g s: %s", i+1, x.name(), minText(*x.AtMin), x.WithinS, came)
	}
	return nil
}

// is says that an event is the expected one, at whatever time.
func (x Expectation) is(e session.Event, tub int) bool {
	if session.KindOf(e) != x.Event || x.Tub != "" && session.TubOf(e) != tub {
		return false
	}
	if x.Alarm == nil {
		return true
	}
	kind, ok := alarmOf(e)
	return ok && kind == *x.Alarm
}

func (x Expectation) name() string {
	name := x.Event
	if x.Alarm != nil {
		name += " (" + x.Alarm.String() + ")"
	}
	if x.Tub != "" {
		name += " at " + shown(x.Tub)
	}
	return name
}

func alarmOf(e session.Event) (session.AlarmKind, bool) {
	switch e := e.(type) {
	case session.AlarmRaised:
		return e.Alarm, true
	case session.AlarmRepeated:
		return e.Alarm, true
	case session.AlarmCleared:
		return e.Alarm, true
	case session.AlarmAcknowledged:
		return e.Alarm, true
	case session.AlarmEscalated:
		return e.Alarm, true
	case session.AlarmShelved:
		return e.Alarm, true
	case session.AlarmUnshelved:
		return e.Alarm, true
	}
	return 0, false
}
