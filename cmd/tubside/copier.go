package main

import (
	"errors"
	"fmt"
	"path/filepath"
	"sync"
	"time"

	"fleece.example/tubside/store"
	"fleece.example/tubside/tui/keep"
)

// copier makes copies of the record by itself: at the start if something was written
// since the last one, each hour in which something is, and when a day has ended. It
// works beside the day, which never waits for it; what fails is said once.
type copier struct {
	record *store.Store
	clock  keep.Clock
	folder string
	also   func() (place, error) // the second place

	stop chan struct{}
	done chan struct{}

	mu   sync.Mutex
	said []string // for the person

	// Of the goroutine alone.
	state    uint64     // of the record when it was copied last
	last     store.Copy // the newest copy; no path before the first
	open     bool       // a day was under way
	ended    bool       // and has ended since the last copy
	begun    bool
	lost     bool       // the record's file was lost while it was open
	failedAt time.Time  // zero: the last try went well
	failed   string     // what was said of it
	carried  string     // what the second place has: its folder and the copy's name
	absent   string     // a second place that was not there
	askedAt  time.Time  // when the second place was asked for last
	asked    store.Copy // and for which copy
}

const (
	copyEvery   = time.Hour
	copyAgain   = 5 * time.Minute // after one that failed
	copyLook    = 10 * time.Second
	copySettles = 2 * time.Second // how long the end waits for a copy under way
)

func newCopier(s *store.Store, clock keep.Clock, also func() (place, error)) *copier {
	c := &copier{record: s, clock: clock, folder: store.CopiesFolder(s.Path()), also: also, stop: make(chan struct{}), done: make(chan struct{})}
	if all, err := store.Copies(c.folder); err == nil && len(all) > 0 {
		c.last, c.state = all[0], store.StateOf(all[0].Path)
	}
	return c
}

// run looks after copies until close; pace is how much faster than real time the clock runs.
func (c *copier) run(pace float64) {
	every := max(time.Duration(float64(copyLook)/max(1, pace)), 50*time.Millisecond)
	go func() {
		defer close(c.done)
		defer func() {
			if r := recover(); r != nil { // a day is not ended for the sake of a copy
				c.say(fmt.Sprintf("copies have stopped: the program hit a fault (%v). Start tubside again", r))
			}
		}()
		t := time.NewTimer(every / 10) // the first picture comes first
		defer t.Stop()
		for {
			select {
			case <-t.C:
				c.step(keep.Now(c.clock))
				t.Reset(every)
			case <-c.stop:
				if c.watch(); c.ended {
					c.step(keep.Now(c.clock))
				}
				return
			}
		}
	}()
}

// close copies a day that has just ended, and waits for that as long as a person would.
func (c *copier) close() {
	close(c.stop)
	within(copySettles, c.done)
}

// told is the next sentence for the person; "" if there is none.
func (c *copier) told() string {
	c.mu.Lock()
	defer c.mu.Unlock()
	if len(c.said) == 0 {
		return ""
	}
	text := c.said[0]
	c.said = c.said[1:]
	return text
}

func (c *copier) say(text string) {
	c.mu.Lock()
	c.said = append(c.said, text)
	c.mu.Unlock()
}

// watch notes that a day has ended.
func (c *copier) watch() {
	_, open, err := c.record.OpenDay()
	if err != nil {
		return // said when it is copied
	}
	c.ended = c.ended || c.open && !open
	c.open = open
}

// step makes the copies that are due.
func (c *copier) step(now time.Time) {
	if err := c.record.Whole(); err != nil {
		if !c.lost {
			c.lost = true
			c.say("what you do is no longer saved: leave tubside, and this day goes into a file of its own. " + err.Error())
		}
		return
	}
	state := c.record.State()
	if state != 0 && state != c.state {
		c.watch()
		since := now.Sub(c.last.At)
		due := !c.begun || c.ended || since >= copyEvery || since < 0 || c.last.Path == ""
		if waits := now.Sub(c.failedAt); due && (c.failedAt.IsZero() || waits >= copyAgain || waits < 0) {
			c.copy(now, state)
		}
	}
	c.begun = true
	c.carry(now)
}

func (c *copier) copy(now time.Time, state uint64) {
	made, err := c.record.CopyInto(c.folder, now)
	if made.Path != "" {
		c.last, c.state, c.ended = made, state, false
	}
	c.failedAt = time.Time{}
	if err == nil {
		c.failed = ""
		return
	}
	if made.Path == "" {
		c.failedAt = now
	}
	if text := err.Error(); text != c.failed {
		c.failed = text
		if errors.Is(err, store.ErrUnreadable) && c.record.SetAside() != "" {
			return // it was said, and which
		}
		if errors.Is(err, store.ErrUnreadable) {
			text = "a part of the record is damaged, and `tubside check` says which. What you do is saved all the same; `tubside restore` shows the copies made before"
		}
		c.say(text)
	}
}

// carry brings the newest copy to the second place, when that is there.
func (c *copier) carry(now time.Time) {
	if c.last.Path == "" || c.last == c.asked && now.Sub(c.askedAt).Abs() < time.Minute {
		return
	}
	c.asked, c.askedAt = c.last, now
	to, err := c.also()
	also := to.path
	if err != nil || also == "" {
		return // the settings are asked elsewhere, and say so there
	}
	there := filepath.Join(also, filepath.Base(c.last.Path))
	if !to.isThere(c.folder) {
		c.carried = ""
		if c.absent != also {
			c.absent = also
			c.say(fmt.Sprintf("the second place for copies, %s, is not there: plug it in, and the newest copy goes there. The copies in %s go on", also, c.folder))
		}
		return
	}
	if c.carried == there {
		return
	}
	if err := carryNewest(c.last, also); err != nil {
		if c.absent != also {
			c.absent = also
			c.say(err.Error())
		}
		return
	}
	c.absent, c.carried = "", there
}
