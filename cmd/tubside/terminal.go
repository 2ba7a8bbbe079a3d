package main

import (
	"bytes"
	"sync"
	"time"

	"github.com/charmbracelet/x/term"
)

// terminal is the screen's way out. The renderer writes whole frames, the bell
// single characters, each from a goroutine of its own; what they write goes out
// in order and never mixed.
//
// A terminal can stop taking output: Scroll Lock on a console, a link that is
// stuck. Bubble Tea draws under the lock that its event loop needs, so a Write
// that waits would stop the clock and every alarm with it. Write therefore waits
// for holdUp at most. After that the terminal counts as stalled: what comes is
// kept up to a limit, then frames are dropped, and when output moves again the
// screen is asked for a whole one. It looks like a file, for that is what the
// size of the window is asked of.
type terminal struct {
	file    term.File
	holdUp  time.Duration // a Write that takes longer means a stalled terminal
	repaint func()        // asks for a whole frame; nil before there is a screen

	mu      sync.Mutex
	queue   []piece
	kept    int  // bytes in the queue
	writing bool // a goroutine empties the queue
	stalled bool
	dropped bool // frames were, since the queue was last empty
	err     error
}

func newTerminal(file term.File) *terminal { return &terminal{file: file, holdUp: holdUp} }

// piece is what one Write gave.
type piece struct {
	bytes []byte
	out   chan struct{} // closed once it is written
}

const (
	holdUp        = 100 * time.Millisecond
	mostKept      = 64 << 10     // of what a stalled terminal has not taken
	mostKeptAll   = 2 * mostKept // with what switches its modes
	longestSwitch = 32           // a longer piece is a frame
)

var _ term.File = (*terminal)(nil)

// Write waits until b is out, or holdUp. An error is that of an earlier write.
func (t *terminal) Write(b []byte) (int, error) {
	t.mu.Lock()
	if t.err != nil {
		defer t.mu.Unlock()
		return 0, t.err
	}
	most := mostKept
	if len(b) <= longestSwitch && bytes.HasPrefix(b, []byte("\x1b[?")) {
		most = mostKeptAll // the shell needs its modes back when output moves again
	}
	if t.stalled && t.kept+len(b) > most {
		t.dropped = true
		t.mu.Unlock()
		return len(b), nil
	}
	p := piece{bytes.Clone(b), make(chan struct{})}
	t.queue, t.kept = append(t.queue, p), t.kept+len(b)
	if !t.writing {
		t.writing = true
		go t.empty()
	}
	stalled := t.stalled
	t.mu.Unlock()
	if !stalled && !within(t.holdUp, p.out) {
		t.mu.Lock()
		t.stalled = len(t.queue) > 0
		t.mu.Unlock()
	}
	return len(b), nil
}

// empty writes what is queued, in order.
func (t *terminal) empty() {
	for {
		t.mu.Lock()
		if len(t.queue) == 0 {
			repaint := t.repaint
			if !t.dropped {
				repaint = nil
			}
			t.writing, t.stalled, t.dropped = false, false, false
			t.mu.Unlock()
			if repaint != nil {
				repaint()
			}
			return
		}
		p := t.queue[0]
		t.mu.Unlock()
		_, err := t.file.Write(p.bytes)
		close(p.out)
		t.mu.Lock()
		t.queue, t.kept = t.queue[1:], t.kept-len(p.bytes)
		if err != nil && t.err == nil {
			t.err = err
		}
		t.mu.Unlock()
	}
}

// settle waits until all is out, or so long.
func (t *terminal) settle(atMost time.Duration) {
	t.mu.Lock()
	var last piece
	if n := len(t.queue); n > 0 {
		last = t.queue[n-1]
	}
	t.mu.Unlock()
	if last.out != nil {
		within(atMost, last.out)
	}
}

// repaintBy says who draws a whole frame when frames were dropped.
func (t *terminal) repaintBy(ask func()) {
	t.mu.Lock()
	defer t.mu.Unlock()
	t.repaint = ask
}

// within says whether c was closed in that time.
func within(d time.Duration, c <-chan struct{}) bool {
	timer := time.NewTimer(d)
	defer timer.Stop()
	select {
	case <-c:
		return true
	case <-timer.C:
		return false
	}
}

func (t *terminal) Read(b []byte) (int, error) { return t.file.Read(b) }
func (t *terminal) Close() error               { return t.file.Close() }
func (t *terminal) Fd() uintptr                { return t.file.Fd() }

// needTerminal refuses to draw a screen where there is none.
func (s system) needTerminal() error {
	if !term.IsTerminal(s.in.Fd()) || !term.IsTerminal(s.out.Fd()) {
		return usage("the screen needs a terminal for both keys and display: start it without < > |, or use `tubside rehearse --no-screen`")
	}
	if s.getenv("TERM") == "dumb" {
		return usage("this terminal (TERM=dumb) cannot show a full screen: start tubside in one that can")
	}
	return nil
}

// needFile refuses to write what is no text to a terminal.
func (s system) needFile(flag, what string) error {
	if term.IsTerminal(s.out.Fd()) {
		return usage("%s writes %s to standard output, and that is this terminal, which cannot show it: send it on with > or |, or give a file's name", flag, what)
	}
	return nil
}
