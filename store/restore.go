package store

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"time"

	bolt "go.etcd.io/bbolt"
	berrors "go.etcd.io/bbolt/errors"
)

// replacedName begins the name of a record that a copy took the place of.
const replacedName = "tubside-replaced-"

// Restore puts the record in the file from in the place of the one at path, whatever
// state that is in, and returns the name under which that one is kept beside it; ""
// where there was none. Until the very last step, which is one, the old record has its
// place. A copy with a part that does not read is put back as it is.
//
// Errors: ErrInUse while a program has the record open, ErrDamaged or ErrNewer for the
// copy, ErrNotWritable.
func Restore(path, from string, now time.Time) (kept string, err error) {
	path, err = filepath.Abs(path)
	if err != nil {
		return "", notWritable(path, err)
	}
	if at, err := filepath.EvalSymlinks(path); err == nil {
		path = at
	}
	if sameFile(path, from) {
		return "", fmt.Errorf("%s is the record itself: name one of its copies", from)
	}
	if _, err := Examine(from); err != nil && !errors.Is(err, ErrUnreadable) {
		return "", err
	}
	whole, err := os.ReadFile(from)
	if err != nil {
		return "", notReadable(from, err)
	}
	dir := filepath.Dir(path)
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return "", notWritable(dir, err)
	}
	release, err := lockRecord(path)
	if err != nil {
		return "", err
	}
	defer func() { release() }()
	f, err := os.CreateTemp(dir, newFile+"*")
	if err != nil {
		return "", notWritable(dir, err)
	}
	tmp := f.Name()
	defer func() { _ = os.Remove(tmp) }()
	if err := errors.Join(f.Close(), writeSynced(tmp, whole), sameBytes(tmp, whole)); err != nil {
		return "", notWritable(tmp, err)
	}
	if kept, err = keepRecord(path, now); err != nil {
		return "", err
	}
	if runtime.GOOS == "windows" { // there an open file keeps its name
		release()
		release = func() {}
	}
	_ = os.Remove(markPath(path)) // it is of the record that goes
	if err := os.Rename(tmp, path); err != nil {
		return "", notWritable(path, err)
	}
	syncFolder(dir)
	return kept, nil
}

func sameFile(a, b string) bool {
	x, errX := os.Stat(a)
	y, errY := os.Stat(b)
	return errX == nil && errY == nil && os.SameFile(x, y)
}

// lockRecord keeps programs from opening the record. One that is damaged cannot be
// locked, but no program opens it; then it is only asked whether one still has it open.
func lockRecord(path string) (release func(), err error) {
	release = func() {}
	if _, err := os.Lstat(path); errors.Is(err, fs.ErrNotExist) {
		return release, nil
	}
	o, err := openFile(path)
	if err == nil {
		return func() { _ = o.db.Close() }, nil // nothing was written
	}
	if errors.Is(err, ErrInUse) {
		return nil, err
	}
	if err := inUseAtAll(path, lockWait); err != nil {
		return nil, err
	}
	return release, nil
}

// inUseAtAll asks for the lock alone, so long: what is in the file does not matter.
func inUseAtAll(path string, wait time.Duration) (err error) {
	var stops error // what bbolt makes of a damaged file
	defer func() {
		if errors.Is(stops, ErrDamaged) {
			err = nil
		}
	}()
	defer catchDamage(path, &stops)()
	db, err := bolt.Open(path, 0o600, &bolt.Options{ReadOnly: true, Timeout: wait})
	if err == nil {
		return db.Close()
	}
	if errors.Is(err, berrors.ErrTimeout) {
		return inUse(path, err)
	}
	return nil
}

// keepRecord gives the record at path one more name. Where the disk has no such names
// it is copied, and what cannot even be read is moved.
func keepRecord(path string, now time.Time) (kept string, err error) {
	dir := filepath.Dir(path)
	if _, err := os.Lstat(path); errors.Is(err, fs.ErrNotExist) {
		return "", nil
	}
	// A restore that was killed may have left the record with two names.
	left, _ := filepath.Glob(filepath.Join(dir, replacedName+"*"))
	for _, other := range left {
		if sameFile(path, other) {
			_ = os.Remove(other)
		}
	}
	for at := now.UTC(); ; at = at.Add(time.Second) {
		kept = filepath.Join(dir, replacedName+at.Format(copyMoment)+"-UTC.db")
		if _, err := os.Lstat(kept); err != nil {
			break
		}
	}
	if os.Link(path, kept) == nil {
		syncFolder(dir)
		return kept, nil
	}
	if b, err := os.ReadFile(path); err == nil {
		_, err = makeFile(kept, func(tmp string) error { return writeSynced(tmp, b) })
		return kept, err
	}
	if err := os.Rename(path, kept); err != nil {
		return "", notWritable(path, err)
	}
	return kept, nil
}
