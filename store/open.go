package store

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"time"

	bolt "go.etcd.io/bbolt"
	berrors "go.etcd.io/bbolt/errors"
)

// lockWait is how long Open waits for another window to let go of the file;
// long enough for one that is just closing.
const lockWait = 500 * time.Millisecond

// lookAgain is how long Open waits before it looks a second time at a file
// that seemed damaged; longer than one write takes.
const lookAgain = 30 * time.Millisecond

// Open opens the tubside file at path, and makes it and its folders if there
// is none. A file that is there already is written to only when it is a sound
// tubside file; anything else is left byte for byte as it was.
//
// Errors: ErrInUse, ErrNotWritable, ErrDamaged, ErrNewer; each is an *Error.
func Open(path string) (*Store, error) { return open(path, migrations) }

// open is Open with the migrations as an argument, so that a test can bring a
// later schema.
func open(path string, steps []migration) (*Store, error) {
	path, err := filepath.Abs(path)
	if err != nil {
		return nil, notWritable(path, err)
	}
	if _, err := os.Stat(path); errors.Is(err, fs.ErrNotExist) {
		if _, err := create(path, steps, nil); err != nil {
			return nil, err
		}
	}
	sweepNew(filepath.Dir(path))
	return openAs(path, path, steps)
}

// openAs opens the file at a place that is, or will be, found at path.
func openAs(at, path string, steps []migration) (*Store, error) {
	o, err := openFile(at)
	if err != nil {
		return nil, err
	}
	o, told, err := mendHead(at, o)
	if err != nil {
		return nil, err
	}
	s := &Store{db: o.db, path: path, place: place{at: at, info: o.info}, held: held{file: o.file}, commit: (*bolt.Tx).Commit}
	s.txid.Store(o.txid)
	s.news.tell(told, path)
	if err := s.migrate(steps); err != nil {
		_ = s.Close()
		return nil, err
	}
	return s, nil
}

// create makes a new file beside path and gives it its name only when it is
// whole. So an empty or half-made file under that name is never one of ours,
// and a power cut during the first start leaves none behind. with, if not nil, puts
// something into it before. made is false if another window was first.
func create(path string, steps []migration, with func(*Store) error) (made bool, err error) {
	made, err = makeFile(path, func(tmp string) error {
		db, err := bolt.Open(tmp, 0o600, &bolt.Options{Timeout: lockWait})
		if err != nil {
			return err
		}
		err = db.Update(func(tx *bolt.Tx) error { return runMigrations(tx, 0, steps) })
		if err = errors.Join(err, db.Close()); err != nil || with == nil {
			return err
		}
		s, err := openAs(tmp, path, steps)
		if err != nil {
			return err
		}
		err = with(s)
		if closeErr := s.Close(); err == nil {
			err = closeErr
		}
		return err
	})
	if made && with != nil {
		_ = os.Remove(markPath(path)) // of a record that was here before
	}
	return made, err
}

// makeFile gives path to what fill has put into an empty file beside it. A file
// that has the name already stays; then made is false.
func makeFile(path string, fill func(tmp string) error) (made bool, err error) {
	dir := filepath.Dir(path)
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return false, notWritable(dir, err)
	}
	f, err := os.CreateTemp(dir, newFile+"*")
	if err != nil {
		return false, notWritable(dir, err)
	}
	tmp := f.Name()
	defer func() { _ = os.Remove(tmp) }()
	if err := f.Close(); err != nil {
		return false, notWritable(path, err)
	}
	if err := fill(tmp); err != nil {
		if ours := (*Error)(nil); errors.As(err, &ours) { // it says for itself what is wrong
			return false, err
		}
		return false, notWritable(path, err)
	}
	// A link, unlike a rename, does not replace a file that another window has
	// made in the meantime. Some file systems have none.
	err = os.Link(tmp, path)
	if err != nil && !errors.Is(err, fs.ErrExist) {
		if _, there := os.Lstat(path); errors.Is(there, fs.ErrNotExist) {
			err = os.Rename(tmp, path)
		}
	}
	if err != nil && !errors.Is(err, fs.ErrExist) {
		return false, notWritable(path, err)
	}
	syncFolder(dir)
	return err == nil, nil
}

// syncFolder makes a new name in dir last through a power cut, where the
// system lets a folder be synced.
func syncFolder(dir string) {
	if d, err := os.Open(dir); err == nil {
		_ = d.Sync()
		_ = d.Close()
	}
}

// opened is a file with its lock.
type opened struct {
	db   *bolt.DB
	file *os.File
	info fs.FileInfo
	txid uint64
}

// openFile opens a file that exists and looks sound.
func openFile(path string) (opened, error) { return openLocked(path, false) }

// openLocked opens it for writing too, or for reading alone.
func openLocked(path string, toRead bool) (o opened, err error) {
	defer catchDamage(path, &err)()
	o.db, err = bolt.Open(path, 0o600, &bolt.Options{
		ReadOnly: toRead,
		Timeout:  lockWait,
		OpenFile: func(name string, flag int, mode os.FileMode) (f *os.File, err error) {
			if toRead {
				f, err = openRegular(name)
			} else {
				f, err = os.OpenFile(name, flag&^os.O_CREATE, mode)
			}
			if err != nil {
				return nil, err
			}
			// bbolt maps the file into memory and trusts what it says there,
			// and it fills an empty file: look first.
			if err := checkTwice(path, f); err != nil {
				_ = f.Close()
				return nil, err
			}
			if o.file == nil {
				o.file = f
				o.info, err = f.Stat()
			}
			return f, err
		},
	})
	var ours *Error
	switch {
	case err == nil:
		h, err := newestHeader(o.file) // with the lock taken
		if err != nil {
			return o, errors.Join(damaged(path, "its first page does not read", err), o.db.Close())
		}
		o.txid = h.txid
		return o, nil
	case errors.As(err, &ours):
		return o, err
	case errors.Is(err, berrors.ErrTimeout):
		return o, inUse(path, err)
	case toRead && (errors.Is(err, fs.ErrNotExist) || errors.Is(err, fs.ErrPermission)):
		return o, notReadable(path, err)
	case toRead, errors.Is(err, berrors.ErrInvalid), errors.Is(err, berrors.ErrChecksum), errors.Is(err, berrors.ErrVersionMismatch):
		return o, damaged(path, "its first page does not read", err)
	}
	if found, statErr := os.Stat(path); statErr == nil && found.IsDir() {
		return o, isFolder(path, err)
	}
	return o, notWritable(path, err)
}

func isFolder(path string, cause error) error {
	return damaged(path, "there is a folder of that name", cause)
}

func notAFile(path string) error {
	return damaged(path, "it is not a file that keeps what is written", nil)
}

// checkTwice looks again after a moment before it calls a file damaged: the
// lock is not taken yet, and another window may be writing while we look.
func checkTwice(path string, f *os.File) error {
	err := checkFile(path, f)
	if err != nil {
		time.Sleep(lookAgain)
		err = checkFile(path, f)
	}
	return err
}
