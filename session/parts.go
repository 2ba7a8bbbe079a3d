package session

import (
	"fmt"
	"strings"

	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/yield"
)

// FleecePart is a part that a fleece was sorted into: shoulder, sides, britch.
type FleecePart struct {
	Name string  `json:"name"`
	RawG float64 `json:"raw_g"`
}

// mostParts is how many parts a fleece is sorted into at most.
const mostParts = 12

func cleanPart(name string) string { return clean(name, maxName) }

// samePart says that two names mean one part: "Shoulder" is "shoulder".
func samePart(a, b string) bool { return partKey(a) == partKey(b) }

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
		if err := about("the part "+p.Name+":", u.CheckMassG(p.RawG, between(1, 20000))); err != nil {
			return err
		}
		for _, o := range f.Parts[:i] {
			if samePart(o.Name, p.Name) {
				return fmt.Errorf("two parts of %s are called %s: put them together", f.Title(), p.Name)
			}
		}
		sumG += p.RawG
	}
	if sumG > f.ToWashG()+0.5 {
		show := u.MassApart(sumG, f.ToWashG())
		return fmt.Errorf("the parts of %s add up to %s, but the fleece %s: lower one or weigh again", f.Title(), show(sumG), f.weighsText(show))
	}
	return nil
}

func decideNamePart(d Day, c NamePart) ([]Event, error) {
	if d.StartedAt.IsZero() {
		return nil, fmt.Errorf("the day has not begun: name the part in the plan")
	}
	b, ok := d.Batch(c.Batch)
	if !ok {
		return nil, fmt.Errorf("there is no batch \"%s\" on this day", clean(c.Batch, 20))
	}
	part := cleanPart(c.Part)
	if part == b.Part {
		return nil, fmt.Errorf("%s is that already: %s", b.ID, b.What())
	}
	return []Event{PartNamed{Batch: b.ID, Part: part}}, nil
}

// AskPart asks about more of a sorted part than is left of it.
func (f Fleece) AskPart(u measure.System, name string, wantG, leftG float64) error {
	for _, p := range f.Parts {
		if samePart(p.Name, name) && wantG > leftG+0.5 {
			return unlikely("%s of %s is more than the %s that is left of it", u.Mass(wantG), p.Name, u.Mass(leftG))
		}
	}
	return nil
}

// Left is what is left of a fleece to wash, part by part where it was sorted; the
// rest has no name. It adds up to LeftG.
func (e Entry) Left() []yield.Part {
	var out []yield.Part
	namedG := 0.0
	for _, p := range e.Fleece.Parts {
		g := p.RawG
		for _, b := range e.Batches {
			if b.State() != Unwashed && samePart(b.Part, p.Name) {
				g -= b.RawG
			}
		}
		if g = max(0, g); g > 0 {
			out = append(out, yield.Part{Name: partKey(p.Name), RawG: g})
			namedG += g
		}
	}
	if namedG > e.LeftG { // batches of no named part have come from these
		for i := range out {
			out[i].RawG *= e.LeftG / namedG
		}
		namedG = e.LeftG
	}
	if g := e.LeftG - namedG; g > 0.01 || len(out) == 0 {
		out = append(out, yield.Part{RawG: g})
	}
	return out
}

// What is what lies in the basket, for a tag: "loose", "locks in 3 layers,
// shoulder".
func (b Batch) What() string {
	out := b.Form.String()
	if n := b.locksLayers(); n == 1 {
		out += " in one layer"
	} else if n > 1 {
		out += fmt.Sprintf(" in %d layers", n)
	}
	if b.Part != "" {
		out += ", " + b.Part
	}
	return out
}

// partKey is the name by which the arithmetic knows a part.
func partKey(name string) string { return strings.ToLower(name) }
