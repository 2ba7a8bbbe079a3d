package tui

import (
	tea "github.com/charmbracelet/bubbletea"

	"fleece.example/tubside/session/shed"
)

// answer is what was found or done away from the screen, on its way to the
// screen that asked.
type answer struct {
	to   screen
	take func() tea.Cmd
}

// away does work that may wait (the store, a search, a sound) outside of Update.
// take gets what came of it: in Update, whatever lies on top of s by then. If s
// was closed meanwhile nobody takes it.
func away[T any](s screen, work func() (T, error), take func(T, error) tea.Cmd) tea.Cmd {
	return func() tea.Msg {
		v, err := work()
		return answer{s, func() tea.Cmd { return take(v, err) }}
	}
}

// reading is a screen that shows what the store says. read is asked for after each
// message while the screen is on top, and is nil unless something has changed.
type reading interface{ read() tea.Cmd }

// reader remembers how far the record was when a screen read it last.
type reader struct {
	of           recordAt
	asked, going bool
}

// recordAt is how far the record is: while it stays the same, so does the record.
type recordAt struct {
	changes int // see record
	day     shed.DayID
	seq     uint64 // of the running day
	waiting int    // events that are not written yet
}

func (e *env) recordAt() recordAt {
	return recordAt{e.record.changes, e.live.id, e.live.day.LastSeq, e.saving()}
}

// follow reads for s what it shows of the record, once and again after each
// change, one at a time.
func follow[T any](r *reader, s screen, e *env, work func() (T, error), take func(T, error)) tea.Cmd {
	now := e.recordAt()
	if r.going || r.asked && r.of == now {
		return nil
	}
	*r = reader{of: now, asked: true, going: true}
	return away(s, work, func(v T, err error) tea.Cmd {
		r.going = false
		take(v, err)
		return nil
	})
}

// hold keeps the keys that come while what a key asked for is being read: they are
// meant for what that brings.
type hold struct{ msgs []tea.Msg }

// heldMsg gives them, one after the other.
type heldMsg struct{ msgs []tea.Msg }

// lead is away for what a key leads to. Esc calls it off.
func lead[T any](s screen, e *env, work func() (T, error), take func(T, error) tea.Cmd) tea.Cmd {
	h := &hold{}
	e.hold = h
	return away(s, work, func(v T, err error) tea.Cmd {
		if e.hold != h {
			return nil
		}
		e.hold = nil
		cmd := take(v, err)
		if len(h.msgs) == 0 {
			return cmd
		}
		return tea.Sequence(cmd, func() tea.Msg { return heldMsg{h.msgs} })
	})
}

// holds keeps a key or a click for later while something is being read; leaving,
// and silence for what rings, do not wait.
func (e *env) holds(msg tea.Msg) bool {
	if e.hold == nil {
		return false
	}
	if k, ok := msg.(tea.KeyMsg); ok {
		switch k.String() {
		case "ctrl+c", "ctrl+z":
			return false
		case "esc":
			e.hold = nil
			return true
		}
		if e.heard(k) {
			return true
		}
	}
	e.hold.msgs = append(e.hold.msgs, msg)
	return true
}
