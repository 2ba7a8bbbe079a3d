package lookback

import (
	"fmt"
	"math"
	"slices"
	"sort"
	"strings"
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
)

// Words tell a review in a person's units and zone: the screen, the page and the text say the
// same.
type Words struct {
	Units measure.System
	Zone  *time.Location
	Bare  bool // from and to without am and pm, for a narrow column
	// Began is when the day did: a time after its midnight has the weekday before it; nil is without.
	Began *time.Time
}

// Clock is a time of day, "-" for none.
func (w Words) Clock(t time.Time) string {
	if t.IsZero() || w.Began == nil {
		return w.Hour(t)
	}
	return w.Units.ClockOn(t.In(w.Zone), w.Began.In(w.Zone))
}

// Hour is Clock where the day is plain: in a table, on an axis, behind its date.
func (w Words) Hour(t time.Time) string {
	if t.IsZero() {
		return "-"
	}
	return w.Units.Clock(t.In(w.Zone))
}

// Day is a day as a person says it, "-" for none.
func (w Words) Day(t time.Time) string {
	if t.IsZero() {
		return "-"
	}
	return w.Units.Moment(t.In(w.Zone), "Mon 2 Jan 2006")
}

// Told are the findings of a day in words.
func (w Words) Told(d session.Day) []Said { return Say(Of(d), w.Units, w.Clock) }

// NoteText is a note and whose it is.
func NoteText(d session.Day, n shed.Note) string {
	if n.Tub >= 0 && n.Tub < len(d.Plan.Kit.Tubs) {
		return d.Plan.Kit.Tubs[n.Tub].Name + ": " + n.Text
	}
	return n.Text
}

// YieldText is dry by raw in per cent, "-" where nothing was weighed.
func YieldText(u measure.System, rawG, dryG float64) string {
	if rawG <= 0 || dryG <= 0 {
		return "-"
	}
	return u.Percent(dryG/rawG, 0)
}

// AlarmText is an alarm looked back at; that of the whole day belongs to no step.
func AlarmText(a ledger.AlarmReview) string {
	step := ""
	if a.Step != "" {
		step = " (" + a.Step + ")"
	}
	return fmt.Sprintf("%s: %s%s; %s", a.TubName, a.Kind.Shown(), step, AnswerText(a))
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
	if sec < 60 {
		return fmt.Sprintf("%.0f s", sec)
	}
	return measure.Minutes(math.Round(sec / 60))
}

// Summary is the day at a glance, label and text each.
func (w Words) Summary(r ledger.Review) [][2]string {
	d := r.Day
	if d.Plan.FromCards() {
		return w.cards(r)
	}
	until := w.Hour(d.EndedAt)
	if w.Day(d.EndedAt) != w.Day(d.StartedAt) {
		until = w.Day(d.EndedAt) + ", " + until
	}
	when := fmt.Sprintf("%s, %s to %s (%s)", w.Day(d.StartedAt), w.Clock(d.StartedAt), until, measure.Minutes(measure.ShownMin(d.StartedAt, d.EndedAt)))
	switch {
	case d.EndedAt.IsZero():
		when = fmt.Sprintf("%s, from %s, still open", w.Day(d.StartedAt), w.Clock(d.StartedAt))
	case d.EndEarly:
		when += ", ended early"
	}
	racked, yield := w.weighed(r)
	alarms := "none"
	if n := len(r.Alarms); n > 0 {
		heard, done, missed := 0.0, 0.0, 0
		for _, a := range r.Alarms {
			heard, done = max(heard, a.HeardS), max(done, a.DoneS)
			if !a.Answered {
				missed++
			}
		}
		if alarms = fmt.Sprint(n); missed > 0 {
			alarms += fmt.Sprintf(", %d never heard", missed)
		}
		if heard > 0 {
			alarms += ", the slowest heard after " + secondsText(heard)
		}
		if done > 0 {
			alarms += ", the slowest done after " + secondsText(done)
		}
	}
	rows := [][2]string{
		{"day", when}, {"batches", fmt.Sprintf("%d of %d on the rack", racked, len(r.Batches))},
		{"method", d.Plan.Method.Name}, {"alarms", alarms},
	}
	if n := len(r.Clocks); n > 0 {
		at := make([]string, n)
		for i, a := range r.Clocks {
			at[i] = w.Clock(a.RaisedAt)
		}
		rows = append(rows, [2]string{"clock", "set at " + strings.Join(at, ", ")})
	}
	if n := len(d.Resumed); n > 0 {
		var gap float64
		for _, g := range d.Resumed {
			gap += g.Minutes()
		}
		rows = append(rows, [2]string{"unwatched", fmt.Sprintf("%s, %s in all", measure.Counted(n, "gap", "gaps"), measure.Minutes(gap))})
	}
	return append(rows, [2]string{"yield", yield})
}

// weighed is how many batches were racked, and what was weighed of them.
func (w Words) weighed(r ledger.Review) (racked int, yield string) {
	weighed, drying := 0, ""
	for _, b := range r.Batches {
		if !b.RackedAt.IsZero() {
			racked++
		}
		switch {
		case b.DryG > 0:
			weighed++
		case b.WetG > 0:
			drying = ", others not bagged yet"
		}
	}
	if r.YieldPart > 0 {
		return racked, fmt.Sprintf("%s: %s dry of %s raw, %s of %d weighed%s", YieldText(w.Units, r.RawG, r.DryG), w.Units.Mass(r.DryG), w.Units.Mass(r.RawG), measure.Counted(weighed, "batch", "batches"), racked, drying)
	}
	if drying != "" {
		return racked, "nothing bagged yet"
	}
	return racked, "nothing weighed yet"
}

// cards is the summary of a day that was entered later.
func (w Words) cards(r ledger.Review) [][2]string {
	plan := r.Day.Plan
	washed, yield := w.weighed(r)
	rows := [][2]string{
		{"day", w.Day(r.Day.StartedAt)},
		{"entered", fmt.Sprintf("later from a card, on %s: nothing is known of baths, times and alarms", w.Day(plan.EnteredAt))},
		{"batches", fmt.Sprintf("%d washed", washed)},
	}
	if plan.Method.Name != "" {
		rows = append(rows, [2]string{"method", plan.Method.Name})
	}
	return append(rows, [2]string{"yield", yield})
}

// Batch is the head of a batch of a day.
func (w Words) Batch(d session.Day, b ledger.BatchReview) string {
	u := w.Units
	parts := []string{b.Batch.What(fmt.Sprintf("%s, %s raw", b.Fleece.Title(), u.Mass(b.Batch.RawG)))}
	if c := b.Batch.Card; d.Plan.FromCards() {
		if tub := d.WashedIn(&b.Batch); tub != "" {
			parts = append(parts, "in "+tub)
		}
		if c.Washes > 1 {
			parts = append(parts, "washed "+session.Times(c.Washes))
		}
		if c.Mark != "" {
			parts = append(parts, "on its card "+c.Mark)
		}
	}
	switch {
	case b.DryG <= 0 && d.Plan.FromCards():
		parts = append(parts, "no clean weight on its card")
	case b.DryG > 0:
		parts = append(parts, fmt.Sprintf("%s dry, yield %s", u.Mass(b.DryG), YieldText(u, b.Batch.RawG, b.DryG)))
	case b.WetG > 0:
		parts = append(parts, u.Mass(b.WetG)+" on the rack, not bagged yet")
	case !b.RackedAt.IsZero():
		parts = append(parts, "on the rack "+w.Units.ClockOn(b.RackedAt.In(w.Zone), d.StartedAt.In(w.Zone))+", not weighed dry yet")
	case d.Fate[b.Batch.ID].SunkAt.IsZero() && !d.EndedAt.IsZero():
		parts = append(parts, "never went in: back in its fleece")
	case d.Fate[b.Batch.ID].PresoakedOnly() && !d.EndedAt.IsZero():
		parts = append(parts, "presoaked only: still to wash")
	default:
		parts = append(parts, "not on the rack")
	}
	return strings.Join(parts, "; ")
}

// Happened is what is to be said of a batch's bath besides, in the order of time.
func (w Words) Happened(list []ledger.BathReview, i int) []string {
	b := &list[i]
	done := w.happened(b)
	if held := b.HeldFor.Minutes(); held >= 1 {
		done = append(done, "on hold "+measure.Minutes(math.Round(held)))
	}
	if last, ok := lastWet(list, i); ok && !b.LeftOut() { // how long the batch lay between two baths, where that was long
		in := b.SunkAt // it hangs until it is in
		if in.IsZero() {
			in = b.FilledAt
		}
		if wait := in.Sub(last.LiftedAt); wait >= longBetween {
			again := ""
			if slices.ContainsFunc(list[:i], func(x ledger.BathReview) bool { return x.StepIndex == b.StepIndex && !x.LeftOut() }) {
				again = ", the second time" // the table has it twice
			}
			done = append(done, "the fleece hung "+measure.Minutes(math.Round(wait.Minutes()))+" before it"+again)
		}
	}
	return done
}

// happened is what was read and done in a bath, and when it was too cool, in the
// order of time.
func (w Words) happened(b *ledger.BathReview) []string {
	u := w.Units
	type moment struct {
		at   time.Time
		text string
	}
	var all []moment
	say := func(at time.Time, format string, args ...any) {
		all = append(all, moment{at, fmt.Sprintf(format, args...)})
	}
	for _, r := range b.Readings {
		say(r.At, "read %s%s", u.TempRead(r.TempC), doubtful(r.Doubtful))
	}
	for _, c := range b.Changes {
		switch {
		case c.AddL > 0 && c.BailL > 0:
			say(c.At, "bailed %s, topped up %s at %s", u.Volume(c.BailL), u.Volume(c.AddL), u.Temp(c.AddC))
		case c.AddL > 0:
			say(c.At, "topped up %s at %s", u.Volume(c.AddL), u.Temp(c.AddC))
		case c.AddJPerK == 0:
			say(c.At, "%s", shed.CoverWords(c.Cover))
		}
	}
	for i, r := range b.Rooms {
		if i > 0 {
			say(r.At, "room %s", u.Temp(r.RoomC))
		}
	}
	for _, x := range b.Below {
		until := "to the end"
		switch {
		case x.By != "":
			until = "until " + w.Clock(x.To) + ": " + x.By
		case !x.To.IsZero():
			until = "until " + w.Clock(x.To)
		}
		say(x.From, "below %s, where wax sets, %s", u.Temp(b.Step.ReleaseC), until)
	}
	sort.SliceStable(all, func(i, j int) bool { return all[i].at.Before(all[j].at) })
	out := make([]string, len(all))
	for i, m := range all {
		out[i] = w.Clock(m.at) + " " + m.text
	}
	return out
}

// doubtful is what is said of a reading that another contradicts.
func doubtful(is bool) string {
	if is {
		return " (doubtful: the next says otherwise)"
	}
	return ""
}

// longBetween is from when the wait between two baths is worth a word.
const longBetween = 15 * time.Minute

// What is not known is "-", an estimate is whole degrees, a reading has tenths.

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
