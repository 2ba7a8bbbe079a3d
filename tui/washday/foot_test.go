package washday

import (
	"strings"
	"testing"

	"fleece.example/tubside/tui/theme"
)

// TestDayFootShowsWhatDoesSomething: likewise while the day runs, at each stage of a tub.
func TestDayFootShowsWhatDoesSomething(t *testing.T) {
	t.Parallel()
	h := newHand(t, 1, 0)
	h.s.SetSize(240, 60)
	seen := map[string]string{}
	for range 400 {
		if !h.day().Running() || h.day().AllRacked() {
			break
		}
		var got []string
		for _, it := range h.s.foot() {
			got = append(got, it.Key)
			if c := it.Key; strings.Contains("rct+-hsbwvuyg", c) { // a copy of the day is asked
				twin := &hand{t, storyScreen(h.day(), h.s.e.Now, theme.Options{NoColor: true})}
				twin.s.SetSize(240, 60)
				twin.press("1", c)
				if twin.s.e.Bad {
					t.Fatalf("%s: %s stands in the foot, and says %q", h.phase(0), c, twin.s.e.Say)
				}
			}
		}
		seen[h.day().Tubs[0].Step().Kind.String()+" "+h.phase(0)] = strings.Join(got, " ")
		h.wait(5)
		if h.phase(0) == "soak" {
			h.wait(25 * 60)
		}
		h.press("enter")
		h.wait(2)
	}
	for phase, want := range map[string]string{
		"presoak fill": "Enter . + - h n f d s e Esc ?", "wash soak": "Enter r c t + - u w h n f d v e Esc ?",
		"wash drain": "Enter . b u h n f d s e Esc ?", "rinse soak": "Enter r c t + - u h n f d v e Esc ?",
	} {
		if seen[phase] != want {
			t.Errorf("%s: the foot has %q, want %q", phase, seen[phase], want)
		}
	}
}
