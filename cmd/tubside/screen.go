package main

import (
	"errors"
	"fmt"
	"io"
	"os"
	"os/signal"
	"sync/atomic"
	"syscall"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"fleece.example/tubside/cmd/tubside/exchange"
	"fleece.example/tubside/cmd/tubside/machine"
	"fleece.example/tubside/cmd/tubside/sound"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/tui"
	"fleece.example/tubside/tui/base"
	"fleece.example/tubside/tui/keep"
	"fleece.example/tubside/tui/theme"
)

// show runs the full screen on what it is given until the person leaves it;
// quiet leaves out all that can be heard.
func show(o *options, sys system, d base.Deps, quiet bool) error {
	st := newStage(o, sys)
	defer st.bell.stop()
	if !quiet {
		out := newOutside(st.out, sound.Options{}, machine.Usual(), st.crash.rescue)
		defer out.close()
		d.Outside, d.Bell = out, st.bell
	}
	d.Theme, d.Rescue = theme.New(st.out, o.theme()), st.crash.rescue
	record, _ := d.Journal.(exchange.Source)
	seen := &seenJournal{Journal: d.Journal, days: map[shed.DayID]keep.Unsaved{}}
	d.Journal = guardedJournal{seen, st.crash}
	app, err := tui.New(d)
	if err != nil {
		return err
	}
	if record != nil {
		l := leaving{record: record, seen: seen, o: o, folders: elsewhere(o.folder())}
		st.unsaved = func(cause error) error { return l.unsaved(cause, app.Unsaved(), time.Now()) }
		if file, ok := d.Ledger.(interface{ Whole() error }); ok {
			st.lost = file.Whole
		}
	}
	app.Run()
	return st.run(app)
}

// stage is the terminal with what has to be put right on it afterwards.
type stage struct {
	in    *os.File
	out   *terminal
	bell  *bell
	crash *crash
	ask   *theme.Options // nil: the terminal's ground is known
	// unsaved brings what the disk did not take to another place, and says where.
	unsaved func(cause error) error
	// lost says, if not nil, that the file of the record was lost while it was open.
	lost func() error
}

func newStage(o *options, sys system) *stage {
	st := &stage{in: sys.in, out: newTerminal(sys.out), crash: &crash{folder: o.folder()}}
	if o.asksGround() {
		look := o.theme()
		st.ask = &look
	}
	st.bell = newBell(st.out, bellGap, st.crash.rescue)
	return st
}

// face is the screen's model; Close writes what is not saved yet.
type face interface {
	tea.Model
	Close() error
}

// run shows a face until it ends by itself, by a signal or by a mistake of ours.
func (st *stage) run(f face) error {
	g := &guard{app: f, crash: st.crash}
	var in io.Reader = st.in
	keys := &keyboard{File: st.in}
	if st.ask != nil {
		in = keys
	}
	p := tea.NewProgram(g, tea.WithFilter(g.filter), tea.WithInput(in), tea.WithOutput(st.out),
		tea.WithAltScreen(), tea.WithMouseCellMotion(),
		// Bubble Tea's own handler knows no SIGHUP, and two signals at once can
		// leave it waiting for itself.
		tea.WithoutSignalHandler())
	st.crash.endsWith(p.Kill)
	st.out.repaintBy(func() { p.Send(tea.ClearScreen()) })
	signalled := endOnSignal(p)
	if st.ask != nil {
		keys.light = func() {
			st.ask.Light = true
			go p.Send(tui.ThemeMsg(theme.New(st.out, *st.ask)))
		}
		_, _ = st.out.Write([]byte(askGround)) // a terminal that fails says so at its first frame
	}
	_, err := p.Run()
	bySignal := signalled()
	st.out.settle(settleAtMost)

	// What is unsaved matters most, whatever else there is to say.
	closeErr := f.Close()
	if closeErr == nil && st.lost != nil {
		closeErr = st.lost()
	}
	if closeErr != nil {
		if st.unsaved != nil {
			closeErr = st.unsaved(closeErr)
		} else {
			closeErr = fmt.Errorf("the last events of this day are not saved: %w", closeErr)
		}
		return errors.Join(closeErr, st.crash.report())
	}
	if crashErr := st.crash.report(); crashErr != nil {
		return crashErr
	}
	if err == nil || bySignal {
		return nil
	}
	return fmt.Errorf("the terminal failed (%w). Every event until then is saved: start tubside again to go on", err)
}

// settleAtMost is how long the end waits for a terminal to take what puts it right.
const settleAtMost = 500 * time.Millisecond

// endOnSignal ends the program at the first signal as a key would, and at once
// at the second. The function it returns lets go of the signals and says
// whether there was one.
func endOnSignal(p *tea.Program) (stop func() bool) {
	got, done := make(chan os.Signal, 2), make(chan struct{})
	var came atomic.Bool
	signal.Notify(got, syscall.SIGHUP, syscall.SIGTERM, syscall.SIGINT)
	go func() {
		for {
			select {
			case <-done:
				return
			case <-got:
			}
			if came.Swap(true) {
				p.Kill()
				continue
			}
			go p.Quit() // waits for the program to take it
		}
	}()
	return func() bool {
		signal.Stop(got)
		close(done)
		// One may have come and not been taken yet: a terminal that closes
		// fails and signals at the same time.
		select {
		case <-got:
			came.Store(true)
		default:
		}
		return came.Load()
	}
}
