//go:build unix

package main

import (
	"fmt"
	"os"
	"path/filepath"
	"testing"
	"time"

	"fleece.example/tubside/session/must"
	"fleece.example/tubside/session/shed"
)

// The file is cut short while the program has it open, by another program or a failing
// disk. It is said, the end comes at once, and the day goes into a file that import reads.
func TestFileCutWhileRunning(t *testing.T) {
	for _, size := range []int64{0, 1, 4096} {
		t.Run(fmt.Sprint(size), func(t *testing.T) {
			t.Parallel()
			home, dir := t.TempDir(), filepath.Join(t.TempDir(), "data")
			w := running(t, dir, home)
			must.Do(t, os.Truncate(filepath.Join(dir, fileName), size))
			w.press(".")
			w.see("NOT SAVED (1)")
			w.press("ctrl+c")
			w.see("1 event is not saved")
			w.see("Ctrl+C again")
			began := time.Now()
			w.press("ctrl+c")
			w.end()
			if took := time.Since(began); took > 2*time.Second {
				t.Errorf("it took %v to end", took)
			}
			d, kinds := keptIn(t, w, dir, "the last event of this day is not saved")
			if len(kinds) != 2 || d.Tubs[0].Phase != shed.ToSink {
				t.Errorf("put back %q, %v", kinds, d.Tubs[0].Phase)
			}
		})
	}
}

// Nothing was left to save when the file was lost: the end says so all the same, and
// keeps the day.
func TestFileLostWithAllSaved(t *testing.T) {
	t.Parallel()
	home, dir := t.TempDir(), filepath.Join(t.TempDir(), "data")
	w := running(t, dir, home)
	must.Do(t, os.WriteFile(filepath.Join(dir, fileName), []byte("another program's\n"), 0o600))
	w.press("ctrl+c")
	if _, kinds := keptIn(t, w, dir, "what was saved can no longer be read"); len(kinds) != 1 {
		t.Errorf("put back %q", kinds)
	}
}
