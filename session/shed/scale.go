package shed

import (
	"fmt"
	"math"
	"strings"

	"fleece.example/tubside/session/measure"
)

// Scale is what a weight was read on.
type Scale struct {
	Name  string  `json:"name,omitempty"`
	StepG float64 `json:"step_g,omitempty"` // its readout's step, grams; 0: not known
}

// Clean returns the scale with its name made safe to show.
func (s Scale) Clean() Scale {
	s.Name = measure.CleanText(s.Name, MaxName)
	return s
}

// Same says that two readings stood on one scale: a step that was typed in other
// units comes back a little off.
func (s Scale) Same(o Scale) bool {
	return strings.EqualFold(s.Name, o.Name) && math.Abs(s.ReadToG()-o.ReadToG()) <= 0.005*max(s.ReadToG(), o.ReadToG())
}

// Check says in a sentence what is wrong with the scale's step.
func (s Scale) Check(u measure.System) error {
	if s.StepG != 0 && !scaleStepG.Contains(s.StepG) {
		return fmt.Errorf("a scale's step should be between %s and %s, such as %s",
			u.Mass(scaleStepG.Min), u.Mass(scaleStepG.Max), u.Mass(UsualScale(u).StepG))
	}
	return nil
}

// UsualScale is offered where none is known: a kitchen scale.
func UsualScale(u measure.System) Scale {
	if u.Ounces() {
		return Scale{Name: "kitchen", StepG: measure.GPerOz / 10}
	}
	return Scale{Name: "kitchen", StepG: 1}
}

// ReadToG is the step of the readout, grams; 1 where it is not known.
func (s Scale) ReadToG() float64 {
	if s.StepG > 0 {
		return s.StepG
	}
	return 1
}

// ShownName is the name for a sentence, "not named" without one.
func (s Scale) ShownName() string {
	if s.Name == "" {
		return "not named"
	}
	return s.Name
}
