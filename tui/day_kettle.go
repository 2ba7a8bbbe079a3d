package tui

import (
	"errors"
	"fmt"
	"slices"
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/coach"
)

// kettleNear is how long before a boil is due the foot shows its key.
const kettleNear = 5 * time.Minute

// kettleKey is what the kettle's key says in the foot: that there is one to put on
// about now, or one that is on. ok is false where nobody is asked for it.
func (s *dayScreen) kettleKey() (text string, ok bool) {
	d, now := s.e.live.day, s.e.now
	if _, ok := s.kettleTold(); !ok {
		return "", false
	}
	if _, on := d.KettleOn(now); on {
		return "boiled", true
	}
	due := slices.ContainsFunc(s.next, func(a coach.NextAct) bool { return a.Boil && a.DueAt.Sub(now) <= kettleNear }) ||
		slices.ContainsFunc(d.Alarms, func(a session.Alarm) bool { return a.Kind == session.KettleNow && a.Stands() })
	return "kettle on", due
}

// kettleTold is what can be told of the kettle now; ok is false if that is nothing.
func (s *dayScreen) kettleTold() (c session.TellKettle, ok bool) {
	return coach.KettleKey(s.e.live.day, s.e.now, s.next, s.chosen)
}

// tellKettle says that the kettle is on, and the second time that it has boiled.
// A tub chosen by hand comes before the list, the one in the band does not.
func (s *dayScreen) tellKettle(c session.TellKettle, ok bool) {
	e, d := s.e, s.e.live.day
	if e.now.Sub(s.acting) < e.real(settleFor) {
		return // one press that bounced
	}
	k, on := d.KettleOn(e.now)
	switch {
	case !ok && on:
		e.refuse(errors.New(d.SayPour(k)))
		return
	case !ok:
		e.refuse(fmt.Errorf("no bath to come wants the kettle"))
		return
	}
	c.Sure = true
	if on {
		question := ""
		unsure := c
		unsure.Sure = false
		if _, err := session.Decide(d, unsure, e.now); errors.Is(err, session.ErrBoiledSoon) {
			question = err.Error() + "? o again: yes"
		}
		if s.again("o", c, question, d.SayPour(k)) {
			s.acting = e.now
		}
		return
	}
	if s.again("o", c, "", "") {
		s.acting = e.now
		k := e.live.day.Kettle
		e.tell("kettle on: %s for %s's %s, boiling about %s; o then says boiled", d.Plan.Kit.KettleText(k.VolumeL), s.glances[k.Tub].Name, k.StepName, e.clockText(k.ReadyAt()))
	}
}
