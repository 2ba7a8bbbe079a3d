package store

import (
	"errors"
	"io"
	"os"
	"path/filepath"
	"time"
)

// What is made for a moment: a file that is to get another's name, the folder of a
// record that is thrown away. Both are taken away by who made them, unless that was killed.
const (
	newFile   = ".tubside-new-"
	throwaway = "tubside-rehearsal-"
)

// leftAfter is how long what was just made is left alone: it may not be locked yet.
const leftAfter = 10 * time.Minute

// OpenThrowaway opens a new record in a folder of its own; done closes it and takes the
// folder away.
//
// Errors: those of Open.
func OpenThrowaway() (s *Store, done func() error, err error) {
	SweepThrowaways()
	return inThrowaway(Open)
}

// inThrowaway opens a record in a new folder; done closes it and takes the folder away.
func inThrowaway(open func(at string) (*Store, error)) (s *Store, done func() error, err error) {
	dir, err := os.MkdirTemp("", throwaway+"*")
	if err != nil {
		return nil, nil, notWritable(os.TempDir(), err)
	}
	if s, err = open(filepath.Join(dir, throwawayName)); err != nil {
		return nil, nil, errors.Join(err, os.RemoveAll(dir))
	}
	return s, func() error { return errors.Join(s.Close(), os.RemoveAll(dir)) }, nil
}

// PeekCopy is Peek of a copy of the record at path, which write writes; done closes it and
// takes it away.
//
// Errors: those of Peek and of write.
func PeekCopy(path string, write func(io.Writer) error) (s *Store, done func() error, err error) {
	return inThrowaway(func(at string) (*Store, error) {
		f, err := os.OpenFile(at, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
		if err == nil {
			err = errors.Join(write(f), f.Close())
		}
		if err != nil {
			return nil, err
		}
		return peekAs(at, path)
	})
}

const throwawayName = "tubside.db"

// SweepThrowaways takes away the records to throw away that no program holds any more.
func SweepThrowaways() {
	for _, dir := range left(os.TempDir(), throwaway) {
		if info, err := os.Lstat(dir); err == nil && info.IsDir() && !openElsewhere(filepath.Join(dir, throwawayName)) {
			_ = os.RemoveAll(dir) // another user's stays
		}
	}
}

// sweepNew takes away the half-made files of a folder that no program holds any more.
func sweepNew(folder string) {
	for _, path := range left(folder, newFile) {
		if info, err := os.Lstat(path); err == nil && info.Mode().IsRegular() && !openElsewhere(path) {
			_ = os.Remove(path)
		}
	}
}

// left is what of a kind has lain in a folder for a while.
func left(folder, begins string) []string {
	var out []string
	all, _ := os.ReadDir(folder) // one that cannot be listed has nothing to take away
	for _, e := range all {
		if len(e.Name()) <= len(begins) || e.Name()[:len(begins)] != begins {
			continue
		}
		if info, err := e.Info(); err == nil && time.Since(info.ModTime()) > leftAfter {
			out = append(out, filepath.Join(folder, e.Name()))
		}
	}
	return out
}

// openElsewhere says that a program has the file open as a record.
func openElsewhere(path string) bool {
	info, err := os.Lstat(path)
	return err == nil && info.Mode().IsRegular() && errors.Is(inUseAtAll(path, time.Nanosecond), ErrInUse)
}
