package store

import (
	"encoding/json"
	"fmt"

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
	return s.putIn(metaPart, leftKey, v)
}

// Left is when the program was left last; the zero value where nobody knows.
//
// Errors: ErrClosed, ErrDamaged.
func (s *Store) Left() (l session.Left, err error) {
	err = s.view(func(r record) error {
		v, _ := r.get(metaPart, leftKey, "when the program was left")
		if json.Unmarshal(v, &l) != nil {
			l = session.Left{} // none, or none that reads
		}
		return nil
	})
	return l, err
}
