package ahead

import (
	"fmt"

	tea "github.com/charmbracelet/bubbletea"

	"fleece.example/tubside/session/planner"
	"fleece.example/tubside/tui/base"
	"fleece.example/tubside/tui/form"
)

// rinsed is what a plan with a rinse tub comes to beside the same without; "" without one.
func (r *reckoned) rinsed() string {
	p := r.plan
	if p.RinseTub == "" || r.why != nil {
		return ""
	}
	p.RinseTub = ""
	without, _, err := r.when.Plan(p, planner.AsGiven)
	if err != nil {
		return ""
	}
	return planner.Beside(&without, &r.outlook).Say()
}

// askRinseTub asks which tub is kept for rinses, each with what it comes to.
func (s *PlanScreen) askRinseTub() tea.Cmd {
	p, when := s.Whole(), whenOf(s.E)
	switch {
	case len(p.Kit.Tubs) < 2:
		s.E.Refuse(fmt.Errorf("a rinse tub needs another tub to wash in: there is one"))
		return nil
	case len(p.Batches) == 0:
		s.E.Refuse(fmt.Errorf("no batches yet: a adds some"))
		return nil
	}
	p.RinseTub = ""
	var choices []form.Choice[string]
	work := func() (none struct{}, err error) {
		without, _, err := when.Plan(p, planner.AsGiven)
		if err != nil {
			return none, err
		}
		choices = []form.Choice[string]{{Words: "none: done " + when.Text(without.Timetable.Finish)}}
		for _, tub := range p.Kit.Tubs {
			p.RinseTub = tub.ID
			words := ""
			if o, _, err := when.Plan(p, planner.AsGiven); err != nil {
				words = err.Error()
			} else {
				words = planner.Beside(&without, &o).Gain()
			}
			choices = append(choices, form.Choice[string]{Value: tub.ID, Words: tub.Name + ": " + words})
		}
		return none, nil
	}
	return base.Lead(s, s.E, work, func(_ struct{}, err error) tea.Cmd {
		if err != nil {
			s.E.Refuse(err)
			return nil
		}
		id := s.Whole().RinseTub
		page := &form.Page{About: "Its bath is filled and covered before the basket comes; the tub it was washed in is free sooner. No batch is washed in it.",
			Fields: []*form.Field{form.ChoiceField("Rinse tub", "each basket goes on there after its last wash", &id, false, choices...)}}
		return base.Push(form.NewForm(s.E, "A tub for the rinses", []*form.Page{page}, func() (tea.Cmd, error) {
			s.E.Planned.Plan.RinseTub = id
			s.fill()
			return base.Pop(), nil
		}))
	})
}
