package past

import (
	"fmt"
	"io"
	"slices"
	"strings"
	"time"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/lookback"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/tui/ahead"
	"fleece.example/tubside/tui/base"
	"fleece.example/tubside/tui/draw"
	"fleece.example/tubside/tui/form"
	"fleece.example/tubside/tui/theme"
)

// namePart asks from which part of its fleece a batch of a past day is.
func (s *ReviewScreen) namePart() tea.Cmd {
	if s.day == nil || len(s.day.Day.Plan.Batches) == 0 {
		return nil
	}
	e, d := s.E, s.day.Day
	var choices []form.Choice[string]
	for _, b := range d.Plan.Batches {
		choices = append(choices, form.Choice[string]{Value: b.ID, Words: b.ID + "  " + b.What(d.FleeceOf(b.ID).Title())})
	}
	c := session.NamePart{Batch: choices[0].Value}
	p := &form.Page{Fields: []*form.Field{form.ChoiceField("Batch", "as its tag says", &c.Batch, false, choices...), ahead.PartField(e, &c.Part)}}
	return form.NewForm(e, "From which part", []*form.Page{p}, func() (tea.Cmd, error) {
		if err := e.DoOn(s.day, c); err != nil {
			return nil, err
		}
		b, _ := s.day.Day.Batch(c.Batch)
		e.Tell("%s", b.What(b.ID))
		s.Refill()
		return base.Pop(), nil
	}).Over(func(w, room int) []string { return batchBars(e, &d, c.Batch, 0, w, room) })
}

// ReviewScreen looks back at one day: summary, then batch by batch.
type ReviewScreen struct {
	base.Page
	leaving base.Twice // a rehearsal
	id      shed.DayID
	day     *base.Live // nil until it is read
	asked   bool       // it is being read
	err     error
	weigh   key.Binding
	wet     key.Binding
	raw     key.Binding
	soak    key.Binding
	part    key.Binding
	curve   key.Binding
	undo    key.Binding

	beside beside
	seen   lookback.Timings // of what was told up to seenAt
	seenAt uint64
}

// NewReview looks back at a day.
func NewReview(e *base.Env, id shed.DayID) base.Screen {
	s := &ReviewScreen{id: id, weigh: base.Bind("w", "weigh"),
		wet: base.Bind("g", "weigh on the rack"), raw: base.Bind("r", "weigh raw"), soak: base.Bind("a", "weigh presoaked"), part: base.Bind("p", "part"), undo: base.Bind("u", "undo"),
		curve: base.Bind("v", "baths as curves", "v", "enter")}
	s.Frame = base.Frame{E: e, Own: []key.Binding{s.curve, base.KeyScroll, s.weigh, base.KeyBack, base.KeyHelp, keyAdvice, s.wet, s.raw, s.soak, s.part, keyFound, form.KeyAlong, s.undo}}
	s.Idle, s.Lines = s.idleKeys, s.text
	if id == e.Live.ID { // the day just ended: what is not yet written is in it too
		s.day = e.Live
	}
	return s
}

func (s *ReviewScreen) idleKeys() []string {
	if s.day == nil {
		return []string{"v", "w", "t", "g", "r", "a", "p", "h", "s", "u"}
	}
	d := s.day.Day
	out := form.IdleAlong(s.E)
	if len(s.beside.advice) == 0 {
		out = append(out, "t")
	}
	if len(d.Baths) == 0 && len(d.FleeceIn()) == 0 {
		out = append(out, "v")
	}
	if !slices.ContainsFunc(d.Plan.Batches, func(b shed.Batch) bool { return d.CameOut(b.ID) }) {
		out = append(out, "h")
	}
	for label, kind := range map[string]weighKind{"w": weighDry, "g": weighWet, "a": weighSoaked} {
		if open, done := weighable(d, kind); len(open)+len(done) == 0 {
			out = append(out, label)
		}
	}
	if !d.UndoesEnd() && !d.UndoesWeight() {
		out = append(out, "u")
	}
	return out
}

func (s *ReviewScreen) Title() string { return "Looking back" }

// Read brings the day from the journal. It waits while something is still to
// be written, or the next event would be numbered twice.
func (s *ReviewScreen) Read() tea.Cmd {
	if s.day != nil && !s.beside.asked {
		return s.workOutPlan()
	}
	if s.day != nil || s.asked || s.err != nil {
		return nil
	}
	if s.E.Saving() > 0 {
		return nil
	}
	s.asked = true
	j, id := s.E.Journal, s.id
	return base.Away(s, func() (session.Day, error) { return j.Day(id) }, func(d session.Day, err error) tea.Cmd {
		if err != nil {
			s.err = fmt.Errorf("the day couldn't be read: %w", err)
		} else { // the one writer is shared, so that events keep their order
			s.day = &base.Live{ID: id, Day: d, Keeper: s.E.Keeper}
		}
		s.Refill()
		return nil
	})
}

func (s *ReviewScreen) Update(msg tea.Msg) (base.Screen, tea.Cmd) { return s, s.act(msg) }

func (s *ReviewScreen) act(msg tea.Msg) tea.Cmd {
	k, ok := s.Pressed(msg)
	if !ok {
		return nil
	}
	if key.Matches(k, base.KeyBack) && s.E.Rehearsal != nil { // nothing lies below a rehearsal
		return s.leaving.Out(s.E)
	}
	s.leaving = base.Twice{}
	if cmd, done := s.Common(k); done {
		return cmd
	}
	switch {
	case s.Move(k):
	case key.Matches(k, s.curve) && s.day != nil:
		return s.openBaths()
	case key.Matches(k, keyAdvice):
		return s.openAdvice()
	case key.Matches(k, s.weigh):
		return s.weighNext(weighDry)
	case key.Matches(k, s.wet):
		return s.weighNext(weighWet)
	case key.Matches(k, s.raw):
		return s.weighNext(weighRaw)
	case key.Matches(k, s.soak):
		return s.weighNext(weighSoaked)
	case key.Matches(k, s.part):
		return s.namePart()
	case key.Matches(k, keyFound) && s.day != nil:
		return askFound(s.E, []*base.Live{s.day}, "", shed.Earlier{})
	case key.Matches(k, form.KeyAlong) && s.day != nil && s.E.Along != nil:
		return Along(s, s.E, s.day.ID, s.day.Day)
	case key.Matches(k, s.undo) && s.day != nil && s.day.Day.UndoesEnd():
		return s.GoOnWith(s, s.day)
	case key.Matches(k, s.undo) && s.day != nil:
		if undoWeight(&s.Frame, s.day) {
			s.Refill()
		}
	}
	return nil
}

// text is the whole review, as wide as the screen: what the day tells, its timings, batch by
// batch, and what the record holds besides.
func (s *ReviewScreen) text() []string {
	t, w := s.E.Theme, s.W
	switch {
	case s.err != nil:
		return draw.Told(t.Warn, s.err.Error(), w)
	case s.day == nil:
		return []string{"", t.Faint.Render("   reading the day")}
	}
	r := ledger.ReviewOf(s.day.Day.AsOf(s.E.Now))
	if s.seenAt != r.Day.LastSeq {
		s.seen, s.seenAt = lookback.TimingsBeside(r.Day, s.beside.plan), r.Day.LastSeq
		s.seen.NoPlan = s.beside.why
	}
	out := append(s.told(), s.Summary(r)...)
	if !r.Day.Plan.FromCards() {
		out = append(append(out, ""), s.timings(s.seen)...)
	}
	for _, b := range r.Batches {
		out = append(out, "")
		for i, l := range draw.Hung(" "+b.Batch.ID+"  ", s.words().Batch(r.Day, b), w-1) {
			style := t.Text
			if i == 0 {
				style = t.Title
			}
			out = append(out, style.Render(l))
		}
		if !r.Day.Plan.FromCards() {
			out = append(out, s.steps(s.seen, b.Batch.ID)...)
		}
		for i, x := range b.Baths {
			out = append(out, s.happened(s.words().Happened(b.Baths, i), x.Step.Name)...)
		}
		out = append(out, s.cameOut(b)...)
	}
	if !r.Day.Plan.FromCards() {
		out = append(out, s.alarms(r)...)
	}
	out = append(out, "", t.Title.Render(" Notes"))
	if len(r.Notes) == 0 {
		out = append(out, t.Text.Render("   none"))
	}
	for _, n := range r.Notes {
		at := s.words().Clock(n.At) + "  "
		if r.Day.Plan.FromCards() {
			at = ""
		}
		out = append(out, draw.Labelled(t.Text, "   "+at, lookback.NoteText(r.Day, n), w)...)
	}
	if out = append(out, s.weights(r)...); !r.Day.Plan.FromCards() {
		return out
	}
	return under(out, batchBars(s.E, &r.Day, "", 0, w, s.Room()-len(out)-1))
}

// alarms are those of the day, and what they come to.
func (s *ReviewScreen) alarms(r ledger.Review) []string {
	t, w := s.E.Theme, s.W
	out := []string{"", t.Title.Render(" Alarms")}
	if len(r.Alarms) == 0 {
		out = append(out, t.Text.Render("   none"))
	}
	for _, text := range s.words().Alarms(lookback.AlarmsOf(r)) {
		out = append(out, draw.Labelled(t.Text, "   ", text, w)...)
	}
	for _, a := range r.Alarms {
		style := t.Text
		if !a.Answered && !a.Outdone {
			style = t.Warn
		}
		out = append(out, draw.Labelled(style, "   "+s.words().Clock(a.RaisedAt)+"  ", lookback.AlarmText(a), w)...)
	}
	return out
}

// told is what the day tells, the worst first: before all figures.
func (s *ReviewScreen) told() (out []string) {
	t := &s.E.Theme
	for _, f := range s.words().Told(s.day.Day.AsOf(s.E.Now)) {
		style := t.Text
		switch {
		case f.Bad:
			style = t.Warn
		case f.Good:
			style = t.Good
		}
		out = append(out, draw.Labelled(style, " ", f.Text, s.W)...)
	}
	n := 0 // without what comes about by itself
	for _, a := range s.beside.advice {
		if a.Change != lookback.HandsMinutes {
			n++
		}
	}
	switch {
	case len(s.Own) == 0: // no key shows them
		for _, a := range s.beside.advice {
			what, why := a.Say(s.E.Kit.Units)
			out = append(out, draw.Hung(" ", "Worth changing: "+what+". "+why, s.W-1)...)
		}
	case n > 0:
		out = append(out, draw.Told(t.Key, measure.Counted(n, "change is", "changes are")+" worth making: t shows what and why.", s.W)...)
	}
	if len(out) > 0 {
		out = append(out, "")
	}
	return out
}

// Summary is the day at a glance; what it weighed stands with its weights.
func (s *ReviewScreen) Summary(r ledger.Review) (out []string) {
	for i, row := range s.words().Summary(r) {
		switch {
		case row[0] == "yield":
		case i < 2:
			out = append(out, s.labelled(row, s.E.Theme.Next)...)
		default:
			out = append(out, s.labelled(row, s.E.Theme.Text)...)
		}
	}
	return out
}

// yield is the row of the summary that says what was weighed, and what weighs it.
func (s *ReviewScreen) yield(r ledger.Review) (out []string) {
	for _, row := range s.words().Summary(r) {
		if row[0] != "yield" {
			continue
		}
		if key := s.weigh.Help().Key; r.YieldPart == 0 && key != "" {
			row[1] += "; " + key + " weighs a batch when it is dry"
		}
		out = s.labelled(row, s.E.Theme.Text)
	}
	return out
}

func (s *ReviewScreen) labelled(row [2]string, style theme.Style) (out []string) {
	out = append(out, draw.Labelled(style, fmt.Sprintf(" %-10s", row[0]), row[1], s.W)...)
	return out
}

// PlainReview is a look back without a screen, in lines of plain text of so many columns at the
// most.
func PlainReview(id shed.DayID, d session.Day, advice []lookback.Advice, u measure.System, zone *time.Location, now time.Time, wide int) []string {
	d.Plan.Kit.Units = u
	s := &ReviewScreen{id: id, day: &base.Live{ID: id, Day: d}}
	s.Frame = base.Frame{E: &base.Env{Deps: base.Deps{Local: zone}, Kit: d.Plan.Kit, Now: now}, W: wide}
	s.beside.advice = advice
	s.takePlan(lookback.Planned(d))
	out := s.text()
	for i, l := range out {
		out[i] = strings.TrimRight(l, " ")
	}
	return out
}

// words are the day's, in the person's units and zone.
func (s *ReviewScreen) words() lookback.Words {
	w := lookback.Words{Units: s.E.Kit.Units, Zone: s.E.Zone()}
	if s.day != nil {
		w.Began = &s.day.Day.StartedAt
	}
	return w
}

// Along takes along what there is of a day, also of one that runs.
func Along(s base.Screen, e *base.Env, id shed.DayID, d session.Day) tea.Cmd {
	u, zone, now := e.Kit.Units, e.Zone(), e.Now
	d = d.AsOf(now)
	name := fmt.Sprintf("wash-day-%d-%s", id, d.WashedOn().In(zone).Format("2006-01-02"))
	papers := []form.Paper{
		{Words: "the look back, as a page (HTML)", Name: name + ".html", Write: func(w io.Writer) error { return e.Along.Page(w, id, d, u) }},
		form.Text("the look back, as text", name+".txt", func() []string {
			return PlainReview(id, d, AdviceOf(e.Journal, e.Ledger, d), u, zone, now, form.PaperColumns)
		}),
	}
	if len(d.Washed()) > 0 {
		papers = append(papers, form.Tags(name+"-tags.pdf", func(w io.Writer) (func() error, error) { return e.Along.DayTags(w, id, d, u) }))
	}
	return form.TakeAlong(s, e, papers...)
}
