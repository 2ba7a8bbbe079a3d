package tui

import (
	"strings"
	"testing"

	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/tui/base"
)

// TestWeightsStandUnderTheScale: what a batch has weighed stands under the field for its next weight, in the
// person's unit, and the figure just typed with it where the screen says what follows from that.
func TestWeightsStandUnderTheScale(t *testing.T) {
	for _, c := range []struct {
		units measure.System
		unit  string
		typed []string
	}{{measure.Metric, "A1, g:", []string{"1", "2", "1"}}, {measure.US, "A1, oz:", []string{"4", ".", "3"}}} {
		p := newPerson(t, true, withRecord, func(p *person, _ *base.Deps) { p.ledger.HasKit.Units = c.units })
		p.resize(120, 40)
		p.press("r", "d")
		p.sees(c.unit)
		p.says("it should settle at about")
		const weights, legend = 2, 1
		if n := strings.Count(p.view(), "●"); n != weights+legend {
			t.Errorf("%d signs for %d weights:\n%s", n-legend, weights, p.view())
		}
		p.press(append(c.typed, "enter", "enter", "enter")...)
		p.sees("Is it dry?", c.unit)
		if n := strings.Count(p.view(), "●"); n != weights+1+legend || strings.Contains(p.view(), "it should settle at") {
			t.Errorf("with the figure that was typed %d signs for %d weights:\n%s", n-legend, weights+1, p.view())
		}
		p.everySize()
	}
}
