package store

import (
	"encoding/json"
	"errors"
	"fmt"
	"strconv"

	bolt "go.etcd.io/bbolt"

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
// Errors: ErrDayOpen while another day has not ended, ErrSave, ErrClosed,
// ErrDamaged, ErrUnreadable for a count that has gone wrong.
func (s *Store) NewDay() (shed.DayID, error) {
	var id uint64
	err := s.update(func(tx *bolt.Tx) error {
		if open, ok, err := openDay(tx); err != nil {
			return err
		} else if ok {
			return s.dayOpen(open)
		}
		days := tx.Bucket(daysBucket)
		var err error
		if id, err = days.NextSequence(); err != nil {
			return err
		}
		if id == 0 || days.Get(key(id)) != nil {
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
	err = s.update(func(tx *bolt.Tx) error {
		days := tx.Bucket(daysBucket)
		if id == 0 || uint64(id) > days.Sequence() {
			return s.unknown(fmt.Sprintf("wash day %d", id))
		}
		if err := s.markOpen(tx, id, sum.EndedAt.IsZero()); err != nil {
			return err
		}
		day, err := tx.Bucket(journalBucket).CreateBucketIfNotExists(key(uint64(id)))
		if err != nil {
			return fmt.Errorf("journal of day %d: %w", id, err)
		}
		// Keys only ever come at the end: fill pages instead of leaving half
		// of each free for keys in between.
		day.FillPercent = 0.95
		if err := s.dropUnsure(day, id, events[0].Seq); err != nil {
			return err
		}
		want := lastSeq(day) + 1
		for i, e := range events {
			if e.Seq != want {
				return s.outOfOrder(id, want, e.Seq)
			}
			if err := day.Put(key(want), values[i]); err != nil {
				return fmt.Errorf("put event %d of day %d: %w", want, id, err)
			}
			want++
		}
		if err := days.Put(key(uint64(id)), line); err != nil {
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
func (s *Store) markOpen(tx *bolt.Tx, id shed.DayID, running bool) error {
	meta := tx.Bucket(metaBucket)
	open, ok, err := openDay(tx)
	switch {
	case err != nil:
		return err
	case running && ok && open != id:
		return s.dayOpen(open)
	case running && !ok:
		return meta.Put(openKey, key(uint64(id)))
	case !running && ok && open == id:
		return meta.Delete(openKey)
	}
	return nil
}

// dropUnsure takes out, from event first on, what a failed Append may have left.
func (s *Store) dropUnsure(day *bolt.Bucket, id shed.DayID, first uint64) error {
	if u := s.unsure; u.day != id || u.first == 0 || first < u.first {
		return nil
	}
	for n := lastSeq(day); n >= first; n-- {
		if err := day.Delete(key(n)); err != nil {
			return fmt.Errorf("take out event %d of day %d: %w", n, id, err)
		}
	}
	return nil
}

// lastSeq is the number of the day's last event, 0 if it has none.
func lastSeq(day *bolt.Bucket) uint64 {
	k, _ := day.Cursor().Last()
	n, _ := number(k)
	return n
}

// OpenDay finds the day that has not ended; ok is false if there is none.
//
// Errors: ErrUnreadable, ErrClosed, ErrDamaged.
func (s *Store) OpenDay() (id shed.DayID, ok bool, err error) {
	err = s.view(func(tx *bolt.Tx) error {
		id, ok, err = openDay(tx)
		return err
	})
	return id, ok, err
}

func openDay(tx *bolt.Tx) (shed.DayID, bool, error) {
	v := tx.Bucket(metaBucket).Get(openKey)
	if v == nil {
		return 0, false, nil
	}
	n, ok := number(v)
	if !ok {
		return 0, false, unreadable("the note of the open wash day", fmt.Errorf("it has %d bytes, not 8", len(v)))
	}
	return shed.DayID(n), true, nil
}

// Events returns a day's whole journal in order.
//
// Errors: ErrUnknown for a day without events, ErrUnreadable naming the day
// and the event, ErrClosed, ErrDamaged.
func (s *Store) Events(id shed.DayID) ([]session.Recorded, error) {
	var out []session.Recorded
	err := s.view(func(tx *bolt.Tx) error {
		day := tx.Bucket(journalBucket).Bucket(key(uint64(id)))
		if day == nil {
			return s.unknown(fmt.Sprintf("wash day %d", id))
		}
		return day.ForEach(func(k, v []byte) error {
			r, err := decodeEvent(id, uint64(len(out))+1, k, v)
			if err != nil {
				return err
			}
			out = append(out, r)
			return nil
		})
	})
	if err != nil {
		return nil, err
	}
	return out, nil
}

// decodeEvent reads the entry that should be event want of the day.
func decodeEvent(id shed.DayID, want uint64, k, v []byte) (session.Recorded, error) {
	what := fmt.Sprintf("wash day %d, event %d", id, want)
	if n, ok := number(k); !ok || n != want {
		return session.Recorded{}, unreadable(what, fmt.Errorf("the entry in its place has the key %x", k))
	}
	var r session.Recorded
	if err := json.Unmarshal(v, &r); err != nil {
		return session.Recorded{}, unreadable(what, err)
	}
	if r.Seq != want {
		return session.Recorded{}, unreadable(what, fmt.Errorf("it says that it is event %d", r.Seq))
	}
	return r, nil
}

// titleRunes bounds a fleece's title: two names and what is between them.
const titleRunes = 100

// Days lists the days, newest first, at most limit (0: all), with the names as
// they are now. It reads the summaries alone, and cleans their texts: a file that
// was restored or carried over may hold what a terminal would obey.
//
// Errors: ErrUnreadable naming the day, ErrClosed, ErrDamaged.
func (s *Store) Days(limit int) ([]ledger.Summary, error) {
	var out []ledger.Summary
	names := s.Names()
	err := s.view(func(tx *bolt.Tx) error {
		c := tx.Bucket(daysBucket).Cursor()
		for k, v := c.Last(); k != nil && (limit <= 0 || len(out) < limit); k, v = c.Prev() {
			n, _ := number(k)
			var sum ledger.Summary
			if err := json.Unmarshal(v, &sum); err != nil {
				return unreadable(fmt.Sprintf("the summary of wash day %d", n), err)
			}
			sum.ID = shed.DayID(n)
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
	return out, nil
}
