package form

import (
	"cmp"
	"fmt"
	"strconv"
	"strings"
	"time"
	"unicode/utf8"

	"github.com/charmbracelet/bubbles/textinput"

	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/tui/base"
	"fleece.example/tubside/tui/draw"
)

func pageOf(at, n int) string { return fmt.Sprintf("   (page %d of %d)", at, n) }

// Quantity is a kind of figure: how it is shown in a field, read and named.
type Quantity struct {
	Unit  func(measure.System) string
	Show  func(measure.System, float64) string
	Parse func(measure.System, string) (float64, error)
	Round func(measure.System, float64) float64 // what nobody has measured; nil: as it is
}

// The kinds of figure that are asked for: °C, L, g, min, W, K inside.
var (
	Temperature = Quantity{measure.System.TempUnit, measure.System.TempField, measure.System.ParseTempC, measure.System.RoundTempC}
	Volume      = Quantity{measure.System.VolumeUnit, measure.System.VolumeField, measure.System.ParseVolumeL, measure.System.RoundVolumeL}
	Weight      = Quantity{measure.System.MassUnit, measure.System.MassField, measure.System.ParseMassG, measure.System.RoundMassG}
	Duration    = Quantity{func(measure.System) string { return "min" },
		func(_ measure.System, v float64) string { return PlainNumber(draw.RoundTo(v, 0.01)) },
		measure.System.ParseMinutes, nil}
	Power = Quantity{func(measure.System) string { return "W" },
		func(_ measure.System, v float64) string { return measure.PowerField(v) },
		measure.System.ParsePowerW, nil}
	TempStep = Quantity{measure.System.TempUnit, showDelta, measure.System.ParseTempDeltaC, nil}
	// Rate is mL for each 100 g; with spoons it is asked for the 4 oz of a batch.
	Rate = Quantity{func(u measure.System) string { return u.DoseUnit() + " " + rateWeight(u) },
		func(u measure.System, v float64) string { return u.DoseField(v * shed.DosedG(u) / 100) },
		func(u measure.System, s string) (float64, error) {
			v, err := u.ParseDoseML(s)
			return v * 100 / shed.DosedG(u), err
		}, func(u measure.System, v float64) float64 {
			if !u.USVolume() {
				return v
			}
			return draw.RoundTo(v*shed.DosedG(u)/100, measure.MLPerUSTsp/4) * 100 / shed.DosedG(u)
		}}
)

// PlainNumber is a figure with as many digits as it has.
func PlainNumber(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }

func rateWeight(u measure.System) string { return "for each " + u.Mass(shed.DosedG(u)) + " raw" }

// RateText is a dose as a person reads it.
func RateText(u measure.System, mLPer100G float64) string {
	return u.Dose(mLPer100G*shed.DosedG(u)/100) + " " + rateWeight(u)
}

func showDelta(u measure.System, dc float64) string {
	if u.Fahrenheit() {
		dc = measure.DeltaCToF(dc)
	}
	return strconv.FormatFloat(float64(int64(dc*10+0.5))/10, 'f', -1, 64)
}

// OrNone is a quantity where 0 stands for no limit, shown and read as a word.
func (q Quantity) OrNone() Quantity {
	show, parse := q.Show, q.Parse
	q.Show = func(u measure.System, v float64) string {
		if v == 0 {
			return "none"
		}
		return show(u, v)
	}
	q.Parse = func(u measure.System, s string) (float64, error) {
		switch strings.ToLower(measure.CleanText(s, 10)) {
		case "none", "":
			return 0, nil
		}
		return parse(u, s)
	}
	return q
}

// InMoney is a quantity of money, of which a sign before or behind is read over.
func (q Quantity) InMoney(p *shed.Prices) Quantity {
	parse := q.Parse
	q.Parse = func(u measure.System, s string) (float64, error) { return parse(u, p.Bare(s)) }
	return q
}

// number is a field for a figure. It is stored in into when the field is left;
// a figure that nobody edited stays exactly what it was.
type number struct {
	*Field
	q     Quantity
	u     measure.System
	name  string
	into  *float64
	first float64 // what it was to begin with
	was   float64 // what the text showed when it was last filled in
	shown string
	check func(measure.System, float64) error
}

// NumberField asks for a figure: what it is called, why it matters in a line.
func NumberField(u measure.System, q Quantity, label, why string, into *float64, check func(measure.System, float64) error) *Field {
	n := &number{q: q, u: u, name: label, into: into, first: *into, check: check}
	n.Field = CheckedField(label, why, "", n.validate)
	n.Units, n.Offer, n.Usual, n.figure = n.setUnits, n.offer, n.usual, true
	n.fill(*into)
	n.original = n.shown
	return n.Field
}

func (n *number) fill(v float64) {
	n.was, n.shown = v, n.q.Show(n.u, v)
	n.in.SetValue(n.shown)
	n.Label = n.u.Spell(n.name) + ", " + n.q.Unit(n.u)
}

func (n *number) value(text string) (float64, error) {
	if text == n.shown && text != "" {
		return n.was, nil
	}
	return n.q.Parse(n.u, text)
}

func (n *number) validate(text string) error {
	v, err := n.value(text)
	if err == nil && n.check != nil {
		err = n.check(n.u, v)
	}
	if err == nil || base.Unlikely(err) { // the form asks, and the same again stands
		*n.into = v
	}
	return err
}

// setUnits shows the figure in other units; what does not read as a figure
// stays as it was typed.
func (n *number) setUnits(u measure.System) {
	if u == n.u {
		return
	}
	v, err := n.value(n.Value())
	clean := !n.dirty()
	n.u = u
	if err != nil {
		n.Label = n.u.Spell(n.name) + ", " + n.q.Unit(u)
		return
	}
	n.fill(v)
	if clean {
		n.original = n.shown
	}
}

// offer fills in another figure, unless the person has typed one.
func (n *number) offer(v float64) {
	if !n.dirty() {
		n.fill(v)
		n.original, *n.into = n.shown, v
	}
}

// usual offers the figure it was to begin with, round in these units: for one
// that the program proposes and nobody has measured.
func (n *number) usual(u measure.System) {
	if n.q.Round != nil {
		n.offer(n.q.Round(u, n.first))
	}
}

// KitCheck makes a Check method of the kit into the check of a field.
func KitCheck(method func(shed.Kit, float64) error) func(measure.System, float64) error {
	return func(u measure.System, v float64) error { return method(shed.Kit{Units: u}, v) }
}

// WordsField asks for a name or a note; most is how many characters are kept,
// need what is said where there is none, and more what else it is held to.
func WordsField(label, why string, into *string, most int, need string, more ...func(string) error) *Field {
	return CheckedField(label, why, *into, func(text string) error {
		kept := measure.CleanText(text, most+1)
		switch {
		case utf8.RuneCountInString(kept) > most:
			return fmt.Errorf("%s is longer than %d characters: shorten it", strings.ToLower(label), most)
		case kept == "" && need != "":
			return fmt.Errorf("%s", need)
		}
		var err error
		for _, check := range more {
			err = cmp.Or(err, check(kept))
		}
		if err == nil || base.Unlikely(err) { // asked about, and the same again stands
			*into = kept
		}
		return err
	})
}

// CountField asks for a whole number from low to high.
func CountField(label, why string, into *int, low, high int) *Field {
	return CheckedField(label, why, strconv.Itoa(*into), func(text string) error {
		text = measure.CleanText(text, 20)
		v, err := strconv.Atoi(text)
		if err != nil || v < low || v > high {
			return fmt.Errorf("\"%s\" isn't a whole number from %d to %d: type one such as %d", text, low, high, *into)
		}
		*into = v
		return nil
	})
}

// HourField asks for a full hour of the day, 24 for the end of it where high says so. Its
// why has a place for the example.
func HourField(u measure.System, label, why string, into *int, example, high int) *Field {
	x := CheckedField(label, "", "", func(text string) error {
		text = measure.CleanText(text, 20)
		min, said, ok := TimeOfDay(text)
		if high == 24 && (strings.TrimSuffix(text, ":00") == "24" || said && min == 0) { // 12 am
			min, ok = 24*60, true
		}
		switch {
		case !ok:
			return fmt.Errorf("\"%s\" isn't an hour of the day: type one such as 7, 19 or 7 pm", text)
		case min%60 != 0:
			return fmt.Errorf("\"%s\" isn't a full hour: type %s or %s", text, fullHour(u, min/60), fullHour(u, (min/60+1)%(high+1)))
		}
		*into = min / 60
		return nil
	})
	x.Units = func(now measure.System) {
		u = now
		if x.Why = fmt.Sprintf(why, u.Hour(example)); !x.dirty() {
			x.in.SetValue(u.Hour(*into))
			x.original = x.Value()
		}
	}
	x.Units(u)
	return x
}

// fullHour is an hour as HourField reads it.
func fullHour(u measure.System, h int) string {
	if u&measure.Twelve != 0 {
		return u.Hour(h)
	}
	return fmt.Sprintf("%d:00", h)
}

// CheckedField asks for a text that check reads and stores.
func CheckedField(label, why, text string, check func(string) error) *Field {
	in := textinput.New()
	in.SetValue(text)
	in.Focus()
	return &Field{Label: label, Why: why, Text: true, in: in, original: text, check: check}
}

// AsDay has a date that was typed stand with its month in words, for in figures it may be read as
// another day; one without a year gets that of the last such day by now, none where now is zero.
func (x *Field) AsDay(u measure.System, now time.Time) *Field {
	x.spelled = func(text string) string {
		text = measure.CleanText(text, 40)
		day, err := u.ReadDay(text)
		switch {
		case err != nil:
			return text
		case day.Year() == 0 && now.IsZero():
			return u.Moment(day, "2 Jan")
		}
		if day.Year() == 0 {
			day, _ = u.ParseDay(text, now)
		}
		return u.Moment(day, "2 Jan 2006")
	}
	return x
}

// Choice is one thing to choose, with the words that explain it.
type Choice[T comparable] struct {
	Value T
	Words string
}

// ChoiceField asks to choose one; a few short words go on one line.
func ChoiceField[T comparable](label, why string, into *T, inline bool, choices ...Choice[T]) *Field {
	x := &Field{Label: label, Why: why, inline: inline, choose: func(i int) { *into = choices[i].Value }}
	x.at = func() int {
		for i := range choices {
			if choices[i].Value == *into {
				return i
			}
		}
		return 0
	}
	for _, c := range choices {
		x.choices = append(x.choices, c.Words)
	}
	x.choose(x.at())
	x.original = x.Value()
	return x
}

// AskedField asks to choose one of some words, where at says which is chosen and choose
// is told.
func AskedField(label, why string, inline bool, at func() int, choose func(int), words ...string) *Field {
	return &Field{Label: label, Why: why, inline: inline, at: at, choose: choose, choices: words, original: words[at()]}
}

// YesNo asks a question that is answered with yes or no.
func YesNo(label, why string, into *bool) *Field {
	return ChoiceField(label, why, into, true, Choice[bool]{true, "yes"}, Choice[bool]{false, "no"})
}

// Named makes choices of values that have a word of their own.
func Named[T interface {
	comparable
	fmt.Stringer
}](values ...T) []Choice[T] {
	out := make([]Choice[T], len(values))
	for i, v := range values {
		out[i] = Choice[T]{v, v.String()}
	}
	return out
}

// FieldsOf are all fields of some pages.
func FieldsOf(pages []*Page) []*Field {
	var out []*Field
	for _, p := range pages {
		out = append(out, p.Fields...)
	}
	return out
}
