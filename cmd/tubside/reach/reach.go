// Package reach brings an alarm to a person who is away from the screen: by
// speech, by a command of their own, by the desktop, by the terminal itself.
//
// Nothing here waits on the caller's time, nothing a program prints reaches the
// screen, and every program has a time limit. A text or a name goes into a program's
// environment, its standard input, or behind "--". A failure is told once, and again only
// after a success. Inside tmux only the bell gets through.
package reach

import (
	"fmt"
	"sync"
)

// trouble tells a sentence once, and again only after something has gone well
// in between: a command that fails fails at every alarm.
type trouble struct {
	tell func(string)

	mu   sync.Mutex
	told map[string]bool
}

// toldMost bounds what is remembered: a program may fail with other words each
// time.
const toldMost = 16

func (t *trouble) failed(err error) {
	t.mu.Lock()
	known := t.told[err.Error()] || len(t.told) >= toldMost
	if !known {
		if t.told == nil {
			t.told = map[string]bool{}
		}
		t.told[err.Error()] = true
	}
	t.mu.Unlock()
	if !known && t.tell != nil {
		t.tell(err.Error())
	}
}

func (t *trouble) well() {
	t.mu.Lock()
	defer t.mu.Unlock()
	clear(t.told)
}

// guard is deferred in every goroutine here.
func (t *trouble) guard() {
	if r := recover(); r != nil {
		t.failed(fmt.Errorf("passing the alarm on crashed: %v", r))
	}
}

// queue does jobs with at most so many at once, in order; when more wait than
// it holds, the oldest is given up for the newest.
type queue[T any] struct {
	running, holds int
	do             func(T)
	dropped        func(T)

	mu     sync.Mutex
	jobs   []T
	active int
	closed bool
}

func (q *queue[T]) add(job T) {
	q.mu.Lock()
	if q.closed {
		q.mu.Unlock()
		return
	}
	if q.active < q.running {
		q.active++
		q.mu.Unlock()
		go q.work(job)
		return
	}
	q.jobs = append(q.jobs, job)
	var old []T
	if len(q.jobs) > q.holds {
		old = append(old, q.jobs[0])
		q.jobs = q.jobs[1:]
	}
	q.mu.Unlock()
	for _, j := range old {
		q.dropped(j)
	}
}

func (q *queue[T]) work(job T) {
	for {
		q.do(job)
		q.mu.Lock()
		if q.closed || len(q.jobs) == 0 {
			q.active--
			q.mu.Unlock()
			return
		}
		job = q.jobs[0]
		q.jobs = q.jobs[1:]
		q.mu.Unlock()
	}
}

// close gives up what waits.
func (q *queue[T]) close() {
	q.mu.Lock()
	defer q.mu.Unlock()
	q.closed, q.jobs = true, nil
}
