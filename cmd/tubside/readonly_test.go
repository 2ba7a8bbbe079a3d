//go:build unix

package main

import (
	"bytes"
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"syscall"
	"testing"

	"fleece.example/tubside/session/must"
)

// What only reads needs no right to write, neither to the file nor to its folder, and
// leaves nothing there.
func TestReadingNeedsNoRightToWrite(t *testing.T) {
	t.Parallel()
	top, err := os.MkdirTemp("", "tubside-test-") // whose folders others may enter
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = os.RemoveAll(top) })
	must.Do(t, os.Chmod(top, 0o755))
	whole := must.Get(os.ReadFile(program(t))).In(t)
	bin, dir, out := filepath.Join(top, "tubside"), filepath.Join(top, "data"), filepath.Join(top, "out")
	file := filepath.Join(dir, fileName)
	syscall.ForkLock.RLock() // a program that is started now would hold the file open, and it could not run
	wrote := os.WriteFile(bin, whole, 0o755)
	syscall.ForkLock.RUnlock()
	for _, err := range []error{wrote, os.Mkdir(dir, 0o755), os.Mkdir(out, 0o755), makeDay(file), os.Chmod(out, 0o777)} {
		if err != nil {
			t.Fatal(err)
		}
	}
	before := must.Get(os.ReadFile(file)).In(t)
	held := must.Get(os.ReadDir(dir)).In(t)
	must.Do(t, os.Chmod(file, 0o444))
	must.Do(t, os.Chmod(dir, 0o555))
	for _, args := range [][]string{
		{"tags"}, {"tags", "--code", "001J"}, {"tags", "--pdf", filepath.Join(out, "labels.pdf")},
		{"export", "--csv", "-"}, {"export", "--json", filepath.Join(out, "all.json")},
		{"backup", filepath.Join(out, "copy.db")}, {"check"}, {"restore"}, {"copies"},
	} {
		cmd := exec.Command(bin, append([]string{"--data", dir}, args...)...)
		cmd.Env = []string{"LANG=C.UTF-8", "HOME=" + out}
		if os.Getuid() == 0 { // who may write anywhere
			cmd.SysProcAttr = &syscall.SysProcAttr{Credential: &syscall.Credential{Uid: 65534, Gid: 65534}}
		}
		if said, err := cmd.CombinedOutput(); err != nil {
			t.Errorf("%v: %v\n%s", args, err, said)
		}
	}
	if after, err := os.ReadFile(file); err != nil || !bytes.Equal(after, before) {
		t.Errorf("the file has changed (%v)", err)
	}
	if left, err := os.ReadDir(dir); err != nil || len(left) != len(held) {
		t.Errorf("the folder has %v (%v)", left, err)
	}
}

// A disk that takes no writes is no reason not to see how the day stands.
func TestReadOnlyRecordIsShown(t *testing.T) {
	t.Parallel()
	if _, err := exec.LookPath("setpriv"); err != nil && os.Getuid() == 0 {
		t.Skip("root may write anywhere")
	}
	top, err := os.MkdirTemp("", "tubside-test-") // whose folders others may enter
	if err != nil {
		t.Fatal(err)
	}
	whole, err := os.ReadFile(program(t))
	bin, dir := filepath.Join(top, "tubside"), filepath.Join(top, "data")
	t.Cleanup(func() { _ = errors.Join(os.Chmod(dir, 0o700), os.RemoveAll(top)) })
	for _, err := range []error{err, os.Chmod(top, 0o755), os.WriteFile(bin, whole, 0o755), os.Mkdir(dir, 0o755), makeDay(filepath.Join(dir, fileName)), os.Chmod(filepath.Join(dir, fileName), 0o444), os.Chmod(dir, 0o555)} {
		if err != nil {
			t.Fatal(err)
		}
	}
	args := []string{bin, "--data", dir}
	if os.Getuid() == 0 {
		args = append([]string{"setpriv", "--reuid=65534", "--clear-groups"}, args...)
	}
	w := open(t, nil, args[0], args[1:]...)
	w.see("cannot be opened for writing")
	w.see("y shows here how the last wash day stands")
	w.press("y", "\r")
	w.see("This was wash day 1 as it stood at")
	if code := w.end(); code != 0 {
		t.Errorf("ended with %d", code)
	}
}
