//go:build linux

package sound

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/must"
)

// fake is a player with these ways out.
func fake(t *testing.T, log func(string), ways ...path) *Player {
	t.Helper()
	if log == nil {
		log = func(s string) { t.Log("said: " + s) }
	}
	p := newPlayer(Options{Log: log}, &debt{}, ways)
	t.Cleanup(p.Close)
	return p
}

// taker is a way that plays into a file in real time.
func taker(t *testing.T) (path, string) {
	t.Helper()
	self := must.Get(os.Executable()).In(t)
	file := filepath.Join(t.TempDir(), "good.raw")
	return path{name: "good", start: fed(nil, "good", self, "as-player", file)}, file
}

func sh(line string) []string { return []string{"/bin/sh", "-c", line, "sh"} }

// Each way a player can be bad: it is found out, the reason is a sentence, its
// words do not reach the screen, and the next one plays.
func TestBadPlayers(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name  string
		start func(session.Priority) (*voice, error)
		want  string
	}{
		{"ends at once", fed(nil, "bad", sh("exit 0")...), "ended before its sound did"},
		{"fails", fed(nil, "bad", sh("echo noise; echo 'no \033[2Jdevice' >&2; exit 1")...), "exit status 1): no device"},
		{"fails later", fed(nil, "bad", sh("sleep 0.7; exit 1")...), "exit status 1"},
		{"takes nothing", fed(nil, "bad", sh("sleep 60")...), "has taken no sound for"},
		{"plays into nothing", fed(nil, "bad", sh("cat > /dev/null")...), "plays into nothing"},
		{"floods", fed(nil, "bad", sh("yes noise | head -c 9000000; exit 1")...), "exit status 1"},
		{"is not there", fed(nil, "bad", "/no/such/player"), "was not found"},
		{"takes a file and ends at once", filed(nil, "bad", sh("exit 0")...), "ended before its sound did"},
		{"takes a file and fails", filed(nil, "bad", sh("echo 'wrong file' >&2; exit 2")...), "exit status 2): wrong file"},
		{"is not there for a file", filed(nil, "bad", "/no/such/player"), "was not found"},
		{"panics", func(session.Priority) (*voice, error) {
			v := newVoice()
			v.stop = func() {}
			go func() { defer v.guard(); panic("out of tune") }()
			return v, nil
		}, "out of tune"},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			var mu sync.Mutex
			var said []string
			good, _ := taker(t)
			p := fake(t, func(s string) { mu.Lock(); defer mu.Unlock(); said = append(said, s) },
				path{name: "bad", start: c.start}, good)
			p.Ring(session.HighPriority)
			eventually(t, p, "played by the next", func(s State) bool { return s.Working && s.Path == "good" && s.Problem == "" })
			mu.Lock()
			defer mu.Unlock()
			if len(said) != 1 || !strings.Contains(said[0], c.want) || strings.ContainsRune(said[0], 0x1b) {
				t.Errorf("said %q", said)
			}
		})
	}
}

// A mistake in starting a player costs a round, not the program.
func TestStartPanics(t *testing.T) {
	t.Parallel()
	var mu sync.Mutex
	tries := 0
	good, _ := taker(t)
	p := fake(t, nil, path{name: "odd", start: func(pr session.Priority) (*voice, error) {
		mu.Lock()
		defer mu.Unlock()
		if tries++; tries == 1 {
			panic("out of tune")
		}
		return good.start(pr)
	}})
	p.Ring(session.HighPriority)
	eventually(t, p, "says so", func(s State) bool { return strings.Contains(s.Problem, "out of tune") })
	eventually(t, p, "plays", func(s State) bool { return s.Working && s.Path == "odd" })
}

// With no way out it says so, and goes on trying.
func TestNoPlayer(t *testing.T) {
	t.Parallel()
	var mu sync.Mutex
	broken := true
	good, _ := taker(t)
	p := fake(t, func(string) {}, path{name: "late", start: func(pr session.Priority) (*voice, error) {
		mu.Lock()
		defer mu.Unlock()
		if broken {
			return nil, errors.New("the device is unplugged")
		}
		return good.start(pr)
	}})
	p.Ring(session.HighPriority)
	s := eventually(t, p, "given up", func(s State) bool { return strings.HasPrefix(s.Problem, nobody) })
	if s.Working || !strings.Contains(s.Problem, "unplugged") {
		t.Errorf("state %+v", s)
	}
	r := fake(t, func(string) {}).check(t.Context(), session.LowPriority)
	if r.Played || r.Path != "" || r.Problem == "" {
		t.Errorf("check %+v", r)
	}
	mu.Lock()
	broken = false
	mu.Unlock()
	eventually(t, p, "plays", func(s State) bool { return s.Working && s.Problem == "" })
}

// A change of pattern with a player that has to be started anew, and the same
// one again after that.
func TestChangeByStartingAnew(t *testing.T) {
	t.Parallel()
	good, file := taker(t)
	p := fake(t, nil, good)
	p.Ring(session.LowPriority)
	eventually(t, p, "plays", func(s State) bool { return s.Working })
	p.Ring(session.HighPriority)
	for began := time.Now(); ; time.Sleep(20 * time.Millisecond) {
		raw, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		err = hold(append(make([]float64, 480), decode(raw)...), PatternOf(session.HighPriority), 4)
		if err == nil {
			break
		}
		if time.Since(began) > 20*time.Second {
			t.Fatal(err)
		}
	}
	if s := p.State(); s.Path != "good" || !s.Working {
		t.Errorf("state %+v", s)
	}
}

// A player that takes a file is given one burst and started again after the
// pause; that it plays is known when a run has ended on time. Silence takes the
// file away.
func TestFiledPlayer(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	line := fmt.Sprintf(`cp "$1" %[1]s/new; echo "$1" > %[1]s/name; mv %[1]s/new %[1]s/got; sleep %.3[2]f`, dir, PatternOf(session.MediumPriority).Burst().Seconds())
	way := path{name: "file", start: filed(nil, "file", sh(line)...)}
	p := fake(t, nil, way)
	p.Ring(session.MediumPriority)
	for began := time.Now(); p.State().Path == ""; time.Sleep(10 * time.Millisecond) {
		if _, err := os.Stat(filepath.Join(dir, "got")); err != nil && p.State().Working {
			t.Fatal("it is said to play before it has")
		}
		if time.Since(began) > 20*time.Second {
			t.Fatalf("it never plays: %+v", p.State())
		}
	}
	got := must.Get(os.ReadFile(filepath.Join(dir, "got"))).In(t)
	if string(got) != string(burstWAV(session.MediumPriority)) {
		t.Errorf("a file of %d bytes, want %d", len(got), len(burstWAV(session.MediumPriority)))
	}
	name := must.Get(os.ReadFile(filepath.Join(dir, "name"))).In(t)
	p.Close()
	if _, err := os.Stat(strings.TrimSpace(string(name))); !os.IsNotExist(err) {
		t.Errorf("the file is still there: %v", err)
	}
	if r := fake(t, nil, way).check(t.Context(), session.MediumPriority); !r.Played || r.Path != "file" {
		t.Errorf("check %+v", r)
	}
}

// A player that hangs, one that takes its sound and one that is given a file, is
// never said to have played, however short the sound.
func TestStuckPlayersDoNotPass(t *testing.T) {
	t.Parallel()
	for name, start := range map[string]func(session.Priority) (*voice, error){
		"takes nothing":                 fed(nil, "stuck", sh("sleep 60")...),
		"fills its buffer and hangs":    fed(nil, "stuck", sh("head -c 30000 > /dev/null; sleep 60")...),
		"takes a file and hangs":        filed(nil, "stuck", sh("sleep 60")...),
		"plays for a while, then hangs": fed(nil, "stuck", sh("for i in 1 2; do head -c 19200 > /dev/null; sleep 0.1; done; sleep 60")...),
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			r := fake(t, nil, path{name: "stuck", start: start}).check(t.Context(), session.LowPriority)
			if r.Played || r.Path != "" || r.Problem == "" {
				t.Errorf("check %+v", r)
			}
		})
	}
}

// lasts is held to the length of the sound at both ends.
func TestFileLasts(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		line string
		long time.Duration
		want string
	}{
		{"sleep 1.5", 1500 * time.Millisecond, ""},
		{"sleep 0.1", 1500 * time.Millisecond, "ended before"},
		{"sleep 60", 100 * time.Millisecond, "did not come to the end"},
	} {
		t.Run(c.line, func(t *testing.T) {
			t.Parallel()
			proc, err := begin(nil, nil, nil, sh(c.line)...)
			if err != nil {
				t.Fatal(err)
			}
			err = lasts(proc, "it", c.long, make(chan struct{}))
			if fmt.Sprint(err) != "<nil>" && c.want == "" || c.want != "" && (err == nil || !strings.Contains(err.Error(), c.want)) {
				t.Errorf("%s for %v: %v", c.line, c.long, err)
			}
		})
	}
}

// The caller never waits, whatever the players do.
func TestCallerDoesNotWait(t *testing.T) {
	through, called := make(chan struct{}), make(chan struct{})
	p := fake(t, func(string) {}, path{name: "slow", start: func(session.Priority) (*voice, error) {
		<-through
		return nil, errors.New("too slow")
	}})
	go func() {
		defer close(called)
		for range 1000 {
			p.Ring(session.HighPriority)
			p.State()
			p.Silence()
		}
	}()
	select {
	case <-called:
	case <-time.After(20 * time.Second):
		t.Error("a call waits for a player")
	}
	close(through)
}

// A helper that hangs before it plays is stopped and the next one plays; one
// that is none of ours as well.
func TestHelperHangs(t *testing.T) {
	t.Parallel()
	self := must.Get(os.Executable()).In(t)
	for name, file := range map[string]string{"hangs": self, "is another program": "/bin/echo", "is not there": "/no/such/file"} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			good, _ := taker(t)
			o := Options{Self: file, Env: []string{"TUBSIDE_TEST_HELPER=hang"}}
			p := fake(t, nil, path{name: "helper", start: helped(o, &debt{})}, good)
			p.Ring(session.HighPriority)
			if s := eventually(t, p, "played by the next", func(s State) bool { return s.Working }); s.Path != "good" {
				t.Errorf("%+v", s)
			}
		})
	}
}
