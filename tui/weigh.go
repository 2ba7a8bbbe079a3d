package tui

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"time"
	"unicode"

	tea "github.com/charmbracelet/bubbletea"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/coach"
	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
)

// weighing is one question for a weight: of which batch of which day, and what
// for.
type weighing struct {
	e     *env
	l     *live // the day
	kind  weighKind
	batch string
	// done is what comes after it was written down.
	done func() tea.Cmd

	massG   float64
	rh      float64
	scale   shed.Scale
	refused string // the figure refused as unlikely: the same once more insists
	askedAt time.Time
}

type weighKind int

const (
	weighDry weighKind = iota
	weighWet
	weighRaw
	weighSoaked // after the presoak, dried again
)

// humidity is that of the room, as it was typed last with a dry weight.
type humidity struct {
	part float64 // 0 to 1
	at   time.Time
}

// sameRoom is how long the humidity typed last is offered again.
const sameRoom = time.Hour

func newWeighing(e *env, l *live, kind weighKind, batch string, done func() tea.Cmd) *weighing {
	w := &weighing{e: e, l: l, kind: kind, batch: batch, done: done, massG: math.NaN(), scale: e.kit.Scale()}
	if ago := e.now.Sub(e.room.at); ago >= 0 && ago < sameRoom {
		w.rh = e.room.part
	}
	return w
}

func (w *weighing) command(sure bool) session.Command {
	switch w.kind {
	case weighWet:
		return session.WeighWet{Batch: w.batch, MassG: w.massG, Scale: w.scale, Sure: sure, AskedAt: w.askedAt}
	case weighRaw:
		return session.WeighRaw{Batch: w.batch, RawG: w.massG, Scale: w.scale, Sure: sure}
	case weighSoaked:
		return session.WeighSoaked{Batch: w.batch, MassG: w.massG, Scale: w.scale, Sure: sure}
	case weighDry:
	}
	return session.Weigh{Batch: w.batch, DryG: w.massG, Scale: w.scale, RH: w.rh, Sure: sure}
}

// form asks for the weight, with choices of the batch if there are any.
func (w *weighing) form(title string, choices []choice[string]) *formScreen {
	e, u := w.e, w.e.kit.Units
	label, why := "Dry weight", "on the same scale as the raw weight, when it feels dry and weighs the same a day later"
	switch w.kind {
	case weighWet:
		label, why = "Weight now", "spun, or as it lies on the rack; one soon after spinning says how much water it held"
	case weighRaw:
		label, why = "Raw weight", "what the batch weighed before its first bath"
	case weighSoaked:
		label, why = "Weight after the presoak", "only if it was dried again before the wash: it tells soil and suint from the rest of the loss"
	case weighDry:
	}
	p := &page{title: label}
	if len(choices) > 0 {
		p.fields = append(p.fields, choiceField("Batch", "as its tag says", &w.batch, false, choices...))
	}
	// What can be insisted on is asked about at the end, not at the field.
	check := func(_ measure.System, g float64) error {
		trial := *w
		trial.massG, trial.rh, trial.scale = g, 0, shed.Scale{}
		_, err := session.Decide(w.l.day, trial.command(true), e.now)
		return err
	}
	p.fields = append(p.fields, numberField(u, weight, label, why, &w.massG, check))
	if w.kind == weighDry {
		p.fields = append(p.fields, humidityField(e, &w.rh))
	}
	p.fields = append(p.fields, scaleField(e, &w.scale))
	return newForm(e, title, []*page{p}, w.accept)
}

// accept writes the weight down, or says why not and loses nothing.
func (w *weighing) accept() (tea.Cmd, error) {
	e := w.e
	figure := fmt.Sprint(w.batch, w.massG, w.scale)
	if err := e.doOn(w.l, w.command(w.refused == figure)); err != nil {
		w.refused = ""
		if unlikely(err) {
			w.refused, w.askedAt = figure, e.now
		}
		return nil, err
	}
	if w.kind == weighDry {
		e.room = humidity{w.rh, e.now}
	}
	w.tell()
	if kit := e.kit.Used(w.scale); len(e.kit.Scales) == 0 || e.kit.Scales[0] != w.scale {
		if err := e.keep(func() error { return e.Ledger.SaveKit(kit) }); err != nil {
			e.refuse(fmt.Errorf("the weight is written down, but the scale could not be remembered: %w", err))
		} else {
			e.kit = kit
		}
	}
	return w.done(), nil
}

// tell says what the weight comes to.
func (w *weighing) tell() {
	e, u, d := w.e, w.e.kit.Units, w.l.day
	b, _ := d.Batch(w.batch)
	switch w.kind {
	case weighRaw:
		e.tell("%s: %s raw", w.batch, u.Mass(w.massG))
	case weighSoaked:
		e.tell("%s: %s after the presoak, which took %s of %s", w.batch, u.Mass(w.massG), u.Mass(b.RawG-w.massG), u.Mass(b.RawG))
	case weighWet:
		x, err := d.Drying(w.batch)
		if err != nil {
			e.refuse(err)
			return
		}
		e.tell("%s: %s now; %s", w.batch, u.Mass(w.massG), e.forecastText(x))
	case weighDry:
		text := fmt.Sprintf("%s: %s dry of %s raw, yield %s", w.batch, u.Mass(w.massG), u.Mass(b.RawG), yieldText(b.RawG, w.massG))
		y, ok, err := ledger.YieldOf([]ledger.BatchRow{ledger.RowOf(d, w.batch)}, d.FleeceOf(w.batch).Type, u)
		if err == nil && ok && y.TwoScales {
			text += "; " + y.Remarks[0]
		}
		e.tell("%s. %s", text, e.tagHow(fmt.Sprintf("--day %d", w.l.id)))
	}
}

// forecastText says where a drying batch is going.
func (e *env) forecastText(x session.DryingBatch) string {
	u, r, again := e.kit.Units, x.Forecast.RestingG, "weigh again "
	text := fmt.Sprintf("it will rest at about %s (%s to %s)", u.Mass(r.Likely), u.Mass(r.Low), u.Mass(r.High))
	if len(x.Wet) == 0 {
		text, again = "not weighed yet; "+text, "weigh it "
	}
	switch {
	case x.Overdue(e.now) && len(x.Wet) == 0:
		return text + ". It should be dry by now: weigh it"
	case x.Dry:
		return "dry by the rule; " + text
	case x.Overdue(e.now):
		return text + ". It should be dry by now: if it weighs the same in a few hours, it is"
	case x.Forecast.WetAgain:
		text = "it weighs far more than before: it got wet, or this is another batch. If it got wet, " + text
	}
	when := fmt.Sprintf("dry %s (%s)", e.dryAtText(x), e.dryBetween(x))
	if !x.DryAt.After(e.now) {
		when = "dry at the latest " + e.aboutHour(x.DryLatest)
	}
	return text + ", " + when + "; " + again + e.weighText(x.WeighAt)
}

// dryAtText is when a batch will be dry; what is past is now.
func (e *env) dryAtText(x session.DryingBatch) string {
	if !x.DryAt.After(e.now) {
		return "by now"
	}
	return e.aboutHour(x.DryAt)
}

// dryBetween is from when to when it will be dry in nine cases of ten. Where one
// end has its day, so has the other.
func (e *env) dryBetween(x session.DryingBatch) string {
	from, to := e.aboutHour(x.DryEarliest), e.aboutHour(x.DryLatest)
	switch {
	case !x.DryEarliest.After(e.now):
		from = "now"
	case len(from) == len("15:04") && len(to) > len(from):
		from = "today " + from
	}
	return from + " to " + to
}

// humidityField asks for the room's humidity; 0 is not known.
func humidityField(e *env, rh *float64) *field {
	return numberField(e.kit.Units, percentage.orNone(), "Humidity of the room", "brings the yield to standard regain; none if not known", rh, func(_ measure.System, v float64) error {
		if v != 0 && !(v >= 0.01 && v <= 1) {
			return fmt.Errorf("a room's humidity is between 1 and 100 %%, such as 55 %%; none if it is not known")
		}
		return nil
	})
}

// scaleField asks for the scale by its name and step, such as "kitchen 1 g".
func scaleField(e *env, s *shed.Scale) *field {
	u, was := e.kit.Units, *s
	return checkedField("Scale and its step", "the same one for raw and dry; such as kitchen "+u.Mass(shed.UsualScale(u).StepG), scaleText(u, *s), func(text string) error {
		if text == scaleText(u, was) && was != (shed.Scale{}) { // not touched: its step is not rounded in other units
			*s = was
			return nil
		}
		read, err := readScale(e.kit, text)
		if err == nil {
			*s = read
		}
		return err
	})
}

func scaleText(u measure.System, s shed.Scale) string {
	step := s.StepG
	if step == 0 {
		step = shed.UsualScale(u).StepG
	}
	if u == measure.US {
		step /= measure.GPerOz
	}
	return strings.TrimSpace(s.Name + " " + plainNumber(thousandths(step)) + " " + u.MassUnit())
}

func thousandths(v float64) float64 {
	return math.Round(v*1000) / 1000
}

// bareStepG is the coarsest step taken without a unit or a name, of which a
// figure meant for another field has neither.
func bareStepG(u measure.System) float64 {
	if u == measure.US {
		return measure.GPerOz / 2
	}
	return 10
}

// readScale reads what scaleText writes; the step of a scale used before may
// be left out.
func readScale(k shed.Kit, text string) (shed.Scale, error) {
	words := strings.Fields(measure.CleanText(text, 60))
	if !strings.ContainsFunc(text, unicode.IsLetter) {
		if g, err := k.Units.ParseMassG(text); err == nil && g > bareStepG(k.Units)*(1+1e-9) {
			return shed.Scale{}, fmt.Errorf("\"%s\" alone reads as a step of %s, coarser than a scale for wool: give what its last figure jumps by, such as %s, and a coarse step with its unit",
				strings.Join(words, " "), k.Units.Mass(g), scaleText(k.Units, shed.UsualScale(k.Units)))
		}
	}
	for _, n := range []int{2, 1} { // "1 g", "1g"
		if len(words) < n {
			continue
		}
		at := len(words) - n
		stepG, err := k.Units.ParseMassG(strings.Join(words[at:], " "))
		if err != nil {
			continue
		}
		s := shed.Scale{Name: strings.Join(words[:at], " "), StepG: thousandths(stepG)}
		if !(s.StepG >= 0.01 && s.StepG <= 100) {
			return s, fmt.Errorf("a scale's step of %s cannot be: give what its last figure jumps by, such as %s", k.Units.Mass(stepG), scaleText(k.Units, shed.UsualScale(k.Units)))
		}
		s.Name = k.ScaleName(s.Name)
		return s, nil
	}
	name := k.ScaleName(strings.Join(words, " "))
	for _, s := range k.Scales {
		if strings.EqualFold(s.Name, name) && name != "" {
			return s, nil
		}
	}
	return shed.Scale{}, fmt.Errorf("the scale's step is missing: give what its last figure jumps by, such as %s", scaleText(k.Units, shed.UsualScale(k.Units)))
}

// weighNext asks for the dry weight of a batch; those not weighed yet come
// first, the others can be corrected.
func (s *reviewScreen) weighNext(kind weighKind) tea.Cmd {
	if s.day == nil {
		return nil
	}
	form, err := s.weighForm(kind)
	if err != nil {
		s.e.refuse(err)
		return nil
	}
	return push(form)
}

func (s *reviewScreen) weighForm(kind weighKind) (screen, error) {
	d, u := s.day.day, s.e.kit.Units
	open, done := weighable(d, kind)
	var choices []choice[string]
	for i, b := range append(open, done...) {
		words := fmt.Sprintf("%s  %s, %s raw", b.ID, d.FleeceOf(b.ID).Title(), u.Mass(b.RawG))
		if i >= len(open) {
			words += fmt.Sprintf(" (weighed: %s)", u.Mass(d.Fate[b.ID].DryG))
		}
		choices = append(choices, choice[string]{b.ID, words})
	}
	if len(choices) == 0 && kind == weighSoaked {
		return nil, errors.New("no batch of this day has come out of a presoak: this weight is for one that was presoaked and dried again before its wash")
	}
	if len(choices) == 0 {
		return nil, errors.New("no batch of this day is on the rack: only racked batches are weighed")
	}
	var w *weighing
	w = newWeighing(s.e, s.day, kind, choices[0].value, func() tea.Cmd {
		s.refill()
		if kind == weighDry && (len(open) > 1 || len(open) == 1 && open[0].ID != w.batch) { // and the next
			if next, err := s.weighForm(kind); err == nil {
				return replace(next)
			}
		}
		return afterWeighing(w)
	})
	return w.form("Weigh", choices), nil
}

// weighable are the batches of a day that can be weighed so: those not weighed dry yet,
// and those that were.
func weighable(d session.Day, kind weighKind) (open, done []shed.Batch) {
	for _, b := range d.Plan.Batches {
		fate := d.Fate[b.ID]
		switch {
		case kind == weighSoaked && !d.Presoaked(b.ID):
		case fate.RackedAt.IsZero() && kind != weighRaw && kind != weighSoaked:
		case fate.DryG <= 0:
			open = append(open, b)
		case kind != weighWet:
			done = append(done, b)
		}
	}
	return open, done
}

// afterWeighing goes back; a batch that is dry by the rule is asked about first.
func afterWeighing(w *weighing) tea.Cmd {
	if w.kind != weighWet {
		return pop()
	}
	if x, err := w.l.day.Drying(w.batch); err != nil || !x.Dry || x.Since.IsZero() {
		return pop()
	}
	return replace(newDryQuestion(w))
}

// newDryQuestion asks whether the last weight is the dry weight.
func newDryQuestion(w *weighing) screen {
	e, yes := w.e, true
	dry := newWeighing(e, w.l, weighDry, w.batch, pop)
	dry.massG, dry.scale = w.massG, w.scale
	p := &page{fields: []*field{
		yesNo(fmt.Sprintf("Take %s as its dry weight?", e.kit.Units.Mass(w.massG)), "yes: it goes into its bag; no: it goes on drying", &yes),
		humidityField(e, &dry.rh),
	}}
	return newForm(e, w.batch+" is dry by the rule", []*page{p}, func() (tea.Cmd, error) {
		if !yes {
			e.tell("%s goes on drying", w.batch)
			return pop(), nil
		}
		return dry.accept()
	})
}

// undoWeight takes the day's last deed back, at the second press, if it was a
// weight: anything else would open a day again that is over.
func (f *frame) undoWeight(l *live) bool {
	e, d := f.e, l.day
	if !d.UndoesWeight() {
		e.refuse(fmt.Errorf("the last thing done on this day is no weight: only weights are taken back here"))
		return false
	}
	what := coach.CanUndo(d)
	if !f.again("undo", "take back %s? u again does it", what) {
		return false
	}
	if err := e.doOn(l, session.Undo{}); err != nil {
		e.refuse(err)
		return false
	}
	e.tell("taken back: %s", what)
	return true
}
