package shed

import (
	"cmp"
	"fmt"
	"slices"

	"fleece.example/tubside/session/measure"
)

// Clean returns the plan with every name made safe and every batch labelled.
func (p Plan) Clean() Plan {
	p = p.CleanTexts()
	p.Batches = LabelBatches(p.Fleeces, p.Batches, 0)
	for i, b := range p.Batches {
		p.Batches[i].Layers = LayersOf(b.Form, b.Layers)
	}
	return p
}

// CleanTexts makes every text safe to show and leaves the batches their marks.
func (p Plan) CleanTexts() Plan {
	p.Kit, p.Method = p.Kit.Clean(), p.Method.Clean()
	p.Fleeces, p.Batches = slices.Clone(p.Fleeces), slices.Clone(p.Batches)
	for i, f := range p.Fleeces {
		p.Fleeces[i] = f.Clean()
	}
	for i, b := range p.Batches {
		p.Batches[i] = b.Clean()
	}
	p.OnRack, p.Gave = CleanLying(p.OnRack), slices.Clone(p.Gave)
	for i, g := range p.Gave {
		p.Gave[i].Fleece, p.Gave[i].Part = measure.CleanText(g.Fleece, MaxName), CleanPart(g.Part)
	}
	return p
}

// Validate says in a sentence what keeps the plan from being washed.
func (p Plan) Validate() error {
	p = p.CleanTexts() // names appear in the sentences
	u := p.Kit.Units
	if err := p.Kit.Validate(); err != nil {
		return err
	}
	if err := p.Method.ValidateIn(u); err != nil && !p.FromCards() { // a card may name no method, or one that is not here
		return err
	}
	if err := cmp.Or(p.Break.Check(), p.Quiet.Validate("quiet hours go", "22:00 to 7:00")); err != nil {
		return err
	}
	if !measure.Between(0, mostReadyMin).Contains(p.ReadyInMin) {
		return fmt.Errorf("a day is ready within 60 days of its start: give a time in them, or none")
	}
	if !measure.Between(0, mostReadyMin).Contains(p.WashInMin) {
		return fmt.Errorf("washing begins within 60 days of the day's start: give a time of then")
	}
	if len(p.Batches) == 0 {
		return fmt.Errorf("the day has no batch: choose a fleece and put at least one batch in a basket")
	}
	if len(p.Batches) > MaxBatches {
		return fmt.Errorf("%d batches are more than a day can hold (%d)", len(p.Batches), MaxBatches)
	}
	used, known := map[string]float64{}, map[string]Fleece{}
	for _, f := range p.Fleeces {
		if err := f.validate(u); err != nil {
			return err
		}
		if _, twice := known[f.ID]; twice {
			return fmt.Errorf("two fleeces have the same mark \"%s\"", f.ID)
		}
		known[f.ID] = f
	}
	for i, b := range p.Batches {
		f, ok := known[b.FleeceID]
		if !ok {
			return fmt.Errorf("a batch names the fleece \"%s\", which is not in the day", b.FleeceID)
		}
		for _, err := range []error{
			CheckBatchMass(u, b.RawG), measure.About("its last dry weight:", u.CheckMassG(b.WasDryG, wasDryG)), CheckLayers(b.Layers), formWords.Check(b.Form), presoakWords.Check(b.Presoak),
		} {
			if err != nil {
				return fmt.Errorf("%s: %w", f.Title(), err)
			}
		}
		if !p.FromCards() && b.Form == FormUnsaid {
			return fmt.Errorf("%s: say whether it is loose or in locks", f.Title())
		}
		if !p.FromCards() && !slices.ContainsFunc(p.StepsOf(&b), func(s Step) bool { return s.Kind.IsBath() }) {
			return fmt.Errorf("a batch of %s goes through no bath: the method %s has nothing but a presoak, and the batch takes none", f.Title(), p.Method.Name)
		}
		if !DosePart.Contains(b.DosePart) {
			return fmt.Errorf("%s: the dose should be between none and twice the usual", f.Title())
		}
		if b.Raw() {
			used[b.FleeceID] += b.RawG
		}
		if at := slices.IndexFunc(p.Batches[:i], func(o Batch) bool { return o.Was() == b.Was() }); at >= 0 && b.Was() != (Earlier{}) {
			return fmt.Errorf("%s is planned already%s", b.Was().Batch, b.Was().NowCalled(p.Batches[at].ID))
		}
		if err := b.RawScale.Check(u); err != nil {
			return fmt.Errorf("%s: %w", f.Title(), err)
		}
	}
	for _, f := range p.Fleeces { // once all are counted
		if used[f.ID] > f.ToWashG()+0.5 {
			show := u.MassApart(used[f.ID], f.ToWashG())
			return fmt.Errorf("the batches of %s add up to %s, but the fleece %s: lower one or weigh again",
				f.Title(), show(used[f.ID]), f.WeighsText(show))
		}
	}
	return nil
}
