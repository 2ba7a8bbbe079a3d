package washday

import (
	"strings"
	"testing"

	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/tui/theme"
	"fleece.example/tubside/tui/tuitest"
)

// TestDayNeverTellsToFillABathThatCannotWash: the band says not to, and what
// would do; one Enter asks, a second fills all the same. The list says it first.
func TestDayNeverTellsToFillABathThatCannotWash(t *testing.T) {
	for _, size := range [][2]int{{120, 40}, {80, 24}, {40, 12}} {
		p := tuitest.StoryPlan(3)
		for i := range p.Batches {
			p.Batches[i].Presoak = shed.PresoakNone
		}
		p.Kit.HotTapC, p.Kit.Kettle = 35, shed.Kettle{}
		s := storyScreen(tuitest.StartStory(t, p), tuitest.StoryStart, theme.Options{NoColor: true})
		s.SetSize(size[0], size[1])
		h := &hand{t, s}
		h.wait(1)
		h.sees("DO NOT FILL, TOO COOL")
		h.sees("raise the tank to 61 °C, or boil")
		if size[0] == 40 { // what to do is there, the reason has no room
			continue
		}
		h.sees("with the fleece in, and wax sets below 49 °C")
		h.sees("raise the tank to 61 °C")
		h.sees("boil ")
		h.sees("A1's first hot wash in North is too cool to wash, 34 °C with the fleece in")
		if strings.Contains(h.view(), "stir in") || strings.Contains(h.view(), "FILL FOR") {
			t.Errorf("it tells to fill:\n%s", h.view())
		}
		h.press("1", "enter")
		h.sees("would be too cool to wash. Enter again: filled all the same")
		if h.phase(0) != "fill" {
			t.Fatal("one press filled it")
		}
		h.press("enter")
		if h.phase(0) != "sink in" {
			t.Errorf("two presses did not: %s\n%s", h.phase(0), h.view())
		}
		h.press("1")
		h.sees("b empties it: then raise the tank to 61 °C") // a fresh fill alone would be as cool
	}
}
