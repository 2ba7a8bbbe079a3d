package tui

import (
	"testing"

	tea "github.com/charmbracelet/bubbletea"

	"fleece.example/tubside/session"
)

// TestDayAsksForEachTubAnew: a deed that was asked about at one tub is not done
// at another by the same key.
func TestDayAsksForEachTubAnew(t *testing.T) {
	h := newHand(t, 3, 0)
	step := func(i int) int { return h.day().Tubs[i].At }
	h.press("1", "s")
	h.sees("s again skips it")
	h.press("2", "s")
	h.sees("s again skips it")
	if step(1) != 0 || step(0) != 0 {
		t.Fatalf("steps %d and %d: one press skipped", step(0), step(1))
	}
	h.press("s")
	if step(1) != 1 || step(0) != 0 {
		t.Fatalf("steps %d and %d after two presses at the second tub", step(0), step(1))
	}

	h = newHand(t, 3, 12)
	var soaking []string
	for i, tub := range h.day().Tubs {
		if tub.Phase == session.Soaking {
			soaking = append(soaking, string(rune('1'+i)))
		}
	}
	if len(soaking) < 2 {
		t.Fatalf("only %v soak", soaking)
	}
	h.press(soaking[0], "enter")
	h.sees("Enter again lifts it now")
	h.press(soaking[1], "enter")
	h.sees("Enter again lifts it now")
	for i, tub := range h.day().Tubs {
		if tub.Phase == session.Draining {
			t.Errorf("tub %d was lifted by one press", i+1)
		}
	}
	h.wait(10) // the question has lapsed
	h.press("enter")
	h.sees("Enter again lifts it now")
}

// TestDayHoldTwice: the same key takes up the tub that it held.
func TestDayHoldTwice(t *testing.T) {
	h := newHand(t, 3, 0)
	h.press("h")
	held := h.s.focus
	if !h.s.glances[held].Held {
		t.Fatalf("tub %d is not held", held+1)
	}
	h.press("h")
	for i, g := range h.s.glances {
		if g.Held {
			t.Errorf("tub %d is held after two presses", i+1)
		}
	}
	h.wait(12)
	if h.s.chosen != -1 {
		t.Error("the band stays with the tub for ever")
	}
}

// TestDayKeysWaitForTheBand: a key pressed as the band goes to another tub by
// itself does nothing there.
func TestDayKeysWaitForTheBand(t *testing.T) {
	h := newHand(t, 3, 0)
	h.wait(2)
	first := h.s.focus
	for range 4 { // fills and sinks: the band goes on
		h.s.Update(tea.KeyMsg{Type: tea.KeyEnter})
		if h.s.focus != first {
			break
		}
		h.wait(2)
	}
	if h.s.focus == first {
		t.Fatal("the band has not moved")
	}
	h.s.Update(tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune("h")})
	h.sees("the next tub has just changed")
	if h.s.glances[h.s.focus].Held {
		t.Error("it was put on hold")
	}
}

// TestDayEscClosesTheView: Esc in the far view or the large curve goes back to
// the tubs, not home.
func TestDayEscClosesTheView(t *testing.T) {
	h := newHand(t, 1, 20)
	for _, k := range []string{"f", "v"} {
		h.press(k)
		if !h.s.far && !h.s.large {
			t.Fatalf("%s shows nothing else", k)
		}
		h.press("esc")
		if h.s.far || h.s.large {
			t.Errorf("Esc does not close what %s showed", k)
		}
		h.sees("1 North")
	}
}

// TestDayFillsAnew: b at a filled tub says what it does there.
func TestDayFillsAnew(t *testing.T) {
	h := newHand(t, 1, 0)
	h.press("enter")
	if h.phase(0) != "sink in" {
		t.Fatal(h.phase(0))
	}
	h.press("b")
	h.sees("empty North and fill this bath anew? b again does it")
	h.press("b")
	if h.phase(0) != "fill" {
		t.Errorf("phase %s", h.phase(0))
	}
}
