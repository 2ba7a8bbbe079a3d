//go:build unix

package main

import (
	"syscall"
	"testing"
	"time"

	"github.com/creack/pty"

	"fleece.example/tubside/session/must"
)

// A terminal that takes no output (Scroll Lock, a stuck link) must not keep the
// program from ending.
func TestStalledTerminalEnds(t *testing.T) {
	path := program(t)
	for _, s := range []syscall.Signal{syscall.SIGTERM, syscall.SIGHUP} {
		t.Run(s.String(), func(t *testing.T) {
			t.Parallel()
			cmd := command(path, "rehearse", "--pace", "600")
			cmd.Env = append(cmd.Environ(), "TMPDIR="+t.TempDir(), "TERM=xterm-256color")
			tty := must.Get(pty.StartWithSize(cmd, &pty.Winsize{Rows: 50, Cols: 160})).In(t)
			defer func() { _ = tty.Close() }()
			time.Sleep(3 * time.Second) // nobody reads: its buffer is full by now
			must.Do(t, cmd.Process.Signal(s))
			gone := make(chan error, 1)
			go func() { gone <- cmd.Wait() }()
			select {
			case err := <-gone:
				if err != nil {
					t.Errorf("it ended with %v", err)
				}
			case <-time.After(2 * time.Second):
				_ = cmd.Process.Kill()
				t.Error("it did not end within 2 s")
			}
		})
	}
}
