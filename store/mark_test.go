package store

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"fleece.example/tubside/session/must"
)

// twoSaves is a closed record whose second save has events 4 to 9, and a copy of the
// whole first.
func twoSaves(t *testing.T) (path string) {
	t.Helper()
	path = filepath.Join(t.TempDir(), "wash.db")
	s := must.Get(Open(path)).In(t)
	id := startDay(t, s, 3)
	must.Do(t, s.Append(id, notes(4, 9), running(id)))
	checkAndClose(t, s)
	return path
}

// harmNewest writes over the newer head of the file.
func harmNewest(t *testing.T, path string, from int64, with []byte) {
	t.Helper()
	f := must.Get(os.OpenFile(path, os.O_RDWR, 0)).In(t)
	at, _, err := newestHead(f)
	if err == nil {
		_, err = f.WriteAt(with, at+from)
	}
	if err != nil || f.Close() != nil {
		t.Fatal(err)
	}
}

func wantTold(t *testing.T, s *Store, parts ...string) {
	t.Helper()
	told, where := s.Told()
	for _, p := range parts {
		if !strings.Contains(told, p) || where != s.Path() {
			t.Errorf("told %q, want %q", told, p)
		}
	}
	if len(parts) == 0 && told != "" {
		t.Errorf("told %q", told)
	}
}

// The newer head is lost: what it led to is all there, and comes back.
func TestLostHeadIsPutBack(t *testing.T) {
	for name, with := range map[string][]byte{"zeros": make([]byte, 4096), "noise": bytes.Repeat([]byte{0xa5}, 4096), "a bit": nil} {
		t.Run(name, func(t *testing.T) {
			path := twoSaves(t)
			if with == nil {
				f := must.Get(os.Open(path)).In(t)
				at, _, err := newestHead(f)
				b := mustRead(t, path)[at:][:headerSize]
				if err != nil || f.Close() != nil {
					t.Fatal(err)
				}
				b[headerAt+20] ^= 4
				with = b
			}
			harmNewest(t, path, 0, with)
			if told := Behind(path); !strings.Contains(told, "start tubside") {
				t.Errorf("told %q", told)
			}
			s := reopen(t, path)
			wantTold(t, s, "was damaged", "nothing is lost")
			wantEvents(t, s, 1, notes(1, 9))
			must.Do(t, s.Append(1, notes(10, 10), running(1)))
			wantTold(t, s)
			checkAndClose(t, s)
			if told := Behind(path); told != "" {
				t.Errorf("told again: %s", told)
			}
			again := reopen(t, path)
			wantTold(t, again)
			wantEvents(t, again, 1, notes(1, 10))
		})
	}
}

// The head is lost and so is a page that it led to: the state before is told as that.
func TestLostHeadWithMore(t *testing.T) {
	path := twoSaves(t)
	m, ok := readMark(path)
	if !ok {
		t.Fatal("no mark")
	}
	f := must.Get(os.OpenFile(path, os.O_RDWR, 0)).In(t)
	root := int64(m.head[16]) | int64(m.head[17])<<8 // of a small file, low byte first
	if _, err := f.WriteAt(make([]byte, 4096), root*int64(os.Getpagesize())); err != nil || f.Close() != nil {
		t.Fatal(err)
	}
	harmNewest(t, path, headerAt, make([]byte, 60)) // bbolt itself wants the page's number
	s := reopen(t, path)
	wantTold(t, s, "holds less than was saved here last", "tubside restore")
	wantEvents(t, s, 1, notes(1, 3))
}

// An older file in the record's place, a new one where it was removed, and a damaged
// head without a mark but with a newer copy: each is told; what was restored is not.
func TestOlderRecordIsTold(t *testing.T) {
	older, _ := copyOf(t, 3)
	for name, change := range map[string]func(path string) error{
		"an older file": func(path string) error { return os.WriteFile(path, mustRead(t, older), 0o600) },
		"removed":       os.Remove,
	} {
		t.Run(name, func(t *testing.T) {
			path := twoSaves(t)
			must.Do(t, change(path))
			s := reopen(t, path)
			wantTold(t, s, "holds less than was saved here last, "+time.Now().Format("2 January 2006"))
		})
	}
	t.Run("no mark, a copy", func(t *testing.T) {
		path := twoSaves(t)
		s := reopen(t, path)
		must.Get(s.CopyInto(CopiesFolder(path), morning)).In(t)
		checkAndClose(t, s)
		must.Do(t, os.Remove(markPath(path)))
		if told := Behind(path); told != "" {
			t.Errorf("told %q", told)
		}
		harmNewest(t, path, headerAt, make([]byte, 60)) // bbolt itself wants the page's number
		wantTold(t, reopen(t, path), "holds less than was saved here last, 13 June 2026")
	})
	t.Run("restored", func(t *testing.T) {
		path := twoSaves(t)
		must.Get(Restore(path, older, morning)).In(t)
		wantTold(t, reopen(t, path))
	})
	t.Run("no mark and no copy", func(t *testing.T) {
		path := twoSaves(t)
		must.Do(t, os.Remove(markPath(path)))
		harmNewest(t, path, headerAt, make([]byte, 60)) // bbolt itself wants the page's number
		wantTold(t, reopen(t, path))
	})
}

// A mark that does not read is none.
func TestMarkDoesNotRead(t *testing.T) {
	path := twoSaves(t)
	whole := mustRead(t, markPath(path))
	if _, ok := readMark(path); !ok {
		t.Fatal("no mark")
	}
	for n := range whole[:len(whole)-1] {
		must.Do(t, os.WriteFile(markPath(path), whole[:n], 0o600))
		if _, ok := readMark(path); ok {
			t.Errorf("read at %d of %d bytes", n, len(whole))
		}
		b := bytes.Clone(whole)
		b[n] = 'g'
		must.Do(t, os.WriteFile(markPath(path), b, 0o600))
		if _, ok := readMark(path); ok {
			t.Errorf("read with letter %d changed", n)
		}
	}
}
