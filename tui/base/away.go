package base

import (
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
)

// Answer is what was found or done away from the screen, on its way to the
// screen that asked.
type Answer struct {
	To   Screen
	Take func() tea.Cmd
}

// Away does work that may wait (the store, a search, a sound) outside of Update.
// take gets what came of it: in Update, whatever lies on top of s by then. If s
// was closed meanwhile nobody takes it.
func Away[T any](s Screen, work func() (T, error), take func(T, error) tea.Cmd) tea.Cmd {
	return func() tea.Msg {
		v, err := work()
		return Answer{s, func() tea.Cmd { return take(v, err) }}
	}
}

// RecordScreen is a screen that shows what the store says. Read is asked for after each
// message while the screen is on top, and is nil unless something has changed.
type RecordScreen interface{ Read() tea.Cmd }

// Reader remembers how far the record was when a screen read it last.
type Reader struct {
	of           recordAt
	asked, going bool
}

// recordAt is how far the record is: while it stays the same, so does the record.
type recordAt struct {
	changes int // see record.Changes
	day     shed.DayID
	seq     uint64 // of the running day
	waiting int    // events that are not written yet
}

// RecordAt is how far the record is now.
func (e *Env) RecordAt() recordAt {
	return recordAt{e.Record.Changes, e.Live.ID, e.Live.Day.LastSeq, e.Saving()}
}

// Follow reads for s what it shows of the record, once and again after each
// change, one at a time.
func Follow[T any](r *Reader, s Screen, e *Env, work func() (T, error), take func(T, error)) tea.Cmd {
	now := e.RecordAt()
	if r.going || r.asked && r.of == now {
		return nil
	}
	*r = Reader{of: now, asked: true, going: true}
	return Away(s, work, func(v T, err error) tea.Cmd {
		r.going = false
		take(v, err)
		return nil
	})
}

// hold keeps the keys that come while what a key asked for is being read or done: they
// are meant for what that brings, and wait until it is there.
type hold struct {
	by   Screen
	firm bool // Esc is one of the keys, and calls nothing off
	msgs []tea.Msg
}

// HeldMsg gives the next of them.
type HeldMsg struct{ of *hold }

// Lead is Away for what a key leads to. Esc calls it off.
func Lead[T any](s Screen, e *Env, work func() (T, error), take func(T, error) tea.Cmd) tea.Cmd {
	return lead(&hold{by: s}, e, work, take)
}

// savingFor is how long a key waits for what is being saved before it says so.
const savingFor = 5 * time.Second

// LeadSaved is Lead once all that was done before is written: the number of a day's next
// event is that after the last one written.
func LeadSaved[T any](s Screen, e *Env, work func() (T, error), take func(T, error) tea.Cmd) tea.Cmd {
	return Lead(s, e, func() (v T, err error) {
		if err = e.Keeper.Settled(savingFor); err != nil {
			return v, err
		}
		return work()
	}, take)
}

// Deed is away for what a key does and leads to: it cannot be called off.
func Deed(s Screen, e *Env, work func() error, take func(error) tea.Cmd) tea.Cmd {
	return lead(&hold{by: s, firm: true}, e, func() (struct{}, error) { return struct{}{}, work() }, func(_ struct{}, err error) tea.Cmd { return take(err) })
}

func lead[T any](h *hold, e *Env, work func() (T, error), take func(T, error) tea.Cmd) tea.Cmd {
	e.hold = h
	return Away(h.by, work, func(v T, err error) tea.Cmd {
		if e.hold != h {
			return nil
		}
		e.hold, h.firm = nil, true
		cmd := take(v, err)
		if cmd == nil && len(h.msgs) == 0 {
			return nil
		}
		return e.giveAfter(h, cmd)
	})
}

// giveAfter gives what is held once cmd has led to where it leads: first of all keys.
// What that asks for in turn, they wait for too.
func (e *Env) giveAfter(h *hold, cmd tea.Cmd) tea.Cmd {
	if e.hold != nil {
		e.hold.msgs = append(h.msgs, e.hold.msgs...)
		return cmd
	}
	e.hold = h
	return tea.Sequence(cmd, func() tea.Msg { return HeldMsg{h} })
}

// Give hands out the next key that was held.
func (e *Env) Give(m HeldMsg, to func(tea.Msg) tea.Cmd) tea.Cmd {
	h := m.of
	if e.hold != h {
		return nil
	}
	e.hold = nil
	if len(h.msgs) == 0 {
		return nil
	}
	msg := h.msgs[0]
	h.msgs = h.msgs[1:]
	cmd := to(msg)
	if len(h.msgs) == 0 {
		return cmd
	}
	return e.giveAfter(h, cmd)
}

// Closed lets go of the keys that wait for what a screen that is gone has asked for.
func (e *Env) Closed(s Screen) {
	if e.hold != nil && e.hold.by == s {
		e.hold = nil
	}
}

// Holds keeps a key or a click for later while something is being read; leaving,
// and silence for what rings, do not wait.
func (e *Env) Holds(msg tea.Msg) bool {
	if e.hold == nil {
		return false
	}
	if k, ok := msg.(tea.KeyMsg); ok {
		switch name := k.String(); {
		case name == "ctrl+c" || name == "ctrl+z":
			return false
		case name == "esc" && !e.hold.firm:
			e.hold = nil
			return true
		}
		if e.Heard(k, false) {
			return true
		}
	}
	e.hold.msgs = append(e.hold.msgs, msg)
	return true
}

// LongAway is so long that nobody is on the way to a tub that was left then.
const LongAway = 24 * time.Hour

// Guess is an open day and a clock that cannot say how long the program was off.
type Guess struct {
	Seen  time.Time     // the last that the other clock said
	Begun time.Time     // the day's begin by that clock
	Away  time.Duration // how long it was taken to be off
}

// SayAway corrects the guess of a running day: it was off for so long. What runs moves once;
// what is past goes by the clock of now or, where that is the wrong one, by that of before.
func (e *Env) SayAway(away time.Duration, nowRight bool) error {
	longer, behind := away-e.AwayGuess.Away, time.Duration(0)
	if !nowRight {
		behind = longer - e.Live.Day.StartedAt.Sub(e.AwayGuess.Begun)
	}
	e.Now = e.Now.Add(behind)
	err := e.Keeper.WasAway(away, longer, behind, e.Now)
	e.Look()
	e.ByClock = nil
	return err
}

// clockSet has the day's times a guess where the clock was set by so much that told how long the
// program was off. That it is a day whose times are known asks nothing.
func (e *Env) clockSet(by time.Duration) {
	if e.Look(); e.ByClock == nil || e.AwayGuess != nil || by.Abs() < time.Minute {
		return
	}
	e.AwayGuess = &Guess{Seen: e.Now.Add(-by), Begun: e.Live.Day.StartedAt.Add(-by), Away: e.ByClock.Away}
	e.Warn("the machine's clock changed by %s: on the tubs' screen, m says how long tubside was off", measure.Minutes(by.Minutes()))
}
