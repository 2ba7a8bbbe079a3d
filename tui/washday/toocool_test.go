package washday

import (
	"strings"
	"testing"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/shed"
)

// TestDayNeverTellsToFillABathThatCannotWash: the band says not to, and what
// would do; one Enter asks, a second fills all the same. The list says it first.
func TestDayNeverTellsToFillABathThatCannotWash(t *testing.T) {
	for _, size := range [][2]int{{120, 40}, {80, 24}, {40, 12}} {
		h := washHand(t, 3, size[0], size[1], func(p *shed.Plan) { p.Kit.HotTapC, p.Kit.Kettle = 35, shed.Kettle{} })
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
		h.sees("would be too cool to wash. If you filled it anyway, press Enter")
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

// TestTooCoolPoursNobodysKettle: whoever fills all the same has the tap's water; a kettle that
// boils for another tub stays on for that.
func TestTooCoolPoursNobodysKettle(t *testing.T) {
	h := washHand(t, 2, 120, 40, func(p *shed.Plan) { p.Kit.HotTapC, p.Kit.Kettle.CapacityL = 44, 0.8 })
	h.wait(1)
	h.must(session.TellKettle{Tub: 0, Batch: "A1"})
	h.press("2")
	h.sees("DO NOT FILL, TOO COOL")
	h.press("enter")
	h.wait(2)
	h.press("enter")
	b, on := h.day().Tubs[1].Bath, h.day().Kettle
	if h.phase(1) != "sink in" || b.FillC > 44.5 || on.OnAt.IsZero() || on.Tub != 0 {
		t.Errorf("%s at %.1f °C; the kettle is %+v", h.phase(1), b.FillC, on)
	}
}
