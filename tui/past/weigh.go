package past

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"sort"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/coach"
	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/lookback"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/session/yield"
	"fleece.example/tubside/tui/base"
	"fleece.example/tubside/tui/draw"
	"fleece.example/tubside/tui/form"
	"fleece.example/tubside/tui/gear"
)

// weighing is one question for a weight: of which batch of which day, and what
// for.
type weighing struct {
	e     *base.Env
	l     *base.Live // the day
	kind  weighKind
	batch string
	// done is what comes after it was written down; then is what else to say of that, nil for
	// nothing; bags is the key by which a batch gets into its bag.
	done func() tea.Cmd
	then func() string
	bags string
	tags string // where its tag is printed

	massG   float64
	rh      float64
	scale   shed.Scale
	slip    bool   // the weight before was mistyped
	dry     bool   // the person says that it is dry
	refused string // the figure refused as unlikely: the same once more insists
	askedAt time.Time

	of    *form.FormScreen
	isDry *form.Page
	was   session.DryingBatch // before this weight, of the batch wasOf
	wasOf string
	odd   error
	with  session.DryingBatch // with it
}

type weighKind int

const (
	weighDry weighKind = iota
	weighWet
	weighRaw
	weighSoaked // after the presoak, dried again
)

// sameRoom is how long the humidity typed last is offered again.
const sameRoom = time.Hour

func newWeighing(e *base.Env, l *base.Live, kind weighKind, batch string, done func() tea.Cmd) *weighing {
	w := &weighing{e: e, l: l, kind: kind, batch: batch, done: done, massG: math.NaN(), scale: e.Kit.Scale()}
	if ago := e.Now.Sub(e.Room.At); ago >= 0 && ago < sameRoom {
		w.rh = e.Room.Part
	}
	return w
}

func (w *weighing) command(sure bool) session.Command {
	switch w.kind {
	case weighWet:
		return session.WeighWet{Batch: w.batch, MassG: w.massG, Scale: w.scale, InPlace: w.instead() > 0, Sure: sure, AskedAt: w.askedAt}
	case weighRaw:
		return session.WeighRaw{Batch: w.batch, RawG: w.massG, Scale: w.scale, Sure: sure}
	case weighSoaked:
		return session.WeighSoaked{Batch: w.batch, MassG: w.massG, Scale: w.scale, Sure: sure}
	case weighDry:
	}
	return session.Weigh{Batch: w.batch, DryG: w.massG, Scale: w.scale, RH: w.rh, RoomSure: true, Dry: w.dry, Sure: sure, AskedAt: w.askedAt} // its field asks
}

// stays is the batch with this weight where that does not show it dry: unless the person says
// so, it stays on the rack.
func (w *weighing) stays() (x session.DryingBatch, stays bool) {
	if w.kind != weighDry {
		return x, false
	}
	trial := *w
	trial.dry = false
	events, err := session.Decide(w.l.Day, trial.command(true), w.e.Now)
	if err != nil {
		return x, false
	}
	e, stays := events[0].(session.BatchWeighedWet)
	if stays { // without a forecast it stays all the same
		x, _ = session.Apply(w.l.Day, session.Recorded{At: w.e.Now, Event: e}).Drying(w.batch)
	}
	return x, stays
}

// before is the last weight of the batch, if it speaks against this one: it has gained more
// since than damp air gives.
func (w *weighing) before() (last shed.WetWeight, gained bool) {
	wet := w.l.Day.Fate[w.batch].Wet
	if w.kind != weighWet || len(wet) == 0 {
		return last, false
	}
	last = wet[len(wet)-1]
	return last, w.massG > yield.Dampened(last.MassG, last.Scale.ReadToG())
}

// instead is the mistyped weight that this one takes the place of, in grams, or 0.
func (w *weighing) instead() float64 {
	if last, gained := w.before(); gained && w.slip {
		return last.MassG
	}
	return 0
}

// form asks for the weight, with choices of the batch if there are any.
func (w *weighing) form(title string, choices []form.Choice[string]) *form.FormScreen {
	e, u := w.e, w.e.Kit.Units
	label, why := "Dry weight", "on the same scale as the raw weight, once it is dry by the rule"
	switch w.kind {
	case weighWet:
		label, why = "Weight now", "spin-dried, or as it lies on the rack; one soon after spinning says how much water it held"
	case weighRaw:
		label, why = "Raw weight", "what the batch weighed before its first bath"
	case weighSoaked:
		label, why = "Weight after the presoak", "only if it was dried again before the wash: it tells soil and suint from the rest of the loss"
	case weighDry:
	}
	p := &form.Page{Title: label, Of: func() string { return w.batch }}
	if len(choices) > 0 {
		p.Fields = append(p.Fields, form.ChoiceField("Batch", "as its tag says", &w.batch, false, choices...))
	}
	// What can be insisted on is asked about at the end, not at the field.
	check := func(_ measure.System, g float64) error {
		trial := *w
		trial.massG, trial.rh, trial.scale, trial.dry = g, 0, shed.Scale{}, true
		_, err := session.Decide(w.l.Day, trial.command(true), e.Now)
		return err
	}
	p.Fields = append(p.Fields, form.NumberField(u, form.Weight, label, why, &w.massG, check))
	if w.kind == weighDry {
		p.Fields = append(p.Fields, w.humidityField())
	}
	p.Fields = append(p.Fields, scaleField(e, &w.scale))
	slip := &form.Page{Title: "The weight before", Asks: true, Fields: []*form.Field{form.ChoiceField("It was", "", &w.slip, false,
		form.Choice[bool]{Value: false, Words: "right: it got wet since"}, form.Choice[bool]{Value: true, Words: "mistyped: use this one instead"})}}
	slip.Hide = func() bool {
		last, gained := w.before()
		slip.About = fmt.Sprintf("%s: %s on %s, %s now.", w.batch, u.Mass(last.MassG), u.Moment(last.At.In(e.Zone()), "Mon 15:04"), u.Mass(w.massG))
		return !gained
	}
	dry := &form.Page{Title: "Is it dry?", Asks: true, Fields: []*form.Field{form.ChoiceField("It is", "", &w.dry, false,
		form.Choice[bool]{Value: false, Words: "not sure: leave it on the rack, weigh it again"}, form.Choice[bool]{Value: true, Words: "dry all through: bag it"})}}
	stays, of := false, "" // a forecast takes some milliseconds
	dry.Hide = func() bool {
		if now := fmt.Sprint(w.batch, w.massG, w.scale); now != of {
			w.with, stays = w.stays()
			of, w.dry, dry.About = now, false, w.whyStays(w.with) // what was said of another weight is not of this one
		}
		return !stays
	}
	w.of, w.isDry = form.NewForm(e, title, []*form.Page{p, slip, dry}, w.accept), dry
	w.of.Below = w.below
	return w.of
}

// whyStays says why a weight does not show a batch dry, and what would.
func (w *weighing) whyStays(x session.DryingBatch) string {
	e, u, why := w.e, w.e.Kit.Units, notMet(w.e, x)
	if lost := w.lost(x); lost != "" {
		why = lost[2:]
	}
	text := fmt.Sprintf("%s: %s, %s.", w.batch, u.Mass(w.massG), why)
	if r := x.Forecast.RestingG; r.Likely > 0 {
		text += fmt.Sprintf(" Should settle at about %s. Weigh again %s.", massRange(u, r), weighText(e, x.WeighAt))
	}
	return text + w.coarse(x, " ", ".")
}

// lost says what a batch has lost since the weight before, and where that was to be a dry one
// or air alone does not take so much, that it was still drying; "" if nothing.
func (w *weighing) lost(x session.DryingBatch) string {
	n := len(x.Wet)
	if n < 2 {
		return ""
	}
	e, u, was, now := w.e, w.e.Kit.Units, x.Wet[n-2], x.Wet[n-1]
	show := u.MassApart(was.MassG, now.MassG)
	switch {
	case was.MassG <= yield.SameG(now.MassG, now.Scale.ReadToG()):
		return ""
	case w.kind == weighDry && was.MassG > yield.InDampAirG(now.MassG, now.Scale.ReadToG()):
		return fmt.Sprintf(", down %s since %s: it was still drying", show(was.MassG-now.MassG), hourText(e, was.At))
	}
	return fmt.Sprintf(", down %s since %s", show(was.MassG-now.MassG), hourText(e, was.At))
}

// accept writes the weight down, or says why not and loses nothing.
func (w *weighing) accept() (tea.Cmd, error) {
	e := w.e
	figure, instead := fmt.Sprint(w.batch, w.massG, w.scale, w.slip, w.dry), w.instead()
	if err := e.DoOn(w.l, w.command(w.refused == figure)); err != nil {
		w.refused = ""
		if base.Unlikely(err) {
			w.refused, w.askedAt = figure, e.Now
		}
		return nil, err
	}
	if w.kind == weighDry {
		e.Room = base.Humidity{Part: w.rh, At: e.Now}
	}
	w.tell(instead)
	if kit := e.Kit.Used(w.scale); len(e.Kit.Scales) == 0 || e.Kit.Scales[0] != w.scale {
		if err := e.Keep(func() error { return e.Ledger.SaveKit(kit) }); err != nil {
			e.Refuse(fmt.Errorf("the weight is saved, but the scale wasn't remembered: %w", err))
		} else {
			e.Kit = kit
		}
	}
	return w.done(), nil
}

// tell says what the weight comes to, and in place of which it stands, 0: of none.
func (w *weighing) tell(insteadG float64) {
	e, u, d := w.e, w.e.Kit.Units, w.l.Day
	b, _ := d.Batch(w.batch)
	switch w.kind {
	case weighRaw:
		e.Tell("%s: %s raw", w.batch, u.Mass(w.massG))
	case weighSoaked:
		e.Tell("%s: %s after the presoak, which took %s of %s", w.batch, u.Mass(w.massG), u.Mass(b.RawG-w.massG), u.Mass(b.RawG))
	case weighWet:
		w.tellDrying(insteadG)
	case weighDry:
		if !w.bagged() {
			w.tellDrying(0)
			return
		}
		text := fmt.Sprintf("%s: %s dry of %s raw, yield %s", w.batch, u.Mass(w.massG), u.Mass(b.RawG), lookback.YieldText(u, b.RawG, w.massG))
		y, ok, err := ledger.YieldOf([]ledger.BatchRow{ledger.RowOf(d, w.batch)}, d.FleeceOf(w.batch).Type, u)
		if err == nil && ok && y.TwoScales {
			text += "; " + y.Remarks[0]
		}
		e.Tell("%s. %s", text, e.TagHow(form.KeyAlong.Help().Key, w.tags))
	}
}

// bagged says that its batch is in its bag.
func (w *weighing) bagged() bool { return w.l.Day.Fate[w.batch].DryG > 0 }

// tellDrying says what the weight of a batch comes to that is still on the rack.
func (w *weighing) tellDrying(insteadG float64) {
	e, u := w.e, w.e.Kit.Units
	x, err := w.l.Day.Drying(w.batch)
	if err != nil {
		e.Refuse(err)
		return
	}
	then, in, why := "", w.lost(x), notMet(e, x)
	if insteadG > 0 {
		in = ", in place of " + u.Mass(insteadG)
	}
	if w.kind == weighDry {
		in, why = in+". Left on the rack: "+why+" (dry all through? say so: "+w.bags+")", ""
	}
	if x.Dry && !x.Since.IsZero() {
		then = ": " + w.bags + " bags it"
	}
	if then += w.coarse(x, ". ", ""); w.then != nil {
		then += w.then()
	}
	e.Tell("%s: %s now%s; %s%s", w.batch, u.Mass(w.massG), in, forecastText(e, x, why), then)
}

// forecastText says where a drying batch is going, and why it has to be weighed again where that is not said beside it.
func forecastText(e *base.Env, x session.DryingBatch, why string) string {
	u, r, again := e.Kit.Units, x.Forecast.RestingG, "weigh again "
	text := fmt.Sprintf("it should settle at about %s", massRange(u, r))
	switch {
	case len(x.Wet) == 0:
		text, again, why = "not weighed yet; "+text, "weigh it ", ""
	case why != "":
		why = " (" + why + ")"
	}
	switch {
	case x.Overdue(e.Now) && len(x.Wet) == 0:
		return text + ". " + passedText + ": weigh it to be sure"
	case x.Dry:
		return "dry by the rule"
	case x.Forecast.OtherTime:
		return text + ". It may well be dry: weigh it at another time of day, " + weighText(e, x.WeighAt) + why
	case x.Overdue(e.Now):
		return text + ". " + passedText + ": weigh again " + weighText(e, x.WeighAt) + why
	case x.Forecast.WetAgain:
		text = "it weighs far more than before: it got wet, or this is another batch. If it got wet, " + text
	}
	when := fmt.Sprintf("dry %s (%s)", dryAtText(e, x), dryBetween(e, x))
	if !x.DryAt.After(e.Now) {
		when = "nine in ten are dry by " + aboutHour(e, x.DryLatest)
	}
	if len(x.Moved) > 0 {
		when += ", going by " + draw.Listed(x.Moved) + " too"
	}
	return text + ", " + when + "; " + again + weighText(e, x.WeighAt) + why
}

// anyTime stands for a time that was forecast and is over: the weights alone say dry.
const anyTime, passedText = "any time now", "The time it should take has passed"

// dryAtText is when a batch will be dry.
func dryAtText(e *base.Env, x session.DryingBatch) string {
	if !x.DryAt.After(e.Now) {
		return anyTime
	}
	return aboutHour(e, x.DryAt)
}

// dryBetween is from when to when it will be dry in nine cases of ten. Where one
// end has its day, so has the other.
func dryBetween(e *base.Env, x session.DryingBatch) string {
	from, to := aboutHour(e, x.DryEarliest), aboutHour(e, x.DryLatest)
	switch {
	case !x.DryEarliest.After(e.Now):
		from = "now"
	case from == e.ClockText(session.Quarter(x.DryEarliest, e.Now)) && to != e.ClockText(session.Quarter(x.DryLatest, e.Now)):
		from = "today " + from
	}
	return from + " to " + to
}

// humidityField asks for the room's humidity; 0 is not known. A figure that may be a
// weight is asked about.
func (w *weighing) humidityField() *form.Field {
	offered := w.rh
	return form.NumberField(w.e.Kit.Units, gear.Percentage.OrNone(), "Humidity of the room", "brings the yield to standard regain; none if not known", &w.rh, func(u measure.System, v float64) error {
		switch {
		case v != 0 && !(v >= 0.01 && v <= 1):
			return fmt.Errorf("a room's humidity is between 1 and 100 %%, such as 55 %%; none if it is not known")
		case v == 0 || v == offered:
			return nil
		}
		return shed.Together(session.OddRoom(u, v), oddHumidity(u, v, offered, w.massG))
	})
}

// What a room's humidity is asked about at (our judgement, no source): wool does not dry
// in air so damp, and a room's air does not change so much within sameRoom.
const (
	dampRoom  = 0.85
	roomShift = 0.15
)

// oddHumidity asks about a humidity, a part, that may be a weight typed in the wrong
// field: was is that of a batch weighed just before, 0 if none.
func oddHumidity(u measure.System, rh, was, massG float64) error {
	figure := massG
	if u.Ounces() {
		figure /= measure.GPerOz
	}
	const near = 0.15
	switch {
	case was > 0 && math.Abs(rh-was) > roomShift:
		return shed.Unlikelyf("the last batch had %s, this one %s: is that the humidity, not a weight?", u.Percent(was, 0), u.Percent(rh, 0))
	case rh >= dampRoom:
		return shed.Unlikelyf("%s is air too damp to dry wool in: is that the humidity, not a weight?", u.Percent(rh, 0))
	case was == 0 && math.Abs(100*rh-figure) < near*figure:
		return shed.Unlikelyf("the batch weighs %s: is %s the humidity, not a weight?", u.Mass(massG), u.Percent(rh, 0))
	}
	return nil
}

// scaleField asks for the scale by its name and step, such as "kitchen 1 g".
func scaleField(e *base.Env, s *shed.Scale) *form.Field {
	u, was := e.Kit.Units, *s
	return form.CheckedField("Scale and its step", "the same one for raw and dry; "+form.ScaleSuch(u), form.ScaleText(u, *s), func(text string) error {
		if text == form.ScaleText(u, was) && was != (shed.Scale{}) { // not touched: its step is not rounded in other units
			*s = was
			return nil
		}
		read, err := form.ReadScale(e.Kit, text)
		if err == nil {
			*s = read
		}
		return err
	})
}

// weighNext asks for the dry weight of a batch; those not weighed yet come
// first, the others can be corrected.
func (s *ReviewScreen) weighNext(kind weighKind) tea.Cmd {
	if s.day == nil {
		return nil
	}
	form, err := s.weighForm(kind)
	if err != nil {
		s.E.Refuse(err)
		return nil
	}
	return base.Push(form)
}

func (s *ReviewScreen) weighForm(kind weighKind) (base.Screen, error) {
	d, u := s.day.Day, s.E.Kit.Units
	open, done := weighable(d, kind)
	weighedNow := func(b shed.Batch) bool { // it stays on the rack, and the others come first
		wet := d.Fate[b.ID].Wet
		return len(wet) > 0 && s.E.Now.Sub(wet[len(wet)-1].At) < sameRoom
	}
	sort.SliceStable(open, func(i, j int) bool { return !weighedNow(open[i]) && weighedNow(open[j]) })
	var choices []form.Choice[string]
	for i, b := range append(open, done...) {
		words := fmt.Sprintf("%s  %s, %s raw", b.ID, d.FleeceOf(b.ID).Title(), u.Mass(b.RawG))
		if i >= len(open) {
			words += fmt.Sprintf(" (weighed: %s)", u.Mass(d.Fate[b.ID].DryG))
		} else if n := len(d.Fate[b.ID].Wet); n > 0 {
			words += fmt.Sprintf(" (drying: %s)", u.Mass(d.Fate[b.ID].Wet[n-1].MassG))
		}
		choices = append(choices, form.Choice[string]{Value: b.ID, Words: words})
	}
	if len(choices) == 0 && kind == weighSoaked {
		return nil, errors.New("no batch of this day has come out of a presoak: this weight is for one that was presoaked and dried again before its wash")
	}
	if len(choices) == 0 {
		return nil, errors.New("no batch of this day is on the rack yet: weigh each there")
	}
	var w *weighing
	w = newWeighing(s.E, s.day, kind, choices[0].Value, func() tea.Cmd {
		s.Refill()
		if kind == weighDry && slices.ContainsFunc(open, func(b shed.Batch) bool { return b.ID != w.batch && !weighedNow(b) }) { // and the next
			if next, err := s.weighForm(kind); err == nil {
				return base.Replace(next)
			}
		}
		return afterWeighing(w)
	})
	w.bags, w.tags = "w", " in the look-back"
	return w.form("Weigh", choices), nil
}

// weighable are the batches of a day that can be weighed so: those not weighed dry yet,
// and those that were.
func weighable(d session.Day, kind weighKind) (open, done []shed.Batch) {
	for _, b := range d.Plan.Batches {
		fate := d.Fate[b.ID]
		switch {
		case kind == weighSoaked && !d.Presoaked(b.ID), kind == weighWet && d.Plan.FromCards():
		case fate.RackedAt.IsZero() && kind != weighRaw && kind != weighSoaked:
		case ledger.StateOf(d, b.ID) == ledger.Gone && kind != weighRaw:
		case fate.DryG <= 0:
			open = append(open, b)
		case kind != weighWet:
			done = append(done, b)
		}
	}
	return open, done
}

// afterWeighing goes back; how a batch came out that has gone into its bag is asked first.
func afterWeighing(w *weighing) tea.Cmd {
	if w.kind == weighDry && w.bagged() {
		return afterBagging(w.e, w.l, w.batch)
	}
	return base.Pop()
}

// undoWeight takes the day's last deed back, at the second press, if it was a
// weight: anything else would open a day again that is over.
func undoWeight(f *base.Frame, l *base.Live) bool {
	e, d := f.E, l.Day
	if !d.UndoesWeight() {
		e.Refuse(fmt.Errorf("the last action on this day isn't a weight: only weights can be undone here"))
		return false
	}
	what := coach.CanUndo(d)
	if !f.Again("undo", "undo %s? Press u again", what) {
		return false
	}
	if err := e.DoOn(l, session.Undo{}); err != nil {
		e.Refuse(err)
		return false
	}
	e.Tell("undone: %s", what)
	return true
}
