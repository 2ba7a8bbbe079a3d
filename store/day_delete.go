package store

import (
	"fmt"

	bolt "go.etcd.io/bbolt"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/shed"
)

// DeleteDay removes a day with its journal and its summary, and with them the
// batches and what the day taught. An open day goes only if nothing has gone into
// the water on it. The day's number is not given again.
//
// Errors: ErrUnknown, ErrDayOpen, ErrUnreadable for an open day that cannot be
// asked, ErrSave, ErrClosed, ErrDamaged.
func (s *Store) DeleteDay(id shed.DayID) error {
	s.appending.Lock()
	defer s.appending.Unlock()
	return s.update(func(tx *bolt.Tx) error {
		k := key(uint64(id))
		journal, days := tx.Bucket(journalBucket), tx.Bucket(daysBucket)
		if journal.Bucket(k) == nil && days.Get(k) == nil {
			return s.unknown(fmt.Sprintf("wash day %d", id))
		}
		open, isOpen, err := openDay(tx)
		if err != nil {
			return err
		}
		if isOpen && open == id {
			recs, err := eventsOf(tx, id)
			if err != nil {
				return err
			}
			if len(session.Replay(recs).Washed()) > 0 {
				return s.dayOpen(id)
			}
			if err := tx.Bucket(metaBucket).Delete(openKey); err != nil {
				return fmt.Errorf("close day %d: %w", id, err)
			}
		}
		if journal.Bucket(k) != nil {
			if err := journal.DeleteBucket(k); err != nil {
				return fmt.Errorf("delete the journal of day %d: %w", id, err)
			}
		}
		return days.Delete(k)
	})
}
