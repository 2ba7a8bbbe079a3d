package past

import (
	"cmp"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"
	"unicode"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/lookback"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/session/tag"
	"fleece.example/tubside/session/yield"
	"fleece.example/tubside/tui/ahead"
	"fleece.example/tubside/tui/base"
	"fleece.example/tubside/tui/draw"
	"fleece.example/tubside/tui/form"
	"fleece.example/tubside/tui/theme"
)

// cardScreen is all that is known of one fleece.
type cardScreen struct {
	base.Page
	base.Reader
	ledger               *FleecesScreen
	id                   string
	change, plan, remove key.Binding
	join                 key.Binding
	parts                []int // lines over its batches, and over its yields
}

// cardOf is a fleece's card in so many lines of another screen, without its batches or its yields where they have
// no room; nil where it has none.
func (s *FleecesScreen) cardOf(x *ledger.Entry, w, room int) []string {
	c := cardScreen{ledger: s}
	c.Frame = base.Frame{E: s.E, W: w}
	lines := c.text(x)
	for _, n := range append([]int{len(lines)}, c.parts...) {
		if n <= room {
			return lines[:n]
		}
	}
	return nil
}

func newCard(ledger *FleecesScreen, id string) base.Screen {
	s := &cardScreen{ledger: ledger, id: id, change: base.Bind("e", "change", "e", "enter"), plan: base.Bind("p", "plan a day with it"), remove: base.Bind("x", "delete"), join: base.Bind("m", "merge another in")}
	s.Frame = base.Frame{E: ledger.E, Own: []key.Binding{s.change, s.plan, base.KeyScroll, base.KeyBack, form.KeyAlong, s.remove, s.join, keyFound, base.KeyHelp}}
	s.Lines = func() []string {
		if x, ok := s.entry(); ok {
			return s.text(x)
		}
		return nil
	}
	s.Idle = func() []string {
		idle := form.IdleAlong(s.E)
		x, ok := s.entry()
		if ok && len(x.Batches) > 0 {
			idle = append(idle, "x")
		}
		if !ok || x.Washed == 0 {
			idle = append(idle, "s")
		}
		if ok {
			_, ok = s.cameOut(x)
		}
		if !ok {
			idle = append(idle, "h")
		}
		if len(s.ledger.entries) < 2 {
			idle = append(idle, "m")
		}
		return idle
	}
	return s
}

func (s *cardScreen) Title() string { return "Fleece" }

func (s *cardScreen) entry() (*ledger.Entry, bool) {
	return s.ledger.of(s.id)
}

func (s *cardScreen) Read() tea.Cmd {
	return s.E.FollowRecord(&s.Reader, s, func() {
		s.ledger.book()
		s.Refill()
	})
}

func (s *cardScreen) Update(msg tea.Msg) (base.Screen, tea.Cmd) {
	return s, s.act(msg)
}

func (s *cardScreen) act(msg tea.Msg) tea.Cmd {
	k, ok := s.Pressed(msg)
	if !ok {
		return nil
	}
	if cmd, done := s.Common(k); done {
		return cmd
	}
	x, ok := s.entry()
	switch {
	case !ok || s.Move(k):
	case key.Matches(k, s.change):
		return s.ledger.form(s, x.Fleece, "Fleece: "+x.Fleece.Title())
	case key.Matches(k, s.plan):
		return ahead.PlanWith(s, s.E, x.Fleece)
	case key.Matches(k, form.KeyAlong) && s.E.Along != nil && x.Washed > 0:
		return s.along(x.Fleece)
	case key.Matches(k, s.join):
		return s.E.WithRecord(s, func() tea.Cmd { return s.askJoin(x) })
	case key.Matches(k, s.remove):
		return s.delete(x)
	case key.Matches(k, keyFound):
		if b, ok := s.cameOut(x); ok {
			var days []shed.DayID
			for _, o := range x.Batches {
				if !slices.Contains(days, o.Day) && (o.State() >= ledger.Drying || o.Wet) {
					days = append(days, o.Day)
				}
			}
			return withDays(s, s.E, days, func(days []*base.Live) tea.Cmd {
				return askFound(s.E, days, x.Fleece.ID, shed.Earlier{Day: b.Day, Batch: b.ID})
			})
		}
		s.E.Refuse(fmt.Errorf("no batch of %s is on the rack yet", x.Fleece.Title()))
	}
	return nil
}

// cameOut is the batch to ask first how it came out: that which was searched for, else the newest that was left wet, else that is on the rack,
// else in a bag. Of one in its tub there is nothing to ask yet.
func (s *cardScreen) cameOut(x *ledger.Entry) (*ledger.BookedBatch, bool) {
	best, of := -1, 0
	for i := range x.Batches {
		b, is := &x.Batches[i], 0
		switch state := b.State(); {
		case state >= ledger.Drying && !b.Before && s.ledger.isFound(x.Fleece, b):
			is = 5
		case b.Wet:
			is = 4
		case state >= ledger.Drying && !b.Before:
			is = 1 + int(ledger.Gone-state)
		}
		if is > of {
			best, of = i, is
		}
	}
	if best < 0 {
		return nil, false
	}
	return &x.Batches[best], true
}

// along takes along what there is of the fleece.
func (s *cardScreen) along(f shed.Fleece) tea.Cmd {
	e, id, u, name := s.E, s.id, s.E.Kit.Units, fileName(f)
	return form.TakeAlong(s, e,
		form.Paper{Words: "the fleece's card, one page (PDF)", Name: name + ".pdf", Prints: true, Write: func(w io.Writer) error { return e.Along.Card(w, id, u) }},
		form.Tags(name+"-tags.pdf", func(w io.Writer) (func() error, error) { return e.Along.FleeceTags(w, id, u) }))
}

// fileName is a fleece's name as every file system takes one.
func fileName(f shed.Fleece) string {
	words := strings.FieldsFunc(f.Animal, func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) })
	if f.Year > 0 {
		words = append(words, strconv.Itoa(f.Year))
	}
	return cmp.Or(strings.ToLower(strings.Join(words, "-")), f.ID)
}

func (s *cardScreen) delete(x *ledger.Entry) tea.Cmd {
	e := s.E
	switch {
	case !s.E.Record.Ready:
		e.Refuse(fmt.Errorf("the days are still being read: wait a moment"))
	case len(x.Batches) > 0:
		e.Refuse(fmt.Errorf("%s stays: %s of it are part of wash days, which would lose track of whose they were", x.Fleece.Title(), base.Counted(len(x.Batches), "batch", "batches")))
	case slices.ContainsFunc(e.Planned.Plan.Batches, func(b shed.Batch) bool { return b.FleeceID == s.id }):
		e.Refuse(fmt.Errorf("%s is in the plan for the next day: take its batches out first", x.Fleece.Title()))
	case s.Again("delete", "delete %s for good? Press x again", x.Fleece.Title()):
		if err := e.Keep(func() error { return e.Ledger.DeleteFleece(s.id) }); err != nil {
			e.Refuse(fmt.Errorf("the fleece couldn't be deleted: %w", err))
			return nil
		}
		e.Record.DropFleece(s.id)
		e.Record.Changes++
		s.ledger.book()
		e.Tell("%s is deleted", x.Fleece.Title())
		return s.Back()
	}
	return nil
}

// text is the whole card.
func (s *cardScreen) text(x *ledger.Entry) []string {
	t, u, f := s.E.Theme, s.E.Kit.Units, x.Fleece
	out := draw.Told(t.Title, f.Title(), s.W)
	row := func(label, text string) {
		if text == "" {
			return
		}
		out = append(out, draw.Labelled(t.Text, fmt.Sprintf(" %-10s", label), text, s.W)...)
	}
	if x.Bagged > 0 {
		of, left := "", ""
		if len(f.Uses) > 0 || x.Bags < x.Bagged {
			of, left = " of "+u.Mass(x.DryG), " left"
		}
		if len(f.Uses) > 0 {
			of += ": " + ahead.PartWords(u, f.Uses)
		}
		if g := x.CleanG(); g > 0 {
			if of != "" {
				of = ";" + of
			}
			row("clean", u.Mass(g)+left+", in "+base.Counted(x.Bags, "bag", "bags")+of)
		} else {
			row("clean", "none left"+of)
		}
	}
	from := []string{}
	if f.Year > 0 {
		from = append(from, fmt.Sprint(f.Year))
	}
	if f.Shorn != "" {
		from = append(from, f.Shorn)
	}
	row("shorn", strings.Join(from, ", "))
	if f.Paid > 0 {
		row("paid", s.E.Kit.Prices.Money(f.Paid))
	}
	row("breed", f.Breed)
	like := []string{f.Type.String(), f.Wax.String() + " wax", f.Felting.String() + " tendency to felt"}
	if f.StapleMM > 0 {
		like = append(like, "staple "+shed.StapleText(u, f.StapleMM))
	}
	if f.Colour != "" {
		like = append(like, f.Colour)
	}
	row("is", strings.Join(like, ", "))
	raw := u.Mass(f.RawG) + " bought"
	if f.SkirtedG > 0 {
		raw += ", " + u.Mass(f.SkirtedG) + " after skirting"
	}
	left := u.Mass(x.LeftG) + " still to wash"
	if f.Rest != shed.RestToWash {
		left = "finished, the rest " + f.Rest.String()
	}
	row("raw", raw+"; "+left)
	if parts := x.Left(); len(f.Parts) > 0 && x.LeftG > 0 {
		var texts []string
		for _, p := range parts {
			texts = append(texts, fmt.Sprintf("%s %s", cmp.Or(p.Name, "not sorted"), u.Mass(p.RawG)))
		}
		row("to wash", strings.Join(texts, ", "))
	}
	batches := fmt.Sprintf("%d washed: %d drying, %d bagged", x.Washed, x.Drying, x.Bagged)
	if n := x.Washed - x.Drying - x.Bagged; n > 0 { // of old cards
		batches += fmt.Sprintf(", %d not weighed", n)
	}
	row("batches", batches)
	var wet []string
	var first *ledger.BookedBatch
	for i := range x.Batches {
		if b := &x.Batches[i]; b.Wet && (first == nil || b.Day == first.Day) {
			wet, first = append(wet, b.ID), b
		}
	}
	if first != nil {
		row("left wet", draw.Listed(wet)+" of "+shortDay(s.E, first.At)+": h racks "+draw.Verb(wet, "it, washes it on or throws it away", "them, washes them on or throws them away"))
	}
	out = append(out, s.fleeceBar(x)...)
	row("notes", f.Notes)
	if x.Washed > 0 && len(s.Own) > 0 { // what the keys there do
		text := s.E.TagHow(form.KeyAlong.Help().Key, "")
		if old := s.E.OldTags("", f); old != "" {
			text = old + ". " + text
		}
		row("tags", text)
	}
	s.parts = []int{0, len(out)}
	out = append(out, "")
	yields, losses := s.yields(x)
	out = append(out, yields...)
	s.parts[0] = len(out)
	out = append(out, "", t.Title.Render(" Batches"))
	switch {
	case !s.E.Record.Ready:
		return append(out, t.Faint.Render("   reading the days"))
	case len(x.Batches) == 0 && len(s.Own) == 0:
		return append(out, t.Text.Render("   none yet"))
	case len(x.Batches) == 0:
		return append(out, t.Text.Render("   none yet: p plans a day with it"))
	}
	out = append(out, s.batches(x)...)
	if len(losses) > 0 {
		out = append(out, "")
	}
	return append(out, losses...)
}

// batches is one line for each, by day.
func (s *cardScreen) batches(x *ledger.Entry) []string {
	t, e, u := &s.E.Theme, s.E, s.E.Kit.Units
	g := base.Grid{Cols: []base.Column{{Title: "day"}, {Title: "batch"}, {Title: "form", Spare: 7}, {Title: "part", Spare: 6, Seldom: true, Name: true}, {Title: "raw", Right: true, Spare: 1}, {Title: "dry", Right: true},
		{Title: "yield", Right: true, Spare: 2}, {Title: "where", Name: true}, {Title: "since", Spare: 5}, {Title: "code", Spare: 4}}}
	for _, b := range x.Batches {
		code, err := tag.Code(b.Day, b.ID)
		if err != nil {
			code = "-" // a mark from elsewhere has none
		}
		dry := "-"
		if b.DryG > 0 {
			dry = u.Mass(b.DryG)
		}
		where, since := placeText(e, b.BatchRow)
		switch {
		case b.Card && b.DryG > 0 && b.Out.Found&(session.BagEmpty|session.ThrownAway) == 0:
			where, since = cmp.Or(b.Out.Place, "entered later"), ""
		case b.Card && b.DryG <= 0:
			where, since = cmp.Or(b.Out.Place, "card, not weighed"), ""
		}
		lies := b.Form.String()
		if b.Form == shed.FormUnsaid {
			lies = "-"
		}
		switch n := x.Washes(b); {
		case b.Before:
			if where, since = "washed again", ""; b.State() == ledger.Presoaked {
				where = "presoaked, washed later"
			}
		case b.Again.Day != 0 && b.State() == ledger.Unwashed:
			where = "to wash again"
		case n > 1:
			where += ", washed " + session.Times(n)
		}
		mark := b.ID
		if s.ledger.isFound(x.Fleece, &b) {
			mark = t.Mark(theme.MarkPick) + " " + mark
		}
		if b.Mark != "" {
			mark += ", " + b.Mark
		}
		g.Rows = append(g.Rows, []string{shortDay(e, b.At), mark, lies, b.Part, u.Mass(b.RawG), dry, lookback.YieldText(u, b.RawG, b.DryG), where, since, code})
	}
	g.Beside = bars(t, len(g.Rows), func(row int) []share {
		return batchShares(t, x.Batches[row].RawG, x.Batches[row].DryG)
	})
	out := g.PlainLines(t.Faint.Render, t.Text.Render, s.W)
	label := " came out "
	for _, b := range x.Batches { // below, where it has room for all of it
		if b.Before { // its bag is another by now, or gone
			b.Out.Place = ""
		}
		if text := b.Out.Whole(); text != "" {
			out = append(out, draw.Labelled(outStyle(t, b.Out), fmt.Sprintf("%-11s", label), fmt.Sprintf("%s of %s: %s", b.ID, shortDay(e, b.At), text), s.W)...)
			label = ""
		}
	}
	return out
}

// placeText is where a batch is, and since when.
func placeText(e *base.Env, b ledger.BatchRow) (where, since string) {
	switch b.State() {
	case ledger.Bagged:
		if gone := b.Out.Found & (session.BagEmpty | session.ThrownAway); gone != 0 {
			return gone.String(), ""
		}
		return cmp.Or(b.Out.Place, "bagged"), shortDay(e, b.DryAt)
	case ledger.Drying:
		where = cmp.Or(e.Kit.Lies(b.Tray, b.Spots, b.Form), "the rack")
		return where, e.Kit.Units.Moment(b.RackedAt.In(e.Zone()), "2 Jan 15:04")
	case ledger.Presoaked:
		return "presoaked only", ""
	case ledger.InWater:
		return "not racked", ""
	case ledger.Gone:
		return ledger.Gone.String(), ""
	case ledger.Unwashed:
	}
	return "raw", ""
}

// yields is what the fleece has given and what its rest will give, and where
// the loss went.
func (s *cardScreen) yields(x *ledger.Entry) (out, losses []string) {
	t, u := s.E.Theme, s.E.Kit.Units
	lines := func(label, text string) []string {
		return draw.Labelled(t.Text, fmt.Sprintf(" %-10s", label), text, s.W)
	}
	say := func(label, text string) { out = append(out, lines(label, text)...) }
	y, ok, err := x.Yield(u)
	switch {
	case err != nil:
		say("yield", err.Error())
	case !ok && x.Drying > 0:
		say("yield", "none yet: "+base.Counted(x.Drying, "batch", "batches")+" drying")
	case !ok:
		say("yield", "nothing weighed dry yet")
	default:
		for _, l := range yieldLines(u, y) {
			say(l[0], l[1])
		}
		for _, l := range lossLines(y) {
			losses = append(losses, lines(l[0], l[1])...)
		}
	}
	f, ok, err := x.Rest(u)
	switch {
	case err != nil:
		say("the rest", err.Error())
	case ok:
		say("the rest", fmt.Sprintf("%s raw will give %s, yield %s", u.Mass(f.RawG), massRange(u, f.DryG), partRange(u, f.YieldPart, 0)))
		for _, r := range f.Remarks {
			say("", r)
		}
	}
	return out, losses
}

// massRange is a forecast mass, g.
func massRange(u measure.System, i yield.Interval) string {
	show := u.MassSpread(i.Low, i.High)
	return fmt.Sprintf("%s (%s to %s)", show(i.Likely), show(i.Low), show(i.High))
}

// partRange is an interval of parts in per cent.
func partRange(u measure.System, i yield.Interval, decimals int) string {
	return fmt.Sprintf("%s (%s-%s)", u.Percent(i.Likely, decimals), measure.PercentFigure(i.Low, decimals), measure.PercentFigure(i.High, decimals))
}

// yieldLines tells a yield: as weighed, at standard regain, beside the usual;
// label and text each.
func yieldLines(u measure.System, y ledger.Yielded) [][2]string {
	fine := func(i yield.Interval) string { return partRange(u, i, 1) }
	out := [][2]string{
		{"yield", fine(y.AsWeighed) + " as weighed"},
		{"", fmt.Sprintf("%s at %s regain", fine(y.AtStandard), u.Percent(y.StandardRegain, 0))},
		{"", y.Usual},
	}
	for _, r := range y.Remarks {
		out = append(out, [2]string{"", r})
	}
	return out
}

// lossLines tells where the loss went, likewise.
func lossLines(y ledger.Yielded) (out [][2]string) {
	for i, l := range y.Losses {
		label := ""
		if i == 0 {
			label = "loss"
		}
		out = append(out, [2]string{label, l.Text})
	}
	return out
}
