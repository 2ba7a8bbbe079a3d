package past

import (
	"fmt"
	"slices"
	"unicode/utf8"

	tea "github.com/charmbracelet/bubbletea"

	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/tui/ahead"
	"fleece.example/tubside/tui/base"
	"fleece.example/tubside/tui/form"
)

// askJoin asks which other entry of the ledger is this fleece too.
func (s *cardScreen) askJoin(x *ledger.Entry) tea.Cmd {
	e, u := s.E, s.E.Kit.Units
	gone := "" // nothing is merged by a mere Enter
	others := []form.Choice[string]{{Value: gone, Words: "none: each is a fleece of its own"}}
	for _, o := range s.ledger.entries {
		if f := o.Fleece; f.ID != x.Fleece.ID {
			others = append(others, form.Choice[string]{Value: f.ID, Words: fmt.Sprintf("%s, %s raw, %s, mark %s", f.Title(), u.Mass(f.RawG), base.Counted(len(o.Batches), "batch", "batches"), f.ID)})
		}
	}
	if len(others) < 2 {
		e.Refuse(fmt.Errorf("there is no other fleece to merge into %s", x.Fleece.Title()))
		return nil
	}
	p := &form.Page{Fields: []*form.Field{form.ChoiceField("Which is this one too", "its batches come here and it leaves the list: this can't be undone", &gone, false, others...)}}
	var o, with shed.Fleece
	twice := false
	p.Leave = func() error {
		if other, ok := s.ledger.of(gone); ok {
			o = other.Fleece
			twice = u.Mass(o.RawG) == u.Mass(x.Fleece.RawG)
		}
		return nil
	}
	weight := &form.Page{Title: "Weight", Hide: func() bool { return gone == "" }, Fields: []*form.Field{form.ChoiceField("What the two are", "", &twice, false,
		form.Choice[bool]{Value: false, Words: "two halves of one fleece: their weights are added"},
		form.Choice[bool]{Value: true, Words: "one fleece entered twice: it weighs " + u.Mass(x.Fleece.RawG)})}}
	weight.Leave = func() error {
		with = x.Fleece.With(o, twice)
		switch n := utf8.RuneCountInString(with.Notes); {
		case n > shed.MaxNote:
			return fmt.Errorf("the notes of both come to %d characters, and %d are kept: shorten one first, e at each", n, shed.MaxNote)
		case slices.ContainsFunc(e.Planned.Plan.Batches, func(b shed.Batch) bool { return b.FleeceID == gone }):
			return fmt.Errorf("%s is in the plan for the next day: take its batches out first", o.Title())
		case o.Rest != x.Fleece.Rest:
			return fmt.Errorf("one is still to wash, the other isn't: make them alike first, e at each")
		case twice:
			return shed.Unlikelyf("%s goes into %s for good, which stays at %s raw: was this fleece entered twice?", o.Title(), x.Fleece.Title(), u.Mass(with.RawG))
		}
		return shed.Unlikelyf("%s goes into %s for good, and its %s raw are added: is it wool of the same fleece?", o.Title(), x.Fleece.Title(), u.Mass(o.RawG))
	}
	ask := form.NewForm(e, "Merge into "+x.Fleece.Title(), []*form.Page{p, weight}, func() (tea.Cmd, error) {
		if gone == "" {
			return base.Pop(), nil
		}
		saved, err := ahead.SaveFleece(e, with)
		if err != nil {
			return nil, err
		}
		e.Record.DropFleece(gone)
		s.ledger.book()
		s.Refill()
		e.Tell("%s, mark %s, is part of %s", o.Title(), gone, saved.Title())
		return base.Pop(), nil
	})
	ask.Changed = func() {
		ask.Heading = "Merge into " + x.Fleece.Title()
		if other, ok := s.ledger.of(gone); ok {
			ask.Heading = fmt.Sprintf("Merge %s, %s, into %s, %s", other.Fleece.Title(), u.Mass(other.Fleece.RawG), x.Fleece.Title(), u.Mass(x.Fleece.RawG))
		}
	}
	return ask.Over(func(w, room int) []string {
		other, ok := s.ledger.of(gone)
		if !ok {
			other = x
		}
		return s.ledger.cardOf(other, w, room)
	})
}
