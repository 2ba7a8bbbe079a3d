package store

import (
	"bytes"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"time"
)

// place is the file that is open, and where it should be found. A sync program, a
// tidying hand or a moved folder can take it away from there while it is open: then
// what is saved would be gone with the last program that has it open.
type place struct {
	at   string      // where it lies now; Store.path if nothing happened
	info fs.FileInfo // of the file that is open
}

// news is what happened to the file, for the person. It has a lock of its own: who asks
// waits for no reading or writing.
type news struct {
	mu        sync.Mutex
	told      string // "" once it was asked for
	toldWhere string
}

func (n *news) tell(text, where string) {
	n.mu.Lock()
	defer n.mu.Unlock()
	n.told, n.toldWhere = text, where
}

// inPlace says whether the open file still has its name; other is whether some
// other file has it.
func (p place) inPlace() (ok, other bool) {
	found, err := os.Stat(p.at)
	if err != nil {
		return false, false
	}
	return os.SameFile(found, p.info), true
}

// keepPlace looks after a save whether the file that is open still has its name.
// If not, all of it is written back there, or beside it where some other file has
// taken the name, and goes on from there, locked like the first.
//
// Errors: ErrSave if it cannot be written back; the next save tries again.
func (s *Store) keepPlace() error {
	s.mu.RLock()
	ok, _ := s.place.inPlace()
	s.mu.RUnlock()
	if ok {
		return nil
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	ok, other := s.place.inPlace()
	if ok {
		return nil
	}
	to, told := s.place.at, fmt.Sprintf("%s was gone from its folder: it was written back there, with all of it", s.place.at)
	if other {
		to = beside(s.place.at, time.Now)
		told = fmt.Sprintf("another file took the place of %s: what this window saves is in %s now. Keep both; end this day before you put one in the place of the other", s.place.at, to)
	}
	if err := s.moveTo(to); err != nil {
		return &Error{Kind: ErrSave, cause: err,
			text: fmt.Sprintf("not saved: %s is gone from its folder and cannot be written back (%s): bring the folder or the drive back, then it is tried again", s.place.at, reason(err))}
	}
	s.news.tell(told, to)
	return nil
}

// beside is a free name in the same folder.
func beside(path string, now func() time.Time) string {
	ext := filepath.Ext(path)
	name := strings.TrimSuffix(path, ext) + "-" + now().UTC().Format("2006-01-02-150405")
	to := name + ext
	for n := 2; ; n++ {
		if _, err := os.Lstat(to); err != nil {
			return to
		}
		to = fmt.Sprintf("%s-%d%s", name, n, ext)
	}
}

// moveTo writes the open file to another name and goes on with that one.
func (s *Store) moveTo(path string) error {
	var whole bytes.Buffer
	tx, err := s.begin(false)
	if err != nil {
		return err
	}
	_, err = tx.WriteTo(&whole)
	if _ = tx.Rollback(); err != nil {
		return err
	}
	if _, err := makeFile(path, func(tmp string) error { return writeSynced(tmp, whole.Bytes()) }); err != nil {
		return err
	}
	o, err := openFile(path)
	if err != nil {
		return err
	}
	_ = s.db.Close()
	s.db, s.file, s.place.at, s.place.info = o.db, o.file, path, o.info
	s.txid.Store(o.txid)
	return nil
}

func writeSynced(path string, b []byte) error {
	f, err := os.OpenFile(path, os.O_WRONLY|os.O_TRUNC, 0o600)
	if err != nil {
		return err
	}
	_, err = f.Write(b)
	if err == nil {
		err = f.Sync()
	}
	if closeErr := f.Close(); err == nil {
		err = closeErr
	}
	return err
}

// Told is what happened to the file since it was last asked, and what of it was set
// aside because it does not read, in sentences for the person; "" if nothing. And where
// the file is now.
func (s *Store) Told() (told, where string) {
	s.news.mu.Lock()
	told, where = s.news.told, s.news.toldWhere
	s.news.told = ""
	s.news.mu.Unlock()
	if where == "" { // nothing happened to its place
		where = s.path
	}
	if harm := s.unsaid(); told == "" {
		told = harm
	} else if harm != "" {
		told += ". And " + harm
	}
	return told, where
}
