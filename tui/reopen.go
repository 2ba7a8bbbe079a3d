package tui

import (
	"errors"
	"fmt"
	"strings"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/ledger"
)

// askEnd asks for a word before a day ends with fleece in the water: a key that
// bounced writes none.
func (s *dayScreen) askEnd(tubs []string, cmd session.Command) {
	hint := listed(tubs) + " still " + verb(tubs, "has", "have") + " fleece in the water. Type end and press Enter to end the day all the same; Esc goes on with it"
	if back := goesBack(s.e.live.day); back != "" {
		hint += ". " + back
	}
	a := &ask{tub: -1, title: "END THE DAY WITH FLEECE IN THE WATER?", hint: hint, fields: []askField{newField("type end:", "", "")}, enter: "ends the day"}
	a.accept = func(texts []string, _ int) error {
		if !strings.EqualFold(strings.TrimSpace(texts[0]), "end") {
			return errors.New("type the word end to end the day; Esc goes on with it")
		}
		if err := s.e.live.do(cmd, s.e.now); err != nil {
			return err
		}
		s.e.tell("the day is closed; u goes on with it")
		return nil
	}
	s.ask = a
}

func verb(of []string, one, more string) string {
	if len(of) == 1 {
		return one
	}
	return more
}

// reopen takes back the end of the last day, which becomes the running one.
func (e *env) reopen(l *live) error {
	if e.live.day.Running() && e.live.id != l.id {
		return errors.New("another day runs: end that one first")
	}
	if l != e.live && e.saving() > 0 {
		return errors.New("the last entry is still being saved: press again in a moment")
	}
	if l != e.live {
		e.keeper.Take(l.id, l.day)
		e.look()
	}
	away := e.now.Sub(l.day.EndedAt)
	if err := e.live.do(session.Undo{}, e.now); err != nil {
		return err
	}
	if away > time.Minute { // nobody watched
		if err := e.live.do(session.ResumeWatch{Away: away}, e.now); err != nil {
			return err
		}
	}
	e.record.changes++
	e.tell("the day goes on")
	return nil
}

// goOnWith opens a day again at the second press, and goes to its tubs.
func (f *frame) goOnWith(s screen, l *live) tea.Cmd {
	e := f.e
	if !f.again("reopen", "Take back the end of the day, %s ago? The day goes on. u again: yes", agoText(e.now.Sub(l.day.EndedAt))) {
		return nil
	}
	j := e.Journal
	return lead(s, e, func() ([]ledger.Summary, error) { return j.Days(1) }, func(days []ledger.Summary, err error) tea.Cmd {
		if err == nil && len(days) > 0 && days[0].ID > l.id && e.Rehearsal == nil {
			err = errors.New("only the last day can go on: a later one has come since")
		}
		if err == nil {
			err = e.reopen(l)
		}
		switch {
		case err != nil:
			e.refuse(fmt.Errorf("the day cannot go on: %w", err))
			return nil
		case e.Rehearsal != nil:
			return replace(newDayScreen(e))
		}
		return toTubs(e)
	})
}
