package washday

import (
	"errors"
	"fmt"
	"strings"
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/coach"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/tui/form"
)

// usualBreakMin is offered, min.
const usualBreakMin = "40"

// breakText is what the band says of a break, where it has a line for that.
func (s *Screen) breakText() string {
	if s.rooms.h < calledFrom {
		return ""
	}
	return coach.SayBreak(&s.e.Live.Day, s.next, s.e.Now)
}

// justOver is how long after a break its key may be meant for being back.
const justOver = 10 * time.Minute

// askBreak asks for how long the person goes, and when; who is away is back.
func (s *Screen) askBreak() {
	e := s.e
	if _, away := e.Live.Day.Away(e.Now); away {
		s.run(session.TakeBreak{}, e.Live.Day.Plan.SayAway(shed.Span{From: e.Now})+" over: plan updated")
		return
	}
	if b, ok := e.Live.Day.NextBreak(e.Now.Add(-justOver)); ok && !b.To.After(e.Now) && e.Live.Day.UndoneAt().Before(b.To) && // nothing was told since, as that it is over
		!s.confirmed("i", session.TakeBreak{}, fmt.Sprintf("%s over at %s: you are back. Press i again for another break", e.Live.Day.Plan.SayAway(b), e.ClockText(b.To))) {
		return
	}
	now := e.Now.In(e.Zone())
	a := &ask{tub: -1, title: "A BREAK: HOW LONG ARE YOU AWAY?", hint: "nothing is planned for you then; what can't wait still rings",
		fields: []askField{newField("for", "min", usualBreakMin), newField("from", "", "now")}}
	next, offered := e.Live.Day.NextBreak(e.Now)
	if offered = offered && next.From.Sub(e.Now) < 12*time.Hour; offered { // not tomorrow's
		a.hint += "; 0 calls off the " + e.Live.Day.Plan.SayAway(next) + " at " + e.ClockText(next.From)
	}
	minutes := func(text string) (float64, error) {
		if strings.Contains(text, ":") { // a time of day, or hours and minutes
			return 0, errors.New("type how many minutes you are away, such as 40")
		}
		return measure.Metric.ParseMinutes(text)
	}
	a.fields[0].check = func(text string) error { _, err := minutes(text); return err }
	a.accept = func(texts []string, _ int) error {
		c := session.TakeBreak{}
		var err error
		if c.ForMin, err = minutes(texts[0]); err != nil {
			return err
		}
		if c.ForMin == 0 && !offered {
			return errors.New("no break to end: type how many minutes you are away")
		}
		if texts[1] != "now" {
			at, _, ok := form.Moment(e.Kit.Units, texts[1], now, now)
			if c.InMin = measure.MinutesBetween(e.Now, at); !ok || c.InMin < 0 {
				return fmt.Errorf("type when you go: now, or a time to come such as %s", e.ClockText(now.Add(time.Hour).Truncate(time.Hour)))
			}
		}
		if err := e.Live.Do(c, e.Now); err != nil {
			return err
		}
		if c.ForMin == 0 {
			e.Tell("%s called off", e.Live.Day.Plan.SayAway(next))
			return nil
		}
		said := "the break is in the plan: d shows the timetable"
		if fresh := e.Live.Timetable(e.Now, forPlan); fresh {
			said = e.Live.Plan.SayBreak(e.Live.Day.ToldBreak(), &e.Live.Day.Plan)
		}
		e.Tell("%s", said)
		return nil
	}
	s.ask = a
}
