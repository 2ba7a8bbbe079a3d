package washday

import (
	"maps"
	"regexp"
	"slices"
	"strings"
	"testing"

	tea "github.com/charmbracelet/bubbletea"

	"fleece.example/tubside/tui/tuitest"
)

// TestFirstKeyReplacesInQuestions goes to every field of every question of the day:
// letter, figure, space and what is pasted replace what stands there.
func TestFirstKeyReplacesInQuestions(t *testing.T) {
	seen := map[string]bool{}
	first := []tea.KeyMsg{tuitest.KeyOf("7"), tuitest.KeyOf("q"), tuitest.KeyOf(" "), {Type: tea.KeyRunes, Runes: []rune("8 oz"), Paste: true}}
	for _, keys := range [][]string{{"r"}, {"t"}, {"t", "9", "enter", "enter"}, {"n"}, {"e"}, {"g"}, {"i"}} {
		h := newHand(t, 1, 34)
		for range 200 {
			if _, ok := h.s.beforeRack(0); ok || keys[0] != "g" {
				break
			}
			h.wait(30)
			h.press("enter")
		}
		h.press(" ") // what rings would take a space
		h.press(append([]string{"1"}, keys...)...)
		if h.s.ask == nil {
			t.Fatalf("%v asks nothing:\n%s", keys, h.view())
		}
		for i := range h.s.ask.fields {
			f := &h.s.ask.fields[i]
			seen[f.label] = true
			for _, k := range first {
				h.s.ask.goTo(i)
				h.s.Update(k)
				if f.line.Text() != string(k.Runes) {
					t.Errorf("%s: %q as the first key gives %q", f.label, string(k.Runes), f.line.Text())
				}
			}
		}
	}
	for _, l := range tuitest.Labels(t, regexp.MustCompile(`newField\("([^"]+)"`), "*.go") {
		if !slices.ContainsFunc(slices.Collect(maps.Keys(seen)), func(s string) bool { return strings.HasPrefix(s, l) }) {
			t.Errorf("nobody has typed into %q", l)
		}
	}
}
