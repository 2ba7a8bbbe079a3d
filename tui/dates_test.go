package tui

import (
	"testing"
	"time"

	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/tui/base"
)

// TestDatesInFigures: a date in figures is read by the choice of dates, and stands spelled where
// it was typed.
func TestDatesInFigures(t *testing.T) {
	for u, want := range map[measure.System][2]string{measure.US: {"Mar 4, 2025", "Mar 4"}, measure.Metric: {"3 Apr 2025", "3 Apr"}} {
		units := func(p *person, _ *base.Deps) { p.ledger.HasKit.Units = u }
		p := newPerson(t, true, withRecord, units)
		p.press("d", "a")
		p.types("3/4/25")
		p.press("enter")
		p.sees(want[0])
		p.seesNot("3/4/25")

		p = newPerson(t, true, withRecord, units)
		p.press("f", "enter", "e")
		for p.form().Now().Label != "Shorn" {
			p.press("enter")
		}
		p.types("3/4")
		p.press("enter")
		p.sees(want[1])
		p.press("ctrl+s")
		p.settled()
		if got := p.ledger.Have[0].Shorn; got != want[1] {
			t.Errorf("%v: shorn %q, want %q", u, got, want[1])
		}

		p = newPerson(t, true, withFleeces, units)
		p.press("p", "a", "ctrl+s", "b")
		p.types("2027-01-05 7:30")
		p.press("ctrl+s")
		if got, want := p.app.env.Planned.Begin, time.Date(2027, 1, 5, 7, 30, 0, 0, p.app.env.Zone()); !got.Equal(want) {
			t.Errorf("begins %v, want %v", got, want)
		}
	}
}
