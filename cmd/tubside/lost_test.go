//go:build unix

package main

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/store"
	"fleece.example/tubside/tui/keep"
)

// Of a record that was lost while it was open the newest whole copy is taken, with the
// days that were written to since the start: what is neither of a copy nor of this run
// alone is missing.
func TestLostRecordIsMadeFromACopy(t *testing.T) {
	dir := t.TempDir()
	spunDay(t, dir, time.Now().UTC().Add(-time.Hour))
	o := &options{data: dir}
	s, err := store.Open(o.file())
	if err != nil {
		t.Fatal(err)
	}
	if _, err := s.CopyInto(store.CopiesFolder(o.file()), time.Now()); err != nil {
		t.Fatal(err)
	}
	damaged := filepath.Join(store.CopiesFolder(o.file()), "tubside-2099-01-01-000000-UTC.db")
	if err := os.WriteFile(damaged, []byte("wool\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	days, err := s.Days(1)
	if err != nil {
		t.Fatal(err)
	}
	had, err := s.Events(days[0].ID)
	if err != nil {
		t.Fatal(err)
	}
	seen := &seenJournal{Journal: s, days: map[shed.DayID]keep.Unsaved{}}
	next := func(n int) []session.Recorded {
		return []session.Recorded{{Seq: uint64(len(had) + n), At: time.Now().UTC(), Event: session.NoteAdded{Tub: -1, Text: "said in this run"}}}
	}
	if err := seen.Append(days[0].ID, next(1), days[0]); err != nil {
		t.Fatal(err)
	}
	if err := os.Truncate(o.file(), 4096); err != nil {
		t.Fatal(err)
	}
	cause := seen.Append(days[0].ID, next(2), days[0])
	if !errors.Is(cause, store.ErrDamaged) {
		t.Fatal(cause)
	}
	l := leaving{record: s, seen: seen, o: o, folders: []string{t.TempDir()}}
	said := l.unsaved(cause, []keep.Unsaved{{Day: days[0].ID, Events: next(2), Summary: days[0]}}, time.Now()).Error()
	if !strings.Contains(said, "with the record as it was copied at") || !strings.Contains(said, "`tubside import --new ") {
		t.Errorf("it says %s", said)
	}
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	files, err := filepath.Glob(filepath.Join(l.folders[0], "*.json"))
	if err != nil || len(files) != 1 {
		t.Fatalf("%v, %v", files, err)
	}
	anew := t.TempDir()
	if code, text := quietly(t, "--new", "--data", anew, "import", files[0]); code != 0 {
		t.Fatal(text)
	}
	n, err := store.Open(filepath.Join(anew, fileName))
	if err != nil {
		t.Fatal(err)
	}
	defer func() { _ = n.Close() }()
	got, err := n.Events(days[0].ID)
	fleeces, fleecesErr := n.Fleeces()
	_, hasKit, kitErr := n.Kit()
	if err := errors.Join(err, fleecesErr, kitErr); err != nil || len(got) != len(had)+2 || len(fleeces) != 1 || !hasKit {
		t.Errorf("%d events of %d, %d fleeces, kit %v: %v", len(got), len(had)+2, len(fleeces), hasKit, err)
	}
}
