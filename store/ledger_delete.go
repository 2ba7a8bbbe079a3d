package store

import (
	"encoding/json"
	"fmt"

	bolt "go.etcd.io/bbolt"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/shed"
)

// DeleteFleece removes a fleece that no wash day uses.
//
// Errors: ErrUnknown, ErrWashed naming the day, ErrUnreadable for a day that
// cannot be asked, ErrSave, ErrClosed, ErrDamaged.
func (s *Store) DeleteFleece(id string) error {
	return s.update(func(tx *bolt.Tx) error {
		b := tx.Bucket(fleecesBucket)
		n, ok := fleeceShelf.number(id)
		if !ok || b.Get(key(n)) == nil {
			return s.unknown(fmt.Sprintf("fleece \"%s\"", id))
		}
		day, err := dayWith(tx, id)
		if err != nil {
			return err
		}
		if day > 0 {
			return &Error{Kind: ErrWashed, Path: s.path,
				text: fmt.Sprintf("that fleece is part of wash day %d: it stays, or that record would not know whose fleece it was", day)}
		}
		return b.Delete(key(n))
	})
}

// dayWith is the newest day that has the fleece, 0 if none. The plan at a day's
// start and the batches added to it say so; other events name no fleece.
func dayWith(tx *bolt.Tx, fleece string) (shed.DayID, error) {
	c := tx.Bucket(daysBucket).Cursor()
	for k, v := c.Last(); k != nil; k, v = c.Prev() {
		n, _ := number(k)
		id := shed.DayID(n)
		var sum ledger.Summary
		if err := json.Unmarshal(v, &sum); err != nil {
			return 0, unreadable(fmt.Sprintf("the summary of wash day %d", n), err)
		}
		rows := sum.Rows
		if len(rows) == 0 {
			recs, err := eventsOf(tx, id)
			if err != nil {
				return 0, err
			}
			d := session.Replay(recs)
			if _, has := d.Fleece(fleece); has {
				return id, nil
			}
			continue
		}
		for _, r := range rows {
			if r.FleeceID == fleece {
				return id, nil
			}
		}
	}
	return 0, nil
}

// eventsOf reads a day's journal; a day without one has no events.
func eventsOf(tx *bolt.Tx, id shed.DayID) ([]session.Recorded, error) {
	var out []session.Recorded
	day := tx.Bucket(journalBucket).Bucket(key(uint64(id)))
	if day == nil {
		return nil, nil
	}
	err := day.ForEach(func(k, v []byte) error {
		r, err := decodeEvent(id, uint64(len(out))+1, k, v)
		out = append(out, r)
		return err
	})
	return out, err
}
