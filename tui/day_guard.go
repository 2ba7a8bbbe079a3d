package tui

import (
	"fmt"
	"reflect"
	"time"

	"fleece.example/tubside/session"
)

// pending is a deed that wants the same key again.
type pending struct {
	key   string
	cmd   session.Command
	from  time.Time // earlier, the question has not been read
	until time.Time
}

// readFirst is the least a person takes to read a question: a key that comes
// sooner was on its way already.
const readFirst = 250 * time.Millisecond

// deafFor is how long digits and Enter are not heard after a refused question.
const deafFor = 2 * time.Second

// oldDeed is the age from which taking a deed back is asked about.
const oldDeed = 5 * time.Minute

// undo takes the last deed back; one that is not of just now is asked about.
func (s *dayScreen) undo() {
	d := s.e.live.day
	question := ""
	if age := s.e.now.Sub(d.UndoneAt()); d.CanUndo() != "" && age > oldDeed {
		question = fmt.Sprintf("take back %s, %s ago? u again does it", d.CanUndo(), minText(age.Minutes()))
	}
	s.again("u", session.Undo{}, question, "taken back: "+d.CanUndo())
}

func (s *dayScreen) endQuestion() string {
	if s.e.live.day.AllRacked() {
		return "finish the day? e again closes it"
	}
	for i, t := range s.e.live.day.Tubs {
		if t.FleeceIn() {
			return s.glances[i].Name + " still has fleece in the water: lift it first. e again ends the day all the same"
		}
	}
	return "end the day early, with batches not racked? e again closes it"
}

// stay keeps the band at a tub for a moment after a deed that moves others up,
// so that the same key again takes it back there and not elsewhere.
func (s *dayScreen) stay(tub int) {
	if s.chosen < 0 || s.lent {
		s.chosen, s.lent, s.chosenAt = tub, true, s.e.now.Add(s.e.real(againWithin)-s.e.real(letGoAfter))
	}
}

// again runs a command at once if question is empty or the same key was
// pressed a moment ago for the same deed; else it asks the question.
func (s *dayScreen) again(k string, cmd session.Command, question, done string) bool {
	asked := s.asked(k, cmd)
	s.pending = pending{}
	if question != "" && !asked {
		s.pending = pending{k, cmd, s.e.now.Add(s.e.real(readFirst)), s.e.now.Add(s.e.real(againWithin))}
		s.e.tell("%s", question)
		return false
	}
	return s.run(cmd, done)
}

// asked says that this very deed, at this tub, was asked about just now with
// the same key.
func (s *dayScreen) asked(k string, cmd session.Command) bool {
	p := s.pending
	return p.key == k && !s.e.now.Before(p.from) && s.e.now.Before(p.until) && reflect.DeepEqual(p.cmd, cmd)
}

// unsettled says that the band has just gone to another tub by itself, and that
// a key pressed now may have been meant for the one before.
func (s *dayScreen) unsettled() bool {
	if s.e.now.Sub(s.focusAt) >= s.e.real(settleFor) {
		return false
	}
	s.e.refuse(fmt.Errorf("the next tub has just changed: look, then press again"))
	return true
}
