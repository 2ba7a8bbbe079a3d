package main

import (
	"fmt"
	"io"
	"slices"
	"strings"
	"sync"
	"testing"
	"testing/synctest"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/rehearse"
	"fleece.example/tubside/store"
	"fleece.example/tubside/tui"
	"fleece.example/tubside/tui/theme"
)

// faucet is a terminal that takes output only while it is open.
type faucet struct {
	mu     sync.Mutex
	closed chan struct{} // not nil: shut; closed when it opens again
	seen   strings.Builder
}

func (f *faucet) Write(b []byte) (int, error) {
	f.mu.Lock()
	shut := f.closed
	f.mu.Unlock()
	if shut != nil {
		<-shut
	}
	f.mu.Lock()
	defer f.mu.Unlock()
	f.seen.Write(b)
	return len(b), nil
}

func (f *faucet) shut() {
	f.mu.Lock()
	defer f.mu.Unlock()
	f.closed = make(chan struct{})
}

func (f *faucet) open() {
	f.mu.Lock()
	defer f.mu.Unlock()
	close(f.closed)
	f.closed = nil
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
func (f *faucet) Close() error             { return nil }
func (f *faucet) Fd() uintptr              { return ^uintptr(0) }

// called notes when each alarm began to ring.
type called struct {
	ringing map[string]bool
	log     []string
}

func (c *called) Call(calls []session.AlarmCall, _ int, _ session.AlarmSettings, now time.Time) {
	is := map[string]bool{}
	for _, a := range calls {
		k := fmt.Sprintf("tub %d %s", a.Tub, a.Kind)
		if is[k] = true; !c.ringing[k] {
			c.log = append(c.log, now.Format("15:04:05 ")+k)
		}
	}
	c.ringing = is
}

func (c *called) Play(session.Priority, session.AlarmSettings) tui.Played { return tui.Played{} }
func (c *called) State() tui.OutsideState                                 { return tui.OutsideState{} }

// A terminal that takes no output for forty minutes delays no alarm, and shows
// all of the screen when it moves again.
func TestStalledTerminalRings(t *testing.T) {
	washDay := func(t *testing.T, stalls bool) (rang []string) {
		dir := t.TempDir()
		synctest.Test(t, func(t *testing.T) {
			s, err := store.Open(dir + "/" + fileName)
			if err != nil {
				t.Fatal(err)
			}
			defer func() { _ = s.Close() }()
			script := rehearse.Demo()
			script.Hands.Away = []rehearse.Away{{FromMin: 12, ToMin: 60}} // so that something rings
			plan, err := settle(s, script.Plan)
			if err != nil {
				t.Fatal(err)
			}
			outside, tap := &called{}, &faucet{}
			out := newTerminal(tap)
			app, err := tui.New(tui.Deps{
				Journal: s, Ledger: s, Clock: newPacedClock(script.Start, 1), Rehearsal: &plan, Hands: rehearse.NewPlayer(script),
				Outside: outside, Theme: theme.New(io.Discard, theme.Options{}), Local: time.UTC,
			})
			if err != nil {
				t.Fatal(err)
			}
			p := tea.NewProgram(app, tea.WithInput(nil), tea.WithOutput(out), tea.WithAltScreen(), tea.WithoutSignalHandler())
			out.repaintBy(func() { p.Send(tea.ClearScreen()) })
			ended := make(chan error, 1)
			go func() { _, err := p.Run(); ended <- err }()
			p.Send(tea.WindowSizeMsg{Width: 160, Height: 50})
			time.Sleep(10 * time.Minute)
			if stalls {
				tap.shut()
			}
			time.Sleep(40 * time.Minute)
			if stalls {
				was := tap.written()
				tap.open()
				time.Sleep(3 * time.Second)
				now := script.Start.Add(50 * time.Minute).Format("15:04")
				if shown := tap.since(was); !strings.Contains(shown, "\x1b[2J") || !strings.Contains(shown, now) {
					t.Errorf("after it moved again the screen was not drawn whole, with %s on it", now)
				}
				tap.shut() // and it ends all the same
			}
			rang = slices.Clone(outside.log)
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
			if stalls {
				tap.open()
			}
			time.Sleep(5 * time.Second) // past the last tick
		})
		return rang
	}
	want, got := washDay(t, false), washDay(t, true)
	if len(want) < 3 {
		t.Fatalf("this day hardly rings: %v", want)
	}
	if !slices.Equal(got, want) {
		t.Errorf("stalled it rang\n%s\nand not\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
}
