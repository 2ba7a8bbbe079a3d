package tui

import (
	"fmt"
	"strings"

	tea "github.com/charmbracelet/bubbletea"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/yield"
)

// splitFleece asks how much of a fleece goes into the day, and puts it into
// baskets: even ones, nothing left over.
func (s *planScreen) splitFleece() tea.Cmd {
	e := s.e
	known, err := e.Ledger.Fleeces()
	if err != nil {
		e.refuse(fmt.Errorf("the fleeces could not be read: %w", err))
		return nil
	}
	if len(known) == 0 {
		e.refuse(fmt.Errorf("there is no fleece yet: a adds batches of a new one"))
		return nil
	}
	// What earlier days have washed is gone from the fleece.
	left, parts := map[string]float64{}, map[string][]yield.Part{}
	for _, f := range known {
		left[f.ID], parts[f.ID] = f.ToWashG(), session.Entry{Fleece: f, LeftG: f.ToWashG()}.Left()
	}
	if days, err := e.rows.read(e.Journal); err != nil {
		e.refuse(fmt.Errorf("what is washed already could not be read, so it is not taken off: %w", err))
	} else {
		for _, x := range session.Book(known, days) {
			left[x.Fleece.ID], parts[x.Fleece.ID] = x.LeftG, x.Left()
		}
	}
	choices := make([]choice[string], 0, len(known))
	for _, f := range known {
		f = f.Clean()
		choices = append(choices, choice[string]{f.ID, fmt.Sprintf("%s  (%s of %s left, %s in the plan)", f.Title(), e.kit.Units.Mass(left[f.ID]), e.kit.Units.Mass(f.ToWashG()), e.kit.Units.Mass(s.planned(f.ID, "")))})
	}
	find := func(id string) session.Fleece {
		for _, f := range known {
			if f.ID == id {
				return f
			}
		}
		return session.Fleece{}
	}
	part := session.Part{Fleece: known[0]}
	id := known[0].ID
	usual := func() (rawG, basketG float64) {
		f := find(id)
		rawG = left[id] - s.planned(id, "")
		for _, sorted := range f.Parts {
			if !strings.EqualFold(sorted.Name, part.Name) {
				continue
			}
			partG := 0.0 // all of it is washed, unless some is left
			for _, p := range parts[id] {
				if p.Name != "" && strings.EqualFold(p.Name, part.Name) {
					partG = p.RawG
				}
			}
			rawG = min(rawG, partG-s.planned(id, part.Name))
		}
		return max(0, rawG), s.whole().BasketG(f.Type, part.Form)
	}
	part.RawG, part.BasketG = usual()
	raw := numberField(e.kit.Units, weight, "How much of it", "all that is left of it, unless you say less", &part.RawG, kitCheck(session.Kit.CheckFleeceG))
	basket := numberField(e.kit.Units, weight, "Most in a basket", "in your largest tub: springy fleece less, locks less; smaller tubs take less by themselves", &part.BasketG, kitCheck(session.Kit.CheckBatchG))
	pages := []*page{
		{title: "Which fleece", fields: []*field{choiceField("Fleece", "one animal's clip", &id, false, choices...)}},
		{title: "Baskets", fields: []*field{
			choiceField("Form", "loose fleece may be pressed; locks are only raised and lowered", &part.Form, true,
				choice[session.Form]{session.Loose, "loose"}, choice[session.Form]{session.Locks, "locks, in layers"}),
			partField(&part.Name), raw, basket,
		}},
		layersPage(&part.Form, &part.Layers),
	}
	f := newForm(e, "Split a fleece into batches", pages, func() (tea.Cmd, error) {
		part.Fleece = find(id)
		batches, err := s.whole().Split(part)
		if err != nil {
			return nil, err
		}
		if err := s.take(part.Fleece, batches); err != nil {
			return nil, err
		}
		return pop(), nil
	})
	was, form, name := id, part.Form, part.Name
	f.changed = func() {
		if id == was && form == part.Form && name == part.Name {
			return
		}
		was, form, name = id, part.Form, part.Name
		rawG, basketG := usual()
		raw.offer(rawG)
		basket.offer(basketG)
	}
	return push(f)
}

// planned is how much of a fleece, or of one part of it, is in the plan, g.
func (s *planScreen) planned(id, part string) float64 {
	g := 0.0
	for _, b := range s.e.plan.Batches {
		if b.FleeceID == id && (part == "" || strings.EqualFold(b.Part, part)) {
			g += b.RawG
		}
	}
	return g
}
