package washday

import (
	"time"
)

// restFor is how old a picture may become that nothing but time changes: an estimate
// moves, a bar grows by a cell.
const restFor = 5 * time.Second

// told is what a picture says that is not of the day: the large figure, the sound.
type told struct{ figures, unit, sound, saved string }

func (s *Screen) tell() (t told) {
	if p, ok := s.Prompt(); ok {
		t.figures, t.unit = s.countdown(p)
	}
	t.sound, _ = s.e.SoundWords()
	t.saved, _, _ = s.saved()
	return t
}

// Still says that the picture of the last message is as good as one of now: nothing is
// asked or rings, no count has come to another figure and no time to do something has
// come. What happens on the day comes as a message of its own, base.KeptMsg.
func (s *Screen) Still() bool {
	was, now := s.glanceAt, s.e.Now
	if now.Before(was) || now.Sub(was) >= restFor || now.Unix()/60 != was.Unix()/60 {
		return false
	}
	if s.ask != nil || s.pending.cmd != nil || !s.lent.IsZero() || s.e.Say != "" || s.ringing() || s.tell() != s.told {
		return false
	}
	turned := false
	count := func(least time.Duration, times ...time.Time) {
		for _, at := range times {
			turned = turned || turns(at, was, now, least)
		}
	}
	if b, ok := s.e.Live.Day.NextBreak(was); ok {
		count(0, b.From, b.To)
	}
	for _, a := range s.next {
		count(0, a.Count.At, a.DueAt, a.MustBy, a.PlanAt)
	}
	for _, g := range s.glances {
		count(time.Minute, s.actOf(g.Prompt).Count.At) // a lane shows the seconds of the last
		count(0, g.Prompt.DueAt, g.Prompt.MustBy, g.SoakEnd, g.LongestAt, g.Release.Early, g.Release.Likely, g.Release.Late)
	}
	return !turned
}

// turns says that the minutes to or from at have become others, or that there are less
// than least of them, of which each second counts. What was due at the moment of the
// picture is due still.
func turns(at, was, now time.Time, least time.Duration) bool {
	if at.IsZero() || at.Equal(was) {
		return false
	}
	before, after := at.Sub(was), at.Sub(now)
	return before.Abs() < least || after.Abs() < least || (before < 0) != (after < 0) || before/time.Minute != after/time.Minute
}
