package store

import (
	"bytes"
	"encoding/binary"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"time"
)

// Of the file's two heads bbolt takes the newer that is sound: with that one damaged it
// goes on, without a word, from the save before. So the newest head is also written
// beside the record after each save, with the moment. It is not synced: after a power
// cut it may be behind, never ahead.
type mark struct {
	head []byte // as it lies behind the page's own head
	txid uint64
	at   time.Time
}

const (
	markBegins = "tubside head "
	metaKind   = 0x04 // of a page that is a head
)

// markPath is the file beside the record at path that has its mark; beside the file itself where
// path is a link to it.
func markPath(path string) string {
	if at, err := filepath.EvalSymlinks(path); err == nil {
		path = at
	}
	return strings.TrimSuffix(path, filepath.Ext(path)) + ".head"
}

// setMark writes the mark after a save. Without one less is noticed, nothing is lost.
func (s *Store) setMark() {
	if strings.HasPrefix(filepath.Base(s.place.at), newFile) {
		return // it has no name of its own yet
	}
	at, h, err := newestHead(s.file)
	if err != nil {
		return
	}
	var head [headerSize - headerAt]byte
	if _, err := s.file.ReadAt(head[:], at+headerAt); err != nil || h.txid != s.txid.Load() {
		return
	}
	f, err := os.OpenFile(markPath(s.place.at), os.O_WRONLY|os.O_CREATE, 0o600)
	if err != nil {
		return
	}
	_, _ = fmt.Fprintf(f, "%s%x %s\n", markBegins, head, time.Now().UTC().Format(time.RFC3339))
	_ = f.Close()
}

// newestHead is where the newest header lies that is sound, and what it says.
func newestHead(r io.ReaderAt) (at int64, h header, err error) {
	if h, err = newestHeader(r); err != nil {
		return 0, h, err
	}
	if first, err := readHeader(r, 0); err == nil && first.txid == h.txid {
		return 0, h, nil
	}
	return int64(h.pageSize), h, nil
}

// readMark is the mark of the record at path; ok is false where there is none.
func readMark(path string) (m mark, ok bool) {
	f, err := os.Open(markPath(path))
	if err != nil {
		return m, false
	}
	defer func() { _ = f.Close() }() // only read
	b, err := io.ReadAll(io.LimitReader(f, 1<<10))
	rest, ours := strings.CutPrefix(string(b), markBegins)
	head, moment, both := strings.Cut(strings.TrimSpace(rest), " ")
	if err != nil || !ours || !both {
		return m, false
	}
	if m.head, err = hex.DecodeString(head); err != nil || len(m.head) != headerSize-headerAt {
		return m, false
	}
	h, err := readHeader(bytes.NewReader(m.page(0)), 0)
	if err != nil {
		return m, false
	}
	m.txid = h.txid
	m.at, err = time.Parse(time.RFC3339, moment)
	return m, err == nil
}

// page is the mark's head as it lies in the file, from the start of its page.
func (m mark) page(number uint64) []byte {
	b := make([]byte, headerAt, headerSize)
	order := binary.NativeEndian
	order.PutUint64(b, number)
	order.PutUint16(b[8:], metaKind)
	return append(b, m.head...)
}

// lostHead says that a record holds less than was saved last.
type lostHead struct {
	mark     mark
	pageSize uint32
	damaged  bool // its head is there and does not read: what it leads to may be whole
	at       time.Time
}

// findLost compares the record in f with its mark, and where a head is damaged and there
// is no mark, with its newest copy; ok is false if it is as new as it should be.
func findLost(path string, f io.ReaderAt) (l lostHead, ok bool) {
	m, marked := readMark(path) // before the file: a program may be saving
	h, err := newestHeader(f)
	if err != nil {
		return l, false // said otherwise
	}
	l.pageSize = h.pageSize
	_, first := readHeader(f, 0)
	_, second := readHeader(f, int64(h.pageSize))
	if marked {
		l.mark, l.at = m, m.at
		l.damaged = m.txid == h.txid+1 && (m.txid%2 == 0 && first != nil || m.txid%2 == 1 && second != nil)
		return l, m.txid > h.txid
	}
	if first == nil && second == nil {
		return l, false
	}
	all, err := Copies(CopiesFolder(path))
	if err != nil || len(all) == 0 || StateOf(all[0].Path) <= h.txid {
		return l, false
	}
	l.at = all[0].At
	return l, true
}

func (l lostHead) text(path string) string {
	k, _, _ := PeekKit(path)
	return fmt.Sprintf("%s holds less than was saved here last, %s: if you did not put an older file there yourself, `tubside restore` shows the copies", path, k.Units.Moment(l.at.Local(), "2 January 2006 at 15:04"))
}

// Behind says that the record at path holds less than was saved there last, because a
// head of the file is damaged or an older file lies there; "" if it does not.
func Behind(path string) string {
	f, err := openRegular(path)
	if err != nil {
		return ""
	}
	defer func() { _ = f.Close() }() // only read
	l, lost := findLost(path, f)
	switch {
	case !lost:
		return ""
	case l.damaged && l.leadsToAll(path):
		return "the newer of the file's two heads is damaged, and the last save with it: start tubside, which puts it right with nothing lost"
	}
	return l.text(path)
}

// mendHead looks for a lost head of the file just opened, locked. It puts the head back
// where all is whole with it, and tells what happened.
func mendHead(path string, o opened) (now opened, told string, err error) {
	l, lost := findLost(path, o.file)
	if !lost {
		return o, "", nil
	}
	if !l.damaged || !l.leadsToAll(path) {
		return o, l.text(path), nil
	}
	number := l.mark.txid % 2
	_, err = o.file.WriteAt(l.mark.page(number), int64(number)*int64(l.pageSize))
	if err = errors.Join(err, o.file.Sync(), o.db.Close()); err != nil {
		return o, "", notWritable(path, err)
	}
	if o, err = openFile(path); err != nil {
		return o, "", err
	}
	return o, fmt.Sprintf("the newer of the two heads of %s was damaged, and the last save with it: it was put back from %s, and nothing is lost", path, markPath(path)), nil
}

// leadsToAll says whether all is whole with the mark's head in its place.
func (l lostHead) leadsToAll(path string) bool {
	b, err := os.ReadFile(path)
	number := l.mark.txid % 2
	at := int64(number) * int64(l.pageSize)
	if err != nil || int64(len(b)) < at+headerSize {
		return false
	}
	copy(b[at:], l.mark.page(number))
	h, err := newestHeader(bytes.NewReader(b))
	if err != nil || h.txid != l.mark.txid {
		return false
	}
	rep, err := checkContent(path, b, h, false)
	return err == nil && rep.Whole()
}
