//go:build unix

package store

import (
	"errors"
	"fmt"
	"os"
	"os/signal"
	"path/filepath"
	"syscall"
	"testing"
	"time"

	"fleece.example/tubside/session/long"
	"fleece.example/tubside/session/must"
)

// TestChildCopies is the process that is killed: it writes and copies in turns.
func TestChildCopies(t *testing.T) {
	path := os.Getenv(childFile)
	if path == "" {
		t.Skip("only as a child of TestKilledWhileCopying")
	}
	s := must.Get(Open(path)).In(t)
	id, _ := must.Get2(s.OpenDay()).In(t)
	had := must.Get(s.Events(id)).In(t)
	fmt.Println("begun")
	for n := uint64(len(had)) + 1; ; n++ {
		must.Do(t, s.Append(id, notes(n, n), running(id)))
		must.Get(s.CopyInto(CopiesFolder(path), morning.Add(time.Duration(n)*time.Hour))).In(t)
	}
}

// Killed at any moment, every copy that has a name is whole, and so is the record.
func TestKilledWhileCopying(t *testing.T) {
	s := must.Get(Open(filepath.Join(t.TempDir(), "wash.db"))).In(t)
	startDay(t, s, 300)
	checkAndClose(t, s)
	most, rounds, within := 0, long.Of(6, 40), 80*time.Millisecond
	for round := 0; round < rounds || most == 0 && within < slowest; round++ {
		if round >= rounds { // on a slow machine none has made a copy yet
			within *= 2
		}
		killed(t, "TestChildCopies", s.Path(), within)
		if _, err := Examine(s.Path()); err != nil {
			t.Fatalf("round %d: the record: %v", round, err)
		}
		all := must.Get(Copies(CopiesFolder(s.Path()))).In(t)
		for _, c := range all {
			if _, err := Examine(c.Path); err != nil || c.Kind != Regular {
				t.Errorf("round %d: %v: %v", round, c, err)
			}
		}
		most = max(most, len(all))
	}
	if most == 0 {
		t.Error("no round lived long enough for a copy")
	}
	t.Logf("up to %d copies", most)
}

// TestChildCopiesToFullDisk is the process in which the system refuses a file as large
// as a copy.
func TestChildCopiesToFullDisk(t *testing.T) {
	path := os.Getenv(childFile)
	if path == "" {
		t.Skip("only as a child of TestCopyToFullDisk")
	}
	s := reopen(t, path)
	signal.Ignore(syscall.SIGXFSZ)
	var l syscall.Rlimit
	must.Do(t, syscall.Getrlimit(syscall.RLIMIT_FSIZE, &l))
	was := l.Cur
	l.Cur = 40_000
	must.Do(t, syscall.Setrlimit(syscall.RLIMIT_FSIZE, &l))
	folder := CopiesFolder(path)
	_, err := s.CopyInto(folder, morning)
	wantSentence(t, err, ErrNotWritable, folder, "file too large", "make room", "The record itself is not touched")
	if entries, err := os.ReadDir(folder); err != nil || len(entries) != 0 {
		t.Errorf("left: %v, %v", entries, err)
	}
	l.Cur = was
	must.Do(t, syscall.Setrlimit(syscall.RLIMIT_FSIZE, &l))
	if _, err := s.CopyInto(folder, morning); err != nil {
		t.Errorf("with room again: %v", err)
	}
}

func TestCopyToFullDisk(t *testing.T) {
	s := newStore(t)
	startDay(t, s, 500)
	checkAndClose(t, s)
	if out, err := child("TestChildCopiesToFullDisk", s.Path()).Output(); err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
}

// Copies are made while the day is written to: no save waits for one.
func TestCopyingHoldsNobodyUp(t *testing.T) {
	s := newStore(t)
	id := startDay(t, s, uint64(long.Of(20_000, 100_000))+1)
	stop, done := make(chan struct{}), make(chan error, 1)
	go func() {
		for n := 0; ; n++ {
			select {
			case <-stop:
				done <- nil
				return
			default:
			}
			if _, err := s.CopyInto(CopiesFolder(s.Path()), morning.Add(time.Duration(n)*time.Second)); err != nil {
				done <- err
				return
			}
		}
	}()
	var slowest time.Duration
	n := uint64(long.Of(20_000, 100_000)) + 2
	for began := time.Now(); time.Since(began) < time.Second; n++ {
		at := time.Now()
		must.Do(t, s.Append(id, notes(n, n), running(id)))
		slowest = max(slowest, time.Since(at))
	}
	close(stop)
	if err := <-done; err != nil && !errors.Is(err, os.ErrNotExist) {
		t.Fatal(err)
	}
	t.Logf("the slowest save took %v", slowest)
	if slowest > time.Second {
		t.Errorf("a save waited %v for a copy", slowest)
	}
}
