package tui

import (
	"strings"
	"testing"
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/sessiontest"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/tui/base"
	"fleece.example/tubside/tui/tuitest"
)

// withTwoRacked is a rack where two days have an A1, each of a fleece of its own.
func withTwoRacked(places int) func(*person, *base.Deps) {
	return func(p *person, d *base.Deps) {
		withFleeces(p, d)
		plan := tuitest.StoryPlan(2)
		plan.Kit.Units = measure.US
		plan.Kit.Trays = []shed.Tray{{ID: "r1", Name: "top", Places: places}}
		p.ledger.HasKit = &plan.Kit
		fleeces := plan.Fleeces
		at := tuitest.StoryStart
		for day, f := range fleeces {
			plan.Fleeces, plan.Batches = fleeces[day:day+1], []shed.Batch{{FleeceID: f.ID, RawG: 200, Presoak: shed.PresoakNone}}
			if day > 0 {
				plan.OnRack = []shed.Lying{{Tray: "r1", Day: 1, Batch: "A1", Spots: []shed.Spot{{Place: 1, From: 1, To: 1}}}}
			}
			x := sessiontest.StartAt(p.t, plan, at).Rack(1).Do(session.EndDay{})
			x.Keep(p.journal)
			at = x.Now.Add(26 * time.Hour)
		}
		p.clock.At = at.Add(-20 * time.Hour)
	}
}

// TestDaysAndFleecesApartOnTheRack: where batches of several days lie, each is named with its day in the
// person's own style, and with its fleece where there are several: in the list, the drawing and on home.
func TestDaysAndFleecesApartOnTheRack(t *testing.T) {
	p := newPerson(t, true, withTwoRacked(2))
	p.resize(120, 40)
	p.sees("│ A1 of Mar 14 Old Grey", "│ A1 of Mar 15 Curly")
	p.says("2 batches drying. Weigh A1 of Mar 14, Old Grey, Invented Hill")
	p.press("r")
	p.sees("│ A1 of Mar 14 Old Grey", "│ A1 of Mar 15 Curly")
	p.everySize()
	p = newPerson(t, true, withTwoRacked(9)) // narrow places
	p.resize(100, 30)
	p.press("r")
	p.sees("│ A1 ", "│ Mar 15 ")
	if n := strings.Count(p.view(), "│ Mar 14 "); n != 1 {
		t.Errorf("%d times:\n%s", n, p.view())
	}
}

// TestCardHasTheDaysOfItsBatches: in the narrowest window too.
func TestCardHasTheDaysOfItsBatches(t *testing.T) {
	p := newPerson(t, true, withRecord)
	p.resize(40, 60)
	p.press("f", "enter")
	p.sees("14 Mar 2026  A1", "16 Mar 2026  A1")
}

// TestTagHasItsDay: what is to be written on a batch as it goes on the rack.
func TestTagHasItsDay(t *testing.T) {
	p := toTheRack(t, 3)
	p.resize(120, 40)
	p.says("raw, 14 Mar 2026")
	p.press("enter")
	p.says("tag: code 001J, A1")
	p.says("raw, 14 Mar 2026")
}
