package main

import (
	"fmt"
	"io"
	"reflect"
	"slices"
	"strings"
	"sync"
	"testing"
	"testing/synctest"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/coach"
	"fleece.example/tubside/session/long"
	"fleece.example/tubside/session/must"
	"fleece.example/tubside/session/rehearse"
	"fleece.example/tubside/store"
	"fleece.example/tubside/tui"
	"fleece.example/tubside/tui/base"
	"fleece.example/tubside/tui/keep"
	"fleece.example/tubside/tui/theme"
)

// faucet is a terminal that takes output only while it is open.
type faucet struct {
	gate
	seen strings.Builder
}

// gate holds up whoever passes while it is shut.
type gate struct {
	mu     sync.Mutex
	closed chan struct{} // not nil: shut; closed when it opens again
}

func (g *gate) pass() {
	g.mu.Lock()
	shut := g.closed
	g.mu.Unlock()
	if shut != nil {
		<-shut
	}
}

func (g *gate) shut() {
	g.mu.Lock()
	defer g.mu.Unlock()
	g.closed = make(chan struct{})
}

func (g *gate) open() {
	g.mu.Lock()
	defer g.mu.Unlock()
	if g.closed != nil {
		close(g.closed)
		g.closed = nil
	}
}

func (f *faucet) Write(b []byte) (int, error) {
	f.pass()
	f.mu.Lock()
	defer f.mu.Unlock()
	f.seen.Write(b)
	return len(b), nil
}

func (f *faucet) written() int {
	f.mu.Lock()
	defer f.mu.Unlock()
	return f.seen.Len()
}

func (f *faucet) since(n int) string {
	f.mu.Lock()
	defer f.mu.Unlock()
	return f.seen.String()[n:]
}

func (f *faucet) Read([]byte) (int, error) { return 0, io.EOF }

func (f *faucet) Close() error { return nil }

func (f *faucet) Fd() uintptr { return ^uintptr(0) }

// called notes when each alarm began to ring.
type called struct {
	mu      sync.Mutex
	ringing map[string]bool
	log     []string
}

func (c *called) Call(calls []coach.AlarmCall, _ int, _ session.AlarmSettings, now time.Time) {
	c.mu.Lock()
	defer c.mu.Unlock()
	is := map[string]bool{}
	for _, a := range calls {
		k := fmt.Sprintf("tub %d %s", a.Tub, a.Kind)
		if is[k] = true; !c.ringing[k] {
			c.log = append(c.log, now.Format("15:04:05 ")+k)
		}
	}
	c.ringing = is
}

func (c *called) since() []string {
	c.mu.Lock()
	defer c.mu.Unlock()
	return slices.Clone(c.log)
}

func (c *called) Play(session.Priority, session.AlarmSettings) keep.Played { return keep.Played{} }

func (c *called) Confirm(session.AlarmSettings) error { return nil }

func (c *called) State() keep.OutsideState { return keep.OutsideState{} }

// fault is what is wrong from the tenth minute on.
type fault int

const (
	nothing fault = iota
	stalled       // the terminal takes no output
	blocked       // the screen's loop never comes back from a message
)

// loop is a face whose Update waits while the gate is shut.
type loop struct {
	tea.Model
	gate *gate
}

func (l loop) Update(msg tea.Msg) (tea.Model, tea.Cmd) {
	l.gate.pass()
	_, cmd := l.Model.Update(msg)
	return l, cmd
}

// A terminal that takes no output for many minutes delays no alarm, and shows
// all of the screen when it moves again; a screen that answers nothing for as long
// delays none either, and what happened is in the journal.
func TestStuckScreenRings(t *testing.T) {
	t.Parallel()
	stuck := long.Of(26*time.Minute, 40*time.Minute)
	washDay := func(t *testing.T, wrong fault) (rang []string, saved []session.Recorded) {
		dir := t.TempDir()
		synctest.Test(t, func(t *testing.T) {
			s, err := store.Open(dir + "/" + fileName)
			if err != nil {
				t.Fatal(err)
			}
			defer func() { _ = s.Close() }()
			script := rehearse.Demo()
			script.Hands.Away = []rehearse.Away{{FromMin: 12, ToMin: 60}} // so that something rings
			plan := must.Get(settle(s, script.Plan)).In(t)
			outside, tap, gate := &called{}, &faucet{}, &gate{}
			out := newTerminal(tap)
			app := must.Get(tui.New(base.Deps{
				Journal: s, Ledger: s, Clock: newPacedClock(script.Start, 1), Rehearsal: &plan, Hands: rehearse.NewPlayer(script),
				Outside: outside, Theme: theme.New(io.Discard, theme.Options{}), Local: time.UTC,
			})).In(t)
			app.Run()
			p := tea.NewProgram(loop{app, gate}, tea.WithInput(nil), tea.WithOutput(out), tea.WithAltScreen(), tea.WithoutSignalHandler())
			out.repaintBy(func() { p.Send(tea.ClearScreen()) })
			ended := make(chan error, 1)
			go func() { _, err := p.Run(); ended <- err }()
			p.Send(tea.WindowSizeMsg{Width: long.Of(80, 160), Height: long.Of(24, 50)})
			time.Sleep(10 * time.Minute)
			switch wrong {
			case stalled:
				tap.shut()
			case blocked:
				gate.shut()
			case nothing:
			}
			time.Sleep(stuck)
			if wrong == stalled {
				was := tap.written()
				tap.open()
				time.Sleep(3 * time.Second)
				now := script.Start.Add(10*time.Minute + stuck).Format("15:04")
				if shown := tap.since(was); !strings.Contains(shown, "\x1b[2J") || !strings.Contains(shown, now) {
					t.Errorf("after it moved again the screen was not drawn whole, with %s on it", now)
				}
				tap.shut() // and it ends all the same
			}
			rang = outside.since()
			if saved, err = s.Events(1); err != nil {
				t.Fatal(err)
			}
			gate.open()
			began := time.Now()
			p.Quit()
			if err := <-ended; err != nil {
				t.Error(err)
			}
			out.settle(settleAtMost)
			if took := time.Since(began); took > 2*time.Second {
				t.Errorf("it took %v to end", took)
			}
			if err := app.Close(); err != nil {
				t.Error(err)
			}
			if wrong == stalled {
				tap.open()
			}
			time.Sleep(5 * time.Second) // past the last tick
		})
		return rang, saved
	}
	want, wantSaved := washDay(t, nothing)
	if len(want) < 3 || len(wantSaved) < 10 {
		t.Fatalf("this day hardly rings: %v, and has %d events", want, len(wantSaved))
	}
	for name, wrong := range map[string]fault{"stalled": stalled, "blocked": blocked} {
		got, saved := washDay(t, wrong)
		if !slices.Equal(got, want) {
			t.Errorf("%s it rang\n%s\nand not\n%s", name, strings.Join(got, "\n"), strings.Join(want, "\n"))
		}
		if !reflect.DeepEqual(saved, wantSaved) {
			t.Errorf("%s there are %d events in the journal, else %d", name, len(saved), len(wantSaved))
		}
	}
}
