// Package store keeps the journal of wash days and the ledger of fleeces, kit
// and methods in one file on disk.
//
// The file is a tree of ordered keys (bbolt). Its layout:
//
//	meta     format -> "tubside", schema -> version, open -> day that has not ended,
//	         printed -> a bucket: day and batch -> its tag as it was last printed, as JSON
//	sums     part -> total of the sums of its values
//	journal  day -> a bucket of its own: seq -> event as JSON
//	days     day -> summary as JSON, written together with the events
//	fleeces  number -> fleece as JSON
//	methods  number -> method as JSON
//	kit      kit -> kit as JSON
//
// Days, seqs and numbers are 8 bytes, big-endian, so that the order of keys is
// the order of counting. Behind each value lies its checksum (sums.go). What is read
// is read by the pages of the file (pages.go), which can be damaged; bbolt writes.
// A success is reported only after the commit is on the
// disk; until then nothing of it is in the file.
package store

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"runtime/debug"
	"sync"
	"sync/atomic"

	bolt "go.etcd.io/bbolt"
	berrors "go.etcd.io/bbolt/errors"

	"fleece.example/tubside/session/ledger"
)

var (
	_ ledger.Journal = (*Store)(nil)
	_ ledger.Ledger  = (*Store)(nil)
)

// Store is an open tubside file. Its methods may be called from several
// goroutines; writes wait for each other, reads do not wait for writes.
type Store struct {
	path string // as it was opened

	mu    sync.RWMutex // while the file changes its place nothing reads or writes
	db    *bolt.DB
	place place
	held
	news news
	aside
	summed bool // values have their sums

	// looked are the parts of the file that were gone through before the first write
	// to them; only writes, which wait for each other, use it.
	looked map[string]error

	// commit ends a write; tests put a failing disk in its place.
	commit func(*bolt.Tx) error

	names atomic.Pointer[namesRead]

	writing   sync.Mutex
	appending sync.Mutex
	unsure    unsureAppend
}

// Path is where the file lies, as an absolute path.
func (s *Store) Path() string {
	s.mu.RLock()
	defer s.mu.RUnlock()
	return s.place.at
}

// Close lets go of the file once running reads and writes are through. A
// second Close does nothing.
func (s *Store) Close() error {
	s.mu.RLock()
	defer s.mu.RUnlock()
	if s.closed.Swap(true) || s.stuck.Load() != nil {
		return nil
	}
	if err := s.db.Close(); err != nil {
		return fmt.Errorf("close %s: %w", s.path, err)
	}
	return nil
}

// Backup writes a copy of the whole file, as it stands at one moment, to w. It
// may run while events are being saved. The copy is gathered in memory first:
// a slow w (a memory stick) would otherwise keep a read open, and a write that
// has to grow the file waits for open reads.
//
// Errors: ErrClosed, ErrDamaged (naming what is not whole; nothing is written
// then), or whatever w returns, wrapped.
func (s *Store) Backup(w io.Writer) error {
	copied, err := s.content()
	if err != nil {
		return err
	}
	var rep Report
	h, err := newestHeader(bytes.NewReader(copied))
	if err == nil {
		rep, err = checkContent(s.path, copied, h, false)
	}
	if err = errors.Join(err, rep.orHarm(s.path)); err != nil {
		return err
	}
	if _, err := w.Write(copied); err != nil {
		return fmt.Errorf("write backup: %w", err)
	}
	return nil
}

// content is the file as it stands at one moment, whole or not.
func (s *Store) content() ([]byte, error) {
	var copied bytes.Buffer
	err := s.viewTx(func(tx *bolt.Tx) error {
		copied.Grow(int(tx.Size()))
		_, err := tx.WriteTo(&copied)
		return err
	})
	if err != nil {
		return nil, fmt.Errorf("read for a copy: %w", err)
	}
	return copied.Bytes(), nil
}

// view runs fn on the record as it stands.
func (s *Store) view(fn func(record) error) error {
	return s.viewTx(func(tx *bolt.Tx) error { return fn(s.recordAt(tx)) })
}

func (s *Store) viewTx(fn func(*bolt.Tx) error) (err error) {
	s.mu.RLock()
	defer s.mu.RUnlock()
	defer catchDamage(s.path, &err)()
	tx, err := s.begin(false)
	if err != nil {
		return err
	}
	defer func() { _ = tx.Rollback() }() // of a read: it lets go
	return fn(tx)
}

// update runs fn in a write transaction and commits it, or leaves the file as
// it was. A failed commit is an ErrSave, and so is a file that is gone from its
// folder.
func (s *Store) update(fn func(*change) error) error {
	if err := s.write(fn); err != nil {
		return err
	}
	return s.keepPlace()
}

func (s *Store) write(fn func(*change) error) (err error) {
	s.mu.RLock()
	defer s.mu.RUnlock()
	defer catchDamage(s.path, &err)()
	s.writing.Lock()
	defer s.writing.Unlock()
	tx, err := s.begin(true)
	if err != nil {
		return err
	}
	// After a commit this does nothing; after an error or a panic it gives
	// the write lock back.
	defer func() { _ = tx.Rollback() }()
	if err := fn(&change{s, tx, s.recordAt(tx)}); err != nil {
		return err
	}
	id := uint64(tx.ID())
	s.txid.Store(0)
	if err := s.commit(tx); err != nil {
		return saveError(s.path, err)
	}
	s.txid.Store(id)
	s.setMark()
	return nil
}

// closedOr turns bbolt's word for a closed file into ours.
func (s *Store) closedOr(err error) error {
	if errors.Is(err, berrors.ErrDatabaseNotOpen) {
		return &Error{Kind: ErrClosed, text: s.path + " is closed already", cause: err}
	}
	return err
}

// catchDamage is deferred as `defer catchDamage(path, &err)()` around every use
// of the file. A damaged page makes bbolt panic, and a page that the disk
// cannot deliver (a stick pulled out) faults in the memory map: both become an
// ErrDamaged, because a person in the middle of a wash day needs the program
// to go on.
func catchDamage(path string, err *error) func() {
	before := debug.SetPanicOnFault(true)
	return func() {
		debug.SetPanicOnFault(before)
		if r := recover(); r != nil {
			cause, ok := r.(error)
			if !ok {
				cause = fmt.Errorf("%v", r)
			}
			*err = damaged(path, "a part of it cannot be read", cause)
		}
	}
}
