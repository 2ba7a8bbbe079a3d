//go:build linux

package soundtest

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"fleece.example/tubside/session/must"
)

// Sink is a sound server of the test's own with an output that goes nowhere.
type Sink struct {
	// Env points a program at it, NAME=value; this process is not.
	Env []string

	t      *testing.T
	dir    string
	daemon *exec.Cmd
}

// Need skips where there is no sound server, unless it has to be there.
func Need(t *testing.T, programs ...string) {
	t.Helper()
	for _, p := range programs {
		if _, err := exec.LookPath(p); err != nil {
			if os.Getenv("TUBSIDE_NEED_SOUND") != "" {
				t.Fatalf("%s is not installed, and TUBSIDE_NEED_SOUND says that it has to be", p)
			}
			t.Skipf("%s is not installed: apt-get install pulseaudio pulseaudio-utils alsa-utils", p)
		}
	}
}

// New starts the server, which runs until the test ends.
func New(t *testing.T) *Sink {
	t.Helper()
	Need(t, "pulseaudio", "parec", "pactl")
	dir, err := os.MkdirTemp("", "tubside-sink-") // a socket's path must be short
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = os.RemoveAll(dir) })
	socket := filepath.Join(dir, "native")
	s := &Sink{t: t, dir: dir, Env: []string{"PULSE_SERVER=unix:" + socket}}
	for _, e := range []string{"XDG_RUNTIME_DIR", "HOME", "XDG_CONFIG_HOME", "PULSE_RUNTIME_PATH", "PULSE_STATE_PATH"} {
		d := filepath.Join(dir, e)
		must.Do(t, os.Mkdir(d, 0o700))
		s.Env = append(s.Env, e+"="+d)
	}
	var said bytes.Buffer
	s.daemon = s.Command("pulseaudio", "-n", "--daemonize=no", "--use-pid-file=no", "--exit-idle-time=-1", "--disable-shm=yes",
		"--log-target=stderr", "--log-level=error",
		"-L", "module-null-sink sink_name=shed rate=48000 channels=2",
		"-L", "module-native-protocol-unix auth-anonymous=1 socket="+socket)
	s.daemon.Stdout, s.daemon.Stderr = &said, &said
	must.Do(t, s.daemon.Start())
	t.Cleanup(func() {
		_ = s.daemon.Process.Signal(syscall.SIGCONT)
		_ = s.daemon.Process.Kill()
		_ = s.daemon.Wait()
	})
	for began := time.Now(); ; time.Sleep(10 * time.Millisecond) {
		if _, err := os.Stat(socket); err == nil && s.Command("pactl", "info").Run() == nil {
			return s
		}
		if time.Since(began) > 15*time.Second {
			t.Fatalf("the test's sound server does not answer: %s", said.String())
		}
	}
}

// Home is the folder that programs with its environment have for HOME.
func (s *Sink) Home() string { return filepath.Join(s.dir, "HOME") }

// Command is a program that finds the server.
func (s *Sink) Command(name string, args ...string) *exec.Cmd {
	cmd := exec.Command(name, args...)
	cmd.Env = append(os.Environ(), s.Env...)
	return cmd
}

// Pactl changes or asks the server; it gives back what it printed.
func (s *Sink) Pactl(args ...string) string {
	s.t.Helper()
	out, err := s.Command("pactl", args...).CombinedOutput()
	if err != nil {
		s.t.Fatalf("pactl %v: %v: %s", args, err, out)
	}
	return strings.TrimSpace(string(out))
}

// Signal sends the server a signal: kill it, freeze it.
func (s *Sink) Signal(sig syscall.Signal) {
	s.t.Helper()
	if err := s.daemon.Process.Signal(sig); err != nil {
		s.t.Fatal(err)
	}
}

// Recording is what the output plays, as it comes.
type Recording struct {
	t   *testing.T
	mu  sync.Mutex
	raw []byte
}

// Record listens to the output until the test ends. It comes in small pieces,
// and keeps the output from rendering ahead.
func (s *Sink) Record() *Recording {
	s.t.Helper()
	cmd := s.Command("parec", "-d", "shed.monitor", "--raw", "--format=s16le", "--rate=48000", "--channels=1", "--latency-msec=10")
	r := &Recording{t: s.t}
	cmd.Stdout = r
	if err := cmd.Start(); err != nil {
		s.t.Fatal(err)
	}
	s.t.Cleanup(func() { _ = cmd.Process.Kill(); _ = cmd.Wait() })
	r.Until(Rate/10, 15*time.Second)
	return r
}

// Write implements io.Writer for the program that records.
func (r *Recording) Write(b []byte) (int, error) {
	r.mu.Lock()
	defer r.mu.Unlock()
	r.raw = append(r.raw, b...)
	return len(b), nil
}

// Now is how many samples have come.
func (r *Recording) Now() int {
	r.mu.Lock()
	defer r.mu.Unlock()
	return len(r.raw) / 2
}

// Until waits until so many samples have come; limit is what a loaded machine
// may need more than real time.
func (r *Recording) Until(n int, limit time.Duration) {
	r.t.Helper()
	for began := time.Now(); r.Now() < n; time.Sleep(5 * time.Millisecond) {
		if time.Since(began) > limit {
			r.t.Fatalf("the recording stands at %d samples, want %d", r.Now(), n)
		}
	}
}

// More waits for so much more sound.
func (r *Recording) More(d time.Duration) {
	r.t.Helper()
	r.Until(r.Now()+samples(d), 4*d+10*time.Second)
}

// From is the recording from a sample on, -1 to 1.
func (r *Recording) From(n int) []float64 {
	r.mu.Lock()
	raw := slices.Clone(r.raw)
	r.mu.Unlock()
	return Decode(raw)[n:]
}

func samples(d time.Duration) int { return int(d.Seconds() * Rate) }
