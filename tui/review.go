package tui

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
)

// reviewScreen looks back at one day: summary, then batch by batch.
type reviewScreen struct {
	frame
	leaving leaving // a rehearsal
	scroll
	id    shed.DayID
	day   *live // nil until it is read
	asked bool  // it is being read
	err   error
	weigh key.Binding
	wet   key.Binding
	raw   key.Binding
	soak  key.Binding
	part  key.Binding
	undo  key.Binding
}

func newReview(e *env, id shed.DayID) screen {
	s := &reviewScreen{id: id, weigh: bind("w", "weigh", "w", "enter"),
		wet: bind("g", "weigh on the rack", "g"), raw: bind("r", "weigh raw", "r"), soak: bind("a", "weigh presoaked", "a"), part: bind("p", "part", "p"), undo: bind("u", "undo", "u")}
	s.frame = frame{e: e, keys: []key.Binding{s.weigh, keyScroll, keyBack, keyHelp, s.wet, s.raw, s.soak, s.part, keyFound, s.undo}}
	s.idle = s.idleKeys
	if id == e.live.id { // the day just ended: what is not yet written is in it too
		s.day = e.live
	}
	return s
}

func (s *reviewScreen) idleKeys() []string {
	if s.day == nil {
		return []string{"w", "g", "r", "a", "p", "h", "u"}
	}
	d := s.day.day
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

func (s *reviewScreen) Title() string { return "Looking back" }

// read brings the day from the journal. It waits while something is still to
// be written, or the next event would be numbered twice.
func (s *reviewScreen) read() tea.Cmd {
	if s.day != nil || s.asked || s.err != nil {
		return nil
	}
	if s.e.saving() > 0 {
		return nil
	}
	s.asked = true
	j, id := s.e.Journal, s.id
	return away(s, func() (session.Day, error) { return j.Day(id) }, func(d session.Day, err error) tea.Cmd {
		if err != nil {
			s.err = fmt.Errorf("the day could not be read: %w", err)
			return nil
		}
		// The one writer is shared, so that events keep their order.
		s.day = &live{id: id, day: d, keeper: s.e.keeper}
		s.refill()
		return nil
	})
}

func (s *reviewScreen) SetSize(w, h int) {
	s.frame.SetSize(w, h)
	s.refill()
}

func (s *reviewScreen) refill() {
	if s.day != nil && s.w > 0 {
		s.set(s.text(), s.w, max(1, s.h-1))
	}
}

func (s *reviewScreen) Update(msg tea.Msg) (screen, tea.Cmd) { return s, s.act(msg) }

func (s *reviewScreen) act(msg tea.Msg) tea.Cmd {
	k, ok := s.pressed(msg)
	if !ok {
		return nil
	}
	if key.Matches(k, keyBack) && s.e.Rehearsal != nil { // nothing lies below a rehearsal
		return s.leaving.out(s.e)
	}
	s.leaving = leaving{}
	if cmd, done := s.common(k); done {
		return cmd
	}
	switch {
	case s.move(k):
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
		return askFound(s.e, s.day, "")
	case key.Matches(k, s.undo) && s.day != nil && s.day.day.UndoesEnd():
		return s.goOnWith(s, s.day)
	case key.Matches(k, s.undo) && s.day != nil:
		if s.undoWeight(s.day) {
			s.refill()
		}
	}
	return nil
}

func (s *reviewScreen) View() string {
	switch {
	case s.err != nil:
		return s.draw(told(s.e.Theme.Warn, s.err.Error(), s.w))
	case s.day == nil:
		return s.draw([]string{"", s.e.Theme.Faint.Render("   reading the day")})
	}
	return s.draw(strings.Split(s.port.View(), "\n"))
}

// text is the whole review, as wide as the screen.
func (s *reviewScreen) text() []string {
	t, w := s.e.Theme, s.w
	r := ledger.ReviewOf(s.day.day)
	out := s.summary(r)
	for _, b := range r.Batches {
		out = append(out, "")
		for i, l := range hung(" "+b.Batch.ID+"  ", s.batchText(b), w-1) {
			style := t.Text
			if i == 0 {
				style = t.Title
			}
			out = append(out, style.Render(l))
		}
		out = append(out, s.recordLines(b)...)
		out = append(out, s.baths(b.Baths)...)
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
		for _, l := range hung("   "+s.e.clockText(a.RaisedAt)+"  ", alarmText(a), w-1) {
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
		for _, l := range hung("   "+s.e.clockText(n.At)+"  ", who+n.Text, w-1) {
			out = append(out, t.Text.Render(l))
		}
	}
	return out
}

// alarmText is an alarm looked back at; that of the whole day belongs to no step.
func alarmText(a ledger.AlarmReview) string {
	step := ""
	if a.Step != "" {
		step = " (" + a.Step + ")"
	}
	return fmt.Sprintf("%s: %s%s; %s", a.TubName, a.Kind, step, answerText(a))
}

// answerText tells heard and done apart: "heard after 3 min, lifted after 16 min".
func answerText(a ledger.AlarmReview) string {
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

// summary is the day at a glance.
func (s *reviewScreen) summary(r ledger.Review) []string {
	t, e, w, d := s.e.Theme, s.e, s.w, r.Day
	u := e.kit.Units
	until := e.clockText(d.EndedAt)
	if e.dayText(d.EndedAt) != e.dayText(d.StartedAt) {
		until = e.dayText(d.EndedAt) + ", " + until
	}
	took := d.EndedAt.Truncate(time.Minute).Sub(d.StartedAt.Truncate(time.Minute)) // between the ends as they are shown
	when := fmt.Sprintf("%s, %s to %s (%s)", e.dayText(d.StartedAt), e.clockText(d.StartedAt), until, measure.Minutes(took.Minutes()))
	switch {
	case d.EndedAt.IsZero():
		when = fmt.Sprintf("%s, from %s, still open", e.dayText(d.StartedAt), e.clockText(d.StartedAt))
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
		yield = fmt.Sprintf("%s: %s dry of %s raw, %s of %d weighed", yieldText(r.RawG, r.DryG), u.Mass(r.DryG), u.Mass(r.RawG), counted(weighed, "batch", "batches"), racked)
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
		rows = append(rows, [2]string{"unwatched", fmt.Sprintf("%s, %s in all", counted(n, "gap", "gaps"), measure.Minutes(gap))})
	}
	var out []string
	for i, row := range rows {
		for _, l := range hung(fmt.Sprintf(" %-10s", row[0]), row[1], w-1) {
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
func (s *reviewScreen) batchText(b ledger.BatchReview) string {
	u := s.e.kit.Units
	parts := []string{fmt.Sprintf("%s, %s raw, %s", b.Fleece.Title(), u.Mass(b.Batch.RawG), b.Batch.What())}
	switch {
	case b.DryG > 0:
		parts = append(parts, fmt.Sprintf("%s dry, yield %s", u.Mass(b.DryG), yieldText(b.Batch.RawG, b.DryG)))
	case !b.RackedAt.IsZero():
		parts = append(parts, "racked "+s.e.clockText(b.RackedAt)+", not weighed")
	case s.day.day.Fate[b.Batch.ID].SunkAt.IsZero() && !s.day.day.EndedAt.IsZero():
		parts = append(parts, "never went in: part of its fleece again")
	default:
		parts = append(parts, "not racked")
	}
	return strings.Join(parts, "; ")
}

// baths is a batch's steps as planned and as they were.
func (s *reviewScreen) baths(list []ledger.BathReview) []string {
	t, u := s.e.Theme, s.e.kit.Units
	if len(list) == 0 {
		return []string{t.Faint.Render("   no bath")}
	}
	g := grid{cols: []column{{title: "step", name: true}, {title: "tub", spare: 4, name: true}, {title: "at", spare: 5}, {title: "planned", right: true, spare: 3}, {title: "soaked", right: true},
		{title: "in, est.", right: true, spare: 2}, {title: "in, read", right: true, spare: 1}, {title: "out, est.", right: true}, {title: "out, read", right: true, spare: 1}}}
	for _, b := range list {
		name := b.Step.Name
		switch {
		case b.LeftOut():
			name += " (skipped)"
		case b.Skipped:
			name += " (cut off)"
		}
		g.rows = append(g.rows, []string{name, b.TubName, s.e.clockText(b.SunkAt), minutesOr(b.PlannedMin), minutesOr(b.ActualMin),
			aboutOr(u, b.SinkForecastC), readOr(u, b.SinkReadC), aboutOr(u, b.LiftForecastC), readOr(u, b.LiftReadC)})
	}
	out := g.plainLines(t.Faint.Render, t.Text.Render, s.w)
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
			for _, l := range hung("   "+b.Step.Name+": ", strings.Join(done, "; "), s.w-1) {
				out = append(out, t.Faint.Render(l))
			}
		}
	}
	return out
}

// happened is what was read and done in a bath, and when it was too cool, in the
// order of time.
func (s *reviewScreen) happened(b ledger.BathReview) []string {
	u := s.e.kit.Units
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
			say(c.At, "%s", coverWords(c.Cover))
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
			until = "until it was " + x.By + " at " + s.e.clockText(x.To)
		case !x.To.IsZero():
			until = "until " + s.e.clockText(x.To)
		}
		say(x.From, "below %s, where wax sets, %s", u.Temp(b.Step.ReleaseC), until)
	}
	slices.SortStableFunc(all, func(a, b moment) int { return a.at.Compare(b.at) })
	out := make([]string, len(all))
	for i, m := range all {
		out[i] = s.e.clockText(m.at) + " " + m.text
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
