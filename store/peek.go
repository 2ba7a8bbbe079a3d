package store

import (
	"path/filepath"

	bolt "go.etcd.io/bbolt"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/shed"
)

// PeekKit is the kit in the file at path, and how alarms reach the person, for whoever can do without: the file is
// read as it lies there, nothing is made, migrated or waited for. ok is false where
// there is none to be had: no file, or another kind of file.
func PeekKit(path string) (k shed.Kit, a session.AlarmSettings, ok bool) {
	f, err := openRegular(path)
	if err != nil {
		return k, a, false
	}
	defer func() { _ = f.Close() }() // only read
	if checkFile(path, f) != nil {
		return k, a, false
	}
	h, err := newestHeader(f)
	if err != nil {
		return k, a, false
	}
	r := recordIn(f, h)
	if k, ok, err = r.kit(); err == nil {
		a, _ = r.alarms() // none, where they do not read
	}
	return k, a, ok && err == nil
}

// Peek opens a record for reading alone: what would write fails. Nothing is made or
// migrated.
//
// Errors: ErrInUse, ErrNotWritable where it cannot be read, ErrDamaged, ErrNewer.
func Peek(path string) (*Store, error) {
	path, err := filepath.Abs(path)
	if err != nil {
		return nil, err
	}
	return peekAs(path, path)
}

// peekAs is Peek of a file at a place that speaks of itself as the one at path.
func peekAs(at, path string) (*Store, error) {
	o, err := openLocked(at, true)
	if err != nil {
		return nil, err
	}
	s := &Store{db: o.db, path: path, place: place{at: at}, held: held{file: o.file}, commit: (*bolt.Tx).Commit}
	if _, err := s.hasLayout(uint64(len(migrations)), true); err != nil {
		_ = s.Close() // only read
		return nil, err
	}
	return s, nil
}
