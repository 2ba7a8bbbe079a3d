package store

import (
	"fmt"
	"os"
	"sync/atomic"

	bolt "go.etcd.io/bbolt"
	berrors "go.etcd.io/bbolt/errors"
)

// held is the open file as it was last left, to be told from what another program or a
// failing disk makes of it. bbolt trusts its map of the file: on a file that was cut
// short it stops in the middle of beginning a transaction, with its locks taken, and
// nothing ends any more. So each begins with a look at the file itself.
type held struct {
	file   *os.File
	txid   atomic.Uint64         // of the newest header; 0 after a write of which nobody knows
	stuck  atomic.Pointer[error] // why it may not be asked any more
	closed atomic.Bool
}

// Whole says whether the open file still has its first pages and its end.
//
// Errors: ErrDamaged, ErrClosed.
func (s *Store) Whole() error {
	s.mu.RLock()
	defer s.mu.RUnlock()
	return s.whole(false)
}

// whole has s.mu; where it is writing, nobody else can have changed the header since.
func (s *Store) whole(writing bool) error {
	if s.closed.Load() {
		return s.closedOr(berrors.ErrDatabaseNotOpen)
	}
	if err := s.stuck.Load(); err != nil {
		return *err
	}
	h, err := newestHeader(s.file)
	if err != nil {
		return damaged(s.place.at, "its first page does not read", err)
	}
	if was := s.txid.Load(); was != 0 && (h.txid < was || writing && h.txid > was) {
		return damaged(s.place.at, "another program has written into it", fmt.Errorf("its state is %d, not %d", h.txid, was))
	}
	info, err := s.file.Stat()
	if err != nil {
		return damaged(s.place.at, "the system no longer knows it", err)
	}
	if pages := uint64(info.Size()) / uint64(h.pageSize); h.pages > pages {
		return damaged(s.place.at, "its end is missing", fmt.Errorf("it has %d pages of %d", pages, h.pages))
	}
	return nil
}

// begin starts a transaction on a file that is whole. It has s.mu and, for a write,
// s.writing.
func (s *Store) begin(write bool) (tx *bolt.Tx, err error) {
	if err := s.whole(write); err != nil {
		return nil, err
	}
	done := false
	defer func() {
		if !done { // it stopped inside, and its locks are lost: ask bbolt for nothing more
			lost := damaged(s.place.at, "it was cut or changed while it was open", nil)
			s.stuck.Store(&lost)
		}
	}()
	tx, err = s.db.Begin(write)
	done = true
	return tx, s.closedOr(err)
}
