package tui

import (
	"fmt"
	"math"
	"slices"
	"strconv"

	tea "github.com/charmbracelet/bubbletea"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/measure"
)

// What one basket takes (common practice, no source).
const (
	basketLooseG = 225
	basketLocksG = 115
)

// newFleeceChoice stands for a fleece that is not in the ledger yet.
const newFleeceChoice = ""

// batchDraft is what the form for batches collects.
type batchDraft struct {
	fleece session.Fleece
	count  int
	batch  session.Batch
}

// newBatchForm asks for batches of a fleece, one in the ledger or a new one,
// and gives them to accept.
func newBatchForm(e *env, chosen string, accept func(session.Fleece, []session.Batch) error) (screen, error) {
	known, err := e.Ledger.Fleeces()
	if err != nil {
		return nil, fmt.Errorf("the fleeces could not be read: %w", err)
	}
	d := &batchDraft{count: 1, batch: session.Batch{RawG: basketLooseG, RawScale: rawScale(e)}, fleece: session.Fleece{Year: e.now.In(e.zone()).Year(), RawG: math.NaN()}}
	choices := make([]choice[string], 0, len(known)+1)
	for _, f := range known {
		f = f.Clean()
		choices = append(choices, choice[string]{f.ID, fmt.Sprintf("%s  (%s raw, %s, %s wax)", f.Title(), e.kit.Units.Mass(f.ToWashG()), f.Type, f.Wax)})
	}
	if len(known) > 0 && chosen == "" {
		chosen = known[0].ID
	}
	choices = append(choices, choice[string]{newFleeceChoice, "a new fleece"})
	which := &page{title: "Which fleece", hide: func() bool { return len(known) == 0 },
		fields: []*field{choiceField("Fleece", "one animal's clip; its batches are counted together", &chosen, false, choices...)}}

	isNew := func() bool { return chosen == newFleeceChoice }
	pages := []*page{which}
	for _, p := range fleecePages(e, &d.fleece) {
		p.title, p.hide = "New fleece: "+p.title, func() bool { return !isNew() }
		pages = append(pages, p)
	}
	// Kept when its pages are left, so that it is not asked for again if the
	// batches are refused or left.
	pages[len(pages)-1].leave = func() error {
		saved, err := saveFleece(e, d.fleece)
		if err == nil {
			d.fleece = saved
		}
		return err
	}
	basket, layers, offer := basketPage(e, &d.batch)
	basket.fields = append([]*field{countField("How many batches", "one basket each, all alike", &d.count, 1, 50)}, basket.fields...)
	pages = append(pages, basket, layers)

	f := newForm(e, "Batches for the day", pages, func() (tea.Cmd, error) {
		fleece := d.fleece
		for _, k := range known {
			if k.ID == chosen {
				fleece = k
			}
		}
		d.batch.FleeceID = fleece.ID
		batches := make([]session.Batch, d.count)
		for i := range batches {
			batches[i] = d.batch
		}
		if err := accept(fleece, batches); err != nil {
			return nil, err
		}
		return pop(), nil
	})
	f.changed = offer
	return f, nil
}

// rawScale is the scale a batch is weighed on into its basket: the one used
// last, if any is known.
func rawScale(e *env) session.Scale {
	if len(e.kit.Scales) == 0 {
		return session.Scale{}
	}
	return e.kit.Scale()
}

// partField asks from which part of the fleece a batch is.
func partField(into *string) *field {
	return wordsField("Part of the fleece", "such as shoulder: batches of one part are more alike; empty if it is from all over", into, 40, "")
}

// layersPage asks in how many layers locks lie; it is left out for loose fleece.
func layersPage(form *session.Form, into *int) *page {
	return &page{title: "Layers of locks", hide: func() bool { return *form != session.Locks }, fields: []*field{
		checkedField("Layers in the basket", "they keep their order to the rack, where a tray with layers has room for each; 0 if you do not count them", strconv.Itoa(*into), func(text string) error {
			n, err := strconv.Atoi(measure.CleanText(text, 20))
			if err == nil {
				err = session.CheckLayers(n)
			} else {
				err = session.CheckLayers(-1)
			}
			if err == nil {
				*into = n
			}
			return err
		}),
	}}
}

// basketPage asks what is in a basket, and layers how locks lie in it; offer
// fills in the usual weight for the form that is chosen.
func basketPage(e *env, b *session.Batch) (p, layers *page, offer func()) {
	grams := numberField(e.kit.Units, weight, "Raw weight of each", "full but loose, water can move: "+usualBatches(e), &b.RawG, kitCheck(session.Kit.CheckBatchG))
	p = &page{title: "Baskets", fields: []*field{
		choiceField("Form", "loose fleece may be pressed; locks are only raised and lowered", &b.Form, true,
			choice[session.Form]{session.Loose, "loose"}, choice[session.Form]{session.Locks, "locks, in layers"}),
		grams,
		partField(&b.Part),
		choiceField("Presoak", "cool water takes soil and suint, never the wax", &b.Presoak, true,
			choice[session.PresoakChoice]{session.PresoakAsMethod, "as long as the method says"},
			choice[session.PresoakChoice]{session.PresoakNone, "none"},
			choice[session.PresoakChoice]{session.PresoakQuick, "a quick dunk, 5 min"},
			choice[session.PresoakChoice]{session.PresoakOvernight, "overnight, 12 h"}),
	}}
	form := b.Form
	return p, layersPage(&b.Form, &b.Layers), func() {
		if b.Form == form || b.FleeceID != "" { // one that is planned keeps its weight
			return
		}
		form = b.Form
		usual := float64(basketLooseG)
		if form == session.Locks {
			usual = basketLocksG
		}
		grams.offer(usual)
	}
}

func usualBatches(e *env) string {
	u := e.kit.Units
	return fmt.Sprintf("loose about %s, springy fine %s to %s, locks %s", u.Mass(basketLooseG), u.Mass(165), u.Mass(195), u.Mass(basketLocksG))
}

// planWith goes to a plan with a fleece: of a day to come, or batches more for
// the day that runs.
func planWith(e *env, f session.Fleece) tea.Cmd {
	if e.live.day.Running() {
		return addToDay(e, f.ID)
	}
	s := newPlan(e).(*planScreen)
	return tea.Sequence(push(s), func() tea.Msg { return planFleeceMsg{f.ID} })
}

// planFleeceMsg asks the plan on top to take batches of a fleece.
type planFleeceMsg struct{ id string }

// addToDay puts more batches behind those of the running day.
func addToDay(e *env, chosen string) tea.Cmd {
	form, err := newBatchForm(e, chosen, func(f session.Fleece, batches []session.Batch) error {
		// Tried first as a whole, so that no half of them is left behind.
		day := e.live.day
		for _, b := range batches {
			var err error
			if day, _, err = session.Do(day, session.AddBatch{Fleece: f, Batch: b}, e.now); err != nil {
				return err
			}
		}
		for _, b := range batches {
			if err := e.live.do(session.AddBatch{Fleece: f, Batch: b}, e.now); err != nil {
				return err
			}
		}
		added := counted(len(batches), "batch", "batches") + " added to the day"
		if over := e.overLeft(f); over != "" {
			e.refuse(fmt.Errorf("%s; %s", added, over))
			return nil
		}
		e.tell("%s", added)
		return nil
	})
	if err != nil {
		e.refuse(err)
		return nil
	}
	return push(form)
}

// overLeft says that the running day has more of a fleece than other days have
// left of it; "" if it has not.
func (e *env) overLeft(f session.Fleece) string {
	days, err := e.rows.read(e.Journal)
	if err != nil {
		return "what earlier days have washed could not be read"
	}
	days = slices.DeleteFunc(days, func(s session.DaySummary) bool { return s.ID == e.live.id })
	left := session.Book([]session.Fleece{f}, days)[0].LeftG
	g := 0.0
	for _, b := range e.live.day.Plan.Batches {
		if b.FleeceID == f.ID {
			g += b.RawG
		}
	}
	if g <= left+0.5 {
		return ""
	}
	u := e.kit.Units
	return fmt.Sprintf("that makes %s of %s, and by the record %s of it was left", u.Mass(g), f.Title(), u.Mass(left))
}
