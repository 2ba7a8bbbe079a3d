package gear

import (
	"cmp"
	"fmt"
	"slices"

	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/tui/draw"
	"fleece.example/tubside/tui/form"
)

// Percentage is a part of one, shown and typed in %.
var Percentage = form.Quantity{
	Unit:  func(measure.System) string { return "%" },
	Show:  func(_ measure.System, v float64) string { return form.PlainNumber(draw.RoundTo(v*100, 0.1)) },
	Parse: measure.System.ParsePercent,
	Round: nil,
}

func checkTemp(r measure.Range) func(measure.System, float64) error {
	return func(u measure.System, c float64) error { return u.CheckTempC(c, r) }
}

// orZero lets 0, which says none, pass.
func orZero(check func(measure.System, float64) error) func(measure.System, float64) error {
	return func(u measure.System, v float64) error {
		if v == 0 {
			return nil
		}
		return check(u, v)
	}
}

func checkSoak(low float64) func(measure.System, float64) error {
	return func(_ measure.System, v float64) error {
		return measure.CheckMinutes(v, measure.Between(low, shed.SoakMin.Max))
	}
}

func checkFillPart(u measure.System, v float64) error {
	if shed.FillPart.Contains(v) {
		return nil
	}
	return fmt.Errorf("%s is out of range: give between %.0f and %s of the tub's usual bath", u.PercentTyped(v), 100*shed.FillPart.Min, u.Percent(shed.FillPart.Max, 0))
}

func checkDosePart(u measure.System, v float64) error {
	if v >= leastDosePart && shed.DosePart.Contains(v) {
		return nil
	}
	return fmt.Errorf("%s is out of range: give between %.0f and %s of the usual dose", u.PercentTyped(v), 100*leastDosePart, u.Percent(shed.DosePart.Max, 0))
}

const leastDosePart = 0.1

func checkHang(_ measure.System, v float64) error { return measure.CheckMinutes(v, shed.HangRange) }

func checkGap(u measure.System, v float64) error {
	if shed.MaxGapC.Contains(v) {
		return nil
	}
	return fmt.Errorf("the change from the last bath should be between 0 and %s", u.TempDelta(shed.MaxGapC.Max))
}

// StepPages asks for a step; pages that do not concern its kind are left out. Of another kind
// it is all that such a step usually is, or what it was when it was of that kind before; a name
// that does not speak against it stays.
func StepPages(u measure.System, st *shed.Step) []*form.Page {
	pages, kinds, was := stepPages(u, st), shed.StepKinds(), map[shed.StepKind]shed.Step{}
	words := make([]string, len(kinds))
	for i, k := range kinds {
		words[i] = k.String()
	}
	pages[0].Fields[0] = form.AskedField("Kind", "baths first, then spin and rack", true, func() int { return max(0, slices.Index(kinds, st.Kind)) }, func(i int) {
		if st.Kind == kinds[i] {
			return
		}
		was[st.Kind] = *st
		now, ok := was[kinds[i]]
		if !ok {
			now = kinds[i].Usual().In(u)
		}
		usual := now.Name
		if now.Name = st.Name; st.Name == "" || now.AskKind() != nil {
			now.Name = usual
		}
		*st = now
		for j, p := range stepPages(u, st) {
			if j == 0 {
				p.Fields[0] = pages[0].Fields[0]
			}
			pages[j].Fields = p.Fields
		}
	}, words...)
	return pages
}

func stepPages(u measure.System, st *shed.Step) []*form.Page {
	// what is offered where a step has no figure yet
	wash, own := shed.Wash.Usual().In(u), st.Kind.Usual().In(u)
	if st.FillPart == 0 {
		st.FillPart = 1
	}
	if st.ReleaseC == 0 {
		st.ReleaseC = wash.ReleaseC
	}
	if st.AimC == 0 {
		st.AimC, st.LowestSinkC = cmp.Or(own.AimC, u.RoundTempC(st.Kind.Facts().MixedC)), own.LowestSinkC
	}
	bath := func() bool { return st.Kind.IsBath() }
	if st.DosePart == 0 {
		st.DosePart = 1
	}
	if st.HangMin == 0 {
		st.HangMin = st.Kind.UsualHangMin()
	}
	hangs := "hot fleece cools as it hangs, and its wax sets again: an alarm rings at twice this, but no later than 45 min, or than this where it is longer"
	if st.Kind.Facts().Weighed { // it took no wax, which would set
		hangs = "after a cold soak it may wait"
	}
	return []*form.Page{
		{Title: "Step", Fields: []*form.Field{
			nil, // the kind, which all the others follow
			form.WordsField("Name", "what you call it at the tub", &st.Name, 40, "the step has no name: call it what you call it at the tub, such as rinse"),
		}, Leave: func() error { return st.AskKind() }},
		{Title: "How long", Hide: func() bool { return !bath() }, Fields: []*form.Field{
			form.NumberField(u, form.Duration, "Soak", "as planned; at the tub + and - change it", &st.SoakMin, checkSoak(0.5)),
			form.NumberField(u, form.Duration, "Shortest", "lift sooner and it asks", &st.ShortestMin, checkSoak(0)),
			form.NumberField(u, form.Duration.OrNone(), "Longest", "an alarm rings past it; none for no limit", &st.LongestMin, checkSoak(0)),
			form.NumberField(u, form.Duration, "From its lift to the next bath", hangs, &st.HangMin, checkHang),
		}, Leave: func() error { return st.ValidateSoak() }},
		{Title: "Water", Hide: func() bool { return !bath() }, Fields: []*form.Field{
			form.ChoiceField("Water from", "", &st.Water, true, form.Choice[shed.WaterFrom]{Value: shed.FromCold, Words: "the cold tap"},
				form.Choice[shed.WaterFrom]{Value: shed.FromHot, Words: "the hot tap, as it comes"}, form.Choice[shed.WaterFrom]{Value: shed.Mixed, Words: "mixed to a temperature"}),
			form.NumberField(u, Percentage, "Fill, of the tub's usual bath", "a little less water in each rinse", &st.FillPart, checkFillPart),
			form.YesNo("Scour goes in", "the dose follows the batch's raw weight", &st.Dosed),
			form.ChoiceField("Drains to", "wax and soil go outdoors where local rules allow it; a clear rinse may go down the sink", &st.DrainTo, true, form.Named(shed.Outdoors, shed.Sink)...),
			form.NumberField(u, form.TempStep.OrNone(), "Most change from the last bath", "a sudden change may felt the wool; none for no limit", &st.MaxGapC, checkGap),
		}},
		{Title: "Temperature", Hide: func() bool { return !bath() || st.Water != shed.Mixed }, Fields: []*form.Field{
			form.NumberField(u, form.Temperature, "Bath with the fleece in it", "hot tap, cold tap and kettle are mixed to give it", &st.AimC, checkTemp(shed.AimC)),
			form.NumberField(u, form.Temperature.OrNone(), "Coolest start", "below it, top up first; none for no limit", &st.LowestSinkC, orZero(checkTemp(measure.Between(0.5, shed.SinkC.Max)))),
		}, Leave: func() error {
			if st.LowestSinkC > st.AimC {
				return fmt.Errorf("the coolest start (%s) is above the bath (%s): lower it", u.TempRead(st.LowestSinkC), u.TempRead(st.AimC))
			}
			return nil
		}},
		{Title: "Wax", Hide: func() bool { return !st.Kind.Facts().Release }, Fields: []*form.Field{
			form.NumberField(u, form.Temperature, "Lift before it cools to", "below it loosened wax sets again on the fibre", &st.ReleaseC, func(u measure.System, c float64) error {
				if st.Water == shed.Mixed && st.AimC <= c {
					return fmt.Errorf("the bath at %s starts no warmer than its lift-by temperature %s", u.TempRead(st.AimC), u.TempRead(c))
				}
				return checkTemp(shed.ReleaseC)(u, c)
			}),
			form.YesNo("Twice for a waxy fleece", "", &st.TwiceForHighWax),
			form.NumberField(u, Percentage, "Scour, of the usual dose", "100, or less in a second wash, such as 50", &st.DosePart, checkDosePart),
		}},
	}
}

// settleStep takes out what the step's kind has no use for.
func settleStep(st shed.Step) shed.Step {
	if !st.Kind.IsBath() {
		return shed.Step{Kind: st.Kind, Name: st.Name, FillPart: 1}
	}
	if st.HangMin == st.Kind.UsualHangMin() {
		st.HangMin = 0
	}
	if st.DosePart == 1 || !st.Dosed {
		st.DosePart = 0
	}
	if !st.Kind.Facts().Release {
		st.ReleaseC, st.TwiceForHighWax = 0, false
	}
	if st.Water != shed.Mixed {
		st.AimC = 0
	}
	if st.Water != shed.Mixed && !st.Kind.Facts().Release {
		st.LowestSinkC = 0
	}
	return st
}
