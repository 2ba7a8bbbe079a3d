package store

import (
	"encoding/json"
	"fmt"

	"fleece.example/tubside/session/tag"
)

// Which tags were printed is what this machine did, and no part of the record that
// goes from one to another.
func printedKey(p tag.Printed) []byte { return append(key(uint64(p.Day)), p.Batch...) }

// SavePrinted remembers what the tags said that were printed, in place of what they
// said before.
//
// Errors: ErrSave, ErrClosed, ErrDamaged.
func (s *Store) SavePrinted(tags []tag.Printed) error {
	return s.update(func(c *change) error {
		if c.tx.Bucket([]byte(metaPart)).Bucket([]byte(printedPart)) == nil {
			if _, err := c.tx.Bucket([]byte(metaPart)).CreateBucket([]byte(printedPart)); err != nil {
				return fmt.Errorf("make room for the printed tags: %w", err)
			}
		}
		b, err := c.part(printedPart)
		if err != nil {
			return err
		}
		for _, p := range tags {
			v, err := json.Marshal(p)
			if err != nil {
				return fmt.Errorf("write the printed tag of %s: %w", p.Batch, err)
			}
			if err := b.put(printedKey(p), v); err != nil {
				return fmt.Errorf("put the printed tag of %s: %w", p.Batch, err)
			}
		}
		return nil
	})
}

// Printed lists the tags that were printed of the days there are, each as it was
// last. One that does not read is set aside.
//
// Errors: ErrClosed, ErrDamaged.
func (s *Store) Printed() ([]tag.Printed, error) {
	var out []tag.Printed
	err := s.view(func(r record) error {
		days := map[uint64]bool{}
		if err := r.each(daysPart, false, func(k, _ []byte, _ error) error {
			n, _ := number(k)
			days[n] = true
			return nil
		}); err != nil {
			return err
		}
		return r.each(printedPart, false, func(_, v []byte, err error) error {
			var p tag.Printed
			if err == nil {
				err = json.Unmarshal(v, &p)
			}
			if err != nil {
				s.setAside("a note of which tags were printed")
			} else if days[uint64(p.Day)] {
				out = append(out, p)
			}
			return nil
		})
	})
	if err != nil {
		return nil, err
	}
	return out, nil
}
