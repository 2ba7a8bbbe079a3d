package past

import (
	"fmt"
	"math"
	"sort"
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
	"fleece.example/tubside/tui/gear"
)

// namePart asks from which part of its fleece a batch of a past day is.
func (s *ReviewScreen) namePart() tea.Cmd {
	if s.day == nil || len(s.day.Day.Plan.Batches) == 0 {
		return nil
	}
	e, d := s.E, s.day.Day
	var choices []form.Choice[string]
	for _, b := range d.Plan.Batches {
		choices = append(choices, form.Choice[string]{Value: b.ID, Words: fmt.Sprintf("%s  %s, %s", b.ID, d.FleeceOf(b.ID).Title(), b.What())})
	}
	c := session.NamePart{Batch: choices[0].Value}
	p := &form.Page{Fields: []*form.Field{form.ChoiceField("Batch", "as its tag says", &c.Batch, false, choices...), ahead.PartField(&c.Part)}}
	return base.Push(form.NewForm(e, "From which part", []*form.Page{p}, func() (tea.Cmd, error) {
		if err := e.DoOn(s.day, c); err != nil {
			return nil, err
		}
		b, _ := s.day.Day.Batch(c.Batch)
		e.Tell("%s: %s", b.ID, b.What())
		s.refill()
		return base.Pop(), nil
	}))
}

// ReviewScreen looks back at one day: summary, then batch by batch.
type ReviewScreen struct {
	base.Frame
	leaving base.Leaving // a rehearsal
	base.Scroll
	id    shed.DayID
	day   *base.Live // nil until it is read
	asked bool       // it is being read
	err   error
	weigh key.Binding
	wet   key.Binding
	raw   key.Binding
	soak  key.Binding
	part  key.Binding
	undo  key.Binding
}

// NewReview looks back at a day.
func NewReview(e *base.Env, id shed.DayID) base.Screen {
	s := &ReviewScreen{id: id, weigh: base.Bind("w", "weigh", "w", "enter"),
		wet: base.Bind("g", "weigh on the rack", "g"), raw: base.Bind("r", "weigh raw", "r"), soak: base.Bind("a", "weigh presoaked", "a"), part: base.Bind("p", "part", "p"), undo: base.Bind("u", "undo", "u")}
	s.Frame = base.Frame{E: e, Own: []key.Binding{s.weigh, base.KeyScroll, base.KeyBack, base.KeyHelp, s.wet, s.raw, s.soak, s.part, keyFound, s.undo}}
	s.Idle = s.idleKeys
	if id == e.Live.ID { // the day just ended: what is not yet written is in it too
		s.day = e.Live
	}
	return s
}

func (s *ReviewScreen) idleKeys() []string {
	if s.day == nil {
		return []string{"w", "g", "r", "a", "p", "h", "u"}
	}
	d := s.day.Day
	var out []string
	for label, kind := range map[string]weighKind{"w": weighDry, "h": weighDry, "g": weighWet, "a": weighSoaked} {
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
			s.err = fmt.Errorf("the day could not be read: %w", err)
			return nil
		}
		// The one writer is shared, so that events keep their order.
		s.day = &base.Live{ID: id, Day: d, Keeper: s.E.Keeper}
		s.refill()
		return nil
	})
}

func (s *ReviewScreen) SetSize(w, h int) {
	s.Frame.SetSize(w, h)
	s.refill()
}

func (s *ReviewScreen) refill() {
	if s.day != nil && s.W > 0 {
		s.Set(s.text(), max(1, s.H-1))
	}
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
	s.leaving = base.Leaving{}
	if cmd, done := s.Common(k); done {
		return cmd
	}
	switch {
	case s.Move(k):
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
		return askFound(s.E, s.day, "")
	case key.Matches(k, s.undo) && s.day != nil && s.day.Day.UndoesEnd():
		return s.GoOnWith(s, s.day)
	case key.Matches(k, s.undo) && s.day != nil:
		if undoWeight(&s.Frame, s.day) {
			s.refill()
		}
	}
	return nil
}

func (s *ReviewScreen) View() string {
	switch {
	case s.err != nil:
		return s.Draw(draw.Told(s.E.Theme.Warn, s.err.Error(), s.W))
	case s.day == nil:
		return s.Draw([]string{"", s.E.Theme.Faint.Render("   reading the day")})
	}
	return s.Draw(s.Shown())
}

// text is the whole review, as wide as the screen.
func (s *ReviewScreen) text() []string {
	t, w := s.E.Theme, s.W
	r := ledger.ReviewOf(s.day.Day)
	out := append(s.told(), s.Summary(r)...)
	for _, b := range r.Batches {
		out = append(out, "")
		for i, l := range draw.Hung(" "+b.Batch.ID+"  ", s.batchText(b), w-1) {
			style := t.Text
			if i == 0 {
				style = t.Title
			}
			out = append(out, style.Render(l))
		}
		out = append(out, s.Baths(b.Baths)...)
		out = append(out, s.recordLines(b)...)
	}
	out = append(out, "", t.Title.Render(" Alarms"))
	if len(r.Alarms) == 0 {
		out = append(out, t.Text.Render("   none"))
	}
	for _, a := range r.Alarms {
		style := t.Text
		if !a.Answered && !a.Outdone {
			style = t.Warn
		}
		for _, l := range draw.Hung("   "+s.E.ClockText(a.RaisedAt)+"  ", AlarmText(a), w-1) {
			out = append(out, style.Render(l))
		}
	}
	out = append(out, "", t.Title.Render(" Notes"))
	if len(r.Notes) == 0 {
		out = append(out, t.Text.Render("   none"))
	}
	for _, n := range r.Notes {
		who := ""
		if n.Tub >= 0 && n.Tub < len(r.Day.Plan.Kit.Tubs) {
			who = r.Day.Plan.Kit.Tubs[n.Tub].Name + ": "
		}
		for _, l := range draw.Hung("   "+s.E.ClockText(n.At)+"  ", who+n.Text, w-1) {
			out = append(out, t.Text.Render(l))
		}
	}
	return out
}

// told is what the day tells, the worst first: before all figures.
func (s *ReviewScreen) told() (out []string) {
	t := s.E.Theme
	for _, f := range lookback.Say(lookback.Of(s.day.Day), s.E.Kit.Units, s.E.ClockText) {
		style := t.Good
		if f.Bad {
			style = t.Warn
		}
		for _, l := range draw.Hung(" ", f.Text, s.W-1) {
			out = append(out, style.Render(l))
		}
	}
	if len(out) > 0 {
		out = append(out, "")
	}
	return out
}

// AlarmText is an alarm looked back at; that of the whole day belongs to no step.
func AlarmText(a ledger.AlarmReview) string {
	step := ""
	if a.Step != "" {
		step = " (" + a.Step + ")"
	}
	return fmt.Sprintf("%s: %s%s; %s", a.TubName, a.Kind, step, AnswerText(a))
}

// AnswerText tells heard and done apart: "heard after 3 min, lifted after 16 min".
func AnswerText(a ledger.AlarmReview) string {
	var parts []string
	if a.Heard {
		parts = append(parts, "heard after "+secondsText(a.HeardS))
	}
	switch {
	case a.Done:
		parts = append(parts, a.DoneBy+" after "+secondsText(a.DoneS))
	case a.Outdone:
		parts = append(parts, "a worse alarm came after "+secondsText(a.StoodS))
	case a.Heard:
		parts = append(parts, "nothing done, stood for "+secondsText(a.StoodS))
	case a.Answered: // a deed elsewhere
		parts = append(parts, "answered after "+secondsText(a.Seconds))
	default:
		parts = append(parts, "not answered, stood for "+secondsText(a.StoodS))
	}
	return strings.Join(parts, ", ")
}

func secondsText(sec float64) string {
	if sec < 120 {
		return fmt.Sprintf("%.0f s", sec)
	}
	return measure.Minutes(math.Round(sec / 60))
}

// Summary is the day at a glance.
func (s *ReviewScreen) Summary(r ledger.Review) []string {
	t, e, w, d := s.E.Theme, s.E, s.W, r.Day
	u := e.Kit.Units
	until := e.ClockText(d.EndedAt)
	if e.DayText(d.EndedAt) != e.DayText(d.StartedAt) {
		until = e.DayText(d.EndedAt) + ", " + until
	}
	took := d.EndedAt.Truncate(time.Minute).Sub(d.StartedAt.Truncate(time.Minute)) // between the ends as they are shown
	when := fmt.Sprintf("%s, %s to %s (%s)", e.DayText(d.StartedAt), e.ClockText(d.StartedAt), until, measure.Minutes(took.Minutes()))
	switch {
	case d.EndedAt.IsZero():
		when = fmt.Sprintf("%s, from %s, still open", e.DayText(d.StartedAt), e.ClockText(d.StartedAt))
	case d.EndEarly:
		when += ", ended early"
	}
	racked, weighed := 0, 0
	for _, b := range r.Batches {
		if !b.RackedAt.IsZero() {
			racked++
		}
		if b.DryG > 0 {
			weighed++
		}
	}
	yield := "nothing weighed yet; w weighs a batch when it is dry"
	if r.YieldPart > 0 {
		yield = fmt.Sprintf("%s: %s dry of %s raw, %s of %d weighed", YieldText(r.RawG, r.DryG), u.Mass(r.DryG), u.Mass(r.RawG), base.Counted(weighed, "batch", "batches"), racked)
	}
	alarms := "none"
	if n := len(r.Alarms); n > 0 {
		heard, done, missed := 0.0, 0.0, 0
		for _, a := range r.Alarms {
			heard, done = max(heard, a.HeardS), max(done, a.DoneS)
			if !a.Answered && !a.Outdone {
				missed++
			}
		}
		alarms = fmt.Sprint(n)
		if heard > 0 {
			alarms += ", the slowest heard after " + secondsText(heard)
		}
		if done > 0 {
			alarms += ", the slowest done after " + secondsText(done)
		}
		if missed > 0 {
			alarms += fmt.Sprintf(", %d not answered", missed)
		}
	}
	rows := [][2]string{
		{"day", when}, {"yield", yield}, {"batches", fmt.Sprintf("%d racked of %d", racked, len(r.Batches))},
		{"method", d.Plan.Method.Name}, {"alarms", alarms},
	}
	if n := len(d.Resumed); n > 0 {
		var gap float64
		for _, g := range d.Resumed {
			gap += g.Minutes()
		}
		rows = append(rows, [2]string{"unwatched", fmt.Sprintf("%s, %s in all", base.Counted(n, "gap", "gaps"), measure.Minutes(gap))})
	}
	var out []string
	for i, row := range rows {
		for _, l := range draw.Hung(fmt.Sprintf(" %-10s", row[0]), row[1], w-1) {
			style := t.Text
			if i < 2 {
				style = t.Next
			}
			out = append(out, style.Render(l))
		}
	}
	return out
}

// batchText is the head of a batch.
func (s *ReviewScreen) batchText(b ledger.BatchReview) string {
	u := s.E.Kit.Units
	parts := []string{fmt.Sprintf("%s, %s raw, %s", b.Fleece.Title(), u.Mass(b.Batch.RawG), b.Batch.What())}
	switch {
	case b.DryG > 0:
		parts = append(parts, fmt.Sprintf("%s dry, yield %s", u.Mass(b.DryG), YieldText(b.Batch.RawG, b.DryG)))
	case !b.RackedAt.IsZero():
		parts = append(parts, "racked "+s.E.ClockText(b.RackedAt)+", no dry weight yet")
	case s.day.Day.Fate[b.Batch.ID].SunkAt.IsZero() && !s.day.Day.EndedAt.IsZero():
		parts = append(parts, "never went in: part of its fleece again")
	default:
		parts = append(parts, "not racked")
	}
	return strings.Join(parts, "; ")
}

// Baths is a batch's steps as planned and as they were.
func (s *ReviewScreen) Baths(list []ledger.BathReview) []string {
	t, u := s.E.Theme, s.E.Kit.Units
	if len(list) == 0 {
		return []string{t.Faint.Render("   no bath")}
	}
	g := base.Grid{Cols: []base.Column{{Title: "step", Name: true}, {Title: "tub", Spare: 4, Name: true}, {Title: "at", Spare: 5}, {Title: "planned", Right: true, Spare: 3}, {Title: "soaked", Right: true},
		{Title: "in, est.", Right: true, Spare: 2}, {Title: "in, read", Right: true, Spare: 1}, {Title: "out, est.", Right: true}, {Title: "out, read", Right: true, Spare: 1}}}
	for _, b := range list {
		name := b.Step.Name
		switch {
		case b.LeftOut():
			name += " (skipped)"
		case b.Skipped:
			name += " (cut off)"
		}
		g.Rows = append(g.Rows, []string{name, b.TubName, s.E.ClockText(b.SunkAt), minutesOr(b.PlannedMin), minutesOr(b.ActualMin),
			aboutOr(u, b.SinkForecastC), readOr(u, b.SinkReadC), aboutOr(u, b.LiftForecastC), readOr(u, b.LiftReadC)})
	}
	out := g.PlainLines(t.Faint.Render, t.Text.Render, s.W)
	for i, b := range list {
		done := s.happened(b)
		if held := b.HeldFor.Minutes(); held >= 1 {
			done = append(done, "on hold "+measure.Minutes(math.Round(held)))
		}
		if i > 0 { // how long the batch lay between two baths, where that was long
			in := b.SunkAt // it hangs until it is in
			if in.IsZero() {
				in = b.FilledAt
			}
			if wait := in.Sub(list[i-1].LiftedAt); !b.LeftOut() && !list[i-1].LiftedAt.IsZero() && wait >= longBetween {
				done = append(done, "the fleece hung "+measure.Minutes(math.Round(wait.Minutes()))+" before it")
			}
		}
		if len(done) > 0 {
			for _, l := range draw.Hung("   "+b.Step.Name+": ", strings.Join(done, "; "), s.W-1) {
				out = append(out, t.Faint.Render(l))
			}
		}
	}
	return out
}

// happened is what was read and done in a bath, and when it was too cool, in the
// order of time.
func (s *ReviewScreen) happened(b ledger.BathReview) []string {
	u := s.E.Kit.Units
	type moment struct {
		at   time.Time
		text string
	}
	var all []moment
	say := func(at time.Time, format string, args ...any) {
		all = append(all, moment{at, fmt.Sprintf(format, args...)})
	}
	for _, r := range b.Readings {
		say(r.At, "read %s", u.TempRead(r.TempC))
	}
	for _, c := range b.Changes {
		switch {
		case c.AddL > 0 && c.BailL > 0:
			say(c.At, "bailed %s, topped up %s at %s", u.Volume(c.BailL), u.Volume(c.AddL), u.Temp(c.AddC))
		case c.AddL > 0:
			say(c.At, "topped up %s at %s", u.Volume(c.AddL), u.Temp(c.AddC))
		case c.AddJPerK == 0:
			say(c.At, "%s", gear.CoverWords(c.Cover))
		}
	}
	for i, r := range b.Rooms {
		if i > 0 {
			say(r.At, "the room %s", u.Temp(r.RoomC))
		}
	}
	for _, x := range b.Below {
		until := "to the end"
		switch {
		case x.By != "":
			until = "until it was " + x.By + " at " + s.E.ClockText(x.To)
		case !x.To.IsZero():
			until = "until " + s.E.ClockText(x.To)
		}
		say(x.From, "below %s, where wax sets, %s", u.Temp(b.Step.ReleaseC), until)
	}
	sort.SliceStable(all, func(i, j int) bool { return all[i].at.Before(all[j].at) })
	out := make([]string, len(all))
	for i, m := range all {
		out[i] = s.E.ClockText(m.at) + " " + m.text
	}
	return out
}

// longBetween is from when the wait between two baths is worth a word.
const longBetween = 15 * time.Minute

// What is not known is "-", an estimate is whole degrees, a reading has tenths.

func minutesOr(m float64) string {
	if math.IsNaN(m) {
		return "-"
	}
	return measure.Minutes(math.Round(m))
}

func aboutOr(u measure.System, c float64) string {
	if math.IsNaN(c) {
		return "-"
	}
	return "~" + u.Temp(c)
}

func readOr(u measure.System, c float64) string {
	if math.IsNaN(c) {
		return "-"
	}
	return u.TempRead(c)
}
