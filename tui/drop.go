package tui

import (
	"fmt"
	"strings"

	tea "github.com/charmbracelet/bubbletea"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/shed"
)

// deleteDay takes a day out of the journal.
func (e *env) deleteDay(id shed.DayID) error {
	running := e.live.id
	err := e.keep(func() error { return e.keeper.Delete(id) })
	e.look()
	if err != nil {
		return err
	}
	e.record.changes++
	if id != running {
		e.lookOverRack(&live{id: id}) // nothing of it lies there any more
	}
	return nil
}

// end closes the day, or drops it if nothing has happened to any fleece.
func (s *dayScreen) end() tea.Cmd {
	cmd := session.EndDay{Anyway: true}
	if tubs := s.e.live.day.FleeceIn(); len(tubs) > 0 && s.e.Rehearsal == nil {
		s.askEnd(tubs, cmd)
		return nil
	}
	if !s.e.live.day.MayDrop() || s.e.Rehearsal != nil { // a rehearsal keeps nothing anyway
		s.again("e", cmd, s.endQuestion(), "the day is closed")
		return nil
	}
	if !s.confirmed("e", cmd, "nothing has gone in: drop the day? e again drops it, and its batches go back to the plan") {
		return nil
	}
	e, p := s.e, s.e.live.day.Plan
	if err := e.deleteDay(e.live.id); err != nil {
		e.refuse(fmt.Errorf("the day could not be dropped: %w", err))
		return nil
	}
	e.planned.plan = shed.Plan{Method: p.Method, Fleeces: p.Fleeces, Batches: p.Batches}
	e.tell("the day is dropped; its batches are in the plan")
	return tea.Sequence(root(newHome(e)), push(newPlan(e)))
}

// goesBack says which batches never went in, and so go back to their fleece when
// the day ends; "" if none.
func goesBack(d session.Day) string {
	ids := d.NeverIn()
	switch len(ids) {
	case 0:
		return ""
	case 1:
		return ids[0] + " goes back to its fleece"
	}
	return listed(ids) + " go back to their fleece"
}

// listed is "A1", "A1 and A2", "A1, A2 and A3", "A1, A2, A3 and 5 more".
func listed(ids []string) string {
	const most = 6
	if n := len(ids); n > most {
		ids = append(ids[:most-1:most-1], fmt.Sprintf("%d more", n-most+1))
	}
	last := len(ids) - 1
	if last < 1 {
		return strings.Join(ids, "")
	}
	return strings.Join(ids[:last], ", ") + " and " + ids[last]
}

// dropOpen drops the open day that was found at the start, at the second press.
func (s *goOnScreen) dropOpen() tea.Cmd {
	if !s.again("drop", "nothing went in on that day: drop it? x again drops it, and nothing of it is kept") {
		return nil
	}
	if err := s.e.deleteDay(s.id); err != nil {
		s.e.refuse(fmt.Errorf("the day could not be dropped: %w", err))
		return nil
	}
	s.e.tell("the day is dropped")
	return pop()
}

// delete takes the chosen day out of the record, once its consequence was said.
func (s *pastScreen) delete() tea.Cmd {
	e := s.e
	if len(s.days) == 0 {
		return nil
	}
	d := s.days[s.grid.at]
	name := e.dayText(d.StartedAt)
	if d.EndedAt.IsZero() {
		e.refuse(fmt.Errorf("that day is still open: end it first, e at the tubs"))
		return nil
	}
	if !s.again(fmt.Sprintf("delete %d", d.ID), "x again deletes %s for good: %s. To keep a copy, quit first: tubside export --json FILE", name, e.goesWith(d)) {
		return nil
	}
	if err := e.deleteDay(d.ID); err != nil {
		e.refuse(fmt.Errorf("%s could not be deleted: %w", name, err))
		return nil
	}
	e.tell("%s is deleted", name)
	return nil
}

// goesWith says what is gone with a day.
func (e *env) goesWith(d ledger.Summary) string {
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
	text := listed(ids) + " with their codes"
	if len(ids) == 1 {
		text = ids[0] + " with its code"
	}
	if dry > 0 {
		text += ", " + counted(dry, "dry weight", "dry weights")
	}
	if n := len(d.Lessons); n > 0 {
		text += ", what " + counted(n, "bath", "baths") + " taught about the tubs"
	}
	return fmt.Sprintf("%s; %s are raw again", text, e.kit.Units.Mass(rawG))
}
