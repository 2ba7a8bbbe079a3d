package store

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"

	bolt "go.etcd.io/bbolt"
	berrors "go.etcd.io/bbolt/errors"

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

// openToRead opens a file that looks sound for reading alone.
func openToRead(path string) (o opened, err error) {
	defer catchDamage(path, &err)()
	o.db, err = bolt.Open(path, 0o600, &bolt.Options{
		ReadOnly: true,
		Timeout:  lockWait,
		OpenFile: func(name string, _ int, _ fs.FileMode) (*os.File, error) {
			f, err := openRegular(name)
			if err != nil {
				return nil, err
			}
			if err := checkTwice(path, f); err != nil {
				_ = f.Close() // only read
				return nil, err
			}
			o.file = f
			return f, nil
		},
	})
	var ours *Error
	switch {
	case err == nil || errors.As(err, &ours):
		return o, err
	case errors.Is(err, berrors.ErrTimeout):
		return o, inUse(path, err)
	case errors.Is(err, fs.ErrNotExist), errors.Is(err, fs.ErrPermission):
		return o, notReadable(path, err)
	}
	return o, damaged(path, "its first page does not read", err)
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
	o, err := openToRead(at)
	if err != nil {
		return nil, err
	}
	s := &Store{db: o.db, path: path, place: place{at: at}, held: held{file: o.file}, commit: (*bolt.Tx).Commit}
	err = s.view(func(r record) error {
		version, err := r.layout()
		s.summed = version >= summedLayout
		r.summed = s.summed
		switch known := uint64(len(migrations)); {
		case err != nil:
			return damaged(path, "it was made by another program", err)
		case version > known:
			return newer(path, version, known)
		}
		return haveParts(path, r)
	})
	if err != nil {
		_ = s.Close() // only read
		return nil, err
	}
	return s, nil
}
