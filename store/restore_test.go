//go:build unix

package store

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"fleece.example/tubside/session/long"
	"fleece.example/tubside/session/must"
	"fleece.example/tubside/session/shed"
)

// Whatever lies in the record's place, a copy comes there and what was there is kept.
func TestRestore(t *testing.T) {
	from, id := copyOf(t, 7)
	other, _ := copyOf(t, 20)
	whole, before := mustRead(t, other), mustRead(t, from)
	for name, there := range map[string][]byte{
		"whole": whole, "nothing": nil, "empty": {}, "a byte": {0}, "text": []byte("wool\n"), "cut": whole[:len(whole)/2],
		"zeros": make([]byte, len(whole)), "no free pages": noFreePages(t, whole), "first page": whole[:os.Getpagesize()],
	} {
		t.Run(name, func(t *testing.T) {
			path := filepath.Join(t.TempDir(), "data", "wash.db")
			if there != nil {
				must.Do(t, os.Mkdir(filepath.Dir(path), 0o700))
				must.Do(t, os.WriteFile(path, there, 0o600))
			}
			kept := must.Get(Restore(path, from, morning)).In(t)
			if (kept == "") != (there == nil) {
				t.Fatalf("kept in %q", kept)
			}
			if kept != "" && !bytes.Equal(mustRead(t, kept), there) {
				t.Error("what was kept is not what was there")
			}
			if info, err := os.Stat(path); err != nil || info.Mode().Perm() != 0o600 {
				t.Errorf("%v, %v", info, err)
			}
			wantEvents(t, reopen(t, path), id, notes(1, 7))
			if !bytes.Equal(before, mustRead(t, from)) {
				t.Error("the copy was changed")
			}
			entries, err := os.ReadDir(filepath.Dir(path))
			want := 2
			if there == nil {
				want = 1
			}
			if err != nil || len(entries) != want {
				t.Errorf("the folder holds %v, %v", entries, err)
			}
		})
	}
}

func noFreePages(t *testing.T, whole []byte) []byte {
	t.Helper()
	h := must.Get(newestHeader(bytes.NewReader(whole))).In(t)
	b := bytes.Clone(whole)
	clear(b[h.freelist*uint64(h.pageSize):][:h.pageSize])
	return b
}

func TestRestoreRefused(t *testing.T) {
	from, id := copyOf(t, 7)
	s := newStore(t)
	now := startDay(t, s, 3)
	refused := func(from string, kind error, parts ...string) {
		t.Helper()
		_, err := Restore(s.Path(), from, morning)
		wantSentence(t, err, kind, append(parts, from)...)
		if entries, err := os.ReadDir(filepath.Dir(s.Path())); err != nil || len(entries) != 2 { // with the mark of the newest head
			t.Errorf("the folder holds %v, %v", entries, err)
		}
	}
	_, err := Restore(s.Path(), from, morning) // open here
	wantSentence(t, err, ErrInUse, s.Path())
	// Open in a program, and cut meanwhile.
	lost := must.Get(Open(filepath.Join(t.TempDir(), "lost.db"))).In(t)
	must.Do(t, os.Truncate(lost.Path(), 0))
	_, err = Restore(lost.Path(), from, morning)
	wantSentence(t, err, ErrInUse, lost.Path())
	must.Do(t, lost.Close())
	must.Do(t, s.Close())
	damagedCopy := filepath.Join(t.TempDir(), "damaged.db")
	must.Do(t, os.WriteFile(damagedCopy, mustRead(t, from)[:8192], 0o600))
	refused(damagedCopy, ErrDamaged)
	refused(filepath.Join(t.TempDir(), "none.db"), ErrNotWritable, "cannot be read")
	if _, err := Restore(s.Path(), s.Path(), morning); err == nil || !strings.Contains(err.Error(), "the record itself") {
		t.Errorf("onto itself: %v", err)
	}
	wantEvents(t, reopen(t, s.Path()), now, notes(1, 3))
	wantEvents(t, reopen(t, from), id, notes(1, 7))
}

// TestChildRestores is the process that is killed: it puts two copies back in turns.
func TestChildRestores(t *testing.T) {
	path := os.Getenv(childFile)
	if path == "" {
		t.Skip("only as a child of TestKilledWhileRestoring")
	}
	fmt.Println("begun")
	for n := 0; ; n++ {
		kept := must.Get(Restore(path, fmt.Sprintf("%s-%d", path, n%2), time.Now())).In(t)
		must.Do(t, os.Remove(kept))
	}
}

// Killed at any moment, one record or the other has the place, whole.
func TestKilledWhileRestoring(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "wash.db")
	events := map[int]bool{}
	for i, n := range []uint64{30, 50} {
		from, _ := copyOf(t, n)
		events[int(n)] = false
		for _, to := range []string{fmt.Sprintf("%s-%d", path, i), path} {
			must.Do(t, os.WriteFile(to, mustRead(t, from), 0o600))
		}
	}
	for round := range long.Of(8, 40) {
		killed(t, "TestChildRestores", path, 60*time.Millisecond)
		s, err := Open(path)
		if err != nil {
			t.Fatalf("round %d: %v", round, err)
		}
		checkSound(t, s)
		got, err := s.Events(1)
		if _, ok := events[len(got)]; !ok || err != nil {
			t.Fatalf("round %d: %d events, %v", round, len(got), err)
		}
		events[len(got)] = true
		must.Do(t, s.Close())
		kept, err := filepath.Glob(filepath.Join(dir, replacedName+"*"))
		if err != nil || len(kept) > round+1 {
			t.Fatalf("kept %v, %v", kept, err)
		}
		for _, k := range kept {
			if _, err := Examine(k); err != nil {
				t.Errorf("round %d: what was kept: %v", round, err)
			}
		}
	}
	t.Logf("met: %v", events)
}

// A record that is reached by a link has one mark, beside the file itself: what is put back through
// the link is not told to be behind.
func TestRestoreThroughALink(t *testing.T) {
	dir := t.TempDir()
	at, link, old := filepath.Join(dir, "there", "tubside.db"), filepath.Join(dir, "here", "tubside.db"), filepath.Join(dir, "old.db")
	if err := errors.Join(os.Mkdir(filepath.Dir(at), 0o700), os.Mkdir(filepath.Dir(link), 0o700), os.Symlink(at, link)); err != nil {
		t.Skip(err)
	}
	save := func(path string) {
		t.Helper()
		s := must.Get(Open(path)).In(t)
		must.Get(s.SaveFleece(shed.Fleece{Animal: "Curly", RawG: 2000})).In(t)
		must.Do(t, s.Close())
	}
	save(at)
	was, err := os.ReadFile(at)
	must.Do(t, errors.Join(err, os.WriteFile(old, was, 0o600)))
	save(link)
	must.Get(Restore(link, old, time.Now())).In(t)
	for _, path := range []string{link, at} {
		if told := Behind(path); told != "" {
			t.Errorf("%s: %s", path, told)
		}
	}
}
