//go:build unix

package main

import (
	"bytes"
	"errors"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/creack/pty"

	"fleece.example/tubside/session/must"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/store"
)

// A terminal that answers no question must not keep the program waiting: it
// once took five seconds to say its version.
func TestSilentTerminal(t *testing.T) {
	path := program(t)
	for _, args := range [][]string{{"--version"}, {"rehearse", "--no-screen"}, {"wash"}} {
		w := &window{t: t, gone: make(chan error, 1), read: make(chan struct{})}
		w.cmd = command(path, args...)
		began := time.Now()
		tty := must.Get(pty.Start(w.cmd)).In(t)
		said := make(chan string, 1)
		go func() { // reads, and never answers
			var all strings.Builder
			buf := make([]byte, 4096)
			for {
				n, err := tty.Read(buf)
				all.Write(buf[:n])
				if err != nil {
					said <- all.String()
					return
				}
			}
		}()
		_ = w.cmd.Wait()
		if took := time.Since(began); took > 3*time.Second { // on a loaded machine too
			t.Errorf("%v took %v", args, took)
		}
		if out := <-said; strings.Contains(out, "\x1b]11;?") {
			t.Errorf("%v asked the terminal for its background", args)
		}
		_ = tty.Close()
	}
}

func TestSecondStart(t *testing.T) {
	dir := t.TempDir()
	s := must.Get(store.Open(filepath.Join(dir, fileName))).In(t)
	defer func() { _ = s.Close() }()
	exe := program(t) // which is built first
	began := time.Now()
	w := open(t, nil, exe, "--data", dir)
	if code := w.end(); code != 1 {
		t.Errorf("ended with %d", code)
	}
	if took := time.Since(began); took > 4*time.Second { // not for ever, on a loaded machine too
		t.Errorf("took %v", took)
	}
	w.see("already runs in another window")
	if strings.Contains(w.written(), "\x1b[?1049h") {
		t.Error("it opened the full screen first")
	}
}

func TestDamagedStore(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, fileName)
	must.Do(t, os.WriteFile(path, []byte("a shopping list"), 0o600))
	w := open(t, nil, program(t), "--data", dir)
	if code := w.end(); code != 1 {
		t.Errorf("ended with %d", code)
	}
	w.see("is not a tubside file")
	if left, err := os.ReadFile(path); err != nil || string(left) != "a shopping list" {
		t.Errorf("left %q, %v", left, err)
	}
}

func TestDumbTerminal(t *testing.T) {
	w := open(t, []string{"TERM=dumb"}, program(t), "--data", t.TempDir())
	if code := w.end(); code != 2 {
		t.Errorf("ended with %d", code)
	}
	w.see("cannot show a full screen")
}

// What is no text is not written to a terminal.
func TestNoFileIntoATerminal(t *testing.T) {
	t.Parallel()
	dir, path := t.TempDir(), program(t)
	must.Do(t, makeDay(dir+"/"+fileName))
	for _, args := range [][]string{{"tags", "--pdf", "-"}, {"backup", "-"}} {
		w := open(t, nil, path, append([]string{"--data", dir}, args...)...)
		w.see("standard output")
		if code := w.end(); code != 2 {
			t.Errorf("%v ended with %d, want 2", args, code)
		}
	}
}

// Ctrl+C, a polite signal and a window that is closed all end it cleanly.
func TestEnds(t *testing.T) {
	for name, end := range map[string]func(*window){
		"ctrl+c":          func(w *window) { w.press("ctrl+c") },
		"SIGTERM":         func(w *window) { w.signal(syscall.SIGTERM) },
		"SIGHUP":          func(w *window) { w.signal(syscall.SIGHUP) },
		"SIGINT":          func(w *window) { w.signal(syscall.SIGINT) },
		"a closed window": func(w *window) { _ = w.tty.Close() },
		"both":            func(w *window) { w.signal(syscall.SIGHUP); w.signal(syscall.SIGTERM) },
	} {
		t.Run(name, func(t *testing.T) {
			w := open(t, nil, program(t), "--new", "--data", t.TempDir())
			w.until("fill", func(s string) bool { return strings.TrimSpace(s) != "" })
			end(w)
			if code := w.end(); code != 0 {
				t.Errorf("ended with %d:\n%s", code, w.text())
			}
			if name != "a closed window" { // nobody is left to restore it for
				w.restored()
			}
		})
	}
}

// The rehearsal's folder is gone afterwards, also after a signal.
func TestRehearsalLeavesNothing(t *testing.T) {
	t.Parallel()
	tmp, data := t.TempDir(), t.TempDir()
	w := open(t, []string{"TMPDIR=" + tmp, "XDG_DATA_HOME=" + data}, program(t), "rehearse", "--pace", "600")
	w.see("North")
	if left, _ := filepath.Glob(filepath.Join(tmp, "tubside-rehearsal-*")); len(left) != 1 {
		t.Errorf("while it runs: %v", left)
	}
	w.until("ring", func(string) bool { return w.rang() > 0 })
	w.signal(syscall.SIGTERM)
	if code := w.end(); code != 0 {
		t.Errorf("ended with %d:\n%s", code, w.text())
	}
	w.restored()
	for _, dir := range []string{tmp, data} {
		left, _ := os.ReadDir(dir)
		left = slices.DeleteFunc(left, func(e os.DirEntry) bool { return strings.HasPrefix(e.Name(), "pulse-") }) // the sound system's own
		if len(left) != 0 {
			t.Errorf("left in %s: %v", dir, left)
		}
	}
}

func TestRehearsalChecksItsScript(t *testing.T) {
	path := must.Get(filepath.Abs("../../testdata/scenarios/contradictions/too-soon.json")).In(t)
	w := open(t, nil, program(t), "rehearse", "--script", path)
	if code := w.end(); code != 1 {
		t.Errorf("ended with %d", code)
	}
	w.see("has soaked 5 min of 20 min")
}

// A folder that was named and has no record is asked about before anything is made there;
// the usual place is not.
func TestMistypedFolder(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "mistyped")
	for _, answer := range []string{"n", "", "yes", "y"} {
		w := open(t, nil, program(t), "--data", dir)
		w.see("There is no folder")
		w.see("anything else quits")
		if _, err := os.Stat(dir); err == nil {
			t.Fatalf("the folder was made before the answer")
		}
		for _, r := range answer {
			w.press(string(r))
		}
		w.press("enter")
		if !strings.HasPrefix(answer, "y") {
			if code := w.end(); code != 0 || !strings.Contains(w.text(), "Nothing was started") {
				t.Errorf("%q ended with %d:\n%s", answer, code, w.text())
			}
			continue
		}
		w.see("Welcome")
		w.press("ctrl+c")
		w.end()
		must.Get(os.Stat(filepath.Join(dir, fileName))).In(t)
		must.Do(t, os.RemoveAll(dir))
	}
	w := open(t, []string{"XDG_DATA_HOME=" + dir}, program(t))
	w.see("Welcome")
}

// A kit and a fleece that do not read stop no start: the day goes on, and it is said what
// was set aside, on the screen and after it.
func TestStartOfAHarmedRecord(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, fileName)
	must.Do(t, makeDayAt(path, time.Now().Add(-20*time.Minute)))
	s := must.Get(store.Open(path)).In(t)
	k := shed.DefaultKit()
	k.RoomC = 17
	_, errF := s.SaveFleece(shed.Fleece{Animal: "Thistle", RawG: 1500})
	must.Do(t, errors.Join(errF, s.SaveKit(k), s.Close()))
	content := must.Get(os.ReadFile(path)).In(t)
	content = bytes.ReplaceAll(bytes.ReplaceAll(content, []byte("Thistle"), []byte("Thistlf")), []byte(`"room_c":17`), []byte(`"room_c":16`))
	must.Do(t, os.WriteFile(path, content, 0o600))
	w := open(t, nil, program(t), "--data", dir)
	w.see("A wash day is still open")
	w.see("this does not read: the kit (that of wash day 1 is in its place)")
	w.press("ctrl+c")
	w.see("Ctrl+C again")
	w.press("ctrl+c")
	if code := w.end(); code != 0 {
		t.Errorf("ended with %d", code)
	}
	w.see("`tubside check` says what is whole")
}

// A question on the terminal is broken at spaces.
func TestQuestionBreaksAtSpaces(t *testing.T) {
	t.Parallel()
	none := filepath.Join(t.TempDir(), strings.Repeat("n", 30))
	w := open(t, nil, program(t), "--data", none)
	w.see("then Enter:")
	if want := none + ": is it mistyped, or its drive not plugged in? y starts a new one there"; !strings.Contains(flat(w.text()), want) {
		t.Errorf("no %q in\n%s", want, w.text())
	}
	w.press("n", "enter")
	w.end()
}
