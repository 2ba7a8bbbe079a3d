package tui

import (
	"fmt"
	"math"

	tea "github.com/charmbracelet/bubbletea"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/measure"
)

// weighNext asks for the dry weight of a batch; those not weighed yet come
// first, the others can be corrected.
func (s *reviewScreen) weighNext() tea.Cmd {
	if s.day == nil {
		return nil
	}
	form, err := s.weighForm()
	if err != nil {
		s.e.refuse(err)
		return nil
	}
	return push(form)
}

func (s *reviewScreen) weighForm() (screen, error) {
	d, u := s.day.day, s.e.kit.Units
	var open, done []choice[string]
	for _, b := range d.Plan.Batches {
		fate := d.Fate[b.ID]
		words := fmt.Sprintf("%s  %s, %s raw", b.ID, d.FleeceOf(b.ID).Title(), u.Mass(b.RawG))
		switch {
		case fate.RackedAt.IsZero():
		case fate.DryG > 0:
			done = append(done, choice[string]{b.ID, words + fmt.Sprintf(" (weighed: %s)", u.Mass(fate.DryG))})
		default:
			open = append(open, choice[string]{b.ID, words})
		}
	}
	choices := append(open, done...)
	if len(choices) == 0 {
		return nil, fmt.Errorf("no batch of this day is on the rack: only racked batches are weighed")
	}
	batch, dryG := choices[0].value, math.NaN()
	command := func() session.Weigh { return session.Weigh{Batch: batch, DryG: dryG} }
	check := func(_ measure.System, g float64) error {
		_, err := session.Decide(d, session.Weigh{Batch: batch, DryG: g}, s.e.now)
		return err
	}
	p := &page{title: "Dry weight", fields: []*field{
		choiceField("Batch", "as its tag says", &batch, false, choices...),
		numberField(u, weight, "Dry weight", "on the same scale as the raw weight, when it feels dry and weighs the same a day later", &dryG, check),
	}}
	f := newForm(s.e, "Weigh", []*page{p}, func() (tea.Cmd, error) {
		if err := s.day.do(command(), s.e.now); err != nil {
			return nil, err
		}
		s.refill()
		b, _ := d.Batch(batch)
		s.e.tell("%s: %s dry of %s raw, yield %s", batch, u.Mass(dryG), u.Mass(b.RawG), yieldText(b.RawG, dryG))
		if len(open) > 1 || len(open) == 1 && open[0].value != batch { // and the next
			next, err := s.weighForm()
			if err == nil {
				return replace(next), nil
			}
		}
		return pop(), nil
	})
	return f, nil
}
