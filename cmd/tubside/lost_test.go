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
	"fleece.example/tubside/session/must"
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
	s := must.Get(store.Open(o.file())).In(t)
	must.Get(s.CopyInto(store.CopiesFolder(o.file()), time.Now())).In(t)
	damaged := filepath.Join(store.CopiesFolder(o.file()), "tubside-2099-01-01-000000-UTC.db")
	must.Do(t, os.WriteFile(damaged, []byte("wool\n"), 0o600))
	days := must.Get(s.Days(1)).In(t)
	had := must.Get(s.Events(days[0].ID)).In(t)
	seen := &seenJournal{Journal: s, days: map[shed.DayID]keep.Unsaved{}}
	next := func(n int) []session.Recorded {
		return []session.Recorded{{Seq: uint64(len(had) + n), At: time.Now().UTC(), Event: session.NoteAdded{Tub: -1, Text: "said in this run"}}}
	}
	must.Do(t, seen.Append(days[0].ID, next(1), days[0]))
	must.Do(t, os.Truncate(o.file(), 4096))
	cause := seen.Append(days[0].ID, next(2), days[0])
	if !errors.Is(cause, store.ErrDamaged) {
		t.Fatal(cause)
	}
	l := leaving{record: s, seen: seen, o: o, folders: []string{t.TempDir()}}
	said := l.unsaved(cause, []keep.Unsaved{{Day: days[0].ID, Events: next(2), Summary: days[0]}}, time.Now()).Error()
	if !strings.Contains(said, "with the record as it was copied at") || !strings.Contains(said, "`tubside import --new ") {
		t.Errorf("it says %s", said)
	}
	must.Do(t, s.Close())
	files, err := filepath.Glob(filepath.Join(l.folders[0], "*.json"))
	if err != nil || len(files) != 1 {
		t.Fatalf("%v, %v", files, err)
	}
	anew := t.TempDir()
	if code, text := quietly(t, "--new", "--data", anew, "import", files[0]); code != 0 {
		t.Fatal(text)
	}
	n := must.Get(store.Open(filepath.Join(anew, fileName))).In(t)
	defer func() { _ = n.Close() }()
	got, err := n.Events(days[0].ID)
	fleeces, fleecesErr := n.Fleeces()
	_, hasKit, kitErr := n.Kit()
	if err := errors.Join(err, fleecesErr, kitErr); err != nil || len(got) != len(had)+2 || len(fleeces) != 1 || !hasKit {
		t.Errorf("%d events of %d, %d fleeces, kit %v: %v", len(got), len(had)+2, len(fleeces), hasKit, err)
	}
}
