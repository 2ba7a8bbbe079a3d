package washday

import (
	"slices"
	"strings"
	"testing"
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/lifecycle"
	"fleece.example/tubside/tui/base"
	"fleece.example/tubside/tui/theme"
)

// TestDayFootShowsWhatDoesSomething: likewise while the day runs, at each stage of a tub.
func TestDayFootShowsWhatDoesSomething(t *testing.T) {
	t.Parallel()
	h := newHand(t, 1, 0)
	h.s.SetSize(240, 60)
	seen := map[string]string{}
	for range 400 {
		if !h.s.e.Live.Day.Running() || h.day().AllRacked() {
			break
		}
		var got []string
		for _, it := range h.s.foot() {
			got = append(got, it.Key)
			if c := it.Key; strings.Contains("rct+-hsbwvuygi", c) { // a copy of the day is asked
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
		"presoak fill": "Enter . + - h n f d i s e Esc ?", "wash soak": "Enter r c t + - u w h n f d i v e Esc ?",
		"wash drain": "Enter . b u h n f d i s e Esc ?", "rinse soak": "Enter r c t + - u h n f d i v e Esc ?",
	} {
		if seen[phase] != want {
			t.Errorf("%s: the foot has %q, want %q", phase, seen[phase], want)
		}
	}
}

// TestFootKeepsTheKettle: while there is a kettle to tell of, its key stands at every width, whatever
// rings; and its question stands though the band goes to another tub.
func TestFootKeepsTheKettle(t *testing.T) {
	h := kettleHand(t, 80, 24)
	h.wait(17 * 60)
	h.press("o")
	rings := session.Alarm{Kind: session.NearRelease, Priority: session.HighPriority}
	rings.Life, _ = rings.Life.Next(lifecycle.Arise, time.Time{}, "")
	for range 40 {
		h.wait(60)
		h.press("1")
		if _, on := h.s.kettleKey(); !on {
			t.Fatalf("no kettle to tell of: %+v", h.day().Kettle)
		}
		for _, size := range [][2]int{{40, 12}, {60, 16}, {80, 24}, {120, 40}} {
			h.s.e.Live.Day.Alarms = append(slices.Clone(h.day().Alarms), rings)
			h.s.SetSize(size[0], size[1])
			if !slices.ContainsFunc(h.s.foot(), func(it base.FootItem) bool { return it.Key == "o" }) {
				t.Fatalf("at %v:\n%s", size, h.view())
			}
		}
	}
	h = kettleHand(t, 80, 24)
	h.wait(17 * 60)
	h.press("o", "o")
	h.sees("boiled already? Press o again")
	h.s.focus = -1 // by itself it goes to the tub
	h.wait(1)
	h.sees("boiled already? Press o again")
}
