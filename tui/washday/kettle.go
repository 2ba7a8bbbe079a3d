package washday

import (
	"errors"
	"fmt"
	"slices"
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/coach"
	"fleece.example/tubside/session/shed"
)

// kettleNear is how long before a boil is due the foot shows its key.
const kettleNear = 5 * time.Minute

// kettleKey is what the kettle's key says in the foot: that there is one to put on
// about now, or one that is on. ok is false where nobody is asked for it.
func (s *Screen) kettleKey() (text string, ok bool) {
	d, now := s.e.Live.Day, s.e.Now
	if !s.kettle.ok {
		return "", false
	}
	if k, on := d.KettleDue(now); on {
		if s.kettle.c.Turn {
			return "turn kettle", true
		}
		switch narrow := s.rooms.w < narrowFoot; { // it has room beside Enter
		case k.Cools(now) && narrow:
			return "again", true
		case k.Cools(now):
			return "kettle on again", true
		case !d.Kettle.BoiledAt.IsZero() && !narrow:
			return "more on", true
		case k.Follows() && !narrow:
			return "boiled, next on", true
		case narrow:
			return "boils", true
		}
		return "boiled", true
	}
	due := slices.ContainsFunc(s.next, func(a coach.NextAct) bool { return a.Boil && a.DueAt.Sub(now) <= kettleNear }) ||
		slices.ContainsFunc(d.Alarms, func(a session.Alarm) bool { return a.Kind == session.KettleNow && a.Stands() })
	if boil, other := s.otherBoil(s.kettle); other && s.rooms.w >= narrowFoot {
		return "kettle on for " + s.glances[s.kettle.c.Tub].Name, due || boil.Rank == coach.Now
	}
	if s.rooms.w < narrowFoot && s.ringing() {
		return "kettle", due
	}
	return "kettle on", due
}

// otherBoil is the boil that the list has first and that is due, where the kettle's key
// would tell of another tub's: that of a tub chosen by hand.
func (s *Screen) otherBoil(told kettleTold) (coach.NextAct, bool) {
	i := slices.IndexFunc(s.next, func(a coach.NextAct) bool { return a.Boil })
	if i < 0 || !told.ok || s.next[i].Tub == told.c.Tub || s.next[i].DueAt.Sub(s.e.Now) > kettleNear {
		return coach.NextAct{}, false
	}
	return s.next[i], true
}

// errTwice is one press that bounced.
var errTwice = errors.New("pressed twice, counted once")

// twice is errTwice with what was counted.
func (s *Screen) twice() error { return fmt.Errorf("%w: %s", errTwice, s.said) }

// noKettle says why there is nothing to put the kettle on for.
func (s *Screen) noKettle() error {
	for _, p := range s.e.Live.Plan.Pieces {
		if p.Boil() && !p.On {
			return fmt.Errorf("no bath needs the kettle yet: %s's %s will, about %s", p.Batch, p.Name, s.e.ClockText(p.Start))
		}
	}
	return errors.New("no bath ahead needs the kettle")
}

// kettleTold is what can be told of the kettle; ok is false if that is nothing. Each tub
// may have to be asked for it, so that it is found out once for each message.
type kettleTold struct {
	c  session.TellKettle
	ok bool
}

func (s *Screen) canTellKettle() (k kettleTold) {
	k.c, k.ok = coach.KettleKey(s.e.Live.Day, s.e.Now, s.next, s.chosen)
	return k
}

// tellKettle says that the kettle is on, and the second time that it has boiled.
// A tub chosen by hand comes before the list, the one in the band does not.
func (s *Screen) tellKettle(told kettleTold) {
	e, d, c := s.e, s.e.Live.Day, told.c
	switch within := e.Real(settleFor); {
	case e.Now.Sub(s.kettleAt) < within:
		e.Refuse(s.twice())
		return
	case e.Now.Sub(s.acting) < within: // it was meant for what stood there before
		e.Refuse(errors.New("too soon after the last key: press o again if you mean the kettle"))
		return
	}
	k, on := d.KettleDue(e.Now)
	switch {
	case !told.ok && on:
		e.Refuse(errors.New(d.SayPour(k)))
		return
	case !told.ok:
		e.Refuse(s.noKettle())
		return
	}
	if c.Turn {
		to := s.glances[c.Tub].Name
		if s.again("o", c, fmt.Sprintf("the kettle is on for %s. Press o again to turn it to %s", s.glances[k.Tub].Name, to), "the kettle is "+to+"'s now") {
			s.acting, s.kettleAt = e.Now, e.Now
		}
		return
	}
	c.Sure = true
	if on {
		question := ""
		unsure := c
		unsure.Sure = false
		if _, err := session.Decide(d, unsure, e.Now); errors.Is(err, session.ErrBoiledSoon) {
			question = err.Error() + "? Press o again"
		}
		said := d.SayPour(k)
		if k.Follows() {
			said = "keep it hot in a lidded pail: the next kettle is on"
		}
		if again := k.Cools(e.Now); s.again("o", c, question, said) {
			if s.acting, s.kettleAt = e.Now, e.Now; again {
				s.sayOn("kettle on again: ")
			}
		}
		return
	}
	question := ""
	if boil, other := s.otherBoil(told); other {
		question = fmt.Sprintf("%s's %s comes first. Press o again if it's on for %s", s.glances[boil.Tub].Name, boil.BoilFor, s.glances[c.Tub].Name)
	} else if s.fillsAfter(c) {
		question = fmt.Sprintf("%s is filled %s: boil it then. Press o again if it's on", s.glances[c.Tub].Name, s.afterYour())
	} else if e.Now.Sub(s.kettleFor) < e.Real(movedFor) {
		question = "the screen has just changed. Press o again if it's on for " + s.glances[c.Tub].Name
	}
	if s.again("o", c, question, "") {
		s.acting, s.kettleAt = e.Now, e.Now
		s.sayOn("kettle on: ")
	}
}

// fillsAfter says that a bath to boil for waits for the end of a break.
func (s *Screen) fillsAfter(c session.TellKettle) bool {
	for _, a := range s.next {
		if !a.Boil && a.Tub == c.Tub && a.Act == shed.FillTub && (c.Batch == "" || c.Batch == s.glances[c.Tub].Batch) {
			return a.After
		}
	}
	return false
}

// afterYour is behind what a fill waits for.
func (s *Screen) afterYour() string {
	b, _ := s.e.Live.Day.NextBreak(s.e.Now)
	return "after your " + s.e.Live.Day.Plan.SayAway(b)
}

// sayOn says what the kettle is on with, and what its key tells next.
func (s *Screen) sayOn(on string) {
	k, when := &s.e.Live.Day.Kettle, "it has boiled"
	if k.Follows() {
		when = "the next is on"
	}
	s.e.Tell(on+"%s for %s's %s. Press o when "+when+", about %s", s.e.Live.Day.Plan.Kit.KettleText(k.InL), s.glances[k.Tub].Name, k.StepName, s.e.ClockText(k.ThroughAt()))
}
