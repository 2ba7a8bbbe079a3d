package store

import (
	"errors"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"

	"fleece.example/tubside/session/must"
	"fleece.example/tubside/session/shed"
)

// A file that loses its name while it is open: a sync program, a tidying hand, a
// folder that is moved. What is saved afterwards is found again where it was told.
func TestFileLosesItsPlace(t *testing.T) {
	t.Parallel()
	if runtime.GOOS == "windows" {
		t.Skip("there an open file keeps its name")
	}
	for _, c := range []struct {
		name  string
		lose  func(t *testing.T, path string) error
		moved bool // it goes on under another name
		says  string
	}{
		{"removed", func(_ *testing.T, path string) error { return os.Remove(path) }, false, "was gone from its folder: it was written back there"},
		{"its folder moved", func(_ *testing.T, path string) error {
			dir := filepath.Dir(path)
			return os.Rename(dir, dir+"-elsewhere")
		}, false, "written back there"},
		{"renamed", func(_ *testing.T, path string) error { return os.Rename(path, path+".old") }, false, "written back there"},
		{"replaced by a copy of yesterday's", func(t *testing.T, path string) error {
			old := filepath.Join(t.TempDir(), "old.db")
			s, err := Open(old)
			if err != nil {
				return err
			}
			if err := s.Close(); err != nil {
				return err
			}
			return os.Rename(old, path)
		}, true, "another file took the place of"},
	} {
		t.Run(c.name, func(t *testing.T) {
			path := filepath.Join(t.TempDir(), "tubside", "wash.db")
			s := must.Get(Open(path)).In(t)
			id := startDay(t, s, 5)
			must.Do(t, c.lose(t, path))
			for n := uint64(6); n <= 9; n++ {
				if err := s.Append(id, notes(n, n), running(id)); err != nil {
					t.Fatalf("event %d: %v", n, err)
				}
			}
			told, where := s.Told()
			if !strings.Contains(told, c.says) || !strings.Contains(told, s.Path()) || where != s.Path() {
				t.Errorf("told %q, %s", told, where)
			}
			if again, _ := s.Told(); again != "" {
				t.Errorf("told twice: %q", again)
			}
			if (s.Path() != path) != c.moved {
				t.Errorf("it goes on in %s", s.Path())
			}
			if _, err := Open(s.Path()); !errors.Is(err, ErrInUse) {
				t.Errorf("not locked where it is now: %v", err)
			}
			at := s.Path()
			checkAndClose(t, s)
			again := reopen(t, at)
			recs, err := again.Events(id)
			if err != nil || len(recs) != 9 {
				t.Errorf("%d events, %v", len(recs), err)
			}
			if c.moved { // and the other one is as it was put there
				if days, err := reopen(t, path).Days(0); err != nil || len(days) != 0 {
					t.Errorf("the other file: %v, %v", days, err)
				}
			}
		})
	}
}

// Where it cannot be written back nothing is called saved, and once it can be, all
// of it is.
func TestFileCannotComeBack(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("there an open file keeps its name")
	}
	dir := filepath.Join(t.TempDir(), "stick")
	path := filepath.Join(dir, "wash.db")
	s := must.Get(Open(path)).In(t)
	id := startDay(t, s, 3)
	must.Do(t, os.RemoveAll(dir))
	if err := os.WriteFile(dir, nil, 0o600); err != nil { // no folder can be made there
		t.Fatal(err)
	}
	for range 2 {
		if err := s.Append(id, notes(4, 4), running(id)); !errors.Is(err, ErrSave) || !strings.Contains(err.Error(), "gone from its folder") {
			t.Fatalf("called saved: %v", err)
		}
	}
	must.Do(t, os.Remove(dir))
	must.Do(t, s.Append(id, notes(4, 5), running(id)))
	checkAndClose(t, s)
	if recs, err := reopen(t, path).Events(id); err != nil || len(recs) != 5 {
		t.Errorf("%d events, %v", len(recs), err)
	}
}

// Nothing is said, and no second file made, while nothing happens.
func TestFileKeepsItsPlace(t *testing.T) {
	s := newStore(t)
	id := startDay(t, s, 2)
	must.Do(t, s.SaveKit(shed.DefaultKit()))
	must.Do(t, s.Append(id, notes(3, 3), running(id)))
	files, err := os.ReadDir(filepath.Dir(s.Path())) // with the mark of the newest head
	if told, _ := s.Told(); told != "" || err != nil || len(files) != 2 {
		t.Errorf("%q, %d files, %v", told, len(files), err)
	}
}
