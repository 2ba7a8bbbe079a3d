package tui

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	tea "github.com/charmbracelet/bubbletea"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/planner"
	"fleece.example/tubside/session/shed"
)

// newFleeceChoice stands for a fleece that is not in the ledger yet.
const newFleeceChoice = ""

// leftText is what there is to wash of a fleece beside what is in the plan, and how
// much that is: the same figure as the plan has.
func leftText(u measure.System, leftG, wholeG, plannedG float64) string {
	text := u.Mass(leftG) + " to wash"
	if u.Mass(leftG) != u.Mass(wholeG) {
		text = u.Mass(leftG) + " of " + u.Mass(wholeG) + " left"
	}
	if plannedG > 0 {
		text += ", " + u.Mass(plannedG) + " in the plan"
	}
	return text
}

// newBatchForm asks how much of a fleece, one in the ledger or a new one, goes into
// baskets, and gives them to accept: even ones for the tubs of the plan, nothing
// left over. What is offered is all that is left of it, or one basket of that; a
// single batch is a part that one basket holds.
func newBatchForm(e *env, chosen string, plan func() shed.Plan, one bool, accept func(shed.Fleece, []shed.Batch) error) (screen, error) {
	if err := e.record.noFleeces; err != nil {
		return nil, fmt.Errorf("the fleeces could not be read: %w", err)
	}
	known := e.record.fleeces
	left := e.stockOf(known)
	if err := e.record.noDays; err != nil {
		e.refuse(fmt.Errorf("what is washed already could not be read, so it is not taken off: %w", err))
	}
	u := e.kit.Units
	made := shed.Fleece{Year: e.now.In(e.zone()).Year(), RawG: math.NaN()}
	choices := make([]choice[string], 0, len(known)+1)
	var spent []choice[string] // nothing of them is left: behind the others
	for _, f := range known {
		leftG := left.LeftG(f, "", plan().Batches)
		c := choice[string]{f.ID, fmt.Sprintf("%s  (%s)", f.Title(), leftText(u, leftG, f.ToWashG(), ledger.PlannedG(plan().Batches, f.ID, "")))}
		if f.AskSpent(u, leftG) != nil {
			spent = append(spent, c)
			continue
		}
		choices = append(choices, c)
	}
	if chosen == "" && len(choices) > 0 {
		chosen = choices[0].value
	}
	choices = append(append(choices, spent...), choice[string]{newFleeceChoice, "a new fleece"})
	pages := []*page{{title: "Which fleece", hide: func() bool { return len(known) == 0 },
		fields: []*field{choiceField("Fleece", "one animal's clip; its batches are counted together", &chosen, false, choices...)}}}
	pages[0].leave = func() error {
		for _, f := range known {
			if f.ID == chosen {
				return f.AskSpent(u, left.LeftG(f, "", plan().Batches))
			}
		}
		return nil
	}
	for _, p := range fleecePages(e, &made) {
		p.title, p.hide = "New fleece: "+p.title, func() bool { return chosen != newFleeceChoice }
		pages = append(pages, p)
	}
	// Kept when its pages are left, so that it is not asked for again if the
	// batches are refused or left.
	pages[len(pages)-1].leave = func() error {
		saved, err := saveFleece(e, made)
		if err == nil {
			made = saved
		}
		return err
	}
	fleece := func() shed.Fleece {
		for _, f := range known {
			if f.ID == chosen {
				return f
			}
		}
		return made
	}
	part, offered := planner.Part{}, 0.0
	usualG := func() float64 {
		f, p := fleece(), plan()
		rawG := left.LeftG(f, part.Name, p.Batches)
		if one {
			rawG = min(rawG, planner.BasketG(p, f.Type, part.Form))
		}
		return rawG
	}
	free := func() planner.Part { // as the plan has it for each tub
		p := part
		p.Fleece, p.BasketG = fleece(), 0
		return p
	}
	split := func() ([]shed.Batch, error) {
		p := free()
		if part.BasketG != offered {
			p.BasketG = part.BasketG
		}
		return planner.Split(plan(), p)
	}
	part.RawG = usualG()
	offered = planner.MostG(plan(), free())
	part.BasketG = offered
	raw := numberField(u, weight, "How much of it", "all that is left of it, unless you say less", &part.RawG, func(u measure.System, g float64) error {
		if g == 0 {
			return fmt.Errorf("nothing of it is left to plan: choose another fleece, or correct its weight")
		}
		return shed.Kit{Units: u}.CheckFleeceG(g)
	})
	basket := numberField(u, weight, "Most in a basket", basketWhy, &part.BasketG, kitCheck(shed.Kit.CheckBatchG))
	pages = append(pages, &page{title: "Baskets", fields: []*field{formField(&part.Form), partField(&part.Name), raw, basket, presoakField(&part.Presoak)}, leave: func() error {
		return fleece().AskPart(u, part.Name, part.RawG, left.LeftG(fleece(), part.Name, plan().Batches))
	}}, layersPage(&part.Form, &part.Layers))

	f := newForm(e, "Batches for the day", pages, func() (tea.Cmd, error) {
		batches, err := split()
		if err != nil {
			return nil, err
		}
		for i := range batches {
			batches[i].FleeceID, batches[i].RawScale = fleece().ID, rawScale(e)
		}
		if err := accept(fleece(), batches); err != nil {
			return nil, err
		}
		return pop(), nil
	})
	f.changed = func() {
		raw.offer(usualG())
		offered = planner.MostG(plan(), free())
		basket.offer(offered)
		why := basketWhy
		if batches, err := split(); err == nil {
			why = "makes " + sizesText(u, batches)
		}
		basket.why = why
		basket.line(why)
	}
	f.changed()
	return f, nil
}

const basketWhy = "in your largest tub: springy fleece less, locks less; smaller tubs get less by themselves"

// sizesText is batches by their size: "9 batches: 6 of 209 g, 3 of 128 g".
func sizesText(u measure.System, batches []shed.Batch) string {
	sorted := slices.Clone(batches)
	slices.SortStableFunc(sorted, func(a, b shed.Batch) int { return cmp.Compare(b.RawG, a.RawG) })
	var sizes []string
	for i := 0; i < len(sorted); {
		n := i
		for n < len(sorted) && u.Mass(sorted[i].RawG) == u.Mass(sorted[n].RawG) {
			n++
		}
		sizes = append(sizes, fmt.Sprintf("%d of %s", n-i, u.Mass(sorted[i].RawG)))
		i = n
	}
	n := counted(len(sorted), "batch", "batches")
	if len(sizes) == 1 {
		return n + " of " + u.Mass(sorted[0].RawG)
	}
	return n + ": " + strings.Join(sizes, ", ")
}

// stockOf looks up what is left; the running day, if there is one, is left out.
func (e *env) stockOf(known []shed.Fleece) ledger.Stock {
	days := e.record.days
	if e.live.day.Running() {
		days = slices.DeleteFunc(slices.Clone(days), func(s ledger.Summary) bool { return s.ID == e.live.id })
	}
	return ledger.StockOf(known, days)
}

// rawScale is the scale a batch is weighed on into its basket: the one used
// last, if any is known.
func rawScale(e *env) shed.Scale {
	if len(e.kit.Scales) == 0 {
		return shed.Scale{}
	}
	return e.kit.Scale()
}

// partField asks from which part of the fleece a batch is.
func partField(into *string) *field {
	return wordsField("Part of the fleece", "such as shoulder: batches of one part are more alike; empty if it is from all over", into, 40, "")
}

// layersPage asks in how many layers locks lie; it is left out for loose fleece.
func layersPage(form *shed.Form, into *int) *page {
	return &page{title: "Layers of locks", hide: func() bool { return *form != shed.Locks }, fields: []*field{
		checkedField("Layers in the basket", "they keep their order to the rack, where a tray with layers has room for each; 0 if you do not count them", strconv.Itoa(*into), func(text string) error {
			n, err := strconv.Atoi(measure.CleanText(text, 20))
			if err == nil {
				err = shed.CheckLayers(n)
			} else {
				err = shed.CheckLayers(-1)
			}
			if err == nil {
				*into = n
			}
			return err
		}),
	}}
}

func formField(into *shed.Form) *field {
	return choiceField("Form", "loose fleece may be pressed; locks are only raised and lowered", into, true,
		choice[shed.Form]{shed.Loose, "loose"}, choice[shed.Form]{shed.Locks, "locks, in layers"})
}

func presoakField(into *shed.PresoakChoice) *field {
	return choiceField("Presoak", "cool water takes soil and suint, never the wax", into, true,
		choice[shed.PresoakChoice]{shed.PresoakAsMethod, "as long as the method says"},
		choice[shed.PresoakChoice]{shed.PresoakNone, "none"},
		choice[shed.PresoakChoice]{shed.PresoakQuick, "a quick dunk, 5 min"},
		choice[shed.PresoakChoice]{shed.PresoakOvernight, "overnight, 12 h"})
}

// basketPage asks what is in the basket of a planned batch, and layers how locks
// lie in it. It keeps its weight when its form is changed.
func basketPage(e *env, b *shed.Batch) (p, layers *page) {
	grams := numberField(e.kit.Units, weight, "Raw weight", "full but loose, water can move: "+usualBatches(e), &b.RawG, kitCheck(shed.Kit.CheckBatchG))
	return &page{title: "Basket", fields: []*field{formField(&b.Form), grams, partField(&b.Part), presoakField(&b.Presoak)}}, layersPage(&b.Form, &b.Layers)
}

// usualBatches is what a basket takes in the largest tub of the kit.
func usualBatches(e *env) string {
	p, u := shed.Plan{Kit: e.kit, Method: e.planned.plan.Method}, e.kit.Units
	about := func(t shed.FleeceType, f shed.Form) string { return u.Mass(u.RoundMassG(planner.BasketG(p, t, f))) }
	return fmt.Sprintf("loose about %s, springy fine %s, locks %s", about(shed.Medium, shed.Loose), about(shed.Fine, shed.Loose), about(shed.Medium, shed.Locks))
}

// planWith goes to a plan with a fleece: of a day to come, or batches more for
// the day that runs.
func planWith(from screen, e *env, f shed.Fleece) tea.Cmd {
	if e.live.day.Running() {
		return addToDay(from, e, f.ID)
	}
	s := newPlan(e).(*planScreen)
	return tea.Sequence(push(s), func() tea.Msg { return planFleeceMsg{f.ID} })
}

// planFleeceMsg asks the plan on top to take batches of a fleece.
type planFleeceMsg struct{ id string }

// addToDay puts more batches behind those of the running day.
func addToDay(from screen, e *env, chosen string) tea.Cmd {
	return e.withRecord(from, func() tea.Cmd { return askForDay(e, chosen) })
}

func askForDay(e *env, chosen string) tea.Cmd {
	form, err := newBatchForm(e, chosen, func() shed.Plan { return e.live.day.Plan }, true, func(f shed.Fleece, batches []shed.Batch) error {
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
func (e *env) overLeft(f shed.Fleece) string {
	g, left, over := e.stockOf([]shed.Fleece{f}).Over(f, e.live.day.Plan.Batches)
	if !over {
		return ""
	}
	u := e.kit.Units
	return fmt.Sprintf("that makes %s of %s, and by the record %s of it was left", u.Mass(g), f.Title(), u.Mass(left))
}
