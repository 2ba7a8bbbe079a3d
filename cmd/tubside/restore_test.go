//go:build unix

package main

import (
	"bytes"
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/must"
	"fleece.example/tubside/store"
)

// twoCopies is a data folder with a day of 4 events, and copies of it with 2 and 4.
func twoCopies(t *testing.T) (dir string) {
	t.Helper()
	d := newCopyDesk(t)
	for range 2 {
		d.write(false)
		d.write(false)
		d.after(2 * time.Hour)
	}
	must.Do(t, d.s.Close())
	return filepath.Dir(d.s.Path())
}

func events(t *testing.T, path string) int {
	t.Helper()
	h := must.Get(store.Examine(path)).In(t)
	return h.LastEvents
}

// In a terminal: the list, the question, and the copy in the record's place.
func TestRestoreInATerminal(t *testing.T) {
	t.Parallel()
	dir := twoCopies(t)
	env := []string{"XDG_CONFIG_HOME=" + t.TempDir(), "TZ=UTC"}
	w := open(t, env, program(t), "restore", "--data", dir)
	if code := w.end(); code != 0 {
		t.Errorf("ended with %d", code)
	}
	for _, text := range []string{"1 day, 2 batches, last 16 May 2026 (4 events, still open)", "(2 events, still open)", "whole here", "1  2026-05-16 10:01", "2  2026-05-16 08:01", "`tubside restore 1`"} {
		if !strings.Contains(w.text(), text) {
			t.Errorf("the list does not say %q:\n%s", text, w.text())
		}
	}
	record := filepath.Join(dir, fileName)
	before := must.Get(os.ReadFile(record)).In(t)
	w = open(t, env, program(t), "restore", "2", "--data", dir)
	w.see("anything else changes nothing")
	w.press("n", "enter")
	if code := w.end(); code != 0 || !strings.Contains(w.text(), "Nothing was changed") {
		t.Errorf("ended with %d:\n%s", code, w.text())
	}
	if b, err := os.ReadFile(record); err != nil || !bytes.Equal(b, before) {
		t.Error("it was changed all the same")
	}
	w = open(t, env, program(t), "restore", "2", "--data", dir)
	w.see("anything else changes nothing")
	w.press("y", "enter")
	if code := w.end(); code != 0 || !strings.Contains(w.text(), "is put back") {
		t.Errorf("ended with %d:\n%s", code, w.text())
	}
	if n := events(t, record); n != 2 {
		t.Errorf("%d events", n)
	}
	kept, err := filepath.Glob(filepath.Join(dir, "tubside-replaced-*-UTC.db"))
	if err != nil || len(kept) != 1 {
		t.Fatalf("kept %v", kept)
	}
	if b, err := os.ReadFile(kept[0]); err != nil || !bytes.Equal(b, before) {
		t.Error("what was there is not what was kept")
	}
}

// Where there is no record yet, nothing is said to be kept.
func TestRestoreIntoAnEmptyFolder(t *testing.T) {
	dir := twoCopies(t)
	_, said := quietly(t, "--data", t.TempDir(), "restore", filepath.Join(dir, fileName))
	if !strings.Contains(said, "There is no record here now.\ny puts it back") || strings.Contains(said, "kept beside") {
		t.Error(said)
	}
	_, said = quietly(t, "--data", dir, "restore", "2")
	if !strings.Contains(said, "In its place now: 1 day") || !strings.Contains(said, "That is kept beside it.") {
		t.Error(said)
	}
}

// Under ? it is said where copies are made: beside the record alone, or in a second place
// too.
func TestWhereCopiesAreIsSaid(t *testing.T) {
	t.Parallel()
	home, dir := t.TempDir(), t.TempDir()
	must.Do(t, makeDay(filepath.Join(dir, fileName)))
	env := []string{"HOME=" + home, "XDG_CONFIG_HOME=" + home}
	help := func() string {
		w := open(t, env, program(t), "--data", dir)
		w.see("still open")
		w.press("?")
		w.see("Keys on every screen")
		w.press("\x1b[F") // to the end
		w.see("Copies are made")
		text := w.text()
		w.press("ctrl+c")
		w.end()
		return text
	}
	if text := help(); !strings.Contains(text, "nowhere") || !strings.Contains(text, "--also-in") {
		t.Errorf("no second place is named, and the help says:\n%s", text)
	}
	cmd := exec.Command(program(t), "copies", "--data", dir, "--also-in", t.TempDir())
	cmd.Env = env
	if out, err := cmd.CombinedOutput(); err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	if text := help(); strings.Contains(text, "nowhere") || !strings.Contains(text, "carried") {
		t.Errorf("a second place is named, and the help says:\n%s", text)
	}
}

// While the program is open a copy is refused; of a damaged record the program says how
// to get one back, and that does.
func TestRestoreOfADamagedRecord(t *testing.T) {
	t.Parallel()
	home, dir := t.TempDir(), filepath.Join(t.TempDir(), "data")
	w := running(t, dir, home)
	w.press("ctrl+c")
	w.end()
	w = open(t, []string{"HOME=" + home}, program(t), "--data", dir) // which copies what was written last
	w.see("A wash day is still open")
	w.until("make a copy", func(string) bool {
		copies, _ := store.Copies(filepath.Join(dir, "copies"))
		if len(copies) == 0 {
			return false
		}
		s, inUse := store.Peek(filepath.Join(dir, fileName))
		if inUse == nil {
			_ = s.Close() // only read; the program has not opened it yet
		}
		h, err := store.Examine(copies[0].Path)
		return err == nil && h.Open && errors.Is(inUse, store.ErrInUse)
	})
	restore := func(args ...string) (string, error) {
		cmd := exec.Command(program(t), append([]string{"restore", "--yes", "--data", dir}, args...)...)
		cmd.Env = append(os.Environ(), "XDG_CONFIG_HOME="+home)
		out, err := cmd.CombinedOutput()
		return string(out), err
	}
	if out, err := restore("1"); err == nil || !strings.Contains(out, "another window") {
		t.Errorf("%v: %s", err, out)
	}
	w.press("ctrl+c")
	w.end()
	must.Do(t, os.WriteFile(filepath.Join(dir, fileName), []byte("wool\n"), 0o600))
	w = open(t, []string{"HOME=" + home}, program(t), "--data", dir)
	if code := w.end(); code != 1 || !strings.Contains(w.text(), "tubside restore") {
		t.Errorf("ended with %d:\n%s", code, w.text())
	}
	copies, err := store.Copies(filepath.Join(dir, "copies"))
	if err != nil || len(copies) == 0 {
		t.Fatalf("%v, %v", copies, err)
	}
	if out, err := restore(filepath.Base(copies[0].Path)); err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	w = open(t, []string{"HOME=" + home}, program(t), "--data", dir)
	w.see("A wash day is still open")
	w.press("ctrl+c")
	if code := w.end(); code != 0 {
		t.Errorf("ended with %d:\n%s", code, w.text())
	}
}

// What cannot be meant is refused before anything is touched.
func TestRestoreRefusals(t *testing.T) {
	t.Parallel()
	dir := twoCopies(t)
	damaged := filepath.Join(t.TempDir(), "damaged.db")
	must.Do(t, os.WriteFile(damaged, []byte("wool\n"), 0o600))
	for what, says := range map[string]string{"9": "there is no copy number 9", "no-such.db": "there is no copy no-such.db", damaged: "is damaged or no copy", filepath.Join(dir, fileName): "is the record itself"} {
		cmd := exec.Command(program(t), "restore", "--yes", "--data", dir, what)
		out, err := cmd.CombinedOutput()
		if err == nil || !strings.Contains(string(out), says) {
			t.Errorf("%s: %v, %s", what, err, out)
		}
	}
	cmd := exec.Command(program(t), "restore", "--data", dir, "1")
	if out, err := cmd.CombinedOutput(); err == nil || !strings.Contains(string(out), "--yes") {
		t.Errorf("%v, %s", err, out)
	}
	if n := events(t, filepath.Join(dir, fileName)); n != 4 {
		t.Errorf("%d events", n)
	}
}

// A copy is taken in by import as an export is.
func TestImportTakesACopy(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	spunDay(t, dir, time.Now().UTC().Add(-time.Hour))
	s := must.Get(store.Open(filepath.Join(dir, fileName))).In(t)
	made, err := s.CopyInto(filepath.Join(dir, "copies"), time.Now())
	must.Do(t, errors.Join(err, s.Close()))
	anew := filepath.Join(t.TempDir(), "anew")
	for _, says := range []string{"days     1 new", "All of it is here already"} {
		cmd := exec.Command(program(t), "import", "--new", "--data", anew, made.Path)
		if out, err := cmd.CombinedOutput(); err != nil || !strings.Contains(string(out), says) {
			t.Fatalf("%v: %s", err, out)
		}
	}
	if a, b := events(t, filepath.Join(anew, fileName)), events(t, made.Path); a != b || a == 0 {
		t.Errorf("%d events, want %d", a, b)
	}
}

// A record that is older than what was saved last is told on the screen, and again on the
// terminal that is left.
func TestOlderRecordIsTold(t *testing.T) {
	t.Parallel()
	dir := twoCopies(t)
	copies := must.Get(store.Copies(filepath.Join(dir, "copies"))).In(t)
	older, err := os.ReadFile(copies[1].Path)
	if err == nil {
		err = os.WriteFile(filepath.Join(dir, fileName), older, 0o600)
	}
	if err != nil {
		t.Fatal(err)
	}
	out, err := exec.Command(program(t), "check", "--data", dir).CombinedOutput()
	if err == nil || !strings.Contains(string(out), "holds less than was saved here last") {
		t.Errorf("check says %s (%v)", out, err)
	}
	w := open(t, nil, program(t), "--data", dir)
	w.see("holds less than was saved here last")
	w.press("ctrl+c")
	w.end()
	if left := strings.Join(strings.Fields(w.text()), ""); !strings.Contains(left, "holdslessthanwassavedherelast") { // where its lines end hangs on the folder's name
		t.Errorf("left with\n%s", w.text())
	}
}

// A record that is gone while its copies are there is not begun anew without a word, in
// the usual folder neither.
func TestRecordGoneWithCopiesThere(t *testing.T) {
	t.Parallel()
	dir := twoCopies(t)
	data := t.TempDir()
	must.Do(t, os.Rename(dir, filepath.Join(data, "tubside")))
	dir = filepath.Join(data, "tubside")
	must.Do(t, os.Remove(filepath.Join(dir, fileName)))
	for _, args := range [][]string{{"--data", dir}, nil} {
		w := open(t, []string{"XDG_DATA_HOME=" + data}, program(t), args...)
		w.see("y starts a new one there, anything else quits; then Enter:")
		w.press("n", "enter")
		if code := w.end(); code != 0 || !strings.Contains(w.text(), "Nothing was started") || isThere(filepath.Join(dir, fileName)) {
			t.Errorf("%v ended with %d:\n%s", args, code, w.text())
		}
	}
	cmd := exec.Command(program(t), "restore", "--yes", "1")
	cmd.Env = append(os.Environ(), "XDG_DATA_HOME="+data)
	if out, err := cmd.CombinedOutput(); err != nil || strings.Contains(string(out), "kept in") {
		t.Errorf("%v: %s", err, out)
	}
	if n := events(t, filepath.Join(dir, fileName)); n != 4 {
		t.Errorf("%d events", n)
	}
}

// What a copy holds and when it was made is said as everywhere in US units.
func TestACopyIsDatedInOwnUnits(t *testing.T) {
	dir := twoCopies(t)
	for _, c := range []string{"restore", "copies"} {
		if _, out, errs := saysIn(t, "en_US.UTF-8", c, "--data", dir); !regexp.MustCompile(`2026-05-16 +\d+:01 [ap]m`).MatchString(out) {
			t.Errorf("%s: %s%s", c, out, errs)
		}
	}
	h := store.Held{Days: 1, Batches: 2, LastAt: time.Date(2026, 5, 16, 12, 0, 0, 0, time.Local), LastEvents: 4}
	for u, want := range map[measure.System]string{measure.US: "1 day, 2 batches, last May 16, 2026 (4 events)", measure.Metric: "1 day, 2 batches, last 16 May 2026 (4 events)"} {
		if got := (&restoring{units: u}).heldText(h); got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
}
