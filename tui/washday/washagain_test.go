package washday

import (
	"strings"
	"testing"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/shed"
)

// TestWashAgainAtTheTub: the foot names the key while the tub drains, in every window; it asks
// which dose, and from a rinse also whether the rinse alone is meant.
func TestWashAgainAtTheTub(t *testing.T) {
	for _, size := range [][2]int{{120, 40}, {80, 24}, {40, 12}} {
		h := newHand(t, 1, 0)
		toRinse := func() { // drained, the first
			for range 30 {
				if tub := h.day().Tubs[0]; tub.Phase == shed.Draining && tub.Step().Kind == shed.Rinse {
					break
				}
				h.must(session.DoNext{Tub: 0, Act: h.day().NextAction(0), Sooner: true})
			}
			h.wait(1)
		}
		toRinse()
		h.s.SetSize(size[0], size[1])
		h.sees(map[bool]string{true: "b rewash", false: "b again"}[size[0] > narrowFoot])
		h.press("b")
		for _, text := range []string{"AGAIN?", "hot wash again", "only the first"} {
			h.sees(text)
		}
		h.wait(5)
		h.press("2")
		if tub := h.day().Tubs[0]; tub.Step().Kind != shed.Wash || tub.Step().DosePart != 0.5 {
			t.Errorf("at %v: %+v", size, tub.Step())
		}
		if !strings.Contains(h.view(), "empty the tub first") {
			t.Errorf("at %v nothing says that the tub is full:\n%s", size, h.view())
		}
		toRinse() // after half a dose all of it is offered again
		h.press("b")
		h.wait(5)
		h.press("1")
		if !strings.HasPrefix(h.s.e.Say, "North: second hot wash again, ") {
			t.Error(h.s.e.Say)
		}
		if tub := h.day().Tubs[0]; tub.Step().Kind != shed.Wash || tub.Step().Dose() != 1 {
			t.Errorf("at %v: %+v", size, tub.Step())
		}
	}
}

// A wash again that won't be out before the next break waits for it, which the question and its answer say with
// its time; one that there is time for does not.
func TestWashAgainBeforeABreak(t *testing.T) {
	for inMin, says := range map[float64]bool{20: true, 90: false} {
		h := newHand(t, 1, 0)
		for range 30 {
			if tub := h.day().Tubs[0]; tub.Phase == shed.Draining && tub.Step().Kind == shed.Rinse {
				break
			}
			h.must(session.DoNext{Tub: 0, Act: h.day().NextAction(0), Sooner: true})
		}
		h.must(session.TakeBreak{InMin: inMin, ForMin: 30})
		h.wait(1)
		h.press("b")
		h.wait(5)
		if asked := strings.Contains(h.s.ask.hint, "it waits till after your break, "); asked != says {
			t.Errorf("a break in %g min: asked %q", inMin, h.s.ask.hint)
		}
		if h.press("1"); strings.Contains(h.s.e.Say, "; it waits till after your break, ") != says || !strings.Contains(h.s.e.Say, "hot wash again") {
			t.Errorf("a break in %g min: %q", inMin, h.s.e.Say)
		}
	}
}
