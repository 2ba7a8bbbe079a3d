package tui

import (
	"fmt"

	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
)

// What is offered where a step has no figure yet (common practice, no source).
const (
	usualReleaseC = 49
	usualWashC    = 65.5
	usualLowestC  = 60
)

// percentage is a part of one, shown and typed in %.
var percentage = quantity{
	func(measure.System) string { return "%" },
	func(_ measure.System, v float64) string { return plainNumber(roundTo(v*100, 0.1)) },
	measure.System.ParsePercent,
	nil,
}

func checkTemp(low, high float64) func(measure.System, float64) error {
	return func(u measure.System, c float64) error { return u.CheckTempC(c, measure.Range{Min: low, Max: high}) }
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
		return measure.CheckMinutes(v, measure.Range{Min: low, Max: 7 * 24 * 60})
	}
}

func checkFillPart(_ measure.System, v float64) error {
	if (measure.Range{Min: 0.2, Max: 1.2}).Contains(v) {
		return nil
	}
	return fmt.Errorf("%s %% is out of range: give between 20 and 120 %% of the tub's usual bath", plainNumber(roundTo(v*100, 0.1)))
}

func checkGap(u measure.System, v float64) error {
	if (measure.Range{Max: 60}).Contains(v) {
		return nil
	}
	return fmt.Errorf("the step from the last bath should be between 0 and %s", u.TempDelta(60))
}

// stepPages asks for a step; pages that do not concern its kind are left out.
func stepPages(u measure.System, st *shed.Step) []*page {
	offered := *st
	if offered.FillPart == 0 {
		st.FillPart = 1
	}
	if st.ReleaseC == 0 {
		st.ReleaseC = u.RoundTempC(usualReleaseC)
	}
	if st.AimC == 0 {
		st.AimC = u.RoundTempC(usualWashC)
		st.LowestSinkC = u.RoundTempC(usualLowestC)
	}
	bath := func() bool { return st.Kind.IsBath() }
	return []*page{
		{title: "Step", fields: []*field{
			choiceField("Kind", "baths first, then spin and rack", &st.Kind, true, named(shed.StepKinds()...)...),
			wordsField("Name", "what you call it at the tub", &st.Name, 40, "the step has no name: call it what you call it at the tub, such as rinse"),
		}, leave: func() error { return st.AskKind() }},
		{title: "How long", hide: func() bool { return !bath() }, fields: []*field{
			numberField(u, duration, "Soak", "as planned; at the tub + and - change it", &st.SoakMin, checkSoak(0.5)),
			numberField(u, duration, "Shortest", "lifted sooner, it asks", &st.ShortestMin, checkSoak(0)),
			numberField(u, duration.orNone(), "Longest", "an alarm rings past it; none for no limit", &st.LongestMin, checkSoak(0)),
		}, leave: func() error { return st.ValidateSoak() }},
		{title: "Water", hide: func() bool { return !bath() }, fields: []*field{
			choiceField("Water from", "", &st.Water, true, choice[shed.WaterFrom]{shed.FromCold, "the cold tap"},
				choice[shed.WaterFrom]{shed.FromHot, "the hot tap, as it comes"}, choice[shed.WaterFrom]{shed.Mixed, "mixed to a temperature"}),
			numberField(u, percentage, "Fill, of the tub's usual bath", "each rinse a little less than the wash", &st.FillPart, checkFillPart),
			yesNo("Scour goes in", "the dose follows the batch's raw weight", &st.Dosed),
			choiceField("Drains to", "wax and soil go outdoors where local rules allow it; a clear rinse may go down the sink", &st.DrainTo, true, named(shed.Outdoors, shed.Sink)...),
			numberField(u, tempStep.orNone(), "Most change from the last bath", "a sudden change may felt the wool; none for no limit", &st.MaxGapC, checkGap),
		}},
		{title: "Temperature", hide: func() bool { return !bath() || st.Water != shed.Mixed }, fields: []*field{
			numberField(u, temperature, "Bath with the fleece in it", "hot tap, cold tap and kettle are mixed to give it", &st.AimC, checkTemp(5, 80)),
			numberField(u, temperature.orNone(), "Coolest start", "below it, top up first; none for no limit", &st.LowestSinkC, orZero(checkTemp(0.5, 80))),
		}, leave: func() error {
			if st.LowestSinkC > st.AimC {
				return fmt.Errorf("the coolest start (%s) is above the bath (%s): lower it", u.TempFine(st.LowestSinkC), u.TempFine(st.AimC))
			}
			return nil
		}},
		{title: "Wax", hide: func() bool { return !st.Kind.Facts().Release }, fields: []*field{
			numberField(u, temperature, "Release temperature", "below it the loosened wax sets again on the fibre", &st.ReleaseC, func(u measure.System, c float64) error {
				if st.Water == shed.Mixed && st.AimC <= c {
					return fmt.Errorf("the bath at %s starts no warmer than its release temperature %s", u.TempFine(st.AimC), u.TempFine(c))
				}
				return checkTemp(30, 65)(u, c)
			}),
			yesNo("Twice for a fleece with much wax", "", &st.TwiceForHighWax),
		}},
	}
}

// settleStep takes out what the step's kind has no use for.
func settleStep(st shed.Step) shed.Step {
	if !st.Kind.IsBath() {
		return shed.Step{Kind: st.Kind, Name: st.Name, FillPart: 1}
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
