package shed

import (
	"fmt"
	"strings"

	"fleece.example/tubside/session/measure"
)

// FleecePart is a part that a fleece was sorted into: shoulder, sides, britch.
type FleecePart struct {
	Name string  `json:"name"`
	RawG float64 `json:"raw_g"`
}

// mostParts is how many parts a fleece is sorted into at most.
const mostParts = 12

// CleanPart is the name of a part made safe to show.
func CleanPart(name string) string { return measure.CleanText(name, MaxName) }

// SamePart says that two names mean one part: "Shoulder" is "shoulder".
func SamePart(a, b string) bool { return PartKey(a) == PartKey(b) }

// CheckParts checks the parts of a fleece in the kit's units.
func (k Kit) CheckParts(f Fleece) error { return f.checkParts(k.Units) }

// checkParts checks the parts of a fleece.
func (f Fleece) checkParts(u measure.System) error {
	if len(f.Parts) > mostParts {
		return fmt.Errorf("%s is sorted into %d parts: %d are the most", f.Title(), len(f.Parts), mostParts)
	}
	sumG := 0.0
	for i, p := range f.Parts {
		if p.Name == "" {
			return fmt.Errorf("a part of %s has no name: call it by its place, such as shoulder", f.Title())
		}
		if err := measure.About("the part "+p.Name+":", u.CheckMassG(p.RawG, measure.Between(1, 20000))); err != nil {
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

// What is what lies in the basket, for a tag: "loose", "locks in 3 layers,
// shoulder".
func (b Batch) What() string {
	out := b.Form.String()
	if n := b.LocksLayers(); n == 1 {
		out += " in one layer"
	} else if n > 1 {
		out += fmt.Sprintf(" in %d layers", n)
	}
	if b.Part != "" {
		out += ", " + b.Part
	}
	return out
}

// PartKey is the name by which the arithmetic knows a part.
func PartKey(name string) string { return strings.ToLower(name) }
