package main

import (
	"os"
	"sync"

	"github.com/charmbracelet/x/term"
)

// terminal is the screen's way out. The renderer writes whole frames, the bell
// single characters, each from a goroutine of its own; the lock keeps one from
// landing inside the other. It looks like a file, for that is what the size of
// the window is asked of.
type terminal struct {
	mu   sync.Mutex
	file *os.File
}

var _ term.File = (*terminal)(nil)

func (t *terminal) Write(b []byte) (int, error) {
	t.mu.Lock()
	defer t.mu.Unlock()
	return t.file.Write(b)
}

func (t *terminal) Read(b []byte) (int, error) { return t.file.Read(b) }
func (t *terminal) Close() error               { return t.file.Close() }
func (t *terminal) Fd() uintptr                { return t.file.Fd() }

// needTerminal refuses to draw a screen where there is none.
func (s system) needTerminal() error {
	if !term.IsTerminal(s.in.Fd()) || !term.IsTerminal(s.out.Fd()) {
		return usage("the screen needs a terminal for its keys and its picture, and one of them goes elsewhere: start it without < > |, or use `tubside rehearse --no-screen`")
	}
	if s.getenv("TERM") == "dumb" {
		return usage("this terminal (TERM=dumb) cannot show a full screen: start tubside in one that can")
	}
	return nil
}

// needFile refuses to write what is no text to a terminal.
func (s system) needFile(flag, what string) error {
	if term.IsTerminal(s.out.Fd()) {
		return usage("%s writes %s to the standard output, and that is this terminal, which cannot show it: send it on with > or |, or give a file's name", flag, what)
	}
	return nil
}
