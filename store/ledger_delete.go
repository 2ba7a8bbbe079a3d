package store

import (
	"encoding/json"
	"fmt"
	"slices"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/shed"
)

// DeleteFleece removes a fleece that no wash day uses.
//
// Errors: ErrUnknown, ErrWashed naming the day, ErrUnreadable for a day that
// cannot be asked, ErrSave, ErrClosed, ErrDamaged.
func (s *Store) DeleteFleece(id string) error {
	all, err := s.Fleeces()
	if err != nil {
		return err
	}
	marks := []string{id}
	if i := slices.IndexFunc(all, func(f shed.Fleece) bool { return f.ID == id }); i >= 0 {
		marks = append(marks, all[i].Joined...)
	}
	return s.update(func(c *change) error {
		b, err := c.part(fleecesPart)
		if err != nil {
			return err
		}
		n, ok := fleeceShelf.number(id)
		if !ok || !b.has(key(n)) {
			return s.unknown(fmt.Sprintf("fleece \"%s\"", id))
		}
		for _, mark := range marks {
			day, err := dayWith(c.was, mark)
			if err != nil {
				return err
			}
			if day > 0 {
				return &Error{Kind: ErrWashed,
					text: fmt.Sprintf("that fleece is part of wash day %d: it stays, or that record would not know whose fleece it was", day)}
			}
		}
		for _, mark := range marks {
			if n, ok := fleeceShelf.number(mark); ok && b.has(key(n)) {
				if err := b.delete(key(n)); err != nil {
					return err
				}
			}
		}
		return nil
	})
}

// dayWith is the newest day that has the fleece, 0 if none. The plan at a day's
// start and the batches added to it say so; other events name no fleece.
func dayWith(r record, fleece string) (found shed.DayID, err error) {
	return found, r.each(daysPart, true, func(k, v []byte, err error) error {
		n, _ := number(k)
		id := shed.DayID(n)
		var sum ledger.Summary
		if err == nil {
			err = json.Unmarshal(v, &sum)
		}
		switch {
		case found != 0:
			return nil
		case err != nil:
			return unreadable(fmt.Sprintf("the summary of wash day %d", n), err)
		case slices.ContainsFunc(sum.Rows, func(r ledger.BatchRow) bool { return r.FleeceID == fleece }):
			found = id
		case len(sum.Rows) == 0:
			recs, _, err := r.events(id)
			if err != nil {
				return err
			}
			d := session.Replay(recs)
			if _, has := d.Fleece(fleece); has {
				found = id
			}
		}
		return nil
	})
}
