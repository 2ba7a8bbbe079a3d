//go:build unix

package store

import (
	"bufio"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"os/signal"
	"path/filepath"
	"strconv"
	"syscall"
	"testing"
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/long"
	"fleece.example/tubside/session/must"
)

// childFile, when set, names the file that the test binary, started again as a
// process of its own, works on.
const childFile = "TUBSIDE_TEST_CHILD_FILE"

// child starts this test binary again with only the named test.
func child(test, path string) *exec.Cmd {
	cmd := exec.Command(os.Args[0], "-test.run=^"+test+"$", "-test.timeout=60s")
	cmd.Env = append(os.Environ(), childFile+"="+path)
	cmd.Stderr = os.Stderr
	return cmd
}

// killed runs a child until it has said that it is at work, and within so long kills it.
func killed(t *testing.T, test, path string, within time.Duration) {
	t.Helper()
	cmd := child(test, path)
	out := must.Get(cmd.StdoutPipe()).In(t)
	must.Do(t, cmd.Start())
	must.Get(out.Read(make([]byte, 5))).In(t)
	time.Sleep(rand.N(within))
	_ = cmd.Process.Kill()
	if err := cmd.Wait(); cmd.ProcessState.Exited() {
		t.Fatalf("the child ended by itself: %v", err)
	}
}

// TestChildAppends is not a test by itself: it is the process that is killed.
// It goes on with the open day and prints the seq of each event reported safe.
func TestChildAppends(t *testing.T) {
	path := os.Getenv(childFile)
	if path == "" {
		t.Skip("only as a child of TestKilledWhileAppending")
	}
	s := must.Get(Open(path)).In(t)
	id, ok, err := s.OpenDay()
	if err != nil {
		t.Fatal(err)
	}
	var had []session.Recorded
	if ok {
		had, err = s.Events(id)
	} else {
		id, err = s.NewDay()
	}
	if err != nil {
		t.Fatal(err)
	}
	for n := uint64(len(had)) + 1; ; {
		last := n + rand.Uint64N(4) // some appends bring several events
		must.Do(t, s.Append(id, notes(n, last), running(id)))
		fmt.Printf("safe %d\n", last)
		n = last + 1
	}
}

// slowest is how long a store may live and save nothing, on the slowest machine.
const slowest = 20 * time.Second

func TestKilledWhileAppending(t *testing.T) {
	var path string
	var safe, total, sum uint64
	round, rounds, within := 0, long.Of(4, 500), 250*time.Millisecond
	for ; round < rounds || sum+safe == 0 && within < slowest; round++ {
		if round >= rounds { // on a slow machine none has saved an event yet
			within *= 2
		}
		if round%12 == 0 { // each file is read whole after each kill
			path, sum, safe = filepath.Join(t.TempDir(), "wash.db"), sum+safe, 0
		}
		cmd := child("TestChildAppends", path)
		out := must.Get(cmd.StdoutPipe()).In(t)
		must.Do(t, cmd.Start())
		// The first round may die while the file is being made.
		wait := rand.N(within)
		killer := time.AfterFunc(wait, func() { _ = cmd.Process.Kill() })
		lines := bufio.NewScanner(out)
		for lines.Scan() {
			var n uint64
			if _, err := fmt.Sscanf(lines.Text(), "safe %d", &n); err == nil {
				safe = n
			}
		}
		if err := cmd.Wait(); cmd.ProcessState.Exited() {
			t.Fatalf("round %d: the child ended by itself: %v", round, err)
		}
		killer.Stop()

		s, err := Open(path)
		if err != nil {
			t.Fatalf("round %d, after %v: %v", round, wait, err)
		}
		checkSound(t, s)
		var got []session.Recorded
		if id, ok, err := s.OpenDay(); err != nil {
			t.Fatal(err)
		} else if ok {
			got = must.Get(s.Events(id)).In(t)
			wantEvents(t, s, id, notes(1, uint64(len(got)))) // in order, no gap
		}
		if total = uint64(len(got)); total < safe {
			t.Fatalf("round %d: %d events were reported safe, %d are there", round, safe, total)
		}
		must.Do(t, s.Close())
	}
	if sum+safe == 0 {
		t.Error("no round lived long enough to save an event")
	}
	t.Logf("%d kills: %d events reported safe, all of them there", round, sum+safe)
}

// childLimit is the size that the child's files may not pass.
const childLimit = "TUBSIDE_TEST_CHILD_LIMIT"

// TestChildFillsDisk is the process in which the system refuses writes past a
// size, as a full disk does.
func TestChildFillsDisk(t *testing.T) {
	path := os.Getenv(childFile)
	if path == "" {
		t.Skip("only as a child of TestFullDisk")
	}
	s := reopen(t, path)
	id, _ := must.Get2(s.OpenDay()).In(t)
	size := must.Get(strconv.ParseUint(os.Getenv(childLimit), 10, 64)).In(t)
	signal.Ignore(syscall.SIGXFSZ)
	setLimit := func(bytes uint64) {
		var l syscall.Rlimit
		must.Do(t, syscall.Getrlimit(syscall.RLIMIT_FSIZE, &l))
		l.Cur = min(bytes, l.Max)
		must.Do(t, syscall.Setrlimit(syscall.RLIMIT_FSIZE, &l))
	}
	setLimit(size)
	n := uint64(2)
	refused := 0
	for refused < 5 {
		if n > 50_000 {
			t.Fatal("the disk never filled up")
		}
		err := s.Append(id, notes(n, n+3), running(id))
		if err == nil {
			n += 4
			continue
		}
		refused++
		wantSentence(t, err, ErrSave, path, "make room", "file too large")
		checkSound(t, s)
		wantEvents(t, s, id, notes(1, n-1))
		if _, err := s.SaveFleece(bramble()); err == nil {
			t.Log("a small write still found room")
		}
	}
	setLimit(1 << 40)
	if err := s.Append(id, notes(n, n+3), running(id)); err != nil {
		t.Fatalf("with room again: %v", err)
	}
	wantEvents(t, s, id, notes(1, n+3))
}

func TestFullDisk(t *testing.T) {
	s := newStore(t)
	startDay(t, s, 1)
	checkAndClose(t, s)
	for _, limit := range []int{32 << 10, 64 << 10, 200_000} {
		cmd := child("TestChildFillsDisk", s.Path())
		cmd.Env = append(cmd.Env, childLimit+"="+strconv.Itoa(limit))
		content := must.Get(os.ReadFile(s.Path())).In(t)
		if out, err := cmd.Output(); err != nil {
			t.Fatalf("limit %d: %v\n%s", limit, err, out)
		}
		// Each limit begins with the same short day.
		must.Do(t, os.WriteFile(s.Path(), content, 0o600))
	}
}
