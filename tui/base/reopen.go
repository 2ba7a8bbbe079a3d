package base

import (
	"errors"
	"fmt"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/ledger"
)

// reopen takes back the end of the last day, which becomes the running one.
func (e *Env) reopen(l *Live) error {
	if e.Live.Day.Running() && e.Live.ID != l.ID {
		return errors.New("another day runs: end that one first")
	}
	if l != e.Live && e.Saving() > 0 {
		return errors.New("the last entry is still being saved: press again in a moment")
	}
	if l != e.Live {
		e.Keeper.Take(l.ID, l.Day)
		e.Look()
	}
	away := e.Now.Sub(l.Day.EndedAt)
	if err := e.Live.Do(session.Undo{}, e.Now); err != nil {
		return err
	}
	if away > time.Minute { // nobody watched
		if err := e.Live.Do(session.ResumeWatch{Away: away}, e.Now); err != nil {
			return err
		}
	}
	e.Record.Changes++
	e.Tell("the day goes on")
	return nil
}

// GoOnWith opens a day again at the second press, and goes to its tubs.
func (f *Frame) GoOnWith(s Screen, l *Live) tea.Cmd {
	e := f.E
	if !f.Again("reopen", "Take back the end of the day, %s ago? The day goes on. u again: yes", AgoText(e.Now.Sub(l.Day.EndedAt))) {
		return nil
	}
	j := e.Journal
	return Lead(s, e, func() ([]ledger.Summary, error) { return j.Days(1) }, func(days []ledger.Summary, err error) tea.Cmd {
		if err == nil && len(days) > 0 && days[0].ID > l.ID && e.Rehearsal == nil {
			err = errors.New("only the last day can go on: a later one has come since")
		}
		if err == nil {
			err = e.reopen(l)
		}
		switch {
		case err != nil:
			e.Refuse(fmt.Errorf("the day cannot go on: %w", err))
			return nil
		case e.Rehearsal != nil:
			return Replace(e.Doors.Day(e))
		}
		return ToTubs(e)
	})
}
