package shed

import (
	"cmp"
	"slices"
)

// With is the fleece with another that is the same clip: weights, parts and uses of both
// together; what it does not say itself it has from the other.
func (f Fleece) With(o Fleece) Fleece {
	if f.SkirtedG > 0 || o.SkirtedG > 0 {
		f.SkirtedG = f.ToWashG() + o.ToWashG()
	}
	f.RawG, f.Paid = f.RawG+o.RawG, f.Paid+o.Paid
	f.Parts, f.Uses = together(f.Parts, o.Parts), together(f.Uses, o.Uses)
	f.Joined = slices.Concat(f.Joined, []string{o.ID}, o.Joined)
	f.Farm, f.Year, f.StapleMM = cmp.Or(f.Farm, o.Farm), cmp.Or(f.Year, o.Year), cmp.Or(f.StapleMM, o.StapleMM)
	f.Colour, f.Breed, f.Shorn = cmp.Or(f.Colour, o.Colour), cmp.Or(f.Breed, o.Breed), cmp.Or(f.Shorn, o.Shorn)
	switch {
	case f.Notes == "":
		f.Notes = o.Notes
	case o.Notes != "" && o.Notes != f.Notes:
		f.Notes += "; " + o.Notes
	}
	return f
}

// together adds up parts of the same name.
func together(a, b []FleecePart) []FleecePart {
	a = slices.Clone(a)
	for _, p := range b {
		if i := slices.IndexFunc(a, func(o FleecePart) bool { return SamePart(o.Name, p.Name) }); i >= 0 {
			a[i].RawG += p.RawG
		} else {
			a = append(a, p)
		}
	}
	return a
}

// Unjoined leaves out the fleeces that are part of another.
func Unjoined(all []Fleece) []Fleece {
	into := joined(all)
	return slices.DeleteFunc(slices.Clone(all), func(f Fleece) bool { return into[f.ID] != "" })
}

// joined says of which fleece each that was joined is part. Two stores may have joined the
// same two the other way round: then the first stands.
func joined(all []Fleece) map[string]string {
	into := map[string]string{}
	for i := range all {
		f := &all[i]
		for _, id := range f.Joined {
			if id != f.ID && into[f.ID] != id {
				into[id] = f.ID
			}
		}
	}
	return into
}
