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
	"fleece.example/tubside/store"
)

// A store that was made by somebody else runs nothing here, even with an alarm at once,
// until its command was read and confirmed; on a third machine it is asked for again.
func TestStoreFromElsewhere(t *testing.T) {
	t.Parallel()
	dir, path := t.TempDir(), program(t)
	ran := filepath.Join(dir, "ran")
	file := filepath.Join(dir, fileName)
	if err := makeDayAt(file, time.Now().Add(-90*time.Minute).UTC().Truncate(time.Second)); err != nil { // overdue
		t.Fatal(err)
	}
	s := must.Get(store.Open(file)).In(t)
	must.Do(t, errors.Join(s.SaveAlarmSettings(session.AlarmSettings{Hook: "echo >> " + ran}), s.Close()))
	start := func(home string) *window {
		return open(t, []string{"HOME=" + home}, path, "--data", dir)
	}

	first, second := t.TempDir(), t.TempDir()
	w := start(first)
	w.see("still open")
	if comes(ran, 2*time.Second) {
		t.Fatal("the command of a store from elsewhere was run")
	}
	w.press("enter")
	w.see("is not run on this machine yet: l shows it")
	w.press("l")
	w.see("echo >>")
	w.press("c")
	w.see("allowed on this machine from now on")
	w.press("ctrl+c")
	w.see("again")
	w.press("ctrl+c")
	w.end()

	w = start(first)
	w.see("still open")
	if !comes(ran, patience) {
		t.Error("the command that was confirmed here was not run")
	}
	w.press("enter")
	w.see("North")
	if strings.Contains(w.text(), "is not run on this machine") {
		t.Errorf("it is asked for again:\n%s", w.text())
	}
	w.press("ctrl+c")
	w.see("again")
	w.press("ctrl+c")
	w.end()

	w = start(second)
	w.see("still open")
	if comes(ran, 2*time.Second) {
		t.Error("what was confirmed on one machine was run on another")
	}
}

// A record that others may change is called so at home.
func TestExposedIsSaid(t *testing.T) {
	dir, path := t.TempDir(), program(t)
	must.Do(t, makeDay(filepath.Join(dir, fileName)))
	must.Do(t, os.Chmod(dir, 0o777))
	w := open(t, nil, path, "--data", dir)
	w.see("still open")
	w.press("esc")
	w.see("any user may change")
}
