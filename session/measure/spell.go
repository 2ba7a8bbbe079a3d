package measure

import "strings"

// spellings are the words that are another one where people measure in US units.
// The program's own sentences are written with the first of each pair; small and
// large letters count, and a longer word stands before one that it begins with.
var spellings = [][2]string{
	{"a residual-current device (RCD)", "a GFCI outlet"},
	{"washing-up bowl", "dishpan"},
	{"measuring jug", "measuring cup"}, {"filled jug", "full cup"}, {"Kettle and jug", "Kettle and cup"}, {"jug", "measuring cup"},
	{"per cent", "percent"},
	{"Height above the sea", "Elevation"}, {"height above the sea", "elevation"},
	{"spin dryer", "spin cycle"}, {"mangle", "wringer"}, {"towards", "toward"},
	{"a socket of another circuit", "an outlet on another circuit"}, {"on the hob", "on the stove"},
	{"litre", "liter"}, {"Litre", "Liter"},
	{"metre", "meter"}, {"Metre", "Meter"},
	{"colour", "color"}, {"Colour", "Color"},
	{"grey", "gray"}, {"Grey", "Gray"},
	{"draught", "draft"}, {"fibre", "fiber"}, {"Fibre", "Fiber"},
}

var speller = newSpeller()

func newSpeller() *strings.Replacer {
	var pairs []string
	for _, s := range spellings {
		pairs = append(pairs, s[0], s[1])
	}
	return strings.NewReplacer(pairs...)
}

// Spell gives one of the program's own sentences as it is written where the person
// lives. What a person typed never goes through it: a name stays as it is, so a
// format is spelled before its names are put in.
func (s System) Spell(text string) string {
	if s.American() {
		return speller.Replace(text)
	}
	return text
}
