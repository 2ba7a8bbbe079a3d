package store

import (
	"errors"
	"fmt"

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
	return s.update(func(c *change) error {
		k := key(uint64(id))
		journal, errJ := c.part(journalPart)
		days, errD := c.part(daysPart)
		meta, errM := c.part(metaPart)
		if err := errors.Join(errJ, errD, errM); err != nil {
			return err
		}
		if journal.b.Bucket(k) == nil && !days.has(k) {
			return s.unknown(fmt.Sprintf("wash day %d", id))
		}
		open, isOpen := openDay(c.was)
		if isOpen && open == id {
			recs, _, err := c.was.events(id)
			if err != nil {
				return err
			}
			if len(session.Replay(recs).Washed()) > 0 {
				return dayOpen(id)
			}
			if err := meta.delete(openKey); err != nil {
				return fmt.Errorf("close day %d: %w", id, err)
			}
		}
		if journal.b.Bucket(k) != nil {
			if err := journal.dropDay(k); err != nil {
				return fmt.Errorf("delete the journal of day %d: %w", id, err)
			}
		}
		return days.delete(k)
	})
}
