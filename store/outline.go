package store

import (
	"bytes"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/shed"
)

// eventMark is how an event's kind stands in its JSON. Inside a text the quotes would
// be escaped, so it can be nothing else.
func eventMark(e session.Event) []byte { return []byte(`"event":"` + session.KindOf(e) + `"`) }

var (
	// outlined are the marks of the events that say what became of the batches.
	outlined = func() (marks [][]byte) {
		for _, e := range session.AllEvents() {
			if session.Outlines(e) {
				marks = append(marks, eventMark(e))
			}
		}
		return marks
	}()
	undoneMark = eventMark(session.Undone{})
)

// Outline is Day by those events that say what became of its batches: the same
// plan and fates in a fraction of the time. A day in which something was undone is
// read whole, for what was taken back may be any event.
//
// Errors: those of Events; what is left out is not read.
func (s *Store) Outline(id shed.DayID) (session.Day, error) {
	recs, err := s.outline(id)
	if err != nil {
		return session.Day{}, err
	}
	return session.Replay(recs).Named(s.Names()), nil
}

func (s *Store) outline(id shed.DayID) ([]session.Recorded, error) {
	var out []session.Recorded
	whole := false
	err := s.view(func(r record) error {
		_, err := r.eachEvent(id, func(n uint64, v []byte, err error) error {
			if err != nil {
				return err // Events says so
			}
			if whole = whole || bytes.Contains(v, undoneMark); whole {
				return nil
			}
			for _, m := range outlined {
				if bytes.Contains(v, m) {
					r, err := decodeEvent(id, n, v)
					out = append(out, r)
					return err
				}
			}
			return nil
		})
		return err
	})
	if err != nil || whole || len(out) == 0 {
		return s.Events(id)
	}
	return out, nil
}
