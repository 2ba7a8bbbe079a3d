package shed

import (
	"slices"
	"strings"
	"time"

	"fleece.example/tubside/session/measure"
)

// MarkName is a name that something of the kit has had. The one that stands last
// of a mark is its name now.
type MarkName struct {
	Mark string    `json:"mark"` // of a tub, a tray or a method; of a scale scaleMark and its first name
	Name string    `json:"name"`
	At   time.Time `json:"at,omitzero"` // when it was given; zero: the first, or not known
}

// scaleMark begins the mark of a scale: no other part of the kit has a blank in
// its mark.
const scaleMark = "scale "

// Names are the names as they are now. A day keeps a copy of what it was washed
// with, because its figures have to stay; a name that is put right later follows
// by its mark.
type Names struct {
	kit     Kit
	fleeces map[string]Fleece
	methods map[string]Method
}

// NamesOf are the names in a kit (the zero one names nothing) and in lists of fleeces
// and methods.
func NamesOf(kit Kit, fleeces []Fleece, methods []Method) Names {
	n := Names{kit: kit.Clean(), fleeces: map[string]Fleece{}, methods: map[string]Method{}}
	for _, f := range fleeces {
		n.fleeces[f.ID] = f.Clean()
	}
	for _, m := range methods {
		n.methods[m.ID] = m.Clean()
	}
	return n
}

// TitleOf is the title of a fleece by its mark.
func (n Names) TitleOf(id string) (title string, ok bool) {
	f, ok := n.fleeces[id]
	return f.Title(), ok
}

// Plan is the plan with the names as they are now: of fleeces, tubs, trays, scales and the
// method.
func (n Names) Plan(p Plan) Plan {
	p.Fleeces, p.Batches = slices.Clone(p.Fleeces), slices.Clone(p.Batches)
	for i, f := range p.Fleeces {
		p.Fleeces[i] = n.fleece(f)
	}
	for i, b := range p.Batches {
		p.Batches[i].RawScale = n.Scale(b.RawScale)
	}
	k := &p.Kit
	k.Tubs, k.Trays, k.Scales = slices.Clone(k.Tubs), slices.Clone(k.Trays), slices.Clone(k.Scales)
	for i, t := range k.Tubs {
		k.Tubs[i].Name = n.kit.nameNow(t.ID, t.Name)
	}
	for i, t := range k.Trays {
		k.Trays[i].Name = n.kit.nameNow(t.ID, t.Name)
	}
	for i, s := range k.Scales {
		k.Scales[i] = n.Scale(s)
	}
	if m, ok := n.methods[p.Method.ID]; ok {
		p.Method.Name, p.Method.About = m.Name, m.About
	} else if name, ok := n.kit.lastName(p.Method.ID); ok { // deleted since
		p.Method.Name = name
	}
	return p
}

// fleece gives a fleece the words of the ledger, and what else describes it
// without having made its baths.
func (n Names) fleece(f Fleece) Fleece {
	if now, ok := n.fleeces[f.ID]; ok {
		f.Animal, f.Farm, f.Year = now.Animal, now.Farm, now.Year
		f.Colour, f.StapleMM, f.Notes = now.Colour, now.StapleMM, now.Notes
	}
	return f
}

// Scale is the scale with its name as it is now.
func (n Names) Scale(s Scale) Scale {
	s.Name = n.kit.ScaleName(s.Name)
	return s
}

// ScalesRenamed says that a scale has had another name.
func (n Names) ScalesRenamed() bool {
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

// lastName is the name that a mark was given last; ok is false if it never had
// another.
func (k Kit) lastName(mark string) (name string, ok bool) {
	for _, n := range slices.Backward(k.Names) {
		if n.Mark == mark && mark != "" {
			return n.Name, true
		}
	}
	return "", false
}

// nameNow is the name now of what had a mark and a name. Where the mark never had
// that name it is another thing, of a kit from elsewhere, and keeps it.
func (k Kit) nameNow(mark, name string) string {
	if slices.ContainsFunc(k.Names, func(n MarkName) bool { return n.Mark == mark && n.Name == name }) {
		now, _ := k.lastName(mark)
		return now
	}
	return name
}

// ScaleName is the name now of a scale that was written down under a name.
func (k Kit) ScaleName(name string) string {
	for _, n := range slices.Backward(k.Names) {
		if name != "" && strings.HasPrefix(n.Mark, scaleMark) && strings.EqualFold(n.Name, name) {
			now, _ := k.lastName(n.Mark)
			return now
		}
	}
	return name
}

// rename remembers that a mark has another name from now on.
func (k *Kit) rename(mark, was, is string, at time.Time) {
	if was == "" || was == is || k.nameNow(mark, was) == is {
		return
	}
	names := slices.Clone(k.Names)
	if k.nameNow(mark, was) == was && !slices.ContainsFunc(names, func(n MarkName) bool { return n.Mark == mark && n.Name == was }) {
		names = append(names, MarkName{Mark: mark, Name: was})
	}
	names = slices.DeleteFunc(names, func(n MarkName) bool { return n.Mark == mark && n.Name == is })
	k.Names = append(names, MarkName{Mark: mark, Name: is, At: at})
}

// RenameScale gives the scale at i of the list another name and step. Where another
// scale has that name they become one.
func (k Kit) RenameScale(i int, to Scale, at time.Time) Kit {
	to = to.Clean()
	was := k.Scales[i].Name
	k.Scales = slices.Clone(k.Scales)
	k.Scales[i] = to
	seen := false
	k.Scales = slices.DeleteFunc(k.Scales, func(s Scale) bool {
		again := s.Name == to.Name && seen
		seen = seen || s.Name == to.Name
		return again
	})
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
	slices.SortStableFunc(names, func(a, b MarkName) int { return a.At.Compare(b.At) })
	k.Names = names
	k.Tubs, k.Trays, k.Scales = slices.Clone(k.Tubs), slices.Clone(k.Trays), slices.Clone(k.Scales)
	for i, t := range k.Tubs {
		k.Tubs[i].Name = k.nameNow(t.ID, t.Name)
	}
	for i, t := range k.Trays {
		k.Trays[i].Name = k.nameNow(t.ID, t.Name)
	}
	for i, s := range k.Scales {
		k.Scales[i].Name = k.ScaleName(s.Name)
	}
	return k
}

// cleanNames makes the names safe to show, and has no name of a mark be older than
// the one before it: the clock may have been set back between the two, and copies
// are put together by time.
func cleanNames(names []MarkName) []MarkName {
	out, last := slices.Clone(names), map[string]time.Time{}
	for i, n := range out {
		n.Mark, n.Name = measure.CleanText(n.Mark, 2*MaxName), measure.CleanText(n.Name, MaxName)
		if n.At.Before(last[n.Mark]) {
			n.At = last[n.Mark]
		}
		out[i], last[n.Mark] = n, n.At
	}
	return out
}
