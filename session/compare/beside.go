package compare

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
)

// Pair is one figure of two days; NaN where it is not known.
type Pair struct {
	What string
	A, B float64
	Show func(float64) string
	As   func(float64) float64 // a figure as it is shown; nil: as it is
}

// Row is the line of a table: what, the one, the other, and by how much the other is more.
func (p Pair) Row() []string {
	cell := func(v float64) string {
		if !measure.Finite(v) {
			return "-"
		}
		return p.Show(v)
	}
	apart, zero := "-", p.Show(0)
	if d := p.apart(); measure.Finite(d) {
		switch apart = p.Show(math.Abs(d)); {
		case apart == zero:
			apart = "same"
		case d > 0:
			apart = "+" + apart
		default:
			apart = "-" + apart
		}
	}
	return []string{p.What, cell(p.A), cell(p.B), apart}
}

// apart is by how much the other is more, as both are shown.
func (p Pair) apart() float64 {
	if p.As == nil {
		return p.B - p.A
	}
	return p.As(p.B) - p.As(p.A)
}

// to is a figure to so much.
func to(step float64) func(float64) float64 {
	return func(v float64) float64 { return math.Round(v/step) * step }
}

// asShown is the figure that is shown: that which is read from it.
func asShown(show func(float64) string, parse func(string) (float64, error)) func(float64) float64 {
	return func(v float64) float64 {
		if read, err := parse(show(v)); err == nil && measure.Finite(v) {
			return read
		}
		return v
	}
}

// besideWords are the measures in a table of two days, each the mean of a day's batches.
var besideWords = [...]string{Margin: "margin", Soaked: "all hot washes", Late: "forecast", Yield: "yield", Waited: "waits", Water: "water", Heat: "heat", Scour: "scour"}

// Beside sets two days side by side, with their measures (Fill): figures, and what they come
// to in sentences. Figures from the waits on are those of a batch.
func (w Words) Beside(a, b ledger.Summary) ([]Pair, []string) {
	rowsA, rowsB := Rows([]ledger.Summary{a}, nil, shed.Kit{Scour: w.Kit.Scour}), Rows([]ledger.Summary{b}, nil, shed.Kit{Scour: w.Kit.Scour})
	count := func(v float64) string { return fmt.Sprintf("%.0f", v) }
	known := func(g float64) float64 {
		if g == 0 {
			return math.NaN()
		}
		return g
	}
	length := func(s ledger.Summary) float64 {
		if s.EndedAt.IsZero() || !s.EnteredAt.IsZero() {
			return math.NaN()
		}
		return math.Round(measure.MinutesBetween(s.StartedAt, s.EndedAt))
	}
	alarms := func(s ledger.Summary) float64 {
		if !s.EnteredAt.IsZero() {
			return math.NaN()
		}
		return float64(s.Alarms)
	}
	mass := asShown(w.Units.Mass, w.Units.ParseMassG)
	out := []Pair{
		{"racked", float64(a.Racked), float64(b.Racked), count, nil},
		{"raw", known(a.RawG), known(b.RawG), w.Units.Mass, mass},
		{"dry", known(a.DryG), known(b.DryG), w.Units.Mass, mass},
		{"whole day", length(a), length(b), measure.Minutes, nil},
		{"alarms", alarms(a), alarms(b), count, nil},
	}
	scour := w.Units.RoundDose
	if w.Kit.Scour.PowderGPer100G > 0 {
		scour = w.Units.RoundMassFieldG
	}
	as := [...]func(float64) float64{Margin: to(0.1 / (w.Units.Degrees(1) - w.Units.Degrees(0))), Soaked: to(1), Late: to(1), Yield: to(0.01), Waited: to(1),
		Water: asShown(w.Units.Volume, w.Units.ParseVolumeL), Heat: to(0.1), Scour: scour}
	for m := range Measure(MeasureWords.Count()) {
		out = append(out, Pair{besideWords[m], meanOf(rowsA, m), meanOf(rowsB, m), func(v float64) string { return w.Value(m, v) }, as[m]})
	}
	return out, w.concludes(a, b, out[len(out)-MeasureWords.Count():])
}

// From these on two days are told apart; our own choices.
const (
	apartC     = 1.0
	apartMin   = 5.0
	apartWater = 0.1 // of the one day's
)

// concludes says in which of the measures, in their order, two days lie apart.
func (w Words) concludes(a, b ledger.Summary, of []Pair) (out []string) {
	say := func(m Measure, least float64, more, less string) {
		d := of[m].apart()
		switch {
		case !(math.Abs(d) >= least):
		case d > 0:
			out = append(out, fmt.Sprintf(more, w.Day(b.WashedOn()), of[m].Show(d)))
		default:
			out = append(out, fmt.Sprintf(less, w.Day(b.WashedOn()), of[m].Show(-d)))
		}
	}
	say(Margin, apartC, "On %s fleece was lifted %s further above the lift-by temperature.", "On %s fleece was lifted %s nearer to the lift-by temperature.")
	say(Waited, apartMin, "On %s a batch waited %s longer.", "On %s a batch waited %s less.")
	say(Water, apartWater*of[Water].A, "On %s a batch took %s more water.", "On %s a batch took %s less water.")
	if len(out) == 0 {
		out = append(out, "The two days are much alike.")
	}
	if a.MethodID != b.MethodID || a.Method != b.Method {
		out = append(out, fmt.Sprintf("Not the same method: %s, then %s.", cmp.Or(a.Method, "not known"), cmp.Or(b.Method, "not known")))
	}
	if !slices.Equal(a.Fleeces, b.Fleeces) {
		out = append(out, fmt.Sprintf("Not the same fleeces: first %s, then %s. Yields differ by that alone.", strings.Join(a.Fleeces, "; "), strings.Join(b.Fleeces, "; ")))
	}
	for _, two := range [...][2]ledger.Summary{{a, b}, {b, a}} {
		for _, r := range two[1].Rows {
			if first := two[0]; r.Again.Day == first.ID && ledger.WashedAgain(two[1:]).Has(first.ID, r.Again.Batch) {
				out = append(out, fmt.Sprintf("%s of %s is %s of %s, washed again: its later yield counts.", r.ID, w.Day(two[1].WashedOn()), r.Again.Batch, w.Day(first.WashedOn())))
			}
		}
	}
	return append(out, "Two days can't tell a change from chance: that takes many.")
}
