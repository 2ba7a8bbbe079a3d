package base

import (
	"errors"
	"fmt"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"fleece.example/tubside/session"
)

// reopen takes back the end of the last day, which becomes the running one.
func (e *Env) reopen(l *Live) error {
	if e.Live.Day.Running() && e.Live.ID != l.ID {
		return errors.New("another day is running: end that one first")
	}
	if !l.Day.UndoesEnd() {
		return errors.New("something was entered since it ended: undo that first, under Past days")
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
	e.Tell("the day is open again")
	return nil
}

// GoOnWith opens a day again at the second press, and goes to its tubs.
func (f *Frame) GoOnWith(s Screen, l *Live) tea.Cmd {
	e := f.E
	if !f.Again("reopen", "Reopen the day that ended %s ago? Press u again", AgoText(e.Now.Sub(l.Day.EndedAt))) {
		return nil
	}
	j, id, live := e.Journal, l.ID, l == e.Live
	return Lead(s, e, func() (day session.Day, err error) {
		if !live {
			if err := e.Keeper.Settled(savingFor); err != nil {
				return day, err
			}
		}
		days, err := j.Days(1)
		if err == nil && len(days) > 0 && days[0].ID > id && e.Rehearsal == nil {
			err = errors.New("only the last day can be reopened: a later one has begun since")
		}
		if err == nil && !live { // something may have been written of it since it was shown
			day, err = j.Day(id)
		}
		return day, err
	}, func(day session.Day, err error) tea.Cmd {
		if !live && err == nil {
			l.Day = day
		}
		if err == nil {
			err = e.reopen(l)
		}
		switch {
		case err != nil:
			e.Refuse(fmt.Errorf("the day can't be reopened: %w", err))
			return nil
		case e.Rehearsal != nil:
			return Replace(e.Doors.Day(e))
		}
		return ToTubs(e)
	})
}
