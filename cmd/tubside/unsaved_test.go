//go:build unix

package main

import (
	"bytes"
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"fleece.example/tubside/cmd/tubside/exchange"
	"fleece.example/tubside/session"
	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/must"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/store"
	"fleece.example/tubside/tui/keep"
)

// running opens a real program with a day that has just begun, its record in dir.
func running(t *testing.T, dir, home string) *window {
	t.Helper()
	w := open(t, []string{"HOME=" + home}, program(t), "--new", "--data", dir)
	w.beginsDay()
	w.see("saved")
	return w
}

// The record is taken away while the day runs: it is written back with the next
// event, and said; nothing is lost.
func TestRecordTakenAway(t *testing.T) {
	t.Parallel()
	dir := filepath.Join(t.TempDir(), "data")
	w := running(t, dir, t.TempDir())
	must.Do(t, os.RemoveAll(dir))
	w.press(".")
	w.see("was gone from its folder")
	w.press("u")
	w.see("undone")
	w.see("saved")
	served := false // other commands are served again
	for deadline := time.Now().Add(patience); !served && time.Now().Before(deadline); time.Sleep(100 * time.Millisecond) {
		_, err := exec.Command(program(t), "export", "--csv", "-", "--data", dir).Output()
		served = err == nil
	}
	if !served {
		t.Error("no other command gets a copy any more")
	}
	w.press("ctrl+c")
	if code := w.end(); code != 0 {
		t.Errorf("ended with %d:\n%s", code, w.text())
	}
	d, kinds := kept(t, dir)
	if len(kinds) != 3 || d.Tubs[0].Phase != shed.ToFill {
		t.Errorf("kept %q, %v", kinds, d.Tubs[0].Phase)
	}
}

// keptIn is what import reads of the one file that a program which ends with a failure, and says
// why, has left in a folder.
func keptIn(t *testing.T, w *window, folder, says string) (session.Day, []string) {
	t.Helper()
	if code := w.end(); code != 1 {
		t.Errorf("ended with %d:\n%s", code, w.text())
	}
	w.restored()
	files, err := filepath.Glob(filepath.Join(folder, "tubside-unsaved-*.json"))
	if err != nil || len(files) != 1 {
		t.Fatalf("%v, %v:\n%s", files, err, w.text())
	}
	if !strings.Contains(strings.Join(strings.Fields(w.text()), ""), strings.Join(strings.Fields(says), "")) {
		t.Errorf("it says\n%s", w.text())
	}
	anew := filepath.Join(t.TempDir(), "anew")
	if out, err := exec.Command(program(t), "import", "--new", "--data", anew, files[0]).CombinedOutput(); err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	return kept(t, anew)
}

// What the disk does not take asks before the end and goes into a file of its own,
// which import reads.
func TestUnsavedGoesElsewhere(t *testing.T) {
	t.Parallel()
	home, dir := t.TempDir(), filepath.Join(t.TempDir(), "data")
	w := running(t, dir, home)
	saved, err := os.ReadFile(filepath.Join(dir, fileName))
	must.Do(t, errors.Join(err, os.RemoveAll(dir)))
	if err := os.WriteFile(dir, nil, 0o600); err != nil { // no folder can be made there again
		t.Fatal(err)
	}
	w.press(".")
	w.see("NOT SAVED (1)")
	w.press("esc") // on other screens too
	w.see("A day is running")
	w.see("NOT SAVED (1)")
	w.press("ctrl+c")
	w.see("1 event is not saved")
	w.see("Ctrl+C again")
	w.press("ctrl+c")
	d, kinds := keptIn(t, w, home, "the last event of this day is not saved")
	must.Do(t, os.Remove(dir))
	if len(kinds) != 2 || d.Tubs[0].Phase != shed.ToSink || time.Since(d.StartedAt) > time.Hour {
		t.Errorf("put back %q, %v", kinds, d.Tubs[0].Phase)
	}

	// The disk takes writes again, with the record as it was saved last: the next start takes in what
	// is missing before it writes, once.
	must.Do(t, errors.Join(os.Mkdir(dir, 0o700), os.WriteFile(filepath.Join(dir, fileName), saved, 0o600)))
	w = open(t, []string{"HOME=" + home}, program(t), "--data", dir)
	w.see("taken in")
	w.press("enter")
	w.press("ctrl+c")
	if code := w.end(); code != 0 || !strings.Contains(flat(w.text()), "1 event") {
		t.Errorf("ended with %d:\n%s", code, w.text())
	}
	if d, kinds := kept(t, dir); len(kinds) < 2 || kinds[1] != "bath filled" || d.Tubs[0].Phase != shed.ToSink {
		t.Errorf("taken in %q, %v", kinds, d.Tubs[0].Phase)
	}
	if left, err := filepath.Glob(filepath.Join(home, "tubside-unsaved-*.json")); err != nil || len(left) > 0 {
		t.Errorf("%v, %v", left, err)
	}
}

// What was not saved and no longer fits is left out only where the person says so, and is asked
// about once.
func TestUnsavedThatNoLongerFits(t *testing.T) {
	dir := t.TempDir()
	o := &options{data: dir}
	must.Do(t, makeDay(o.file()))
	s := must.Get(store.Open(o.file())).In(t)
	defer func() { _ = s.Close() }()
	path := filepath.Join(dir, o.unsavedOf()+"2026-06-13-080000.json")
	must.Do(t, os.WriteFile(path, []byte("{}"), 0o600))
	asked := 0
	for i, yes := range []bool{false, true, true} {
		_, err := o.takeUnsaved(s, func(cause error) (bool, error) { asked++; return yes, nil })
		if (err == nil) != yes || asked != min(i+1, 2) {
			t.Errorf("%d: %v, asked %d times", i, err, asked)
		}
	}
	if left, _ := filepath.Glob(filepath.Join(dir, leftName+"*")); len(left) != 1 {
		t.Errorf("left out: %v", left)
	}
}

// What is not saved of a day goes elsewhere with what is whole of a record that is
// damaged and has no whole copy.
func TestUnsavedBesideHarm(t *testing.T) {
	dir, home := t.TempDir(), t.TempDir()
	path := filepath.Join(dir, fileName)
	must.Do(t, makeDay(path))
	s := must.Get(store.Open(path)).In(t)
	for _, animal := range []string{"Hazel", "Thistle"} {
		must.Get(s.SaveFleece(shed.Fleece{Animal: animal, RawG: 1500})).In(t)
	}
	d, err := s.Day(1)
	must.Do(t, errors.Join(err, s.Close()))
	content := must.Get(os.ReadFile(path)).In(t)
	must.Do(t, os.WriteFile(path, bytes.ReplaceAll(content, []byte("Thistle"), []byte("Thistlf")), 0o600))
	if s, err = store.Open(path); err != nil {
		t.Fatal(err)
	}
	defer func() { _ = s.Close() }()
	note := session.Recorded{Seq: d.LastSeq + 1, At: d.LastAt.Add(time.Minute), Event: session.NoteAdded{Tub: -1, Text: "not on the disk"}}
	left := []keep.Unsaved{{Day: 1, Events: []session.Recorded{note}, Summary: ledger.Summarise(1, session.Apply(d, note))}}
	l := leaving{record: s, seen: &seenJournal{Journal: s, days: map[shed.DayID]keep.Unsaved{}}, o: &options{data: dir}, folders: []string{home}}
	if err := l.unsaved(errors.New("the disk is full"), left, time.Now()); err == nil || !strings.Contains(err.Error(), "with what is whole of the record") {
		t.Errorf("%v", err)
	}
	files, err := filepath.Glob(filepath.Join(home, "tubside-unsaved-*.json"))
	if err != nil || len(files) != 1 {
		t.Fatalf("%v, %v", files, err)
	}
	f := must.Get(os.Open(files[0])).In(t)
	defer func() { _ = f.Close() }()
	c, days, err := exchange.Read(f)
	if err != nil || len(c.Fleeces) != 1 || len(days) != 1 || uint64(len(days[0].Events)) != note.Seq {
		t.Errorf("%d fleeces, %d days (%v)", len(c.Fleeces), len(days), err)
	}
}
