//go:build unix

package main

import (
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"fleece.example/tubside/session/shed"
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
	if err := os.RemoveAll(dir); err != nil {
		t.Fatal(err)
	}
	w.press(".")
	w.see("was gone from its folder")
	w.press("u")
	w.see("taken back")
	w.see("saved")
	w.press("ctrl+c")
	if code := w.end(); code != 0 {
		t.Errorf("ended with %d:\n%s", code, w.text())
	}
	d, kinds := kept(t, dir)
	if len(kinds) != 3 || d.Tubs[0].Phase != shed.ToFill {
		t.Errorf("kept %q, %v", kinds, d.Tubs[0].Phase)
	}
}

// What the disk does not take asks before the end and goes into a file of its own,
// which import reads.
func TestUnsavedGoesElsewhere(t *testing.T) {
	t.Parallel()
	home, dir := t.TempDir(), filepath.Join(t.TempDir(), "data")
	w := running(t, dir, home)
	if err := os.RemoveAll(dir); err != nil {
		t.Fatal(err)
	}
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
	w.press("ctrl+c")
	if code := w.end(); code != 1 {
		t.Errorf("ended with %d:\n%s", code, w.text())
	}
	w.restored()
	files, err := filepath.Glob(filepath.Join(home, "tubside-unsaved-*.json"))
	if err != nil || len(files) != 1 {
		t.Fatalf("%v, %v:\n%s", files, err, w.text())
	}
	if said := strings.Join(strings.Fields(w.text()), ""); !strings.Contains(said, strings.Join(strings.Fields("the last event of this day is not saved"), "")) {
		t.Errorf("it says\n%s", w.text())
	}
	if err := os.Remove(dir); err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command(program(t), "import", "--new", "--data", dir, files[0])
	if out, err := cmd.CombinedOutput(); err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	d, kinds := kept(t, dir)
	if len(kinds) != 2 || d.Tubs[0].Phase != shed.ToSink || time.Since(d.StartedAt) > time.Hour {
		t.Errorf("put back %q, %v", kinds, d.Tubs[0].Phase)
	}
}
