package main

import (
	"io"
	"sync"
	"time"

	"fleece.example/tubside/session"
)

// bellGap keeps strokes apart, so that they are heard one by one.
const bellGap = 200 * time.Millisecond

// strokes is how often the bell rings for an alarm: short strokes in one quick
// burst, unlike the long even pulses of evacuation and carbon monoxide alarms.
func strokes(p session.Priority) int {
	switch p {
	case session.HighPriority:
		return 5
	case session.MediumPriority:
		return 3
	case session.LowPriority, session.CallPriority:
	}
	return 1
}

// bell rings the terminal's bell. Ring never waits: it leaves word for the one
// goroutine that rings. What comes while it rings is rung after, the loudest.
type bell struct {
	out  io.Writer
	gap  time.Duration
	done chan struct{}
	wake chan struct{}

	mu      sync.Mutex
	waiting bool
	loudest session.Priority
}

// newBell starts the ringer; rescue is deferred in it.
func newBell(out io.Writer, gap time.Duration, rescue func()) *bell {
	b := &bell{out: out, gap: gap, done: make(chan struct{}), wake: make(chan struct{}, 1)}
	go b.run(rescue)
	return b
}

// Ring implements the screen's bell.
func (b *bell) Ring(p session.Priority) {
	b.mu.Lock()
	b.loudest, b.waiting = max(b.loudest, p), true
	b.mu.Unlock()
	select {
	case b.wake <- struct{}{}:
	default:
	}
}

// stop silences the bell. It does not wait for a stroke that a stopped
// terminal holds up.
func (b *bell) stop() { close(b.done) }

func (b *bell) run(rescue func()) {
	defer rescue()
	for {
		select {
		case <-b.done:
			return
		case <-b.wake:
		}
		b.mu.Lock()
		n := 0
		if b.waiting {
			n = strokes(b.loudest)
		}
		b.loudest, b.waiting = session.CallPriority, false
		b.mu.Unlock()
		for range n {
			// A terminal that is gone is met by the renderer as well.
			_, _ = b.out.Write([]byte("\a"))
			select {
			case <-b.done:
				return
			case <-time.After(b.gap):
			}
		}
	}
}
