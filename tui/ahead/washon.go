package ahead

import (
	"cmp"
	"fmt"
	"slices"

	tea "github.com/charmbracelet/bubbletea"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/tui/base"
	"fleece.example/tubside/tui/draw"
	"fleece.example/tubside/tui/form"
)

// washOn is a batch of a past day that another day washes on, or again.
type washOn struct {
	was    string
	washed string // its date
	f      shed.Fleece
	b      shed.Batch
	asks   bool // it goes on from a step that has to be chosen
	stood  string
}

// washedOn has it as the same batch, without a presoak; what was presoaked only as the raw fleece that it is.
func washedOn(e *base.Env, day shed.DayID, d session.Day, batch string) *washOn {
	x := &washOn{was: batch, washed: e.Kit.Units.Moment(d.Fate[batch].WashedAt(d.EndedAt).In(e.Zone()), "2 Jan"), f: *d.FleeceOf(batch), stood: d.StoodAt(batch)}
	b, _ := d.Batch(batch)
	x.b = *b
	x.b.DosePart, x.b.FromStep = 0, "" // of that day
	for _, k := range e.Record.Fleeces {
		if k.ID == x.f.ID {
			x.f = k
		}
	}
	if was := (shed.Earlier{Day: day, Batch: batch}); d.Fate[batch].PresoakedOnly() { // its fleece has it again
		x.b.Soaked = was
	} else {
		x.b.WasDryG = cmp.Or(d.Fate[batch].DryG, x.b.WasDryG)
		x.b.Washed, x.b.Again, x.b.Soaked = max(1, d.Washes(&x.b), x.b.Card.Washes), was, shed.Earlier{}
		x.asks = d.LiesWet(batch)
	}
	x.b.Card, x.b.Presoak = shed.Card{Mark: x.b.Card.Mark}, shed.PresoakNone // its own name goes with it
	if x.b.Form == shed.FormUnsaid {
		x.b.Form = shed.Loose
	}
	return x
}

// methodOf is that of the day which takes batches now.
func methodOf(e *base.Env) *shed.Method {
	if e.Live.Day.Running() {
		return &e.Live.Day.Plan.Method
	}
	NewPlan(e) // which has a method from now on
	return &e.Planned.Plan.Method
}

// stepField asks from which step of a method a batch that was left wet is washed on.
func (x *washOn) stepField(m *shed.Method, title, hint string) *form.Field {
	var steps []form.Choice[string]
	for _, s := range m.StepsFor(x.f, shed.PresoakNone) {
		if s.Kind.IsBath() {
			if s.Name == x.stood || len(steps) == 0 {
				x.b.FromStep = s.Name
			}
			steps = append(steps, form.Choice[string]{Value: s.Name, Words: "the " + s.Name})
		}
	}
	return form.ChoiceField(title, hint, &x.b.FromStep, false, steps...)
}

// goOn takes batches, once it is said from which step each that was left wet goes on.
func goOn(e *base.Env, all []*washOn, names string, take func() error) tea.Cmd {
	m := methodOf(e)
	p := &form.Page{About: "Wax that was washed out may have set again: where it feels sticky, begin with a hot wash."}
	var asked []*washOn
	for _, x := range all {
		if !x.asks {
			continue
		}
		asked = append(asked, x)
		p.Fields = append(p.Fields, x.stepField(m, x.was+" goes on from", x.f.Title()+", "+x.washed+": stood at the "+x.stood+", gets fresh water"))
	}
	if len(p.Fields) == 0 {
		if err := take(); err != nil {
			e.Refuse(err)
		}
		return nil
	}
	f := form.NewForm(e, "Go on with "+names, []*form.Page{p}, func() (tea.Cmd, error) {
		if err := take(); err != nil {
			return nil, err
		}
		return base.Pop(), nil
	})
	return f.Over(func(w, room int) []string { return asked[f.Field].picture(e, m, w, room) })
}

// StillWet are those of the batches that days left wet which the plan has not; after some weeks wool is wet no more.
func StillWet(e *base.Env, all []ledger.BookedBatch) (wet []*ledger.BookedBatch) {
	for i := range all {
		x := &all[i]
		gone := session.LongDry(x.At, e.Now)
		for j := range e.Planned.Plan.Batches {
			gone = gone || e.Planned.Plan.Batches[j].Was() == shed.Earlier{Day: x.Day, Batch: x.ID}
		}
		if !gone {
			wet = append(wet, x)
		}
	}
	return wet
}

// WetNames are batches by their days, "A1 and A2 of 6 Jun, A1 of 8 Jun", and their marks.
func WetNames(e *base.Env, wet []*ledger.BookedBatch) (names string, ids []string) {
	for len(wet) > 0 {
		first, n := wet[0], len(ids)
		for ; len(wet) > 0 && wet[0].Day == first.Day; wet = wet[1:] {
			ids = append(ids, wet[0].ID)
		}
		if n > 0 {
			names += ", "
		}
		names += draw.Listed(ids[n:]) + " of " + e.Kit.Units.Moment(first.At.In(e.Zone()), "2 Jan")
	}
	return names, ids
}

func (s *PlanScreen) stillWet() []*ledger.BookedBatch { return StillWet(s.E, s.stock.Wet) }

// sayWet offers them, in a sentence; "" where there are none.
func (s *PlanScreen) sayWet() string {
	names, ids := WetNames(s.E, s.stillWet())
	if names == "" {
		return ""
	}
	return names + draw.Verb(ids, " was left wet: g puts it first", " were left wet: g puts them first")
}

// takeWet puts them before all else: they cannot wait.
func (s *PlanScreen) takeWet() tea.Cmd {
	e, j, wet := s.E, s.E.Journal, s.stillWet()
	if len(wet) == 0 {
		return nil
	}
	names, ids := WetNames(e, wet)
	return base.LeadSaved(s, e, func() (days []*session.Day, err error) {
		for i := range wet {
			if i == 0 || wet[i].Day != wet[i-1].Day {
				d, err := j.Day(wet[i].Day)
				if err != nil {
					return nil, err
				}
				days = append(days, &d)
				continue
			}
			days = append(days, days[i-1])
		}
		return days, nil
	}, func(days []*session.Day, err error) tea.Cmd {
		if err != nil {
			e.Refuse(fmt.Errorf("the day couldn't be read: %w", err))
			return nil
		}
		var all []*washOn
		for i := range wet {
			all = append(all, washedOn(e, wet[i].Day, *days[i], wet[i].ID))
		}
		return goOn(e, all, names, func() error {
			p := &e.Planned.Plan
			batches, fleeces := p.Batches, p.Fleeces
			for _, x := range all {
				if err := s.take(x.f, []shed.Batch{x.b}); err != nil {
					p.Batches, p.Fleeces = batches, fleeces
					s.fill()
					return err
				}
			}
			p.Batches = append(slices.Clone(p.Batches[len(batches):]), batches...)
			s.grid.At = 0
			s.fill()
			e.Tell("%s %s in the plan, before all else", names, draw.Verb(ids, "is", "are"))
			return nil
		})
	})
}
