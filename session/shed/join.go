package shed

import (
	"cmp"
	"slices"
)

// With is the fleece with another that is the same clip: uses of both together, and what it
// does not say itself it has from the other. Of two halves weights and parts are added; one that
// was entered twice has its own.
func (f Fleece) With(o Fleece, twice bool) Fleece {
	if twice {
		f.SkirtedG, f.Paid = cmp.Or(f.SkirtedG, o.SkirtedG), cmp.Or(f.Paid, o.Paid)
		if len(f.Parts) == 0 {
			f.Parts = o.Parts
		}
	} else {
		if f.SkirtedG > 0 || o.SkirtedG > 0 {
			f.SkirtedG = f.ToWashG() + o.ToWashG()
		}
		f.RawG, f.Paid, f.Parts = f.RawG+o.RawG, f.Paid+o.Paid, together(f.Parts, o.Parts)
	}
	f.Uses = together(f.Uses, o.Uses)
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

// Unjoined leaves out the fleeces that are part of another; each that stands names all its parts,
// for those that named some of them are gone.
func Unjoined(all []Fleece) []Fleece {
	into, parts := joined(all), map[string][]string{}
	for i := range all {
		for _, id := range append(slices.Clone(all[i].Joined), all[i].ID) {
			if root := into[id]; root != "" && !slices.Contains(parts[root], id) {
				parts[root] = append(parts[root], id)
			}
		}
	}
	out := slices.DeleteFunc(slices.Clone(all), func(f Fleece) bool { return into[f.ID] != "" })
	for i := range out {
		out[i].Joined = parts[out[i].ID]
	}
	return out
}

// joined says of which fleece each that was joined is part in the end. Stores that were merged
// may have joined the same ones in a ring: then the first in the list stands.
func joined(all []Fleece) map[string]string {
	into := map[string]string{}
	for i := range all {
		for _, id := range all[i].Joined {
			if id != all[i].ID {
				into[id] = all[i].ID
			}
		}
	}
	for i := range all {
		root := into[all[i].ID]
		for range len(into) { // a ring without this one has no end
			if root == all[i].ID {
				delete(into, root)
			}
			root = into[root]
		}
	}
	for id, root := range into {
		for into[root] != "" {
			root = into[root]
		}
		into[id] = root
	}
	return into
}
