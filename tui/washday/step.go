package washday

import (
	"fleece.example/tubside/session"
	"fleece.example/tubside/session/shed"
)

// askSkip asks before a step is left out, by its name; of a bath that still stands it is
// the next one, and the tub is emptied with it.
func (s *Screen) askSkip(tub int, name string) {
	t := s.e.Live.Day.Tubs[tub]
	step := t.NextStep().Name
	question, done := "leave out the "+step+" of "+name+"?", name+": the "+step+" is left out"
	if t.Phase == shed.Draining {
		question, done = "empty "+name+" and leave out its "+step+"?", name+" emptied, the "+step+" left out"
	}
	s.again("s", session.SkipStep{Tub: tub}, question+" s again leaves it out", done)
}

// askRepeat asks before a bath is taken once more, by its name.
func (s *Screen) askRepeat(tub int, name string) {
	t := s.e.Live.Day.Tubs[tub]
	step := t.RepeatedStep().Name
	question, done := "the "+step+" of "+name+" once more?", name+": the "+step+" once more"
	if t.Phase == shed.ToSink {
		question, done = "empty "+name+" and fill the "+step+" anew?", name+": empty, the "+step+" to be filled anew"
	}
	s.again("b", session.RepeatStep{Tub: tub}, question+" b again does it", done)
}
