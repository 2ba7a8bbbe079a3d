package ahead

import (
	"fmt"
	"math"
	"slices"
	"sort"
	"strconv"
	"strings"

	tea "github.com/charmbracelet/bubbletea"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/planner"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/tui/base"
	"fleece.example/tubside/tui/form"
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
func newBatchForm(e *base.Env, chosen string, plan func() shed.Plan, one bool, accept func(shed.Fleece, []shed.Batch) error) (base.Screen, error) {
	if err := e.Record.NoFleeces; err != nil {
		return nil, fmt.Errorf("the fleeces couldn't be read: %w", err)
	}
	known := e.Record.Fleeces
	left := stockOf(e, known)
	if err := e.Record.NoDays; err != nil {
		e.Refuse(fmt.Errorf("what is washed already couldn't be read, so it isn't taken off: %w", err))
	}
	u := e.Kit.Units
	made := shed.Fleece{Year: e.Now.In(e.Zone()).Year(), RawG: math.NaN()}
	choices := make([]form.Choice[string], 0, len(known)+1)
	var spent []form.Choice[string] // nothing of them is left: behind the others
	for _, f := range known {
		leftG := left.LeftG(f, "", plan().Batches)
		c := form.Choice[string]{Value: f.ID, Words: fmt.Sprintf("%s  (%s)", f.Title(), leftText(u, leftG, f.ToWashG(), ledger.PlannedG(plan().Batches, f.ID, "")))}
		if f.AskSpent(u, leftG) != nil {
			spent = append(spent, c)
			continue
		}
		choices = append(choices, c)
	}
	if chosen == "" && len(choices) > 0 {
		chosen = choices[0].Value
	}
	choices = append(append(choices, spent...), form.Choice[string]{Value: newFleeceChoice, Words: "a new fleece"})
	pages := []*form.Page{{Title: "Which fleece", Hide: func() bool { return len(known) == 0 },
		Fields: []*form.Field{form.ChoiceField("Fleece", "one animal's fleece; its batches are counted together", &chosen, false, choices...)}}}
	pages[0].Leave = func() error {
		for _, f := range known {
			if f.ID == chosen {
				return f.AskSpent(u, left.LeftG(f, "", plan().Batches))
			}
		}
		return nil
	}
	for _, p := range FleecePages(e, &made) {
		p.Title, p.Hide = "New fleece: "+p.Title, func() bool { return chosen != newFleeceChoice }
		pages = append(pages, p)
	}
	// Kept when its pages are left, so that it is not asked for again if the
	// batches are refused or left.
	pages[len(pages)-1].Leave = func() error {
		saved, err := SaveFleece(e, made)
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
	rawWhy := "all that is left of it, unless you say less"
	if one && left.LeftG(fleece(), part.Name, plan().Batches) > part.RawG {
		rawWhy = "a basketful, unless you say otherwise"
	}
	raw := form.NumberField(u, form.Weight, "How much of it", rawWhy, &part.RawG, func(u measure.System, g float64) error {
		if g == 0 {
			return fmt.Errorf("none of it is left to plan: choose another fleece, or correct its weight")
		}
		return shed.Kit{Units: u}.CheckFleeceG(g)
	})
	basket := form.NumberField(u, form.Weight, "Most in a basket", basketWhy, &part.BasketG, form.KitCheck(shed.Kit.CheckBatchG))
	raw.Live, basket.Live = true, true
	pages = append(pages, &form.Page{Title: "Baskets", Fields: []*form.Field{formField(&part.Form), PartField(e, &part.Name), raw, basket, presoakField(&part.Presoak)}, Leave: func() error {
		return fleece().AskPart(u, part.Name, part.RawG, left.LeftG(fleece(), part.Name, plan().Batches))
	}}, layersPage(&part.Form, &part.Layers))

	f := form.NewForm(e, "Batches for the day", pages, func() (tea.Cmd, error) {
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
		return base.Pop(), nil
	})
	var drawn []shed.Batch
	f.Below = func(w, room int) []string { return baskets(e, drawn, -1, w, room) }
	f.Changed = func() {
		drawn = nil
		raw.Offer(usualG())
		offered = planner.MostG(plan(), free())
		basket.Offer(offered)
		basket.Why = basketWhy
		if batches, err := split(); err == nil {
			basket.Why, drawn = "makes "+sizesText(u, batches), batches
		}
	}
	f.Changed()
	return f, nil
}

const basketWhy = "for your largest tub: less of springy fleece or locks; smaller tubs get less by themselves"

// sizesText is batches by their size: "9 batches: 6 of 209 g, 3 of 128 g".
func sizesText(u measure.System, batches []shed.Batch) string {
	sorted := slices.Clone(batches)
	sort.SliceStable(sorted, func(i, j int) bool { return sorted[i].RawG > sorted[j].RawG })
	var sizes []string
	for i := 0; i < len(sorted); {
		n := i
		for n < len(sorted) && u.Mass(sorted[i].RawG) == u.Mass(sorted[n].RawG) {
			n++
		}
		sizes = append(sizes, fmt.Sprintf("%d of %s", n-i, u.Mass(sorted[i].RawG)))
		i = n
	}
	n := base.Counted(len(sorted), "batch", "batches")
	if len(sizes) == 1 {
		return n + " of " + u.Mass(sorted[0].RawG)
	}
	return n + ": " + strings.Join(sizes, ", ")
}

// stockOf looks up what is left; the running day, if there is one, is left out.
func stockOf(e *base.Env, known []shed.Fleece) ledger.Stock {
	days := e.Record.Days
	if e.Live.Day.Running() {
		days = ledger.Other(days, e.Live.ID)
	}
	return ledger.StockOf(known, days)
}

// rawScale is the scale a batch is weighed on into its basket: the one used
// last, if any is known.
func rawScale(e *base.Env) shed.Scale {
	if len(e.Kit.Scales) == 0 {
		return shed.Scale{}
	}
	return e.Kit.Scale()
}

// PartField asks from which part of the fleece a batch is.
func PartField(e *base.Env, into *string) *form.Field {
	var known []string
	add := func(name string) {
		if name != "" && !slices.ContainsFunc(known, func(k string) bool { return shed.SamePart(k, name) }) {
			known = append(known, name)
		}
	}
	for i := range e.Record.Days {
		for j := range e.Record.Days[i].Rows {
			add(e.Record.Days[i].Rows[j].Part)
		}
	}
	for i := range e.Record.Fleeces {
		for _, p := range e.Record.Fleeces[i].Parts {
			add(p.Name)
		}
	}
	such := strings.Join(append(known, "shoulder")[:min(3, max(1, len(known)))], ", ")
	return form.WordsField("Part of the fleece", "such as "+such+": batches of one part are more alike; mixed if it is from all over, empty if not known", into, 40, "", func(text string) error {
		if _, err := strconv.ParseFloat(text, 64); err == nil {
			return shed.Unlikelyf("%s looks like a weight: parts are words such as shoulder", text)
		}
		return nil
	}).Offers(known)
}

// layersPage asks in how many layers locks lie; it is left out for loose fleece.
func layersPage(lies *shed.Form, into *int) *form.Page {
	return &form.Page{Title: "Layers of locks", Hide: func() bool { return *lies != shed.Locks }, Fields: []*form.Field{
		form.CheckedField("Layers in the basket", "they keep their order to the rack, where a tray with layers has room for each; 0 if not counted", strconv.Itoa(*into), func(text string) error {
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

func formField(into *shed.Form) *form.Field {
	return form.ChoiceField("Form", "loose fleece may be pressed; locks are only raised and lowered", into, true,
		form.Choice[shed.Form]{Value: shed.Loose, Words: "loose"}, form.Choice[shed.Form]{Value: shed.Locks, Words: "locks, in layers"})
}

func presoakField(into *shed.PresoakChoice) *form.Field {
	return form.ChoiceField("Presoak", "cool water takes soil and suint, never the wax", into, true,
		form.Choice[shed.PresoakChoice]{Value: shed.PresoakAsMethod, Words: "as long as the method says"},
		form.Choice[shed.PresoakChoice]{Value: shed.PresoakNone, Words: "none"},
		form.Choice[shed.PresoakChoice]{Value: shed.PresoakQuick, Words: "a quick dunk, 5 min"},
		form.Choice[shed.PresoakChoice]{Value: shed.PresoakOvernight, Words: "overnight, 12 h"})
}

// scourField asks how much of the scour a batch takes that was washed before.
func scourField(part *float64) *form.Field {
	return form.ChoiceField("Scour", "half is often enough for a second wash", part, true,
		form.Choice[float64]{Value: 0, Words: "all of the usual dose"}, form.Choice[float64]{Value: 0.5, Words: "half of it"})
}

// basketPage asks what is in the basket of a planned batch, and layers how locks
// lie in it, and what changes with its form. It keeps its weight when its form is changed. What is washed again keeps the
// weight of its first day, and has had its presoak and most of its wax.
func basketPage(e *base.Env, plan shed.Plan, b *shed.Batch) (p, layers *form.Page, changed func()) {
	p = &form.Page{Title: "Basket", Fields: []*form.Field{formField(&b.Form), PartField(e, &b.Part), scourField(&b.DosePart)}}
	if b.Raw() {
		grams := form.NumberField(e.Kit.Units, form.Weight, "Raw weight", "", &b.RawG, form.KitCheck(shed.Kit.AskBatchG))
		p.Fields = []*form.Field{p.Fields[0], grams, p.Fields[1], presoakField(&b.Presoak)}
		changed = func() { grams.Why = "full but loose, water can move: about " + tubsTake(plan, b) }
		changed()
	}
	return p, layersPage(&b.Form, &b.Layers), changed
}

// tubsTake is what each tub's basket takes of a batch's fleece: "North 225 g, Tray 140 g".
func tubsTake(p shed.Plan, b *shed.Batch) string {
	var out []string
	for i, t := range p.Kit.Tubs {
		out = append(out, t.Name+" "+p.Kit.Units.Mass(p.UsualG(b, i)))
	}
	return strings.Join(out, ", ")
}

// usualBatches is what a basket takes in the largest tub of the kit.
func usualBatches(e *base.Env) string {
	p, u := shed.Plan{Kit: e.Kit, Method: e.Planned.Plan.Method}, e.Kit.Units
	about := func(t shed.FleeceType, f shed.Form) string { return u.Mass(planner.BasketG(p, t, f)) }
	return fmt.Sprintf("about %s loose, %s springy fine, %s locks", about(shed.Medium, shed.Loose), about(shed.Fine, shed.Loose), about(shed.Medium, shed.Locks))
}

// PlanWith goes to a plan with a fleece: of a day to come, or batches more for
// the day that runs.
func PlanWith(from base.Screen, e *base.Env, f shed.Fleece) tea.Cmd {
	if e.Live.Day.Running() {
		return AddToDay(from, e, f.ID)
	}
	s := NewPlan(e).(*PlanScreen)
	return tea.Sequence(base.Push(s), func() tea.Msg { return planFleeceMsg{f.ID} })
}

// WashAgain asks to put a batch of a past day that is still waxy, or that was left wet, into the running day, or into
// the plan of the next: as the same batch, without a presoak and with half the scour, one that was left wet from the
// step it stood at and with all of it.
func WashAgain(from base.Screen, e *base.Env, day shed.DayID, d session.Day, batch string) tea.Cmd {
	running, how := e.Live.Day.Running(), "washed again"
	if d.Fate[batch].PresoakedOnly() {
		how = "washed"
	}
	if running && e.Live.ID == day {
		e.Refuse(fmt.Errorf("%s was washed today: b at its tub washes it again until it's on the rack; else end the day first", batch))
		return nil
	}
	return e.WithRecord(from, func() tea.Cmd {
		if ledger.WashedAgain(e.Record.Days).Has(day, batch) {
			e.Refuse(fmt.Errorf("%s was %s on a later day: go on from there", batch, how))
			return nil
		}
		x, m := washedOn(e, day, d, batch), methodOf(e)
		take := func() error {
			if running {
				err := e.Live.Do(session.AddBatch{Fleece: x.f, Batch: x.b}, e.Now)
				if err == nil {
					e.Tell("%s is %s today%s", batch, how, x.b.Was().NowCalled(e.Live.Day.Plan.Batches[len(e.Live.Day.Plan.Batches)-1].ID))
				}
				return err
			}
			err := NewPlan(e).(*PlanScreen).take(x.f, []shed.Batch{x.b})
			if err == nil {
				e.Tell("%s is in the next day's plan, to be %s", batch, how)
			}
			return err
		}
		title, p := "Wash "+batch+" again", &form.Page{About: batch + " goes into the next day's plan."}
		if running {
			p.About = batch + " goes in today, after the others."
		}
		switch {
		case x.b.Raw():
			title, p.Fields = "Wash "+batch, []*form.Field{presoakField(&x.b.Presoak)}
		case x.asks:
			title = "Go on with " + batch
			p.About += " It stood at the " + x.stood + ". If it feels sticky, wax has set again: begin with a hot wash."
			p.Fields = []*form.Field{x.stepField(m, "Go on from", "in fresh water")}
		default:
			x.b.DosePart = 0.5
			p.Fields = []*form.Field{scourField(&x.b.DosePart)}
		}
		return form.NewForm(e, title+", "+x.f.Title(), []*form.Page{p}, func() (tea.Cmd, error) {
			if err := take(); err != nil {
				return nil, err
			}
			return base.Pop(), nil
		}).Over(func(w, room int) []string { return x.picture(e, m, w, room) })
	})
}

// planFleeceMsg asks the plan on top to take batches of a fleece.
type planFleeceMsg struct{ id string }

// AddToDay puts more batches after today's others.
func AddToDay(from base.Screen, e *base.Env, chosen string) tea.Cmd {
	return e.WithRecord(from, func() tea.Cmd { return askForDay(e, chosen) })
}

func askForDay(e *base.Env, chosen string) tea.Cmd {
	form, err := newBatchForm(e, chosen, func() shed.Plan { return e.Live.Day.Plan }, true, func(f shed.Fleece, batches []shed.Batch) error {
		// Tried first as a whole, so that no half of them is left behind.
		day := e.Live.Day
		for _, b := range batches {
			var err error
			if day, _, err = session.Do(day, session.AddBatch{Fleece: f, Batch: b}, e.Now); err != nil {
				return err
			}
		}
		for _, b := range batches {
			if err := e.Live.Do(session.AddBatch{Fleece: f, Batch: b}, e.Now); err != nil {
				return err
			}
		}
		added := base.Counted(len(batches), "batch", "batches") + " added to the day"
		if over := overLeft(e, f); over != "" {
			e.Refuse(fmt.Errorf("%s; %s", added, over))
			return nil
		}
		e.Tell("%s", added)
		return nil
	})
	if err != nil {
		e.Refuse(err)
		return nil
	}
	return base.Push(form)
}

// overLeft says that the running day has more of a fleece than other days have
// left of it; "" if it has not.
func overLeft(e *base.Env, f shed.Fleece) string {
	g, left, over := stockOf(e, []shed.Fleece{f}).Over(f, e.Live.Day.Plan.Batches)
	if !over {
		return ""
	}
	u := e.Kit.Units
	return fmt.Sprintf("that makes %s of %s, but by the record only %s was left", u.Mass(g), f.Title(), u.Mass(left))
}
