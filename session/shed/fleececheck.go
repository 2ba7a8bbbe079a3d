package shed

import (
	"cmp"
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"

	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/yield"
)

// Validate says in a sentence what is wrong with the fleece.
func (f Fleece) Validate() error { return f.validate(measure.Metric) }

// validate is Validate in the person's own units.
func (f Fleece) validate(u measure.System) error {
	f = f.Clean()
	if f.Animal == "" {
		return fmt.Errorf("the fleece needs a sheep's name, or a number such as ewe 12")
	}
	if f.Year != 0 && (!shornIn.Contains(float64(f.Year))) {
		return fmt.Errorf("%d isn't a year: type four digits such as 2026", f.Year)
	}
	for _, err := range []error{
		fleeceTypeWords.Check(f.Type), levelWords.Check(f.Wax), levelWords.Check(f.Felting),
	} {
		if err != nil {
			return fmt.Errorf("%s: %w", f.Animal, err)
		}
	}
	return f.checkRecord(u)
}

// CheckFleeceG checks the raw weight of a whole fleece, grams.
func (k Kit) CheckFleeceG(g float64) error { return checkFleeceG(k.Units, g) }

func checkFleeceG(u measure.System, g float64) error {
	err := measure.About("a whole fleece of", u.CheckMassG(g, fleeceG))
	if err != nil && !u.Ounces() && fleeceG.Contains(1000*g) && math.Abs(1000*g-math.Round(1000*g)) < 1e-9 { // "1.4", and kilograms were meant; not 0.1 oz
		return fmt.Errorf("%w; for kilograms write %s kg", err, strconv.FormatFloat(g, 'f', -1, 64))
	}
	return err
}

// What is less than a whole fleece or a batch mostly weighs, g: that of the smallest breeds is near 0.5 kg.
const (
	lightFleeceG = 400
	lightBatchG  = 30
)

// AskFleeceG is CheckFleeceG that asks about less than a whole fleece mostly weighs, like AskRoomC.
func (k Kit) AskFleeceG(g float64) error {
	return cmp.Or(k.CheckFleeceG(g), k.askLight(g, lightFleeceG, "whole fleece", fleeceG))
}

// AskBatchG is CheckBatchG that asks in the same way.
func (k Kit) AskBatchG(g float64) error {
	return cmp.Or(k.CheckBatchG(g), k.askLight(g, lightBatchG, "batch", BatchG))
}

// askLight asks about a weight that may be of the larger unit.
func (k Kit) askLight(g, leastG float64, what string, limits measure.Range) error {
	if g >= leastG {
		return nil
	}
	text := fmt.Sprintf("%s is light for a %s", k.Units.Mass(g), what)
	switch figure := k.Units.MassField(g); {
	case k.Units.Ounces() && limits.Contains(16*g):
		text += ": for pounds type " + figure + " lb"
	case !k.Units.Ounces() && limits.Contains(1000*g):
		text += ": for kilos type " + figure + " kg"
	}
	return Unlikelyf("%s", text)
}

// AskSkirtedG is CheckSkirtedG that asks about what would be nearly all cut away.
func (k Kit) AskSkirtedG(g, rawG float64) error {
	if err := k.CheckSkirtedG(g); err != nil || g == 0 || g >= rawG/4 {
		return err
	}
	return Unlikelyf("%s is little to be left of %s: is the unit right?", k.Units.Mass(g), k.Units.Mass(rawG))
}

// CheckBatchG checks the raw weight of one batch, grams.
func (k Kit) CheckBatchG(g float64) error { return CheckBatchMass(k.Units, g) }

// CheckBatchMass checks the raw weight of one batch, grams, in these units.
func CheckBatchMass(u measure.System, g float64) error {
	return measure.About("a batch of", u.CheckMassG(g, BatchG))
}

// AskSpent asks about a fleece of which so little is left that it makes no batch.
func (f *Fleece) AskSpent(u measure.System, leftG float64) error {
	if checkFleeceG(u, leftG) == nil {
		return nil
	}
	left := "nothing"
	if leftG >= 0.5 {
		left = "only " + u.Mass(leftG)
	}
	whole := f.Clean()
	return Unlikelyf("%s is left of %s: the rest is washed or in the plan. Is there more of it than its weight says?", left, whole.Title())
}

// AskTwin asks about a fleece that others have already: the same animal of the same
// farm, shorn in the same year.
func (f Fleece) AskTwin(others []Fleece) error {
	f = f.Clean()
	for _, o := range others {
		if o.ID != f.ID && strings.EqualFold(o.Animal, f.Animal) && strings.EqualFold(o.Farm, f.Farm) && o.Year == f.Year {
			year := ""
			if f.Year > 0 {
				year = fmt.Sprintf(" of %d", f.Year)
			}
			return Unlikelyf("there is a fleece %s%s already, %s: open that one, or give this one another name", o.Title(), year, o.ID)
		}
	}
	return nil
}

// CheckParts checks the parts of a fleece in the kit's units.
func (k Kit) CheckParts(f Fleece) error { return f.checkParts(k.Units) }

// checkParts checks the parts of a fleece.
func (f *Fleece) checkParts(u measure.System) error {
	if len(f.Parts) > mostParts {
		return fmt.Errorf("%s is sorted into %d parts: %d are the most", f.Title(), len(f.Parts), mostParts)
	}
	sumG := 0.0
	for i, p := range f.Parts {
		if p.Name == "" {
			return fmt.Errorf("a part of %s has no name: call it by its place, such as shoulder", f.Title())
		}
		if err := measure.About("the part "+p.Name+":", u.CheckMassG(p.RawG, partG)); err != nil {
			return err
		}
		for _, o := range f.Parts[:i] {
			if SamePart(o.Name, p.Name) {
				return fmt.Errorf("two parts of %s are called %s: put them together", f.Title(), p.Name)
			}
		}
		sumG += p.RawG
	}
	if sumG > f.ToWashG()+0.5 {
		show := u.MassApart(sumG, f.ToWashG())
		return fmt.Errorf("the parts of %s add up to %s, but the fleece %s: lower one or weigh again", f.Title(), show(sumG), f.WeighsText(show))
	}
	return nil
}

// AskPart asks about more of a sorted part than is left of it.
func (f Fleece) AskPart(u measure.System, name string, wantG, leftG float64) error {
	for _, p := range f.Parts {
		if SamePart(p.Name, name) && wantG > leftG+0.5 {
			return Unlikelyf("%s of %s is more than the %s that is left of it", u.Mass(wantG), p.Name, u.Mass(leftG))
		}
	}
	return nil
}

// ToWashG is the raw fleece there is to wash: after skirting, if that was weighed.
func (f *Fleece) ToWashG() float64 {
	if f.SkirtedG > 0 {
		return f.SkirtedG
	}
	return f.RawG
}

// WeighsText is what there is to wash, in words: "weighs 1.2 kg skirted".
func (f *Fleece) WeighsText(show func(g float64) string) string {
	if f.SkirtedG > 0 {
		return "weighs " + show(f.SkirtedG) + " skirted"
	}
	return "weighs " + show(f.RawG)
}

// SoakingWetPart is what wool wet through weighs at most, in parts of its raw weight.
const SoakingWetPart = 5.0

// StapleText shows a staple's length: "95 mm", "3 3/4 in".
func StapleText(u measure.System, mm float64) string {
	if u.Inches() {
		return u.StapleField(mm) + " in"
	}
	return u.StapleField(mm) + " mm"
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
	if err := f.checkLife(u); err != nil {
		return err
	}
	if f.SkirtedG > f.RawG {
		show := u.MassApart(f.SkirtedG, f.RawG)
		return fmt.Errorf("%s weighs %s after skirting, more than the %s before it: swap them, or weigh again", f.Title(), show(f.SkirtedG), show(f.RawG))
	}
	return nil
}

// YieldBatch is a batch with its dry weight for the arithmetic. Where nobody
// said on which scale the raw weight was read, it counts as the same one; of no scale the figures
// themselves say how finely they were read.
func (b Batch) YieldBatch(dryG float64, dry Scale) yield.Batch {
	raw := b.RawScale
	if raw == (Scale{}) {
		raw = dry
	}
	if raw.StepG == 0 && dry.StepG == 0 {
		raw.StepG = measure.WrittenStepG(b.RawG, dryG)
		dry.StepG = raw.StepG
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

// WetWeight is a batch on its way to dry.
type WetWeight struct {
	At    time.Time
	MassG float64
	Scale Scale
}

// checkLife checks what was paid for a fleece and what became of it.
func (f Fleece) checkLife(u measure.System) error {
	switch {
	case !price.Contains(f.Paid):
		return fmt.Errorf("%s: what was paid should be between 0 and %.0f", f.Title(), price.Max)
	case restWords.Check(f.Rest) != nil:
		return restWords.Check(f.Rest)
	case len(f.Uses) > mostUses:
		return fmt.Errorf("%s: %d uses are the most that are kept: put some together", f.Title(), mostUses)
	}
	for _, x := range f.Uses {
		if x.Name == "" {
			return fmt.Errorf("%s: say what the clean wool went into, such as hat", f.Title())
		}
		if err := measure.About(x.Name+":", u.CheckMassG(x.RawG, partG)); err != nil {
			return err
		}
	}
	return nil
}

// ShornOn is the day it was shorn, as it was written, with the year of the clip, or as much of
// both as is known.
func (f *Fleece) ShornOn() string {
	year := strconv.Itoa(f.Year)
	switch {
	case f.Year == 0 || strings.Contains(f.Shorn, year):
		return f.Shorn
	case f.Shorn == "":
		return year
	case strings.ContainsAny(f.Shorn[len(f.Shorn)-1:], "0123456789"):
		return f.Shorn + ", " + year
	}
	return f.Shorn + " " + year
}

// UsedG is how much of its clean fibre was used, sold or given away, g.
func (f *Fleece) UsedG() (g float64) {
	for _, x := range f.Uses {
		g += x.RawG
	}
	return g
}
