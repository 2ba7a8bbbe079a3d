//go:build unix

package main

import (
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"fleece.example/tubside/session/must"
)

// While the day's screen has the record open, every command that only reads works; a
// second start shows how the day stands, if it is asked to.
func TestCommandsWhileTheDayIsOpen(t *testing.T) {
	t.Parallel()
	dir, out, exe := t.TempDir(), t.TempDir(), program(t)
	must.Do(t, makeDay(filepath.Join(dir, fileName)))
	first := open(t, nil, exe, "--data", dir)
	first.see("A wash day is still open")
	for _, c := range []struct{ args, want string }{
		{"tags", "001J"}, {"tags", "open in another window: tags that are printed from there are noted"},
		{"tags --code 001J", "001J"}, {"tags --pdf " + filepath.Join(out, "labels.pdf"), "labels.pdf"},
		{"export --csv -", "batch"}, {"export --json " + filepath.Join(out, "all.json"), "is written"},
		{"backup " + filepath.Join(out, "copy.db"), "are copied"}, {"check", "All is whole"},
		{"review", "ash day 1"}, {"review --html " + filepath.Join(out, "day.html"), "is in"},
	} {
		cmd := exec.Command(exe, append([]string{"--data", dir}, strings.Fields(c.args)...)...)
		cmd.Env = []string{"LANG=C.UTF-8", "HOME=" + out}
		if said, err := cmd.CombinedOutput(); err != nil || !strings.Contains(string(said), c.want) {
			t.Errorf("%s: %v\n%s", c.args, err, said)
		}
	}
	if said, err := exec.Command(exe, "check", filepath.Join(out, "copy.db")).CombinedOutput(); err != nil {
		t.Errorf("the copy is not whole: %v\n%s", err, said)
	}
	second := open(t, nil, exe, "--data", dir)
	second.press("y", "\r") // typed ahead: no answer to a question that is not there yet
	second.see("anything else quits")
	second.press("n", "\r")
	if code := second.end(); code != 0 || strings.Contains(second.written(), "Who waited") {
		t.Errorf("what was typed ahead answered the question (%d)", code)
	}
	second = open(t, nil, exe, "--data", dir)
	second.see("anything else quits")
	second.press("y", "\r")
	second.see("This was wash day 1 as it stood at")
	if !strings.Contains(second.written(), "Who waited") {
		t.Error("the day is not shown")
	}
	if code := second.end(); code != 0 {
		t.Errorf("the second start ended with %d", code)
	}
	first.press("\x1b", "q") // later
	if code := first.end(); code != 0 {
		t.Errorf("the first ended with %d", code)
	}
	if _, err := os.Lstat(filepath.Join(dir, "tubside.sock")); err == nil {
		t.Error("the socket is still there")
	}
}
