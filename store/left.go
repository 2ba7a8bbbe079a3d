package store

import (
	"encoding/json"
	"fmt"

	bolt "go.etcd.io/bbolt"

	"fleece.example/tubside/session"
)

// leftKey lies in the meta bucket: when this machine stopped watching is no part of
// the record that goes from one to another.
var leftKey = []byte("left")

// SaveLeft remembers when the program was left.
//
// Errors: ErrSave, ErrClosed, ErrDamaged.
func (s *Store) SaveLeft(l session.Left) error {
	v, err := json.Marshal(l)
	if err != nil {
		return fmt.Errorf("write when the program was left: %w", err)
	}
	return s.update(func(tx *bolt.Tx) error { return tx.Bucket(metaBucket).Put(leftKey, v) })
}

// Left is when the program was left last; the zero value where nobody knows.
//
// Errors: ErrClosed, ErrDamaged.
func (s *Store) Left() (l session.Left, err error) {
	err = s.view(func(tx *bolt.Tx) error {
		if json.Unmarshal(tx.Bucket(metaBucket).Get(leftKey), &l) != nil {
			l = session.Left{} // none, or not ours
		}
		return nil
	})
	return l, err
}
