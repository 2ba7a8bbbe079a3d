package shed

import (
	"cmp"
	"slices"
	"sort"
	"strings"
	"time"
)

// Names are the names as they are now. A day keeps a copy of what it was washed
// with, because its figures have to stay; a name that is put right later follows
// by its mark.
type Names struct {
	kit     Kit
	fleeces map[string]Fleece
	into    map[string]string // the mark of a fleece that was joined to another: that one's
	methods map[string]Method
}

// NamesOf are the names in a kit (the zero one names nothing) and in lists of fleeces
// and methods.
func NamesOf(kit Kit, fleeces []Fleece, methods []Method) Names {
	n := Names{kit: kit.Clean(), fleeces: map[string]Fleece{}, into: joined(fleeces), methods: map[string]Method{}}
	for _, f := range fleeces {
		n.fleeces[f.ID] = f.Clean()
	}
	for _, m := range methods {
		n.methods[m.ID] = m.Clean()
	}
	return n
}

// Into is the mark that a fleece has now: another's where they were joined.
func (n Names) Into(id string) string { return cmp.Or(n.into[id], id) }

// Joins says that fleeces were joined.
func (n Names) Joins() bool { return len(n.into) > 0 }

// TitleOf is the title of a fleece by its mark.
func (n Names) TitleOf(id string) (title string, ok bool) {
	f, ok := n.fleeces[n.Into(id)]
	return f.Title(), ok
}

// Plan is the plan with the names as they are now: of fleeces, tubs, trays, scales and the
// method.
func (n Names) Plan(p Plan) Plan {
	p.Fleeces, p.Batches = slices.Clone(p.Fleeces), slices.Clone(p.Batches)
	for i, f := range p.Fleeces {
		into := n.Into(f.ID)
		p.Fleeces[i] = n.fleece(f)
		if !slices.ContainsFunc(p.Fleeces, func(o Fleece) bool { return o.ID == into }) { // a day may have had both
			p.Fleeces[i].ID = into
		}
	}
	for i, b := range p.Batches {
		p.Batches[i].RawScale, p.Batches[i].FleeceID = n.Scale(b.RawScale), n.Into(b.FleeceID)
	}
	p.Gave = slices.Clone(p.Gave)
	for i, g := range p.Gave {
		p.Gave[i].Fleece = n.Into(g.Fleece)
	}
	k := &p.Kit
	k.Tubs, k.Trays, k.Scales = slices.Clone(k.Tubs), slices.Clone(k.Trays), slices.Clone(k.Scales)
	for i, t := range k.Tubs {
		k.Tubs[i].Name = n.kit.NameNow(t.ID, t.Name)
	}
	for i, t := range k.Trays {
		k.Trays[i].Name = n.kit.NameNow(t.ID, t.Name)
	}
	for i, s := range k.Scales {
		k.Scales[i] = n.Scale(s)
	}
	if m, ok := n.methods[p.Method.ID]; ok {
		p.Method.About = m.About
	}
	p.Method.Name = n.Method(p.Method.ID, p.Method.Name)
	return p
}

// Method is the name of a method as it is now, or was last; was where nobody knows it.
func (n *Names) Method(id, was string) string {
	if m, ok := n.methods[id]; ok {
		return m.Name
	}
	if id == "" { // an older version wrote none
		return was
	}
	if name, ok := n.kit.lastName(id); ok { // deleted since
		return name
	}
	return was
}

// fleece gives a fleece the words of the ledger, and what else describes it
// without having made its baths.
func (n Names) fleece(f Fleece) Fleece {
	if now, ok := n.fleeces[n.Into(f.ID)]; ok {
		f.Animal, f.Farm, f.Year = now.Animal, now.Farm, now.Year
		f.Colour, f.StapleMM, f.Notes = now.Colour, now.StapleMM, now.Notes
		if len(now.Joined) > 0 { // its batches are those of all of them
			f.RawG, f.SkirtedG = now.RawG, now.SkirtedG
		}
	}
	return f
}

// Scale is the scale with its name as it is now.
func (n Names) Scale(s Scale) Scale {
	s.Name = n.kit.ScaleName(s.Name)
	return s
}

// ScalesRenamed says that a scale has had another name.
func (n *Names) ScalesRenamed() bool {
	return slices.ContainsFunc(n.kit.Names, func(m MarkName) bool { return strings.HasPrefix(m.Mark, scaleMark) })
}

// FleecePlace is the place of a batch's fleece in its day, from 0; -1 if the mark
// does not begin with a letter (fleeceLetter).
func FleecePlace(batch string) int {
	at := -1
	for i := range len(batch) {
		c := batch[i]
		if c < 'A' || c > 'Z' || i > 3 {
			break
		}
		at = (at+1)*26 + int(c-'A')
	}
	return at
}

// RenameScale gives the scale at i of the list another name and step. Where another
// scale has that name they become one.
func (k Kit) RenameScale(i int, to Scale, at time.Time) Kit {
	to = to.Clean()
	was := k.Scales[i].Name
	all, seen := slices.Clone(k.Scales), false
	all[i], k.Scales = to, nil
	for _, s := range all {
		if s.Name != to.Name || !seen {
			k.Scales = append(k.Scales, s)
		}
		seen = seen || s.Name == to.Name
	}
	mark := scaleMark + was
	for _, n := range k.Names {
		if strings.HasPrefix(n.Mark, scaleMark) && strings.EqualFold(n.Name, was) {
			mark = n.Mark
		}
	}
	k.rename(mark, was, to.Name, at)
	return k
}

// Forget remembers the name of a method that is being deleted.
func (k Kit) Forget(method, name string) Kit {
	k.Names = append(slices.Clone(k.Names), MarkName{Mark: method, Name: name})
	return k
}

// WithNames is the kit with the names that another copy of it has given besides:
// of each mark the one that was given last stands.
func (k Kit) WithNames(o Kit) Kit {
	names := slices.Clone(k.Names)
	for _, n := range o.Names {
		i := slices.IndexFunc(names, func(h MarkName) bool { return h.Mark == n.Mark && h.Name == n.Name })
		switch {
		case i < 0:
			names = append(names, n)
		case n.At.After(names[i].At):
			names[i].At = n.At
		}
	}
	sort.SliceStable(names, func(i, j int) bool { return names[i].At.Before(names[j].At) })
	k.Names = names
	k.Tubs, k.Trays, k.Scales = slices.Clone(k.Tubs), slices.Clone(k.Trays), slices.Clone(k.Scales)
	for i, t := range k.Tubs {
		k.Tubs[i].Name = k.NameNow(t.ID, t.Name)
	}
	for i, t := range k.Trays {
		k.Trays[i].Name = k.NameNow(t.ID, t.Name)
	}
	for i, s := range k.Scales {
		k.Scales[i].Name = k.ScaleName(s.Name)
	}
	return k
}
