package shed

import (
	"fmt"
	"math"
	"strings"
	"time"

	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/yield"
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

var scaleStepG = measure.Between(0.01, 100)

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
	if u == measure.US {
		return Scale{Name: "kitchen", StepG: measure.GPerOz / 10}
	}
	return Scale{Name: "kitchen", StepG: 1}
}

// Scale is the one used last.
func (k Kit) Scale() Scale {
	if len(k.Scales) > 0 {
		return k.Scales[0]
	}
	return UsualScale(k.Units)
}

// mostScales is how many scales are remembered.
const mostScales = 8

// Used returns the kit with that scale as the one used last.
func (k Kit) Used(s Scale) Kit {
	s = s.Clean()
	s.Name = k.ScaleName(s.Name) // its first one may have been typed again
	out := []Scale{s}
	for _, o := range k.Scales {
		if o.Name != s.Name && len(out) < mostScales {
			out = append(out, o)
		}
	}
	k.Scales = out
	return k
}

// ToWashG is the raw fleece there is to wash: after skirting, if that was weighed.
func (f Fleece) ToWashG() float64 {
	if f.SkirtedG > 0 {
		return f.SkirtedG
	}
	return f.RawG
}

// WeighsText is what there is to wash, in words: "weighs 1.2 kg skirted".
func (f Fleece) WeighsText(show func(g float64) string) string {
	if f.SkirtedG > 0 {
		return "weighs " + show(f.SkirtedG) + " skirted"
	}
	return "weighs " + show(f.RawG)
}

// SoakingWetPart is what wool wet through weighs at most, in parts of its raw weight.
const SoakingWetPart = 5.0

var stapleMM = measure.Between(5, 600) // from cotted belly wool to longwool of more than a year

// StapleText shows a staple's length: "95 mm", "3.7 in".
func StapleText(u measure.System, mm float64) string {
	if u == measure.US {
		return fmt.Sprintf("%.1f in", mm/25.4)
	}
	return fmt.Sprintf("%.0f mm", mm)
}

// CheckStapleMM checks a staple's length; 0 says that it was not measured.
func (k Kit) CheckStapleMM(mm float64) error {
	if mm != 0 && !stapleMM.Contains(mm) {
		return fmt.Errorf("a staple should be between %s and %s long, such as %s; none if it was not measured",
			StapleText(k.Units, stapleMM.Min), StapleText(k.Units, stapleMM.Max), StapleText(k.Units, 100))
	}
	return nil
}

// CheckSkirtedG checks the weight after skirting; 0 says that it was not weighed again.
func (k Kit) CheckSkirtedG(g float64) error {
	if g == 0 {
		return nil
	}
	return checkFleeceG(k.Units, g)
}

// checkRecord checks the figures of a fleece.
func (f Fleece) checkRecord(u measure.System) error {
	k := Kit{Units: u}
	for _, err := range []error{checkFleeceG(u, f.RawG), k.CheckStapleMM(f.StapleMM), k.CheckSkirtedG(f.SkirtedG)} {
		if err != nil {
			return err
		}
	}
	if err := f.checkParts(u); err != nil {
		return err
	}
	if f.SkirtedG > f.RawG {
		show := u.MassApart(f.SkirtedG, f.RawG)
		return fmt.Errorf("%s weighs %s after skirting, more than the %s before it: swap them, or weigh again", f.Title(), show(f.SkirtedG), show(f.RawG))
	}
	return nil
}

// YieldBatch is a batch with its dry weight for the arithmetic. Where nobody
// said on which scale the raw weight was read, it counts as the same one.
func (b Batch) YieldBatch(dryG float64, dry Scale) yield.Batch {
	raw := b.RawScale
	if raw == (Scale{}) {
		raw = dry
	}
	return yield.Batch{RawG: b.RawG, DryG: dryG, RawStepG: raw.StepG, DryStepG: dry.StepG, RawScale: raw.Name, DryScale: dry.Name, Part: PartKey(b.Part)}
}

// LeastDryPart is the part of its raw weight below which no batch is taken to
// have dried without being asked about.
func LeastDryPart(t FleeceType) float64 {
	usual, err := yield.Usual(t.String())
	if err != nil {
		return 0
	}
	return yield.LeastOfUsual * usual.Low
}

// MostWetPart is the part of its raw weight above which no batch is taken to lie on the
// rack without being asked about.
func MostWetPart(t FleeceType) float64 {
	usual, err := yield.Usual(t.String())
	if err != nil {
		return SoakingWetPart
	}
	return usual.High * (1 + yield.MostSqueezed)
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

// WetWeight is a batch on its way to dry.
type WetWeight struct {
	At    time.Time
	MassG float64
	Scale Scale
}
