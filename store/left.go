package store

import (
	"encoding/json"
	"fmt"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/ledger"
)

// These lie in the meta bucket: when this machine stopped watching is no part of the record
// that goes from one to another.
var (
	leftKey  = []byte("left")
	draftKey = []byte("draft")
)

const draftName = "the plan of the next day"

// emptyDraft says that there is no plan of the next day in a value, or none that reads.
func emptyDraft(v []byte) bool {
	var d ledger.Draft
	return json.Unmarshal(v, &d) != nil || len(d.Plan.Batches) == 0
}

// SaveLeft remembers when the program was left.
//
// Errors: ErrSave, ErrClosed, ErrDamaged.
func (s *Store) SaveLeft(l session.Left) error {
	return s.note(leftKey, "when the program was left", l)
}

// Left is when the program was left last; the zero value where nobody knows.
//
// Errors: ErrClosed, ErrDamaged.
func (s *Store) Left() (l session.Left, err error) {
	return noted[session.Left](s, leftKey, "when the program was left")
}

// SaveDraft keeps the plan of the next day as it stands; one without batches is none.
//
// Errors: ErrSave, ErrClosed, ErrDamaged.
func (s *Store) SaveDraft(d ledger.Draft) error {
	return s.note(draftKey, draftName, d)
}

// Draft is the plan of the next day; the zero value where there is none, or none that reads.
//
// Errors: ErrClosed, ErrDamaged.
func (s *Store) Draft() (ledger.Draft, error) {
	return noted[ledger.Draft](s, draftKey, draftName)
}

func (s *Store) note(k []byte, what string, x any) error {
	v, err := json.Marshal(x)
	if err != nil {
		return fmt.Errorf("write %s: %w", what, err)
	}
	return s.putIn(metaPart, k, v)
}

// noted reads what note wrote; the zero value where there is none, or none that reads.
func noted[T any](s *Store, k []byte, what string) (out T, err error) {
	err = s.view(func(r record) error {
		v, _ := r.get(metaPart, k, what)
		var x T
		if json.Unmarshal(v, &x) == nil {
			out = x
		}
		return nil
	})
	return out, err
}
