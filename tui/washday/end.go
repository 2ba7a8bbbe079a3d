package washday

import (
	"errors"
	"fmt"
	"strings"

	tea "github.com/charmbracelet/bubbletea"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/tui/ahead"
	"fleece.example/tubside/tui/base"
	"fleece.example/tubside/tui/draw"
	"fleece.example/tubside/tui/past"
)

// lookBack is what the end of the day leads to.
func (s *Screen) lookBack() tea.Cmd { return base.Replace(past.NewReview(s.e, s.e.Live.ID)) }

// end closes the day, or drops it if nothing has happened to any fleece.
func (s *Screen) end() tea.Cmd {
	cmd := session.EndDay{Anyway: true}
	if tubs := s.e.Live.Day.FleeceIn(); len(tubs) > 0 && s.e.Rehearsal == nil {
		s.askEnd(tubs, cmd)
		return nil
	}
	if !s.e.Live.Day.MayDrop() || s.e.Rehearsal != nil { // a rehearsal keeps nothing anyway
		s.again("e", cmd, s.endQuestion(), "the day is closed")
		return nil
	}
	if !s.confirmed("e", cmd, "nothing has gone in: discard the day? Its batches go back to the plan. Press e again") {
		return nil
	}
	e, p := s.e, s.e.Live.Day.Plan
	if err := e.DeleteDay(e.Live.ID); err != nil {
		e.Refuse(fmt.Errorf("the day couldn't be discarded: %w", err))
		return nil
	}
	e.Planned.Plan = shed.Plan{Method: p.Method, Fleeces: p.Fleeces, Batches: p.Batches, Break: p.Break}
	e.Tell("the day is discarded; its batches are back in the plan")
	return tea.Sequence(base.Root(e.Doors.Home(e)), base.Push(ahead.NewPlan(e)))
}

// askEnd asks for a word before a day ends with fleece in the water: a key that
// bounced writes none.
func (s *Screen) askEnd(tubs []string, cmd session.Command) {
	hint := draw.Listed(tubs) + " still " + draw.Verb(tubs, "has", "have") + " fleece in"
	if back := base.AtTheEnd(s.e.Live.Day); back != "" {
		hint += ". " + back
	}
	a := &ask{tub: -1, title: "END THE DAY WITH FLEECE IN THE WATER?", hint: hint, fields: []askField{newField("type end:", "", "")}, enter: "ends the day"}
	a.accept = func(texts []string, _ int) error {
		if !strings.EqualFold(strings.TrimSpace(texts[0]), "end") {
			return errors.New("type end to end the day; Esc carries on")
		}
		if err := s.e.Live.Do(cmd, s.e.Now); err != nil {
			return err
		}
		s.e.Tell("the day is closed; press u twice to reopen it")
		return nil
	}
	s.ask = a
}
