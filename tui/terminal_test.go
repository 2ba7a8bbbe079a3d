package tui

import (
	"errors"
	"io"
	"strings"
	"sync"
	"testing"
	"testing/synctest"
	"time"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/x/vt"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/long"
	"fleece.example/tubside/session/must"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/tui/base"
	"fleece.example/tubside/tui/keep"
	"fleece.example/tubside/tui/theme"
	"fleece.example/tubside/tui/tuitest"
	"fleece.example/tubside/tui/washday"
)

// wallClock is the clock of the bubble: fake time that passes by itself.
type wallClock struct{}

func (wallClock) Now() time.Time { return time.Now() }

// countBell counts rings.
type countBell struct {
	mu    sync.Mutex
	rings map[session.Priority]int
}

func (b *countBell) Ring(p session.Priority) {
	b.mu.Lock()
	defer b.mu.Unlock()
	b.rings[p]++
}

func (b *countBell) total() int {
	b.mu.Lock()
	defer b.mu.Unlock()
	n := 0
	for _, c := range b.rings {
		n += c
	}
	return n
}

// lockedScreen is a terminal emulator that is written to by the renderer and
// looked at by the test.
type lockedScreen struct {
	mu  sync.Mutex
	emu *vt.Emulator
}

func (l *lockedScreen) Write(b []byte) (int, error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.emu.Write(b)
}

func (l *lockedScreen) String() string {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.emu.String()
}

// terminal is a whole program in fake time with the screen that a person sees.
type terminal struct {
	t       *testing.T
	emu     *lockedScreen
	keys    *io.PipeWriter
	app     *App
	journal *tuitest.KeptDay
	bell    *countBell
	ended   chan error
	closed  bool
}

// looksEvery is how often the program looks at the clock of the bubble: what hours of
// it cost is frames.
func looksEvery() time.Duration { return long.Of(5*time.Second, time.Second) }

// openTerminal runs the program inside a synctest bubble.
func openTerminal(t *testing.T, w, h int, plan shed.Plan, hands keep.Hands) *terminal {
	t.Helper()
	in, keys := io.Pipe()
	x := &terminal{
		t: t, emu: &lockedScreen{emu: vt.NewEmulator(w, h)}, keys: keys, journal: &tuitest.KeptDay{},
		bell: &countBell{rings: map[session.Priority]int{}}, ended: make(chan error, 1),
	}
	go func() { _, _ = io.Copy(io.Discard, x.emu.emu) }() // its answers to the program are not needed
	app := must.Get(New(base.Deps{
		Journal: x.journal, Ledger: &tuitest.FakeLedger{HasKit: &plan.Kit}, Bell: x.bell, Clock: wallClock{}, Local: time.UTC,
		Theme: theme.New(io.Discard, theme.Options{}), Rehearsal: &plan, Hands: hands, TickEvery: looksEvery(),
	})).In(t)
	x.app = app
	p := tea.NewProgram(app, tea.WithInput(in), tea.WithOutput(x.emu), tea.WithoutSignalHandler(), tea.WithAltScreen(), tea.WithFPS(10))
	go func() { _, err := p.Run(); x.ended <- err }()
	p.Send(tea.WindowSizeMsg{Width: w, Height: h})
	time.Sleep(time.Second) // Enter waits a moment after the band has changed
	return x
}

// close ends the program and waits till every tick has passed; twice is once.
func (x *terminal) close() {
	x.t.Helper()
	if x.closed {
		return
	}
	x.closed = true
	if _, err := x.keys.Write([]byte{3}); err != nil { // ctrl+c
		x.t.Fatal(err)
	}
	if err := <-x.ended; err != nil {
		x.t.Errorf("the program ended with %v", err)
	}
	if err := x.app.Close(); err != nil {
		x.t.Errorf("not everything was saved: %v", err)
	}
	_ = x.keys.Close()
	// Its own Close is not made for a Read under way; the pipe's is.
	if c, ok := x.emu.emu.InputPipe().(io.Closer); ok {
		_ = c.Close()
	}
	time.Sleep(5 * time.Second)
}

// skipIfShort leaves hours of fake time out where a second is checked slowly.
func skipIfShort(t *testing.T) {
	t.Helper()
	if testing.Short() {
		t.Skip("hours of fake time: ten seconds, and far more under the race detector")
	}
}

// press types bytes and lets a second pass.
func (x *terminal) press(keys ...string) {
	x.t.Helper()
	for _, k := range keys {
		if k == "enter" {
			k = "\r"
		}
		if _, err := x.keys.Write([]byte(k)); err != nil {
			x.t.Fatal(err)
		}
		time.Sleep(time.Second)
	}
}

func (x *terminal) screen() string {
	lines := strings.Split(x.emu.String(), "\n")
	for i := range lines {
		lines[i] = strings.TrimRight(lines[i], " \r")
	}
	return strings.Join(lines, "\n")
}

func (x *terminal) sees(text string) {
	x.t.Helper()
	if !strings.Contains(x.screen(), text) {
		x.t.Fatalf("the terminal does not show %q:\n%s", text, x.screen())
	}
}

// tubOnScreen is the tub the band names: the digit before its name.
func (x *terminal) tubOnScreen() string {
	for _, l := range strings.Split(x.screen(), "\n") {
		for _, word := range []string{"NOW  ", "NEXT  ", "LATE  ", "HURRY  ", "ALARM "} {
			if i := strings.Index(l, word); i >= 0 && i < 6 {
				return strings.TrimSpace(l[i:])
			}
		}
	}
	return ""
}

// TestWholeDayInATerminal takes three tubs through a day with the keys of a
// person who looks at nothing but the terminal: whatever the band asks for is
// done with Enter, half a minute later each time. Then the saved record is held
// against what must have happened.
func TestWholeDayInATerminal(t *testing.T) {
	t.Parallel()
	skipIfShort(t)
	synctest.Test(t, func(t *testing.T) {
		x := openTerminal(t, 100, 30, tuitest.StoryPlan(3), nil)
		defer x.close()
		began := time.Now()
		x.sees("FILL FOR THE PRESOAK")
		for step := 0; ; step++ {
			s := x.screen()
			if strings.Contains(s, "FINISH THE DAY") {
				break
			}
			if step > 2000 {
				t.Fatalf("the day does not end:\n%s", s)
			}
			if strings.Contains(s, "o kettle on") && (strings.Contains(s, "KETTLE FIRST") || strings.Contains(s, " BOIL ")) {
				x.press("o")
			}
			if band := x.tubOnScreen(); strings.HasPrefix(band, "NEXT") || strings.Contains(s, "WHEN THE KETTLE BOILS") {
				time.Sleep(20 * time.Second)
				continue
			}
			time.Sleep(30 * time.Second)
			if x.press("enter"); strings.Contains(strings.Join(strings.Fields(x.screen()), " "), "Enter again") { // the band went on in the half minute
				x.press("enter")
			}
		}
		x.press("enter", "enter")
		x.sees("Looking back")
		x.close()

		d := session.Replay(x.journal.Recs)
		if d.Running() || !d.AllRacked() || d.EndEarly {
			t.Fatalf("the record is not a finished day: %+v", d.EndedAt)
		}
		// Three batches of the fleece with much wax go through five baths, the
		// one of locks through four.
		if got := len(d.Baths); got != 3*5+4 {
			t.Errorf("%d baths on record, want 19", got)
		}
		for _, b := range d.Baths {
			soaked := b.LiftedAt.Sub(b.SunkAt).Minutes()
			if soaked < b.PlanMin || soaked > b.PlanMin+6 {
				t.Errorf("%s in %s soaked %.1f min, planned %.1f", b.Batch, b.Step.Name, soaked, b.PlanMin)
			}
			if b.Step.Kind == shed.Wash && (b.SinkC < 63 || b.SinkC > 67 || b.LiftC < 49 || b.LiftC >= b.SinkC) {
				t.Errorf("%s in %s: forecast %.1f at sink-in, %.1f at lift", b.Batch, b.Step.Name, b.SinkC, b.LiftC)
			}
		}
		if took := d.EndedAt.Sub(began); took < 2*time.Hour || took > 8*time.Hour {
			t.Errorf("the day took %v", took)
		}
		if len(d.AlarmLog) == 0 || x.bell.total() < len(d.AlarmLog) {
			t.Errorf("%d alarms, %d rings", len(d.AlarmLog), x.bell.total())
		}
		for i, r := range x.journal.Recs {
			if r.Seq != uint64(i+1) {
				t.Fatalf("event %d has number %d", i, r.Seq)
			}
		}
	})
}

// TestNotSavedIsSaid: while the disk refuses, the screen says so and the day
// goes on; when it takes writes again nothing is missing.
func TestNotSavedIsSaid(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		x := openTerminal(t, 100, 30, tuitest.StoryPlan(2), nil)
		defer x.close()
		x.sees("saved")
		x.journal.Fail(errors.New("disk \x1b[2Jfull")) // no terminal codes from outside
		x.press(".")
		x.sees("NOT SAVED (1): disk full")
		x.press("enter")
		x.sees("NOT SAVED (2)")
		x.journal.Fail(nil)
		time.Sleep(3 * time.Second)
		x.sees("saved")
		if strings.Contains(x.screen(), "NOT SAVED") {
			t.Fatalf("still not saved:\n%s", x.screen())
		}
		x.close()
		if got := session.Replay(x.journal.Recs).LastSeq; got != 3 {
			t.Errorf("%d events on the disk, want 3: start, fill and one more", got)
		}
	})
}

// TestForgottenTubRings: nobody comes; the alarms follow each other, and ring
// until someone does.
func TestForgottenTubRings(t *testing.T) {
	t.Parallel()
	skipIfShort(t)
	synctest.Test(t, func(t *testing.T) {
		p := tuitest.StoryPlan(1)
		p.Batches = p.Batches[:1]
		p.Batches[0].Presoak = shed.PresoakNone
		x := openTerminal(t, 80, 24, p, nil)
		defer x.close()
		x.press("enter") // the kettle is on
		time.Sleep(2 * time.Second)
		x.press("enter") // asks: it cannot have boiled
		time.Sleep(time.Second)
		x.press("enter")
		time.Sleep(time.Second)
		x.press("enter")
		x.sees("lift and drain")
		time.Sleep(20*time.Minute + time.Second + looksEvery())
		x.sees("then North: lift and drain")
		rings := x.bell.total()
		if rings == 0 {
			t.Error("nobody was called")
		}
		time.Sleep(3 * time.Minute)
		x.sees("ALARM WASH NOT LIFTED")
		time.Sleep(6 * time.Minute)
		if got := x.bell.total(); got != rings+2 { // the alarm, and again five minutes later
			t.Errorf("%d rings in nine minutes, want 2", got-rings)
		}
		time.Sleep(4 * time.Minute)
		x.sees("ALARM SOAKED TOO LONG")
		time.Sleep(11 * time.Minute) // the early bound of the forecast is near
		x.sees("NEARLY TOO COOL")
		time.Sleep(90 * time.Minute)
		x.sees("ALARM TOO COOL, WAX SETS")
		x.press(" ")
		x.sees("heard")
		x.press("enter")
		d := must.Get(x.journal.Day(1)).In(t)
		if a := d.Alarms; len(a) != 0 {
			t.Errorf("the lift left alarms standing: %+v", a)
		}
	})
}

// TestSmallWindowGoesOnTiming: too small a window says what it needs; when it
// is large again the time has passed.
func TestSmallWindowGoesOnTiming(t *testing.T) {
	a := &App{env: &base.Env{Deps: base.Deps{Theme: theme.New(io.Discard, theme.Options{}), Clock: fixedClock(tuitest.StoryStart)}}}
	tuitest.Keeps(a.env, tuitest.StartStory(t, tuitest.StoryPlan(1)), nil)
	a.stack = []base.Screen{washday.New(a.env)}
	a.Update(tea.WindowSizeMsg{Width: 30, Height: 8})
	if v := a.View(); !strings.Contains(v, "40x12") || !strings.Contains(v, "timers") {
		t.Errorf("a window of 30x8 says: %q", v)
	}
	for _, l := range strings.Split(a.View(), "\n") {
		if len([]rune(l)) > 30 {
			t.Errorf("too wide: %q", l)
		}
	}
}

type fixedClock time.Time

func (c fixedClock) Now() time.Time { return time.Time(c) }
