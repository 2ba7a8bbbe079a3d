package tui

import (
	"slices"
	"strings"
	"testing"

	"fleece.example/tubside/tui/base"
)

// TestFootShowsWhatDoesSomething: a key stands in the foot only where it does something.
func TestFootShowsWhatDoesSomething(t *testing.T) {
	record := []func(*person, *base.Deps){withRecord}
	noTrays := []func(*person, *base.Deps){withOpenDay(3, 420)}
	for _, c := range []struct {
		name string
		set  []func(*person, *base.Deps)
		keys string
		want string // the labels, those of help and back left out
	}{
		{"nothing dries", nil, "r", ""},
		{"drying without trays", noTrays, "esc r", "Enter d h Up Down"},
		{"drying on trays", record, "r", "Enter d y h u Up Down"},
		{"no fleece", nil, "f", "a"},
		{"fleeces", record, "f", "Enter / a o O p e Up Down"},
		{"no fleece is found", record, "f / x x enter", "/ a o O"},
		{"a washed fleece's card", record, "f enter", "e p Up Down PgDn m h"},
		{"no past day", nil, "d", "a"},
		{"past days", record, "d", "Enter / a m c t x Up Down"},
		{"looking back", record, "d down enter", "v Up Down PgDn w t r p h u"},
		{"looking back while some of it dries", record, "d enter", "v Up Down PgDn w t g r p h u"},
		{"no alarm", nil, "a", "s p"},
		{"one built-in method", nil, "m", "Enter c"},
		{"the first step", nil, "m enter", "e a x J n Up Down"},
		{"the last step", nil, "m enter end", "e a x K n Up Down"},
		{"an empty plan", nil, "p", "a w m"},
		{"kit", nil, "k", "Enter a u Up Down 0-9"},
		{"a tub", nil, "k 5 esc", "Enter a x u Up Down 0-9"},
		{"sound check", nil, "a p", "Enter"},
	} {
		p := newPerson(t, true, c.set...)
		p.resize(200, 60)
		p.press(strings.Fields(c.keys)...)
		var got []string
		for _, it := range p.app.top().(interface{ FootItems() []base.FootItem }).FootItems() {
			if !slices.Contains([]string{"?", "Esc"}, it.Key) {
				got = append(got, it.Key)
			}
		}
		if text := strings.Join(got, " "); text != c.want {
			t.Errorf("%s: the foot has %q, want %q\n%s", c.name, text, c.want, p.view())
		}
	}
}
