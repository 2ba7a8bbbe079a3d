package tui

import (
	"bytes"
	"io"
	"math/rand/v2"
	"runtime"
	"slices"
	"sync"
	"sync/atomic"
	"testing"
	"testing/synctest"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/coach"
	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/long"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/tui/base"
	"fleece.example/tubside/tui/keep"
	"fleece.example/tubside/tui/theme"
	"fleece.example/tubside/tui/tuitest"
)

// slowJournal takes half a second for every sync.
type slowJournal struct{ tuitest.KeptDay }

func (j *slowJournal) Append(shed.DayID, []session.Recorded, ledger.Summary) error {
	time.Sleep(500 * time.Millisecond)
	return nil
}

// aheadClock is the clock of the machine and so much more.
type aheadClock struct{ by atomic.Int64 }

func (c *aheadClock) Now() time.Time { return time.Now().Add(time.Duration(c.by.Load())) }

// noticed is when an alarm was first on the screen, and when it first sounded.
type noticed struct {
	keep.Outside
	mu             sync.Mutex
	titles         int // how often the window got another title: with each alarm that comes or goes
	shown, sounded time.Time
}

func (n *noticed) first(at *time.Time) {
	n.mu.Lock()
	defer n.mu.Unlock()
	if at.IsZero() {
		*at = time.Now()
	}
}

func (n *noticed) again() {
	n.mu.Lock()
	defer n.mu.Unlock()
	n.shown, n.sounded = time.Time{}, time.Time{}
}

func (n *noticed) titled() int {
	n.mu.Lock()
	defer n.mu.Unlock()
	return n.titles
}

func (n *noticed) both() (shown, sounded time.Time) {
	n.mu.Lock()
	defer n.mu.Unlock()
	return n.shown, n.sounded
}

// Write is the terminal.
func (n *noticed) Write(b []byte) (int, error) {
	if bytes.Contains(b, []byte("\x1b]2;")) {
		n.mu.Lock()
		n.titles++
		n.mu.Unlock()
	}
	if bytes.Contains(b, []byte("ALARM")) {
		n.first(&n.shown)
	}
	return len(b), nil
}

func (n *noticed) Call(calls []coach.AlarmCall, _ int, _ session.AlarmSettings, _ time.Time) {
	if anyAlarm(calls) {
		n.first(&n.sounded)
	}
}

func (n *noticed) State() keep.OutsideState { return keep.OutsideState{} }

// anyAlarm says that one of them has the band, which says ALARM.
func anyAlarm(calls []coach.AlarmCall) bool {
	return slices.ContainsFunc(calls, func(c coach.AlarmCall) bool { return c.Priority > session.LowPriority })
}

// aboutToRing is a day with twelve tubs, and the last moment at which no alarm rings on it: one is
// due not much more than a millisecond later.
func aboutToRing(t *testing.T) (session.Day, time.Time) {
	t.Helper()
	d, now := tuitest.PlayFor(t, tuitest.StartStory(t, tuitest.StoryPlan(12)), tuitest.StoryStart, 30)
	rings := func(at time.Time) bool {
		next, _ := session.Tick(d, at)
		return anyAlarm(coach.Calls(next, at, session.AlarmSettings{}, 12*60))
	}
	for range 3600 {
		if next := now.Add(10 * time.Second); !rings(next) {
			now = next
			d, _ = session.Tick(d, now)
			continue
		}
		due := now
		for step := 5 * time.Second; step >= time.Millisecond; step /= 2 {
			if !rings(due.Add(step)) {
				due = due.Add(step)
			}
		}
		return d, due
	}
	t.Fatal("nothing rings on this day")
	return d, now
}

// lateness runs the program on a day that is about to ring, over and over, and brings
// the longest time from due to shown and to sounding.
func lateness(t *testing.T, d session.Day, due time.Time, times int, settle time.Duration) (shown, sounded time.Duration) {
	n, clock := &noticed{}, &aheadClock{}
	plan := d.Plan
	clock.by.Store(int64(time.Until(due.Add(-time.Hour))))
	app, err := New(base.Deps{Journal: &slowJournal{}, Ledger: &tuitest.FakeLedger{HasKit: &plan.Kit}, Clock: clock, Outside: n, Local: time.UTC,
		Elapsed: func() time.Duration { return clock.Now().Sub(due) }, // time goes to and fro, no clock is set
		Theme:   theme.New(io.Discard, theme.Options{NoColor: true}), Rehearsal: &plan})
	if err != nil {
		t.Error(err)
		return 0, 0
	}
	app.Run()
	p := tea.NewProgram(app, tea.WithFilter(func(_ tea.Model, m tea.Msg) tea.Msg { return app.Filter(m) }), tea.WithInput(nil), tea.WithOutput(n), tea.WithoutSignalHandler(), tea.WithAltScreen())
	ended := make(chan error, 1)
	go func() { _, err := p.Run(); ended <- err }()
	p.Send(tea.WindowSizeMsg{Width: 120, Height: 40})
	random := rand.New(rand.NewPCG(7, uint64(times)))
	for i := range times {
		clock.by.Store(int64(time.Until(due.Add(-time.Minute))))
		was := n.titled()
		app.env.Keeper.Take(1, d)
		for time.Sleep(settle); i > 0 && n.titled() == was; { // the alarm before is off the screen
			time.Sleep(settle)
		}
		n.again()
		now, in := time.Now(), settle+time.Duration(random.Int64N(int64(time.Second)))
		clock.by.Store(int64(due.Add(-in).Sub(now)))
		at := now.Add(in) // when it is due
		app.env.Keeper.Take(1, d)
		for range 200 {
			time.Sleep(20 * time.Millisecond)
			if a, b := n.both(); !a.IsZero() && !b.IsZero() {
				break
			}
		}
		a, b := n.both()
		if a.IsZero() || b.IsZero() || b.Before(at) {
			t.Errorf("shown %v after it was due, sounding %v", a.Sub(at), b.Sub(at))
			break
		}
		shown, sounded = max(shown, a.Sub(at)), max(sounded, b.Sub(at))
	}
	p.Quit()
	if err := <-ended; err != nil {
		t.Error(err)
	}
	if err := app.Close(); err != nil {
		t.Error(err)
	}
	return shown, sounded
}

// Though every sync takes half a second, an alarm is on the screen and sounds a few
// milliseconds after it is due: nothing waits for the disk, or for a whole second.
func TestNothingWaitsForTheDisk(t *testing.T) {
	t.Parallel()
	d, due := aboutToRing(t)
	synctest.Test(t, func(t *testing.T) {
		shown, sounded := lateness(t, d, due, long.Of(40, 1000), 100*time.Millisecond)
		if shown > 40*time.Millisecond || sounded > 10*time.Millisecond {
			t.Errorf("shown after %v, sounding after %v", shown, sounded)
		}
		time.Sleep(5 * time.Second) // past the last tick
	})
}

// latestMost is how late the latest alarm may be, with every core busy; on a machine at
// work, where a timer with nothing to do is late by timerMost, that is told, not judged.
const (
	latestMost = 1200 * time.Millisecond
	timerMost  = 200 * time.Millisecond
)

// With every core busy besides, of a thousand alarms the latest is shown and sounds
// within 1.2 s of when it is due. It is the clock of the machine that counts: at length
// only.
func TestLatest(t *testing.T) {
	if !long.Run() {
		t.Skip("two minutes with every core busy")
	}
	d, due := aboutToRing(t)
	const idle = 50 * time.Millisecond
	stop := make(chan struct{})
	defer close(stop)
	for range runtime.GOMAXPROCS(0) {
		go func() {
			for x := 1.0; ; x = x*1.0000001 + 1 {
				select {
				case <-stop:
					return
				default:
				}
			}
		}()
	}
	var bare atomic.Int64 // how late the latest timer was that has nothing to do
	go func() {
		for began := time.Now(); ; began = time.Now() {
			select {
			case <-stop:
				return
			case <-time.After(idle):
				bare.Store(max(bare.Load(), int64(time.Since(began)-idle)))
			}
		}
	}()
	const screens, each = 10, 100
	var all sync.WaitGroup
	var mu sync.Mutex
	var shown, sounded time.Duration
	for range screens {
		all.Go(func() {
			a, b := lateness(t, d, due, each, 400*time.Millisecond)
			mu.Lock()
			defer mu.Unlock()
			shown, sounded = max(shown, a), max(sounded, b)
		})
	}
	all.Wait()
	timer := time.Duration(bare.Load())
	t.Logf("the latest of %d: shown after %v, sounding after %v; a timer alone was late by up to %v", screens*each, shown, sounded, timer)
	if latest := max(shown, sounded); latest > latestMost && timer < timerMost {
		t.Errorf("%v late", latest)
	}
}
