package tui

import (
	"math"
	"slices"
	"testing"
	"time"

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

// TestWeightOfTheOtherUnit: what weighs too little for a whole fleece or a batch may be of the larger
// unit: it is asked about, and the same again is meant.
func TestWeightOfTheOtherUnit(t *testing.T) {
	for _, c := range []struct {
		units       measure.System
		typed, asks string
		wantG       float64
	}{
		{measure.US, "5.25", "5.25 oz is light for a whole fleece: for pounds type 5.25 lb. Right? Press Enter", 5.25 * measure.GPerOz},
		{measure.US, "15", "", 15 * measure.GPerOz}, {measure.US, "5 lb 4", "", 84 * measure.GPerOz},
		{measure.Metric, "12", "12 g is light for a whole fleece: for kilos type 12 kg", 12}, {measure.Metric, "150", "150 g is light for a whole fleece. Right?", 150},
		{measure.Metric, "450", "", 450},
	} {
		p := newPerson(t, true, func(p *person, _ *base.Deps) { p.ledger.HasKit.Units = c.units })
		p.press("f", "a")
		p.types("Doubtful")
		p.press("enter", "enter", "enter")
		p.types(c.typed)
		p.press("enter")
		if c.asks != "" {
			p.says(c.asks)
			p.wait(3 * time.Second)
		} else {
			p.seesNot("light for")
		}
		p.press("ctrl+s")
		p.settled()
		if len(p.ledger.Have) != 1 || math.Abs(p.ledger.Have[0].RawG-c.wantG) > 1e-6 {
			t.Errorf("%q in %v: %+v\n%s", c.typed, c.units, p.ledger.Have, p.view())
		}
	}
	p := newPerson(t, true, withFleeces, func(p *person, _ *base.Deps) { p.ledger.HasKit.Units = measure.US })
	p.press("f", "enter", "e", "enter", "enter", "enter", "enter")
	p.types("2")
	p.press("enter")
	p.says("2 oz is little to be left of ")
	p.press("esc", "esc", "esc", "p", "a", "ctrl+s", "enter", "enter")
	p.types("1")
	p.press("enter")
	p.says("1 oz is light for a batch: for pounds type 1 lb. Right?")
}

// TestFirstStartProposesUS: where the machine is American the kit of Enter all the way
// is in whole US figures.
func TestFirstStartProposesUS(t *testing.T) {
	p := newPerson(t, false, func(_ *person, d *base.Deps) { d.FirstUnits = measure.US })
	p.sees("> US: °F")
	p.press(slices.Repeat([]string{"enter"}, 8)...)
	p.sees("Kettle and cup")
	p.press("ctrl+s")
	k := p.ledger.HasKit
	if k == nil || k.Units != measure.US || k.JugL != measure.LPerUSCup || measure.US.Temp(k.HotTapC) != "125 °F" {
		t.Errorf("%+v\n%s", k, p.view())
	}
}
