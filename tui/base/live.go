package base

import (
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/planner"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/tui/keep"
)

// Live is a day as one message sees it, and the way of a command to its keeper: the
// running day, or one of the past that is gone on with.
type Live struct {
	Keeper *keep.Keeper
	ID     shed.DayID
	Day    session.Day
	Plan   planner.Timetable // of the rest of it, as it was last asked for
}

// Look takes in how the running day stands.
func (e *Env) Look() {
	st := e.Keeper.State()
	if st.ID != e.Live.ID { // it was of the day before
		e.AwayGuess, e.ByClock = nil, nil
	}
	e.Live.ID, e.Live.Day = st.ID, st.Day
}

// Do carries out a command; a refusal is a sentence and changes nothing.
func (l *Live) Do(c session.Command, now time.Time) (err error) {
	l.Day, err = l.Keeper.Do(l.ID, l.Day, c, now)
	return err
}

// DoTogether carries out the acts of one movement at a tub; what was done before
// a refusal stays.
func (l *Live) DoTogether(c session.DoNext, then []shed.Action, now time.Time) (err error) {
	l.Day, err = l.Keeper.DoTogether(l.ID, l.Day, c, then, now)
	return err
}

// Timetable has the plan of the rest of the running day, and waits for one of the day
// as it stands no longer than within; fresh says whether it came.
func (l *Live) Timetable(now time.Time, within time.Duration) (fresh bool) {
	l.Plan, fresh = l.Keeper.Timetable(now, within)
	if l.Day.Running() {
		l.Day = planner.Planned(l.Day, l.Plan)
	}
	return fresh
}

// KeptMsg says that the running day has changed, or something was written, or could
// not be.
type KeptMsg struct{}

// Listen is the command that brings the next KeptMsg; nil once closed.
func (e *Env) Listen() tea.Cmd {
	k := e.Keeper
	return func() tea.Msg {
		if k.Wait() {
			return KeptMsg{}
		}
		return nil
	}
}

// Saving is how many events are not written yet.
func (e *Env) Saving() int {
	n, _ := e.Keeper.Saved()
	return n
}

// HearKeeper says what the keeper met by itself.
func (e *Env) HearKeeper() {
	for _, n := range e.Keeper.News() {
		switch {
		case n.Err != nil:
			e.Refuse(n.Err)
			continue
		case n.Late != "":
			e.Warn("%s", n.Late)
			e.SayUntil = e.Now.Add(LongAway) // it is said once: whoever is away reads it with the next key
			continue
		}
		e.Warn("the machine's clock changed by %s: every timer moved with it", measure.Minutes(n.SetBy.Minutes()))
		e.clockSet(n.SetBy)
	}
}
