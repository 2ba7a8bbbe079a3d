package washday

import (
	"strings"
	"testing"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/coach"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/tui/theme"
	"fleece.example/tubside/tui/tuitest"
)

// wentOn is a day whose hand has just lowered North's fleece in, and whose band has gone on by
// itself to South, soaking too.
func wentOn(t *testing.T) *hand {
	h := newHand(t, 2, 0)
	h.press("2", "enter")
	h.must(session.AdjustSoak{Tub: 1, ByMin: -5})
	h.press("1", "enter")
	if h.phase(0) != "soak" || h.phase(1) != "soak" {
		t.Fatal(h.phase(0), h.phase(1))
	}
	h.must(session.AdjustSoak{Tub: 0, ByMin: 60})
	h.wait(10)
	if h.s.focus != 1 || h.s.chosen >= 0 {
		t.Fatalf("the band is at %d, chosen %d", h.s.focus, h.s.chosen)
	}
	return h
}

// TestKeyIsOfTheTubInHand: a key that needs a tub, pressed soon after a deed at another than the
// band has gone on to, asks which of the two where both could take it, and no figure counts
// before; where one alone can, it is of that one.
func TestKeyIsOfTheTubInHand(t *testing.T) {
	for _, k := range []string{"r", "c", "t", "+", "-", "h"} {
		h := wentOn(t)
		before := h.day().LastSeq
		h.press(k)
		if h.s.ask != nil || h.day().LastSeq != before || !strings.Contains(h.s.e.Say, k+" again for South, 1 "+k+" for North") {
			t.Fatalf("%s: %q, asks %v", k, h.s.e.Say, h.s.ask)
		}
		of := func(tub int, keys ...string) {
			t.Helper()
			h.press(keys...)
			at := -1
			if h.s.ask != nil {
				at = h.s.ask.tub
			} else if e, ok := h.day().LastDeed(); ok && h.day().LastSeq > before {
				at = session.TubOf(e)
			}
			if at != tub {
				t.Errorf("%s, then %q: at tub %d, want %d: %q", k, keys, at+1, tub+1, h.s.e.Say)
			}
		}
		of(1, k)
		h = wentOn(t)
		h.press(k)
		of(0, "1", k)
		h = wentOn(t)
		of(0, "1", k) // chosen: nothing is asked
		h = wentOn(t)
		h.wait(60) // the hand is no longer there
		of(1, k)
	}
	h := wentOn(t)
	h.press("r", "6", "5", "enter")
	if n := len(h.day().Tubs[0].Bath.Readings) + len(h.day().Tubs[1].Bath.Readings); n > 0 {
		t.Errorf("figures for a question that nobody asked count: %q", h.s.e.Say)
	}

	h = newHand(t, 2, 0) // the band's tub has no water yet
	h.press("1", "enter")
	h.wait(3)
	if h.s.focus != 1 || h.phase(1) == shed.Soaking.String() {
		t.Fatal(h.s.focus, h.phase(1))
	}
	h.press("r")
	if h.s.ask == nil || h.s.ask.tub != 0 || !strings.HasPrefix(h.s.ask.title, "North") {
		t.Errorf("%q, asks %+v", h.s.e.Say, h.s.ask)
	}
	h.press("esc")
	if h.wait(10); h.s.focus != 1 {
		t.Errorf("the band stays at tub %d", h.s.focus+1)
	}
}

// TestEnterInAQuestion: the foot says what Enter does in a question of two figures, and Esc
// leaves the question, whatever waits.
func TestEnterInAQuestion(t *testing.T) {
	h := newHand(t, 3, 0)
	h.press("1", "enter")
	h.press("1", "t")
	h.s.SetSize(80, 24)
	h.sees("Enter next field")
	if strings.Contains(h.view(), "Esc goes there") || !strings.Contains(h.view(), "comes first") {
		t.Errorf("%s", h.view())
	}
	h.press("enter")
	h.sees("Enter saves")
}

// TestDeedTakenBackIsNotInHand: once a deed is taken back no key asks about it.
func TestDeedTakenBackIsNotInHand(t *testing.T) {
	h := wentOn(t)
	if h.press("1", "enter"); h.s.pending.cmd != nil {
		h.press("enter")
	}
	if h.phase(0) != "drain" {
		t.Fatalf("%s: %q", h.phase(0), h.s.e.Say)
	}
	if h.press("u"); h.phase(0) != "soak" {
		t.Fatalf("%s: %q", h.phase(0), h.s.e.Say)
	}
	if h.wait(3); h.s.focus != 1 {
		t.Fatalf("the band is at tub %d", h.s.focus+1)
	}
	if h.press("r"); h.s.ask == nil || h.s.ask.tub != 1 {
		t.Errorf("%q, asks %+v", h.s.e.Say, h.s.ask)
	}
}

// TestWhatComesFirstIsWhatEscGoesTo: while a chosen tub is looked at, the line of what comes first names the kettle where
// that leads the list, and Esc goes to what it names.
func TestWhatComesFirstIsWhatEscGoesTo(t *testing.T) {
	seen := map[string]bool{}
	s := storyScreen(tuitest.StartStory(t, tuitest.StoryPlan(2)), tuitest.StoryStart, theme.Options{NoColor: true})
	s.SetSize(80, 24)
	h := &hand{t, s}
	for range 4 {
		h.press("enter")
		h.wait(5)
	}
	for range 40 {
		h.wait(60)
		for _, k := range []string{"1", "2"} {
			h.press(k)
			says := strings.Join(h.s.waits(400), "")
			for _, who := range []string{"The kettle", "North", "South"} {
				if !strings.Contains(says, who+" comes first: ") {
					continue
				}
				seen[who] = true
				h.press("esc")
				if _, boils := h.s.boilFirst(); boils != (who == "The kettle") || !boils && h.s.glances[h.s.focus].Name != who {
					t.Fatalf("%q, and Esc goes to:\n%s", strings.TrimSpace(says), h.view())
				}
			}
			if h.press("esc"); says == "" && h.s.next[0].Rank <= coach.Now {
				if boil, boils := h.s.boilFirst(); boils && boil.Rank == coach.Now {
					t.Fatalf("with %s chosen the kettle has no line:\n%s", k, h.view())
				}
			}
		}
	}
	if !seen["The kettle"] {
		t.Errorf("seen %v", seen)
	}
}
