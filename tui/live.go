package tui

import (
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/planner"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/tui/keep"
)

// live is a day as one message sees it, and the way of a command to its keeper: the
// running day, or one of the past that is gone on with.
type live struct {
	keeper *keep.Keeper
	id     shed.DayID
	day    session.Day
	plan   planner.Timetable // of the rest of it, as it was last asked for
}

// look takes in how the running day stands.
func (e *env) look() {
	st := e.keeper.State()
	e.live.id, e.live.day = st.ID, st.Day
}

// do carries out a command; a refusal is a sentence and changes nothing.
func (l *live) do(c session.Command, now time.Time) (err error) {
	l.day, err = l.keeper.Do(l.id, l.day, c, now)
	return err
}

// doTogether carries out the acts of one movement at a tub; what was done before
// a refusal stays.
func (l *live) doTogether(c session.DoNext, then []shed.Action, now time.Time) (err error) {
	l.day, err = l.keeper.DoTogether(l.id, l.day, c, then, now)
	return err
}

// timetable plans the rest of the running day.
func (l *live) timetable(now time.Time) planner.Timetable {
	l.plan = l.keeper.Timetable(now)
	if l.day.Running() {
		l.day = planner.Planned(l.day, l.plan)
	}
	return l.plan
}

// keptMsg says that the running day has changed, or something was written, or could
// not be.
type keptMsg struct{}

// listen is the command that brings the next keptMsg; nil once closed.
func (e *env) listen() tea.Cmd {
	k := e.keeper
	return func() tea.Msg {
		if k.Wait() {
			return keptMsg{}
		}
		return nil
	}
}

// saving is how many events are not written yet.
func (e *env) saving() int {
	n, _ := e.keeper.Saved()
	return n
}

// hearKeeper says what the keeper met by itself.
func (e *env) hearKeeper() {
	for _, n := range e.keeper.News() {
		if n.Err != nil {
			e.refuse(n.Err)
			continue
		}
		e.tell("the machine's clock was set by %s: every timer was moved with it", n.SetBy.Round(time.Second))
	}
}
