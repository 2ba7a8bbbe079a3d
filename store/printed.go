package store

import (
	"encoding/json"
	"fmt"

	bolt "go.etcd.io/bbolt"

	"fleece.example/tubside/session/tag"
)

// printedBucket lies in the meta bucket: which tags were printed is what this
// machine did, and no part of the record that goes from one to another.
var printedBucket = []byte("printed")

func printedKey(p tag.Printed) []byte { return append(key(uint64(p.Day)), p.Batch...) }

// SavePrinted remembers what the tags said that were printed, in place of what they
// said before.
//
// Errors: ErrSave, ErrClosed, ErrDamaged.
func (s *Store) SavePrinted(tags []tag.Printed) error {
	return s.update(func(tx *bolt.Tx) error {
		b, err := tx.Bucket(metaBucket).CreateBucketIfNotExists(printedBucket)
		if err != nil {
			return fmt.Errorf("make room for the printed tags: %w", err)
		}
		for _, p := range tags {
			v, err := json.Marshal(p)
			if err != nil {
				return fmt.Errorf("write the printed tag of %s: %w", p.Batch, err)
			}
			if err := b.Put(printedKey(p), v); err != nil {
				return fmt.Errorf("put the printed tag of %s: %w", p.Batch, err)
			}
		}
		return nil
	})
}

// Printed lists the tags that were printed of the days there are, each as it was
// last.
//
// Errors: ErrUnreadable, ErrClosed, ErrDamaged.
func (s *Store) Printed() ([]tag.Printed, error) {
	var out []tag.Printed
	err := s.view(func(tx *bolt.Tx) error {
		b := tx.Bucket(metaBucket).Bucket(printedBucket)
		if b == nil {
			return nil
		}
		return b.ForEach(func(_, v []byte) error {
			var p tag.Printed
			if err := json.Unmarshal(v, &p); err != nil {
				return unreadable("a printed tag", err)
			}
			if tx.Bucket(daysBucket).Get(key(uint64(p.Day))) != nil {
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
