package form

import (
	"fmt"
	"math"
	"strings"
	"unicode"

	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
)

// ScaleText is a scale as ReadScale reads it: "kitchen 1 g".
func ScaleText(u measure.System, s shed.Scale) string {
	step := s.StepG
	if step == 0 {
		step = shed.UsualScale(u).StepG
	}
	if u.Ounces() {
		step /= measure.GPerOz
	}
	return strings.TrimSpace(s.Name + " " + PlainNumber(thousandths(step)) + " " + u.MassUnit())
}

// ScaleSuch is what to type of a scale; one that strays by more than its step counts as that coarse.
func ScaleSuch(u measure.System) string {
	g := shed.UsualScale(u).StepG
	return fmt.Sprintf("such as kitchen %s (%s if it strays by that)", u.Mass(g), u.Mass(5*g))
}

func thousandths(v float64) float64 {
	return math.Round(v*1000) / 1000
}

// bareStepG is the coarsest step taken without a unit or a name, of which a
// figure meant for another field has neither.
func bareStepG(u measure.System) float64 {
	if u.Ounces() {
		return measure.GPerOz / 2
	}
	return 10
}

// ReadScale reads what ScaleText writes; the step of a scale used before may
// be left out.
func ReadScale(k shed.Kit, text string) (shed.Scale, error) {
	words := strings.Fields(measure.CleanText(text, 60))
	if !strings.ContainsFunc(text, unicode.IsLetter) {
		if g, err := k.Units.ParseMassG(text); err == nil && g > bareStepG(k.Units)*(1+1e-9) {
			return shed.Scale{}, fmt.Errorf("\"%s\" alone reads as a step of %s, coarser than a scale for wool: type what its last figure jumps by, such as %s, and a coarse step with its unit",
				strings.Join(words, " "), k.Units.Mass(g), ScaleText(k.Units, shed.UsualScale(k.Units)))
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
			return s, fmt.Errorf("a scale's step can't be %s: type what its last figure jumps by, such as %s", k.Units.Mass(stepG), ScaleText(k.Units, shed.UsualScale(k.Units)))
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
	return shed.Scale{}, fmt.Errorf("the scale's step is missing: type what its last figure jumps by, such as %s", ScaleText(k.Units, shed.UsualScale(k.Units)))
}
