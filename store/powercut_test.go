//go:build linux

package store

import (
	"bufio"
	"encoding/hex"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"fleece.example/tubside/session/long"
	"fleece.example/tubside/session/must"
)

// A diskStep is what a program asked of the disk, or said.
type diskStep struct {
	data []byte // written at
	at   int64
	size int64  // made so long, where no data
	sync bool   // all before it lies on the disk
	safe uint64 // said: events up to this are saved
}

var (
	tracedWrite = regexp.MustCompile(`pwrite64\(\d+<([^>]*)>, "((?:\\x[0-9a-f]{2})*)", \d+, (\d+)`)
	tracedSize  = regexp.MustCompile(`ftruncate\(\d+<([^>]*)>, (\d+)`)
	tracedSync  = regexp.MustCompile(`(?:fdatasync|fsync)\(\d+<([^>]*)>\) += 0`)
	tracedHalf  = regexp.MustCompile(`(?:fdatasync|fsync)\(\d+<([^>]*)> <unfinished`)
	tracedEnd   = regexp.MustCompile(`<\.\.\. (?:fdatasync|fsync) resumed>\) += 0`)
	tracedSaid  = regexp.MustCompile(`write\(1<[^>]*>, "((?:\\x[0-9a-f]{2})*)"`)
)

func unhex(s string) []byte {
	b, _ := hex.DecodeString(strings.ReplaceAll(s, `\x`, ""))
	return b
}

// diskSteps are what the child that appends asked of its file, in order, as strace saw it, in so
// long and until some events were called safe.
func diskSteps(t *testing.T, path string, lives time.Duration) (out []diskStep) {
	t.Helper()
	if _, err := exec.LookPath("strace"); err != nil {
		t.Skip("no strace here, which sees what is asked of the disk")
	}
	trace := filepath.Join(t.TempDir(), "trace")
	c := child("TestChildAppends", path)
	cmd := exec.Command("strace", append([]string{"-f", "-y", "-xx", "-s", "1000000", "-e", "trace=pwrite64,write,ftruncate,fdatasync,fsync", "-o", trace}, c.Args...)...)
	cmd.Env, cmd.SysProcAttr = c.Env, &syscall.SysProcAttr{Setpgid: true}
	said := must.Get(cmd.StdoutPipe()).In(t)
	began := time.Now()
	if err := cmd.Start(); err != nil {
		t.Skip(err)
	}
	told := bufio.NewScanner(said)
	for n := 0; (n < 10 || time.Since(began) < lives) && told.Scan(); {
		n++
	}
	_ = syscall.Kill(-cmd.Process.Pid, syscall.SIGKILL)
	_ = cmd.Wait() // it was killed
	f := must.Get(os.Open(trace)).In(t)
	defer func() { _ = f.Close() }() // only read
	lines := bufio.NewScanner(f)
	lines.Buffer(nil, 64<<20)
	halves := map[string]bool{} // threads in the middle of a sync of this file
	for lines.Scan() {
		l := lines.Text()
		thread, _, _ := strings.Cut(l, " ")
		mine := func(m []string) bool { return m != nil && m[1] == hexPath(path) || m != nil && m[1] == path }
		if m := tracedWrite.FindStringSubmatch(l); mine(m) {
			at, _ := strconv.ParseInt(m[3], 10, 64)
			out = append(out, diskStep{data: unhex(m[2]), at: at})
		} else if m := tracedSize.FindStringSubmatch(l); mine(m) {
			size, _ := strconv.ParseInt(m[2], 10, 64)
			out = append(out, diskStep{size: size})
		} else if m := tracedSync.FindStringSubmatch(l); mine(m) {
			out = append(out, diskStep{sync: true})
		} else if m := tracedHalf.FindStringSubmatch(l); mine(m) {
			halves[thread] = true
		} else if tracedEnd.MatchString(l) && halves[thread] {
			delete(halves, thread)
			out = append(out, diskStep{sync: true})
		} else if m := tracedSaid.FindStringSubmatch(l); m != nil {
			if n, ok := strings.CutPrefix(string(unhex(m[1])), "safe "); ok {
				safe, _ := strconv.ParseUint(strings.TrimSpace(n), 10, 64)
				out = append(out, diskStep{safe: safe})
			}
		}
	}
	must.Do(t, lines.Err())
	return out
}

// hexPath is a path as strace writes it with -xx.
func hexPath(path string) string {
	var b strings.Builder
	for _, c := range []byte(path) {
		b.WriteString(`\x` + hex.EncodeToString([]byte{c}))
	}
	return b.String()
}

// put does a step to a file's bytes; torn says how much of a write reached the disk.
func put(file []byte, s diskStep, torn int) []byte {
	end := s.size
	if s.data != nil {
		end = max(int64(len(file)), s.at+int64(torn))
	}
	if end > int64(len(file)) {
		file = append(file, make([]byte, end-int64(len(file)))...)
	}
	copy(file[min(s.at, int64(len(file))):], s.data[:torn])
	return file[:end:end]
}

// A power cut at any moment: what was synced lies on the disk, of what was written since any
// part, in any order, a sector at a time. What was called safe is there, whole and in order.
func TestPowerCutLosesNothingSafe(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	path := filepath.Join(dir, "wash.db")
	steps := diskSteps(t, path, long.Of(700*time.Millisecond, 4*time.Second))
	syncs, said := 0, uint64(0)
	for _, s := range steps {
		if s.sync {
			syncs++
		}
		said = max(said, s.safe)
	}
	if len(steps) == 0 {
		t.Skip("strace saw nothing: it may not look into programs here")
	}
	if said < 5 {
		t.Fatalf("only %d events were called safe", said)
	}
	const sector = 512
	cuts, pendings := long.Of(30, 2000), 0
	for n := range cuts {
		cut := 1 + rand.IntN(len(steps))
		var file []byte
		var safe uint64
		last := 0 // behind the last sync
		for i, s := range steps[:cut] {
			if safe = max(safe, s.safe); s.sync {
				last = i + 1
			}
		}
		for _, s := range steps[:last] {
			if !s.sync && s.safe == 0 {
				file = put(file, s, len(s.data))
			}
		}
		pending := append([]diskStep(nil), steps[last:cut]...)
		rand.Shuffle(len(pending), func(i, j int) { pending[i], pending[j] = pending[j], pending[i] })
		for _, s := range pending {
			if s.sync || s.safe > 0 || rand.IntN(2) == 0 {
				continue
			}
			pendings++
			torn := len(s.data)
			if torn > sector && rand.IntN(3) == 0 {
				torn = sector * rand.IntN(torn/sector)
			}
			if s.data == nil && s.size < int64(len(file)) {
				continue
			}
			file = put(file, s, torn)
		}
		at := filepath.Join(t.TempDir(), "wash.db")
		must.Do(t, os.WriteFile(at, file, 0o600))
		s, err := Open(at)
		if safe == 0 && err != nil {
			continue // the file was being made: nothing was called saved
		}
		if err != nil {
			t.Fatalf("cut %d at step %d of %d, %d safe: %v", n, cut, len(steps), safe, err)
		}
		id, ok, err := s.OpenDay()
		if err != nil || !ok && safe > 0 {
			t.Fatalf("cut %d at step %d: no open day (%v)", n, cut, err)
		}
		if ok {
			got, err := s.Events(id)
			if err != nil || uint64(len(got)) < safe {
				t.Fatalf("cut %d at step %d of %d: %d events were safe, %d are there (%v)", n, cut, len(steps), safe, len(got), err)
			}
			wantEvents(t, s, id, notes(1, uint64(len(got))))
		}
		must.Do(t, s.Close())
	}
	t.Logf("%d cuts in %d steps with %d syncs and %d events; %d writes that were not synced reached the disk all the same", cuts, len(steps), syncs, said, pendings)
}
