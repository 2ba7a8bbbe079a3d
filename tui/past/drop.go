package past

import (
	"fmt"

	tea "github.com/charmbracelet/bubbletea"

	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/tui/base"
	"fleece.example/tubside/tui/draw"
)

// delete takes the chosen day out of the record, once its consequence was said.
func (s *pastScreen) delete() tea.Cmd {
	e := s.E
	if len(s.days) == 0 {
		return nil
	}
	d := s.days[s.grid.At]
	name := e.DayText(d.StartedAt)
	if d.EndedAt.IsZero() {
		e.Refuse(fmt.Errorf("that day is still open: end it first, e at the tubs"))
		return nil
	}
	if !s.Again(fmt.Sprintf("delete %d", d.ID), "x again deletes %s for good: %s. To keep a copy, quit first: tubside export --json FILE", name, goesWith(e, d)) {
		return nil
	}
	if err := e.DeleteDay(d.ID); err != nil {
		e.Refuse(fmt.Errorf("%s could not be deleted: %w", name, err))
		return nil
	}
	e.Tell("%s is deleted", name)
	return nil
}

// goesWith says what is gone with a day.
func goesWith(e *base.Env, d ledger.Summary) string {
	var ids []string
	rawG, dry := 0.0, 0
	for _, r := range d.Rows {
		if r.State() == ledger.Unwashed {
			continue
		}
		ids = append(ids, r.ID)
		rawG += r.RawG
		if r.State() == ledger.Bagged {
			dry++
		}
	}
	if len(ids) == 0 {
		return "nothing was washed on it"
	}
	text := draw.Listed(ids) + " with their codes"
	if len(ids) == 1 {
		text = ids[0] + " with its code"
	}
	if dry > 0 {
		text += ", " + base.Counted(dry, "dry weight", "dry weights")
	}
	if n := len(d.Lessons); n > 0 {
		text += ", what " + base.Counted(n, "bath", "baths") + " taught about the tubs"
	}
	return fmt.Sprintf("%s; %s are raw again", text, e.Kit.Units.Mass(rawG))
}
