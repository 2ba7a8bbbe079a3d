package tui

import (
	"testing"

	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/tui/base"
)

// TestTapFigureInTheRoomField: a figure that belongs to the tap is asked about in
// the field of the room, and the same again is meant; taps likewise, in both units.
func TestTapFigureInTheRoomField(t *testing.T) {
	for _, c := range []struct {
		field int
		typed string
		asks  string
		want  float64
	}{
		{0, "44", "44 °C is odd for a room", 44}, {0, "-5", "-5 °C is odd for a room", -5}, {0, "39", "", 39}, {0, "111 F", "44 °C is odd for a room", 43.88889},
		{1, "22", "", 22}, {1, "92", "a hot tap at 92 °C", 92}, {1, "88", "", 88},
	} {
		for _, way := range []string{"enter", "ctrl+s"} {
			p := newPerson(t, true, withFleeces)
			p.press("k", "1")
			for range c.field {
				p.press("enter")
			}
			p.types(c.typed)
			p.press(way)
			if c.asks != "" {
				p.says(c.asks)
				p.says("Right? Press Enter")
				if p.ledger.HasKit.RoomC != 18 || p.ledger.HasKit.HotTapC != 51 {
					t.Errorf("%q is kept without a question: %+v", c.typed, p.ledger.HasKit)
				}
			}
			p.press("ctrl+s")
			got := []float64{p.ledger.HasKit.RoomC, p.ledger.HasKit.HotTapC}[c.field]
			if got < c.want-0.01 || got > c.want+0.01 {
				t.Errorf("%q by %s: kept %v, not %v:\n%s", c.typed, way, got, c.want, p.view())
			}
		}
	}
	p := newPerson(t, true)
	p.press("k", "1")
	p.types("30")
	p.press("enter")
	p.types("25")
	p.press("enter")
	p.says("a hot tap at 25 °C, below the room's 30 °C")
}

// TestFirstStartProposesUS: where the machine is American the kit of Enter all the way
// is in whole US figures.
func TestFirstStartProposesUS(t *testing.T) {
	p := newPerson(t, false, func(_ *person, d *base.Deps) { d.FirstUnits = measure.US })
	p.sees("> US: °F")
	p.press("ctrl+s")
	k := p.ledger.HasKit
	if k == nil || k.Units != measure.US || k.JugL != measure.LPerUSCup || measure.US.Temp(k.HotTapC) != "125 °F" {
		t.Errorf("%+v\n%s", k, p.view())
	}
}
