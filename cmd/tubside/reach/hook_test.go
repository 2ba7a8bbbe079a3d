//go:build unix

package reach

import (
	"encoding/json"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/must"
)

// said collects sentences.
type said struct {
	mu   sync.Mutex
	text []string
}

func (s *said) tell(text string) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.text = append(s.text, text)
}

func (s *said) all() []string {
	s.mu.Lock()
	defer s.mu.Unlock()
	return append([]string(nil), s.text...)
}

// until waits for what is bound to come; the limit is for a program that hangs.
func until(t *testing.T, what string, is func() bool) {
	t.Helper()
	for began := time.Now(); !is(); time.Sleep(5 * time.Millisecond) {
		if time.Since(began) > 30*time.Second {
			t.Fatalf("never: %s", what)
		}
	}
}

func (h *Hook) idle() bool {
	h.queue.mu.Lock()
	defer h.queue.mu.Unlock()
	return h.queue.active == 0 && len(h.queue.jobs) == 0
}

func write(t *testing.T, path, body string, mode os.FileMode) string {
	t.Helper()
	syscall.ForkLock.RLock() // a program that is started now would hold the file open, and it could not run
	defer syscall.ForkLock.RUnlock()
	must.Do(t, os.WriteFile(path, []byte("#!/bin/sh\n"+body+"\n"), mode))
	return path
}

func exists(path string) bool { _, err := os.Stat(path); return err == nil }

var facts = Facts{What: Escalated, Tub: "north\x1b[2J tub", Alarm: session.NearRelease, Priority: session.HighPriority,
	Text: "north tub cools; $(touch bad) `touch bad`", Do: "lift the fleece now", LeftMin: 3.96,
	At: time.Date(2026, 5, 16, 9, 30, 0, 0, time.UTC), Standing: 2}

func TestHookIsToldTheFacts(t *testing.T) {
	for _, v := range os.Environ() { // of the tests, not of the facts; put back afterwards
		if name, _, _ := strings.Cut(v, "="); strings.HasPrefix(name, "TUBSIDE_") {
			t.Setenv(name, "")
			must.Do(t, os.Unsetenv(name))
		}
	}
	dir := t.TempDir()
	for name, o := range map[string]HookOptions{
		"command": {Command: []string{write(t, filepath.Join(dir, "hook"), `env | grep ^TUBSIDE_ | sort > "$1/command.env"; cat > "$1/command.json"`, 0o755), dir}},
		"shell":   {Shell: "env | grep ^TUBSIDE_ | sort > '" + dir + "/shell.env'; cat > '" + dir + "/shell.json'"},
	} {
		t.Run(name, func(t *testing.T) {
			var s said
			o.Trouble = s.tell
			h := NewHook(o)
			defer h.Close()
			h.Run(facts)
			until(t, "done", h.idle)
			env, err := os.ReadFile(filepath.Join(dir, name+".env"))
			if err != nil {
				t.Fatal(err, s.all())
			}
			want := `TUBSIDE_ALARM=cooling: lift soon
TUBSIDE_AT=2026-05-16T09:30:00Z
TUBSIDE_DO=lift the fleece now
TUBSIDE_LEFT_MIN=4
TUBSIDE_PRIORITY=high
TUBSIDE_STANDING=2
TUBSIDE_TEXT=north tub cools; $(touch bad) ` + "`touch bad`" + `
TUBSIDE_TUB=north tub
TUBSIDE_WHAT=escalated
`
			if string(env) != want {
				t.Errorf("environment:\n%s", env)
			}
			b := must.Get(os.ReadFile(filepath.Join(dir, name+".json"))).In(t)
			var got map[string]any
			if err := json.Unmarshal(b, &got); err != nil {
				t.Fatalf("%v: %s", err, b)
			}
			if got["what"] != "escalated" || got["tub"] != "north tub" || got["left_min"] != 4.0 || got["alarm"] != "cooling: lift soon" || got["standing"] != 2.0 {
				t.Errorf("input: %v", got)
			}
			if len(s.all()) > 0 {
				t.Error(s.all())
			}
			if exists(filepath.Join(dir, "bad")) || exists("bad") {
				t.Error("the facts were run")
			}
		})
	}
}

func TestFactsNobodyKnows(t *testing.T) {
	for _, v := range []float64{math.NaN(), math.Inf(1)} {
		f := Facts{LeftMin: v}
		b, err := f.JSON()
		if err != nil || !strings.Contains(string(b), `"left_min":null`) || !strings.Contains(strings.Join(f.Env(), "\n"), "TUBSIDE_LEFT_MIN=\n") {
			t.Errorf("%v: %s, %v, %v", v, b, f.Env(), err)
		}
	}
}

// Each kind of a command that goes wrong is told once, in a sentence, and holds
// nothing up.
func TestHookGoesWrong(t *testing.T) {
	dir := t.TempDir()
	const tooLong = 500 * time.Millisecond
	for _, c := range []struct {
		name string
		o    HookOptions
		want string
	}{
		{"hangs", HookOptions{Shell: "sleep 60 & sleep 60", Timeout: tooLong}, "did not end within"},
		{"takes no signals", HookOptions{Shell: "trap '' TERM INT HUP; sleep 60", Timeout: tooLong}, "did not end within"},
		{"floods", HookOptions{Shell: "yes flood"}, "printed more than 65536 bytes"},
		{"floods from behind", HookOptions{Shell: "yes flood & wait"}, "printed more than 65536 bytes"},
		{"fails", HookOptions{Shell: "echo first; echo 'no \033[31mpager' >&2; exit 3"}, "exit status 3): no pager"},
		{"is not executable", HookOptions{Command: []string{write(t, filepath.Join(dir, "plain"), "exit 0", 0o644)}}, "not a program that may be run"},
		{"does not exist", HookOptions{Command: []string{filepath.Join(dir, "none")}}, "was not found"},
		{"is a folder", HookOptions{Command: []string{dir}}, "not a program that may be run"},
		{"is in no folder of PATH", HookOptions{Command: []string{"tubside-no-such-program"}}, "give its whole path"},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			var s said
			c.o.Trouble = s.tell
			h := NewHook(c.o)
			defer h.Close()
			h.Run(facts)
			h.Run(facts)
			until(t, "given up", h.idle)
			if got := s.all(); len(got) != 1 || !strings.Contains(got[0], c.want) || !strings.HasPrefix(got[0], "your command for alarms: ") || strings.ContainsRune(got[0], 0x1b) {
				t.Errorf("told %q", got)
			}
		})
	}
}

// A time limit ends all the command started, not only itself.
func TestHookLeavesNothingBehind(t *testing.T) {
	dir := t.TempDir()
	pids := filepath.Join(dir, "pids")
	h := NewHook(HookOptions{Shell: "sleep 60 & echo $! > " + pids + ".new; mv " + pids + ".new " + pids + "; sleep 60", Timeout: 5 * time.Second})
	h.Run(facts)
	until(t, "started", func() bool { return exists(pids) })
	h.Close()
	b := must.Get(os.ReadFile(pids)).In(t)
	proc := "/proc/" + strings.TrimSpace(string(b))
	if !exists("/proc/self") {
		t.Skip("no /proc to look into")
	}
	until(t, "ended", func() bool {
		stat, err := os.ReadFile(proc + "/stat")
		return err != nil || strings.Contains(string(stat), ") Z ") // nobody may be there to bury it
	})
}

// A command that deletes itself runs once and is then told to be missing; one
// that comes back is told of again when it fails again.
func TestHookDeletesItself(t *testing.T) {
	path := filepath.Join(t.TempDir(), "hook")
	var s said
	h := NewHook(HookOptions{Command: []string{write(t, path, `rm "$0"`, 0o755)}, Trouble: s.tell})
	defer h.Close()
	for range 3 {
		h.Run(facts)
		until(t, "done", h.idle)
	}
	if got := s.all(); len(got) != 1 || !strings.Contains(got[0], "was not found") {
		t.Fatalf("told %q", got)
	}
	write(t, path, `rm "$0"`, 0o755)
	for range 2 {
		h.Run(facts)
		until(t, "done", h.idle)
	}
	if got := s.all(); len(got) != 2 {
		t.Errorf("told %q", got)
	}
}

// A hundred at once: the caller does not wait, no more than allowed run, what
// does not fit is given up from the old end and told once.
func TestHundredAtOnce(t *testing.T) {
	dir := t.TempDir()
	gate, log := filepath.Join(dir, "gate"), filepath.Join(dir, "log")
	var s said
	h := NewHook(HookOptions{Shell: "echo start $TUBSIDE_STANDING >> " + log + "; while [ ! -e " + gate + " ]; do sleep 0.02; done; echo end >> " + log,
		Running: 3, Waiting: 10, Trouble: s.tell})
	defer h.Close()
	for i := range 100 {
		f := facts
		f.Standing = i
		h.Run(f)
	}
	read := func() string { b, _ := os.ReadFile(log); return string(b) }
	until(t, "three run", func() bool { return strings.Count(read(), "start") == 3 })
	if strings.Contains(read(), "end") {
		t.Error("the gate is open")
	}
	must.Do(t, os.WriteFile(gate, nil, 0o644))
	until(t, "done", h.idle)
	running, most := 0, 0
	for _, line := range strings.Split(strings.TrimSpace(read()), "\n") {
		if strings.HasPrefix(line, "start") {
			running++
		} else {
			running--
		}
		most = max(most, running)
	}
	if most > 3 {
		t.Errorf("%d ran at once", most)
	}
	for i := 90; i < 100; i++ {
		if !strings.Contains(read(), fmt.Sprintf("start %d\n", i)) {
			t.Errorf("alarm %d, among the newest, was not passed on", i)
		}
	}
	if n := strings.Count(read(), "start"); n != 13 {
		t.Errorf("%d runs", n)
	}
	if got := s.all(); len(got) != 1 || !strings.Contains(got[0], "busy with 3 alarms and 10 more wait") {
		t.Errorf("told %q", got)
	}
}

// A hook with no command does nothing, and one that is closed starts nothing.
func TestHookIdle(t *testing.T) {
	h := NewHook(HookOptions{})
	h.Run(facts)
	h.Close()
	dir := t.TempDir()
	h = NewHook(HookOptions{Shell: "touch " + dir + "/ran"})
	h.Close()
	h.Run(facts)
	if !h.idle() || exists(dir+"/ran") {
		t.Error("a closed hook runs")
	}
}
