// Package child runs other programs so that they can do no harm to the screen:
// each in a process group of its own, with a time limit, its output caught and
// cut, the whole group ended when its time is over.
package child

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"time"

	"fleece.example/tubside/session/measure"
)

// waitDelay is how long the output of a program that has ended may stay open,
// held by something it left behind.
const waitDelay = 300 * time.Millisecond

// saidRunes is as much of a program's own words as goes into a sentence.
const saidRunes = 120

// Spec is a program to run to its end.
type Spec struct {
	Command   []string // the program and its arguments; no shell
	Stdin     []byte
	Env       []string // added to this program's own; NAME=value
	Timeout   time.Duration
	MaxOutput int // bytes of output and errors together; more ends the run
}

// Command makes a command that neither the terminal's signals nor the end of
// the wait for its output reach the wrong way. env is added to this program's
// own environment, NAME=value; the command is looked for in its PATH.
func Command(env []string, argv ...string) *exec.Cmd {
	cmd := exec.Command(argv[0], argv[1:]...)
	if len(env) > 0 {
		cmd.Env = append(os.Environ(), env...)
		if filepath.Base(argv[0]) == argv[0] {
			cmd.Path, cmd.Err = Look(env, argv[0])
		}
	}
	cmd.WaitDelay = waitDelay
	ownGroup(cmd)
	return cmd
}

// Look finds a program by its bare name in the PATH of env, or in this program's own
// where env has none; the error is that of exec.LookPath.
func Look(env []string, name string) (string, error) {
	for _, e := range slices.Backward(env) { // the last of a name counts
		dirs, found := strings.CutPrefix(e, "PATH=")
		if !found {
			continue
		}
		for _, dir := range filepath.SplitList(dirs) {
			if path, err := exec.LookPath(filepath.Join(dir, name)); err == nil {
				return path, nil
			}
		}
		return "", &exec.Error{Name: name, Err: exec.ErrNotFound}
	}
	return exec.LookPath(name)
}

// Kill ends the program and all it started. It does not wait.
func Kill(cmd *exec.Cmd) {
	if cmd.Process != nil {
		killGroup(cmd.Process)
	}
}

// Run runs a program to its end and gives back what it printed. The error is a
// sentence that names the program: not found, not executable, no answer within
// its time, too much output, or what it said when it failed. ctx ends it early.
func Run(ctx context.Context, s Spec) ([]byte, error) {
	if len(s.Command) == 0 || s.Command[0] == "" {
		return nil, errors.New("no program is named")
	}
	name := shown(s.Command[0])
	cmd := Command(s.Env, s.Command...)
	cmd.Stdin = bytes.NewReader(s.Stdin)
	flood := make(chan struct{})
	out := &Catch{Max: s.MaxOutput, Full: sync.OnceFunc(func() { close(flood) })}
	cmd.Stdout, cmd.Stderr = out, out
	if err := cmd.Start(); err != nil {
		return nil, CannotStart(s.Command[0], err)
	}
	ended := make(chan struct{})
	var err error
	go func() { err = cmd.Wait(); close(ended) }()
	limit := time.NewTimer(s.Timeout)
	defer limit.Stop()
	var why error
	select {
	case <-ended:
		// What it left running in its group would outlive its time.
		Kill(cmd)
		switch {
		case IsClosed(flood):
			why = flooded(name, s.MaxOutput)
		case err != nil && !errors.Is(err, exec.ErrWaitDelay):
			why = Failed(name, err, out.Bytes())
		}
		return out.Bytes(), why
	case <-flood:
		why = flooded(name, s.MaxOutput)
	case <-limit.C:
		why = fmt.Errorf("%s did not end within %v and was stopped", name, s.Timeout)
	case <-ctx.Done():
		why = fmt.Errorf("%s was stopped: %w", name, ctx.Err())
	}
	Kill(cmd)
	select {
	case <-ended:
	case <-time.After(2 * waitDelay): // a process in the kernel's hands
	}
	return out.Bytes(), why
}

// IsClosed says whether c is.
func IsClosed(c chan struct{}) bool {
	select {
	case <-c:
		return true
	default:
		return false
	}
}

func flooded(name string, limit int) error {
	return fmt.Errorf("%s printed more than %d bytes and was stopped", name, limit)
}

// shown is a program's name for a sentence.
func shown(path string) string { return measure.CleanText(path, 80) }

// CannotStart is the sentence for a program that did not start.
func CannotStart(path string, err error) error {
	name := shown(path)
	switch {
	case errors.Is(err, exec.ErrNotFound), errors.Is(err, fs.ErrNotExist):
		return fmt.Errorf("%s was not found: %w", name, err)
	case errors.Is(err, fs.ErrPermission):
		return fmt.Errorf("%s is not a program that may be run: %w", name, err)
	}
	return fmt.Errorf("%s could not be started: %w", name, err)
}

// Failed is the sentence for a program that ended with an error; said is what
// it printed.
func Failed(name string, err error, said []byte) error {
	lines := strings.Split(strings.TrimSpace(string(said)), "\n")
	if last := measure.CleanText(lines[len(lines)-1], saidRunes); last != "" {
		return fmt.Errorf("%s failed (%w): %s", name, err, last)
	}
	return fmt.Errorf("%s failed: %w", name, err)
}

// Catch keeps the first Max bytes written to it. At the first byte too many it
// calls Full, if there is one, and refuses the write, which ends the pipe the
// program writes into; without Full the rest is thrown away.
type Catch struct {
	Max  int
	Full func()

	mu   sync.Mutex
	kept []byte
}

var errFull = errors.New("too much output")

// Write keeps what has room. Errors: more came, and Full is set.
func (c *Catch) Write(b []byte) (int, error) {
	c.mu.Lock()
	defer c.mu.Unlock()
	room := min(len(b), c.Max-len(c.kept))
	c.kept = append(c.kept, b[:room]...)
	if room < len(b) && c.Full != nil {
		c.Full()
		return room, errFull
	}
	return len(b), nil
}

// Bytes is a copy of what was kept.
func (c *Catch) Bytes() []byte {
	c.mu.Lock()
	defer c.mu.Unlock()
	return bytes.Clone(c.kept)
}
