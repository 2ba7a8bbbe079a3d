package store

import (
	"encoding/json"
	"errors"
	"fmt"
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/coach"
	"fleece.example/tubside/session/compare"
	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/session/tag"
)

// checkDay reads a day that came in. Its events are what happened; a summary that
// says something else than they do is made anew from them.
func checkDay(d DayContents, latest time.Time) (dayIn, error) {
	out := dayIn{id: uint64(d.ID)}
	what := fmt.Sprintf("wash day %d", d.ID)
	var sum ledger.Summary
	err := session.Strictly(d.Summary, &sum)
	if err == nil {
		out.summary, err = compact(d.Summary)
	}
	if err != nil {
		return out, unreadable("the summary of "+what, cleanError{err})
	}
	if sum.ID != d.ID {
		return out, unreadable("the summary of "+what, fmt.Errorf("it says that it is of day %d", sum.ID))
	}
	if len(d.Events) == 0 {
		return out, unreadable(what, errors.New("it has no event"))
	}
	recs := make([]session.Recorded, 0, len(d.Events))
	for i, v := range d.Events {
		n := uint64(i) + 1
		r, err := readEvent(d.ID, n, func(r *session.Recorded) error { return r.ReadStrictly(v) })
		if err != nil {
			return out, err
		}
		value, err := compact(v)
		if err != nil {
			return out, unreadable(fmt.Sprintf("%s, event %d", what, n), cleanError{err})
		}
		out.events, recs = append(out.events, value), append(recs, r)
	}
	day, err := replayed(d.ID, recs, latest)
	if err != nil {
		return out, err
	}
	out.ended = !day.EndedAt.IsZero()
	line := ledger.Summarise(d.ID, day)
	if sum.Measures != "" { // an older version wrote none
		line = compare.Summarise(d.ID, day)
	}
	told, err := json.Marshal(line)
	if err != nil {
		return out, unworkable(what, err)
	}
	if !alike[ledger.Summary](out.summary, told) {
		out.summary = told
	}
	return out, nil
}

// replayed is the day that the events tell, if it can be worked with. A day that
// has ended is history, which may follow older rules; one that goes on has to
// stand by those of today.
func replayed(id shed.DayID, recs []session.Recorded, latest time.Time) (session.Day, error) {
	var d session.Day
	var first error // what today's rules have against it
	for i, r := range recs {
		where := fmt.Sprintf("%s (%s)", eventName(id, r.Seq), session.KindOf(r.Event))
		_, starts := r.Event.(session.DayStarted)
		switch {
		case i == 0 && !starts:
			return d, unreadable(where, fmt.Errorf("it is \"%s\", and a day begins with \"%s\"", session.KindOf(r.Event), session.KindOf(session.DayStarted{})))
		case i > 0 && starts:
			return d, unreadable(where, errors.New("the day begins a second time"))
		}
		err := r.CheckFigures(latest)
		if err == nil {
			err = wellFormed(id, d, r)
		}
		if err != nil {
			return d, unreadable(where, cleanError{err})
		}
		d = session.Apply(d, r)
		if err := byTheRules(d, r.Event); err != nil && first == nil {
			first = unreadable(where, err)
		}
	}
	if d.EndedAt.IsZero() && first != nil {
		return d, first
	}
	if err := goesOn(d); err != nil {
		return d, unworkable(fmt.Sprintf("wash day %d", id), err)
	}
	return d, nil
}

// unworkable is a day whose figures lead to others that are not numbers.
func unworkable(what string, err error) error {
	return unreadable(what, fmt.Errorf("its figures are beyond all sense, so that nothing more of it could be saved (%w)", cleanError{err}))
}

// wellFormed finds what no version has written and nothing here can work with.
func wellFormed(id shed.DayID, before session.Day, r session.Recorded) error {
	var batches []shed.Batch
	switch e := r.Event.(type) {
	case session.ClockSet: // the one after which it may be earlier
		return nil
	case session.DayStarted:
		if len(e.Plan.Kit.Tubs) == 0 {
			return errors.New("its kit has no tub: a wash day needs at least one")
		}
		batches = e.Plan.Batches
	case session.KitChanged:
		if len(e.Kit.Tubs) == 0 {
			return errors.New("its kit has no tub: a wash day needs at least one")
		}
	case session.BatchAdded:
		batches = []shed.Batch{e.Batch}
	}
	for _, b := range batches {
		if _, err := tag.Code(id, b.ID); err != nil {
			return err
		}
	}
	if tub := session.TubOf(r.Event); tub >= len(before.Tubs) {
		return fmt.Errorf("there is no tub %d on this day: it has %d", tub+1, len(before.Tubs))
	}
	if r.At.Before(before.LastAt) {
		return fmt.Errorf("it is of %s, before the event that it follows", r.At.Format(time.DateTime))
	}
	return nil
}

// byTheRules checks what an event brings into a day, as the screen does before
// it is written; d is the day after it.
func byTheRules(d session.Day, e session.Event) error {
	switch e := e.(type) {
	case session.DayStarted:
		if err := e.Plan.Validate(); err != nil {
			return err
		}
		for _, l := range e.Loads {
			if err := stepsByTheRules(l); err != nil {
				return err
			}
		}
	case session.BatchLoaded:
		return stepsByTheRules(e)
	case session.KitChanged:
		return e.Kit.Validate()
	case session.BatchAdded:
		return d.Plan.Validate()
	}
	return nil
}

func stepsByTheRules(l session.BatchLoaded) error {
	for _, s := range l.Steps {
		if err := s.Validate(); err != nil {
			return err
		}
	}
	return nil
}

// actsAhead is how many acts at each tub are tried: from any phase a bath comes
// to its lift in three.
const actsAhead = 4

// goesOn tries whether what may happen next in the day could be written down: its
// alarms, and the acts at each tub. A day that has ended is tried as it was
// before its end, for that can be taken back.
func goesOn(d session.Day) error {
	at := d.LastAt
	for !d.EndedAt.IsZero() && coach.CanUndo(d) != "" {
		next, _, err := session.Do(d, session.Undo{}, at)
		if err != nil {
			break
		}
		d = next
	}
	if !d.Running() { // it stays ended, and nothing comes after it
		return nil
	}
	for range actsAhead {
		at = at.Add(time.Minute)
		next, recs := session.Tick(d, at)
		d = next
		for tub := range d.Tubs {
			act := d.NextAction(tub)
			if act == shed.Wait {
				continue
			}
			next, more, err := session.Do(d, session.DoNext{Tub: tub, Act: act, Sooner: true}, at)
			if errors.Is(err, session.ErrNoNumber) {
				return err
			}
			if err != nil {
				continue // refused with a sentence, which is no harm
			}
			d, recs = next, append(recs, more...)
		}
		if _, err := json.Marshal(recs); err != nil {
			return err
		}
	}
	return nil
}
