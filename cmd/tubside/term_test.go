//go:build unix

package main

import (
	"bytes"
	"errors"
	"io"
	"os"
	"os/exec"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"github.com/charmbracelet/x/vt"
	"github.com/creack/pty"
)

// patience is how long a screen may take to show what is waited for.
const patience = 10 * time.Second

// aMoment is longer than a key waits after the band has moved by itself.
const aMoment = time.Second

// window is a program in a terminal of its own, with the screen as a person
// would see it.
type window struct {
	t   *testing.T
	cmd *exec.Cmd
	tty *os.File

	mu     sync.Mutex
	screen *vt.Emulator
	raw    bytes.Buffer // all that was written
	bells  int

	read chan struct{} // closed when the program has let go of the terminal
	gone chan error    // how it ended
	code int
	over bool
}

// open starts a program in a window of 100 by 30 with this environment only.
func open(t *testing.T, env []string, name string, args ...string) *window {
	t.Helper()
	w := &window{
		t: t, cmd: exec.Command(name, args...), screen: vt.NewEmulator(100, 30),
		read: make(chan struct{}), gone: make(chan error, 1),
	}
	w.screen.SetCallbacks(vt.Callbacks{Bell: func() { w.bells++ }}) // called inside Write
	w.cmd.Env = append([]string{"TERM=xterm-256color", "LANG=C.UTF-8", "PATH=" + os.Getenv("PATH"), "HOME=" + t.TempDir()}, env...)
	tty, err := pty.StartWithSize(w.cmd, &pty.Winsize{Rows: 30, Cols: 100})
	if err != nil {
		t.Fatal(err)
	}
	if tty, err = pollable(tty); err != nil {
		t.Fatal(err)
	}
	w.tty = tty
	go func() { // what the terminal answers
		_, _ = io.Copy(tty, w.screen)
	}()
	go func() {
		defer close(w.read)
		buf := make([]byte, 64<<10)
		for {
			n, err := tty.Read(buf)
			w.mu.Lock()
			w.raw.Write(buf[:n])
			_, _ = w.screen.Write(buf[:n])
			w.mu.Unlock()
			if err != nil { // EIO when the program is gone
				return
			}
		}
	}()
	go func() { w.gone <- w.cmd.Wait() }()
	t.Cleanup(func() {
		if !w.over {
			_ = w.cmd.Process.Kill()
			w.end()
		}
		// Its Close is not made for a Read under way; the pipe's is.
		if c, ok := w.screen.InputPipe().(io.Closer); ok {
			_ = c.Close()
		}
		_ = tty.Close()
	})
	return w
}

// pollable makes a file whose Close does not wait for a Read to return: only
// then does closing a window hang up on the program in it.
func pollable(f *os.File) (*os.File, error) {
	fd, err := syscall.Dup(int(f.Fd()))
	if err != nil {
		return nil, err
	}
	if err := errors.Join(syscall.SetNonblock(fd, true), f.Close()); err != nil {
		return nil, err
	}
	return os.NewFile(uintptr(fd), "window"), nil
}

// text is the screen now.
func (w *window) text() string {
	w.mu.Lock()
	defer w.mu.Unlock()
	return w.screen.String()
}

// flat is a screen's text in one line, broken at spaces as it was.
func flat(screen string) string { return strings.Join(strings.Fields(screen), " ") }

// rang is how often the bell has rung.
func (w *window) rang() int {
	w.mu.Lock()
	defer w.mu.Unlock()
	return w.bells
}

// written is all that the program ever wrote.
func (w *window) written() string {
	w.mu.Lock()
	defer w.mu.Unlock()
	return w.raw.String()
}

// see waits until the screen shows a text, wherever the terminal begins a new line in it.
func (w *window) see(text string) {
	w.t.Helper()
	w.until("show "+text, func(screen string) bool {
		return strings.Contains(screen, text) || strings.Contains(flat(screen), text) || strings.Contains(strings.ReplaceAll(screen, "\n", ""), text)
	})
	if strings.Contains(text, "again") {
		time.Sleep(300 * time.Millisecond) // a question is read before it is answered
	}
}

// until waits for the screen to be a certain way, and shows it if it never is.
func (w *window) until(what string, is func(screen string) bool) {
	w.t.Helper()
	for deadline := time.Now().Add(patience); time.Now().Before(deadline); time.Sleep(10 * time.Millisecond) {
		if is(w.text()) {
			return
		}
	}
	w.t.Fatalf("the screen did not %s within %v:\n%s", what, patience, w.text())
}

var keyBytes = map[string]string{
	"enter": "\r", "esc": "\x1b", "tab": "\t", "space": " ", "up": "\x1b[A", "down": "\x1b[B", "right": "\x1b[C", "ctrl+c": "\x03", "ctrl+s": "\x13",
}

// press gives keys, each a character or a name.
func (w *window) press(keys ...string) {
	w.t.Helper()
	for _, k := range keys {
		if b, ok := keyBytes[k]; ok {
			k = b
		}
		if _, err := w.tty.WriteString(k); err != nil {
			w.t.Fatalf("press %q: %v", k, err)
		}
		time.Sleep(20 * time.Millisecond) // a key by itself, not a paste
	}
}

// write types text.
func (w *window) write(text string) {
	w.t.Helper()
	for _, r := range text {
		w.press(string(r))
	}
}

func (w *window) signal(s syscall.Signal) {
	w.t.Helper()
	if err := w.cmd.Process.Signal(s); err != nil {
		w.t.Fatal(err)
	}
}

// end waits for the program to end and returns its exit code.
func (w *window) end() int {
	w.t.Helper()
	if w.over {
		return w.code
	}
	select {
	case err := <-w.gone:
		w.over = true
		var exit *exec.ExitError
		if errors.As(err, &exit) {
			w.code = exit.ExitCode()
		}
	case <-time.After(patience):
		w.t.Fatalf("the program did not end within %v:\n%s", patience, w.text())
	}
	select { // what is still on its way
	case <-w.read:
	case <-time.After(time.Second):
	}
	return w.code
}

// restored says what is not as a shell needs it.
func (w *window) restored() {
	w.t.Helper()
	out := w.written()
	for _, mode := range []struct{ what, on, off string }{
		{"the other screen", "\x1b[?1049h", "\x1b[?1049l"}, {"the hidden cursor", "\x1b[?25l", "\x1b[?25h"},
		{"the mouse", "\x1b[?1002h", "\x1b[?1002l"}, {"bracketed paste", "\x1b[?2004h", "\x1b[?2004l"},
	} {
		if on := strings.LastIndex(out, mode.on); on >= 0 && strings.LastIndex(out, mode.off) < on {
			w.t.Errorf("%s is still on", mode.what)
		}
	}
}
