package store

import (
	"encoding/binary"
	"errors"
	"fmt"
	"hash/fnv"
	"io"
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
		if err := create(path, steps); err != nil {
			return nil, err
		}
	}
	db, err := openFile(path)
	if err != nil {
		return nil, err
	}
	s := &Store{db: db, path: path, commit: (*bolt.Tx).Commit}
	if err := s.migrate(steps); err != nil {
		_ = db.Close()
		return nil, err
	}
	return s, nil
}

// create makes a new file beside path and gives it its name only when it is
// whole. So an empty or half-made file under that name is never one of ours,
// and a power cut during the first start leaves none behind.
func create(path string, steps []migration) error {
	dir := filepath.Dir(path)
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return notWritable(dir, err)
	}
	f, err := os.CreateTemp(dir, ".tubside-new-*")
	if err != nil {
		return notWritable(dir, err)
	}
	tmp := f.Name()
	defer func() { _ = os.Remove(tmp) }()
	if err := f.Close(); err != nil {
		return notWritable(path, err)
	}
	db, err := bolt.Open(tmp, 0o600, &bolt.Options{Timeout: lockWait})
	if err != nil {
		return notWritable(path, err)
	}
	err = db.Update(func(tx *bolt.Tx) error { return runMigrations(tx, 0, steps) })
	if err := errors.Join(err, db.Close()); err != nil {
		return notWritable(path, err)
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
		return notWritable(path, err)
	}
	syncFolder(dir)
	return nil
}

// syncFolder makes a new name in dir last through a power cut, where the
// system lets a folder be synced.
func syncFolder(dir string) {
	if d, err := os.Open(dir); err == nil {
		_ = d.Sync()
		_ = d.Close()
	}
}

// openFile opens a file that exists and looks sound.
func openFile(path string) (db *bolt.DB, err error) {
	var file *os.File
	defer func() {
		if err != nil && file != nil {
			// bbolt closes the file itself, except when a damaged page made it
			// panic; then the lock would stay until the program ends.
			_ = 0
		}
	}()
	defer catchDamage(path, &err)()
	db, err = bolt.Open(path, 0o600, &bolt.Options{
		Timeout: lockWait,
		OpenFile: func(name string, flag int, mode os.FileMode) (*os.File, error) {
			f, err := os.OpenFile(name, flag&^os.O_CREATE, mode)
			if err != nil {
				return nil, err
			}
			// bbolt maps the file into memory and trusts what it says there,
			// and it fills an empty file: look first.
			if err := checkFile(path, f); err != nil {
				_ = f.Close()
				return nil, err
			}
			file = f
			return f, nil
		},
	})
	var ours *Error
	switch {
	case err == nil:
		return db, nil
	case errors.As(err, &ours):
		return nil, err
	case errors.Is(err, berrors.ErrTimeout):
		return nil, inUse(path, err)
	case errors.Is(err, berrors.ErrInvalid), errors.Is(err, berrors.ErrChecksum), errors.Is(err, berrors.ErrVersionMismatch):
		return nil, damaged(path, "its first page does not read", err)
	}
	if info, statErr := os.Stat(path); statErr == nil && info.IsDir() {
		return nil, isFolder(path, err)
	}
	return nil, notWritable(path, err)
}

func isFolder(path string, cause error) error {
	return damaged(path, "there is a folder of that name", cause)
}

// checkFile says whether f can be a whole bbolt file, without changing it.
func checkFile(path string, f *os.File) error {
	info, err := f.Stat()
	switch {
	case err != nil:
		return err
	case info.IsDir():
		return isFolder(path, nil)
	case !info.Mode().IsRegular():
		return damaged(path, "it is not a file that keeps what is written", nil)
	case info.Size() == 0:
		return damaged(path, "it is empty", nil)
	}
	h, err := newestHeader(f)
	if err != nil {
		return damaged(path, "its first page does not read", err)
	}
	// Asked again after the header, because another window may just be making
	// the file longer.
	if info, err = f.Stat(); err != nil {
		return err
	}
	pages := uint64(info.Size()) / uint64(h.pageSize)
	if h.pages > pages {
		return damaged(path, "its end is missing", fmt.Errorf("it has %d pages of %d", pages, h.pages))
	}
	if h.freelist >= h.pages {
		return damaged(path, "it was made by another program", errors.New("free pages are not kept in it"))
	}
	return nil
}

// header is what the first two pages of a bbolt file say about the rest.
type header struct {
	pageSize uint32
	freelist uint64 // page of the list of free pages
	pages    uint64 // pages in use, counted from the start of the file
	txid     uint64
}

// newestHeader reads both headers and returns the newer of the sound ones. It
// finds the second without the first by trying every page size, as bbolt does.
func newestHeader(r io.ReaderAt) (header, error) {
	best, err := readHeader(r, 0)
	if err == nil {
		if second, err2 := readHeader(r, int64(best.pageSize)); err2 == nil && second.txid > best.txid {
			best = second
		}
		return best, nil
	}
	for at := int64(1 << 10); at <= 1<<24; at <<= 1 {
		if h, err2 := readHeader(r, at); err2 == nil && int64(h.pageSize) == at {
			return h, nil
		}
	}
	return header{}, err
}

// The layout of a header page, in bytes: 16 for the page, then the header
// proper, closed by a checksum over it.
const (
	headerAt    = 16
	checksumAt  = headerAt + 56
	headerSize  = checksumAt + 8
	headerMagic = 0xED0CDAED
)

func readHeader(r io.ReaderAt, at int64) (header, error) {
	var b [headerSize]byte
	if _, err := r.ReadAt(b[:], at); err != nil {
		return header{}, fmt.Errorf("read header at %d: %w", at, err)
	}
	// The file has the byte order of the machine it is written on.
	order := binary.NativeEndian
	if order.Uint32(b[headerAt:]) != headerMagic {
		return header{}, fmt.Errorf("no header at %d", at)
	}
	sum := fnv.New64a()
	_, _ = sum.Write(b[headerAt:checksumAt])
	if sum.Sum64() != order.Uint64(b[checksumAt:]) {
		return header{}, fmt.Errorf("wrong checksum of the header at %d", at)
	}
	h := header{
		pageSize: order.Uint32(b[headerAt+8:]),
		freelist: order.Uint64(b[headerAt+32:]),
		pages:    order.Uint64(b[headerAt+40:]),
		txid:     order.Uint64(b[headerAt+48:]),
	}
	if h.pageSize == 0 {
		return header{}, fmt.Errorf("no page size in the header at %d", at)
	}
	return h, nil
}
