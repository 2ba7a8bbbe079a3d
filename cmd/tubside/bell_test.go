package main

import (
	"bytes"
	"io"
	"os"
	"strings"
	"sync"
	"testing"
	"testing/synctest"
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/must"
)

// rung notes when strokes come.
type rung struct {
	mu    sync.Mutex
	times []time.Time
	wait  chan struct{} // if not nil, a stroke is held up until it is closed
}

func (r *rung) Write(b []byte) (int, error) {
	if r.wait != nil {
		<-r.wait
	}
	r.mu.Lock()
	defer r.mu.Unlock()
	for range bytes.Count(b, []byte("\a")) {
		r.times = append(r.times, time.Now())
	}
	return len(b), nil
}

func (r *rung) take() []time.Time {
	r.mu.Lock()
	defer r.mu.Unlock()
	out := r.times
	r.times = nil
	return out
}

func TestBellStrokes(t *testing.T) {
	for p, want := range map[session.Priority]int{session.HighPriority: 5, session.MediumPriority: 3, session.LowPriority: 1} {
		synctest.Test(t, func(t *testing.T) {
			r := &rung{}
			b := newBell(r, bellGap, func() {})
			b.Ring(p)
			time.Sleep(10 * time.Second)
			got := r.take()
			if len(got) != want {
				t.Fatalf("%v rings %d times", p, len(got))
			}
			for i := 1; i < len(got); i++ {
				if got[i].Sub(got[i-1]) != bellGap {
					t.Errorf("strokes are %v apart", got[i].Sub(got[i-1]))
				}
			}
			b.stop()
			synctest.Wait()
		})
	}
}

// What comes while it rings is rung after, once, as loud as the loudest.
func TestBellWhileRinging(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		r := &rung{}
		b := newBell(r, bellGap, func() {})
		b.Ring(session.MediumPriority)
		time.Sleep(bellGap / 2)
		b.Ring(session.LowPriority)
		b.Ring(session.HighPriority)
		b.Ring(session.LowPriority)
		time.Sleep(time.Minute)
		if got := len(r.take()); got != 3+5 {
			t.Errorf("%d strokes", got)
		}
		b.Ring(session.LowPriority)
		time.Sleep(time.Minute)
		if got := len(r.take()); got != 1 {
			t.Errorf("%d strokes for a low one long after", got)
		}
		b.stop()
		synctest.Wait()
	})
}

// A terminal that takes nothing holds up the bell, never the one who rings it.
func TestBellNeverBlocks(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		r := &rung{wait: make(chan struct{})}
		b := newBell(r, bellGap, func() {})
		for range 1000 {
			b.Ring(session.HighPriority)
		}
		synctest.Wait() // the ringer stands; this goroutine does not
		b.stop()
		close(r.wait)
		synctest.Wait()
		if got := len(r.take()); got > 1 {
			t.Errorf("%d strokes after the stop", got)
		}
	})
}

// No stroke lands inside a frame.
func TestBellBetweenFrames(t *testing.T) {
	read, write := must.Get2(os.Pipe()).In(t)
	out := newTerminal(write)
	out.holdUp = time.Minute // however busy the machine
	b := newBell(out, 50*time.Microsecond, func() {})
	frame := "<" + strings.Repeat("x", 200_000) + ">" // more than a pipe takes at once
	go func() {
		for range 50 {
			b.Ring(session.HighPriority)
			_, _ = out.Write([]byte(frame))
		}
		b.stop()
		out.settle(time.Minute)
		_ = out.Close()
	}()
	all := must.Get(io.ReadAll(read)).In(t)
	if got := strings.Count(string(all), frame); got != 50 {
		t.Errorf("%d of 50 frames came whole", got)
	}
	if !bytes.Contains(all, []byte("\a")) {
		t.Error("it never rang")
	}
}
