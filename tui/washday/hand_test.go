package washday

import (
	"strings"
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"fleece.example/tubside/session/long"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/tui/paint"
	"fleece.example/tubside/tui/theme"
	"fleece.example/tubside/tui/tuitest"
)

// TestDayChosenTubStays: a tub chosen by hand stays chosen while another one
// rings, whatever the time; the alarm is in sight all the while, beside any
// sentence and in every view, and Enter means the chosen tub. Esc goes to it.
func TestDayChosenTubStays(t *testing.T) {
	h := newHand(t, 3, 34)
	h.press("3")
	pressing, ok := h.day().Pressing()
	for !ok || pressing.Tub == 2 {
		h.wait(30)
		if h.s.e.Now.Sub(tuitest.StoryStart) > 3*time.Hour {
			t.Fatal("no other tub has rung in three hours")
		}
		pressing, ok = h.day().Pressing()
	}
	ringing := pressing.Tub
	alarm := "ALARM " + h.s.glances[ringing].Name
	h.wait(130)
	if h.s.focus != 2 {
		t.Fatalf("the band speaks of %d", h.s.focus)
	}
	h.sees(alarm)
	h.press("r")
	h.sees("Tray: WHAT DOES")
	h.sees(alarm)
	h.write("5x")
	h.press("enter")
	h.wait(60)
	h.sees("Tray: WHAT DOES")
	h.press("5", "8", "enter")
	h.sees("noted")
	h.sees(alarm)
	if b := h.day().Tubs[2].Bath.Readings; len(b) != 1 || b[0].TempC != 58 || h.s.focus != 2 {
		t.Errorf("readings %+v, the band speaks of %d", b, h.s.focus)
	}
	for _, size := range tuitest.Sizes {
		h.s.SetSize(size[0], size[1])
		for range 2 {
			if h.press("f"); h.s.far { // all of it is the alarm's
				h.sees("ALARM WASH NOT LIFTED   " + strings.ToUpper(h.s.glances[ringing].Name))
				h.sees("Tray: ")
				continue
			}
			h.sees(alarm)
		}
	}
	h.s.SetSize(120, 40)
	h.press("esc")
	if h.s.focus != ringing {
		t.Fatalf("Esc does not go to the alarm, but to %d", h.s.focus)
	}
	h.press("3")
	before := h.phase(ringing)
	for range 3 { // asks first, if the soak is not over; then the alarm's tub comes up
		if h.press("enter"); h.s.chosen < 0 {
			break
		}
	}
	if h.phase(2) != "drain" || h.phase(ringing) != before {
		t.Fatalf("Enter did %q at the chosen tub and %q at the ringing one", h.phase(2), h.phase(ringing))
	}
	if h.s.focus != ringing {
		t.Errorf("after the deed the band speaks of %d", h.s.focus)
	}
	h.s.Update(tea.KeyMsg{Type: tea.KeyEnter}) // it has just moved there
	if got := h.phase(ringing); got != before {
		t.Errorf("an Enter meant for the chosen tub did %q at the ringing one", got)
	}
}

// TestDayBandWaitsForAQuestion: while a question is open the band does not go to
// another tub, and the Enter that saves the answer, bouncing, is no deed.
func TestDayBandWaitsForAQuestion(t *testing.T) {
	h := newHand(t, 3, 34)
	h.press("esc", "r")
	asked := h.s.focus
	h.write("60")
	h.wait(20 * 60)
	if h.s.focus != asked {
		t.Fatalf("the band went from %d to %d while it asked", asked, h.s.focus)
	}
	before := h.day().LastSeq
	h.s.Update(tea.KeyMsg{Type: tea.KeyEnter})
	h.sees("noted")
	after := h.day().LastSeq
	h.s.Update(tea.KeyMsg{Type: tea.KeyEnter})
	h.s.Update(tea.KeyMsg{Type: tea.KeyEnter})
	if got := h.day().LastSeq; after == before || got != after {
		t.Errorf("events %d, %d with the answer, %d after Enter has bounced", before, after, got)
	}
	h.press("1", "c")
	h.s.Update(tuitest.KeyOf("3"))
	h.s.Update(tuitest.KeyOf("3"))
	if h.s.chosen != 0 {
		t.Errorf("the digit bounced and chose tub %d", h.s.chosen+1)
	}
}

// TestDayQuestionNamesItsTub: in letters as large as there is room for, beside
// all its words; else in the words.
func TestDayQuestionNamesItsTub(t *testing.T) {
	for _, c := range []struct {
		name  string
		sizes [][2]int
		large bool
	}{
		{"South", [][2]int{{80, 24}, {120, 40}, {160, 50}, {200, 60}}, true},
		{"South", [][2]int{{40, 12}}, false},
		{"The long zinc bath by the door", [][2]int{{40, 12}, {80, 24}}, false},
		{"Über", [][2]int{{120, 40}}, false},
	} {
		p := tuitest.StoryPlan(3)
		p.Kit.Tubs[1].Name = c.name
		d, now := tuitest.PlayFor(t, tuitest.StartStory(t, p), tuitest.StoryStart, 34)
		for _, key := range []string{"r", "t", "c", "n"} {
			for _, size := range c.sizes {
				h := &hand{t, storyScreen(d.Boiled(), now, theme.Options{NoColor: true})}
				h.s.SetSize(size[0], size[1])
				h.press("2", key)
				view := strings.Join(strings.Fields(h.view()), " ")
				if !strings.Contains(view, c.name+": ") {
					t.Errorf("%v at %v does not name the tub:\n%s", key, size, h.view())
				}
				large := false
				for scale := range 2 {
					large = large || strings.Contains(h.view(), strings.TrimRight(paint.Figures(c.name, scale, false)[1], " "))
				}
				if large != c.large {
					t.Errorf("%v at %v: in large letters %v, want %v:\n%s", key, size, large, c.large, h.view())
				}
				for _, l := range h.s.ask.lines() {
					if size[0] >= 80 && !strings.Contains(strings.ReplaceAll(view, " ", ""), strings.Fields(l)[0]) || strings.Contains(strings.Join(strings.Split(h.view(), "\n")[2:9], ""), "…") {
						t.Errorf("%v at %v: cut:\n%s", key, size, h.view())
					}
				}
			}
		}
	}
}

// TestDayRefusedByWhatever: whatever refuses a question, the answer that was
// meant for it, with its unit and its fields, chooses nothing and does nothing.
func TestDayRefusedByWhatever(t *testing.T) {
	moved := func(h *hand) { // fills and sinks, till the band goes on by itself
		h.press("esc")
		first := h.s.focus
		for range 4 {
			h.wait(2)
			if h.s.Update(tea.KeyMsg{Type: tea.KeyEnter}); h.s.focus != first {
				return
			}
		}
		t.Fatal("the band has not moved")
	}
	noTub := func(h *hand) {
		h.s.focus, h.s.chosen, h.s.prompts = -1, -1, nil
	}
	answers := []string{"65\n", "3 2\n", "1 1/2 cups\n97\n", "63 c\n", "145f\n", "2\n", "3,5 u\n"}
	tried := 0
	for name, c := range map[string]struct {
		key   string
		state func(h *hand)
	}{
		"reading, moved": {"r", moved}, "cover, moved": {"c", moved}, "top-up, moved": {"t", moved},
		"tray, moved": {"y", moved}, "spun, moved": {"g", moved},
		"reading, no bath": {"r", func(h *hand) { h.press("1") }}, "top-up, no bath": {"t", func(h *hand) { h.press("2") }},
		"cover, no bath": {"c", func(h *hand) { h.press("2") }}, "nothing spun": {"g", func(h *hand) { h.press("2") }}, "nothing to rack": {"y", func(h *hand) { h.press("3") }},
		"no tub": {"r", noTub}, "no tub for the top-up": {"t", noTub},
	} {
		for _, answer := range answers {
			for _, slow := range []bool{true, false} { // or looks at the thermometer, and types quickly
				if !slow && answer == "2\n" {
					continue // no figure by then, but a tub and its deed
				}
				if tried++; !long.Turn(tried, 4) {
					continue // others each time: the states come in any order
				}
				h := newHand(t, 3, 0)
				c.state(h)
				h.s.Update(tuitest.KeyOf(c.key))
				if h.s.ask != nil {
					t.Fatalf("%s: it asks", name)
				}
				if !h.s.e.Bad {
					t.Errorf("%s: it does not say why", name)
				}
				focus, chosen, seq := h.s.focus, h.s.chosen, h.day().LastSeq
				each := time.Second
				if !slow {
					h.wait(4)
					each = 400 * time.Millisecond
				}
				for _, r := range answer {
					k := tuitest.KeyOf(string(r))
					if r == '\n' {
						k = tuitest.KeyOf("enter")
					}
					h.s.e.Now = h.s.e.Now.Add(each)
					h.s.Update(k)
				}
				moved := h.s.chosen != chosen || focus >= 0 && h.s.focus != focus
				if h.day().LastSeq != seq || slow && moved || h.s.ask != nil || h.s.far {
					t.Errorf("%s, %q slowly %v: events %d to %d, band %d to %d, asks %v", name, answer, slow, seq, h.day().LastSeq, focus, h.s.focus, h.s.ask != nil)
				}
			}
		}
	}
	h := newHand(t, 3, 0)
	h.press("1", "r", "6", "esc", "2") // Esc ends it at once
	if h.s.chosen != 1 {
		t.Errorf("after Esc a digit is not heard: %d", h.s.chosen)
	}
	h.press("7", "5", "c") // there is no tub 7: a figure
	if h.s.chosen != 1 || h.s.ask != nil {
		t.Errorf("a figure chose tub %d", h.s.chosen+1)
	}
}

// TestWeighedSpunIsSpun: whoever weighs a batch spun, or lays it on a tray, has
// spun it: one question does for both, and racks nothing by itself.
func TestWeighedSpunIsSpun(t *testing.T) {
	h := newHand(t, 1, 0)
	for range 200 {
		if _, ok := h.s.beforeRack(0); ok {
			break
		}
		h.wait(30)
		h.press("enter")
	}
	if h.phase(0) != "drain" {
		t.Fatalf("before the rack: %s", h.phase(0))
	}
	h.sees("EMPTY THE TUB, SPIN")
	h.press("g")
	h.write("300")
	h.press("enter")
	d := h.day()
	if h.phase(0) != "rack" || len(d.Fate["A1"].Wet) != 1 {
		t.Fatalf("%s, %+v:\n%s", h.phase(0), d.Fate["A1"], h.view())
	}
	h.press("enter")
	if h.day().Fate["A1"].RackedAt.IsZero() {
		t.Errorf("not racked:\n%s", h.view())
	}
}

// TestNearEndIsSaid: of when a wash comes down to its release temperature the near end is
// said, with a reading and without.
func TestNearEndIsSaid(t *testing.T) {
	h := newHand(t, 1, 34)
	h.s.SetSize(200, 60)
	h.sees("min above 49 °C")
	h.press("1", "r")
	h.write("63")
	h.press("enter")
	h.sees("min above 49 °C")
}

// TestNoteSaysWhatItIsAbout: the tub chosen by hand, else the day; Tab turns.
func TestNoteSaysWhatItIsAbout(t *testing.T) {
	write := func(h *hand, keys ...string) shed.Note {
		t.Helper()
		h.press(keys...)
		h.press("x", "enter")
		notes := h.day().Notes
		if len(notes) == 0 {
			t.Fatalf("no note:\n%s", h.view())
		}
		return notes[len(notes)-1]
	}
	h := newHand(t, 3, 34)
	h.press("2", "n")
	h.sees("South: A NOTE ABOUT THIS TUB")
	h.sees("Tab: about the whole day")
	if n := write(h); n.Tub != 1 {
		t.Errorf("about tub %d", n.Tub)
	}
	h.press("2", "esc", "n") // Esc has let it go
	h.sees("A NOTE ABOUT THE WHOLE DAY")
	if n := write(h); n.Tub != -1 {
		t.Errorf("about tub %d", n.Tub)
	}
	if n := write(h, "3", "n", "tab"); n.Tub != -1 {
		t.Errorf("turned to the day, and about tub %d", n.Tub)
	}
	if n := write(h, "3", "n", "tab", "tab"); n.Tub != 2 {
		t.Errorf("turned back, and about tub %d", n.Tub)
	}
}

// TestReadingIsNotContradicted: what was read is on the screen as it was typed, and
// is what the bath has.
func TestReadingIsNotContradicted(t *testing.T) {
	for typed, about := range map[string]string{"60": "about 60 °C", "51": "about 51 °C", "64.5": "about 64 °C"} {
		h := newHand(t, 1, 34)
		h.press("1", "r")
		h.write(typed)
		h.press("enter")
		if h.s.ask != nil { // far from what was expected
			h.press("enter")
		}
		h.sees(typed + " °C noted")
		h.sees(about)
	}
}
