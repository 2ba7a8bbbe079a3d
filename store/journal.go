package store

import (
	"encoding/json"
	"errors"
	"fmt"
	"strconv"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
)

// unsureAppend remembers an Append whose commit failed. When the disk fails at
// the very last write, the events may be in the file although the commit says
// no. Nothing from first on was ever reported safe, so the next try may write
// over it.
type unsureAppend struct {
	day   shed.DayID
	first uint64 // 0: nothing is unsure
}

// NewDay reserves the ID of a day about to start. An ID that is never used
// leaves a gap in the IDs, nothing else.
//
// Errors: ErrDayOpen while another day has not ended that reads, ErrSave, ErrClosed,
// ErrDamaged, ErrUnreadable for a count that has gone wrong.
func (s *Store) NewDay() (shed.DayID, error) {
	var id uint64
	err := s.update(func(c *change) error {
		if open, ok := openDay(c.was); ok && c.was.tells(open) {
			return dayOpen(open)
		}
		days, err := c.part(daysPart)
		if err != nil {
			return err
		}
		if id, err = days.next(); err != nil {
			return err
		}
		if id == 0 || days.has(key(id)) {
			return s.notFree("wash day", strconv.FormatUint(id, 10))
		}
		return nil
	})
	if err != nil {
		return 0, err
	}
	return shed.DayID(id), nil
}

// Append saves events and the day's summary in one transaction, or nothing. No
// events means nothing to do. A summary without an end makes the day the open
// one, also after it had ended; one with an end closes it.
//
// Errors: ErrOrder for a gap or a repeat, ErrUnknown for an ID that NewDay has
// not given, ErrDayOpen when the day would be a second open one, ErrSave when
// the disk refuses (the same Append may be tried again), ErrClosed, ErrDamaged,
// or an event that cannot be written as JSON.
func (s *Store) Append(id shed.DayID, events []session.Recorded, sum ledger.Summary) error {
	if len(events) == 0 {
		return nil
	}
	values, line, err := encode(id, events, sum)
	if err != nil {
		return err
	}

	s.appending.Lock()
	defer s.appending.Unlock()
	err = s.update(func(c *change) error {
		days, err := c.part(daysPart)
		if err != nil {
			return err
		}
		if id == 0 || uint64(id) > days.b.Sequence() {
			return s.unknown(fmt.Sprintf("wash day %d", id))
		}
		if err := c.markOpen(id, sum.EndedAt.IsZero()); err != nil {
			return err
		}
		journal, err := c.part(journalPart)
		if err != nil {
			return err
		}
		day, err := journal.day(key(uint64(id)))
		if err != nil {
			return fmt.Errorf("journal of day %d: %w", id, err)
		}
		if u := s.unsure; u.day == id && u.first > 0 && events[0].Seq >= u.first {
			if err := day.cut(events[0].Seq); err != nil { // what a failed Append may have left
				return err
			}
		}
		want, _ := day.last()
		for _, e := range events {
			if want++; e.Seq != want {
				return outOfOrder(id, want, e.Seq)
			}
		}
		if err := day.append(values); err != nil {
			return err
		}
		if err := days.put(key(uint64(id)), line); err != nil {
			return fmt.Errorf("put summary of day %d: %w", id, err)
		}
		return nil
	})
	switch {
	case err == nil:
		s.unsure = unsureAppend{}
	case errors.Is(err, ErrSave):
		first := events[0].Seq
		if s.unsure.day == id && s.unsure.first > 0 {
			first = min(first, s.unsure.first) // a second failure in a row
		}
		s.unsure = unsureAppend{id, first}
	}
	return err
}

// encode makes the values of an Append before the file is touched.
func encode(id shed.DayID, events []session.Recorded, sum ledger.Summary) (values [][]byte, line []byte, err error) {
	if sum.ID != id {
		return nil, nil, fmt.Errorf("the summary of day %d came with events of day %d", sum.ID, id)
	}
	for _, e := range events {
		v, err := json.Marshal(e)
		if err != nil {
			return nil, nil, fmt.Errorf("write event %d of day %d: %w", e.Seq, id, err)
		}
		values = append(values, v)
	}
	if line, err = json.Marshal(sum); err != nil {
		return nil, nil, fmt.Errorf("write summary of day %d: %w", id, err)
	}
	return values, line, nil
}

// markOpen keeps the note of the open day in step with the day's summary.
func (c *change) markOpen(id shed.DayID, running bool) error {
	meta, err := c.part(metaPart)
	if err != nil {
		return err
	}
	v, err := meta.get(openKey)
	open, ok, noteErr := openIn(v)
	lost := err != nil || noteErr != nil
	if lost {
		open, ok = openDay(c.was)
	}
	switch {
	case running && ok && open != id && c.was.tells(open):
		return dayOpen(open)
	case running && (lost || !ok || open != id):
		return meta.put(openKey, key(uint64(id)))
	case !running && ok && open == id, lost && !ok:
		return meta.delete(openKey)
	}
	return nil
}

// OpenDay finds the day that has not ended; ok is false if there is none. One that does
// not read is set aside.
//
// Errors: ErrClosed, ErrDamaged.
func (s *Store) OpenDay() (id shed.DayID, ok bool, err error) {
	err = s.view(func(r record) error {
		if id, ok = openDay(r); ok && !r.tells(id) {
			s.setAside(fmt.Sprintf("wash day %d (it has not ended)", id))
			id, ok = 0, false
		}
		return nil
	})
	return id, ok, err
}

const openNote = "the note of the open wash day"

// openDay is the day that has not ended, by the note of it, else by the list of days.
func openDay(r record) (shed.DayID, bool) {
	v, err := r.get(metaPart, openKey, openNote)
	if err == nil {
		if id, ok, err := openIn(v); err == nil {
			return id, ok
		}
	}
	return r.openByLines()
}

// openIn reads that note; none is one as well.
func openIn(v []byte) (shed.DayID, bool, error) {
	if v == nil {
		return 0, false, nil
	}
	n, ok := number(v)
	if !ok {
		return 0, false, unreadable(openNote, fmt.Errorf("it has %d bytes, not 8", len(v)))
	}
	return shed.DayID(n), true, nil
}

// Events returns a day's whole journal in order.
//
// Errors: ErrUnknown for a day without events, ErrUnreadable naming the day
// and the event, ErrClosed, ErrDamaged.
func (s *Store) Events(id shed.DayID) ([]session.Recorded, error) {
	var out []session.Recorded
	err := s.view(func(r record) error {
		var ok bool
		var err error
		if out, ok, err = r.events(id); err == nil && !ok {
			err = s.unknown(fmt.Sprintf("wash day %d", id))
		}
		return err
	})
	if err != nil {
		return nil, err
	}
	return out, nil
}

// decodeEvent reads what should be event want of the day.
func decodeEvent(id shed.DayID, want uint64, v []byte) (session.Recorded, error) {
	return readEvent(id, want, func(r *session.Recorded) error { return json.Unmarshal(v, r) })
}

func readEvent(id shed.DayID, want uint64, read func(*session.Recorded) error) (session.Recorded, error) {
	var r session.Recorded
	if err := read(&r); err != nil {
		return session.Recorded{}, unreadable(eventName(id, want), err)
	}
	if r.Seq != want {
		return session.Recorded{}, unreadable(eventName(id, want), fmt.Errorf("it says that it is event %d", r.Seq))
	}
	return r, nil
}

// errEnough ends a walk through the days.
var errEnough = errors.New("enough")

// titleRunes bounds a fleece's title: two names and what is between them.
const titleRunes = 100

// Days lists the days, newest first, with the names as they are now: at most limit
// (0: all) that were lived, and what was entered from cards among them. It reads the summaries alone, and cleans their texts: a file that
// was restored or carried over may hold what a terminal would obey. A summary that does
// not read is made anew of the day's events; a day of which neither reads is set aside.
//
// Errors: ErrClosed, ErrDamaged.
func (s *Store) Days(limit int) ([]ledger.Summary, error) {
	var out []ledger.Summary
	names := s.Names()
	err := s.view(func(r record) error {
		lines, lost := r.lines(limit)
		for _, id := range lost {
			s.setAside(fmt.Sprintf("wash day %d", id))
		}
		for _, sum := range lines {
			for i, title := range sum.Fleeces {
				sum.Fleeces[i] = measure.CleanText(title, titleRunes)
			}
			out = append(out, sum.Named(names))
		}
		return nil
	})
	if err != nil {
		return nil, err
	}
	return ledger.InOrder(out), nil
}
