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

// TestAgainSaysWhy: each time that a weight is not the last one, why it takes another is said with when: in the
// answer, on the rack and in the look back.
func TestAgainSaysWhy(t *testing.T) {
	p := newPerson(t, true, withRack(1))
	weigh := func(g, why string, after time.Duration) {
		t.Helper()
		p.press("r", "enter")
		p.types(g)
		p.press("ctrl+s")
		p.settled()
		p.says(why) // the answer
		p.wait(30 * time.Second)
		p.press("esc", "d", "enter")
		p.resize(80, 200)
		p.says(why)
		p.press("esc", "esc", "r")
		for _, size := range [][2]int{{80, 24}, {40, 12}} {
			p.resize(size[0], size[1])
			p.says(why)
		}
		p.press("esc")
		p.wait(after)
	}
	weigh("130", "(one weight can't show it's dry)", 8*time.Hour)
	weigh("129", "(by its weights it may still lose more than 2.6 g)", 16*time.Hour)
	p = newPerson(t, true, withRack(1))
	for range 3 { // each morning
		p.wait(24 * time.Hour)
		p.press("r", "enter")
		p.types("106")
		p.press("ctrl+s")
		p.settled()
		p.press("esc")
	}
	p.wait(24 * time.Hour)
	weigh("106", "(weighed at one time of day only, and air makes wool heavier by night than by day)", time.Hour)
}

// TestCardReachesAllItsBatches: how each batch of a fleece came out is taken from its card, of every day.
func TestCardReachesAllItsBatches(t *testing.T) {
	p := newPerson(t, true, withRecord)
	p.resize(80, 24)
	p.press("f", "enter", "h")
	p.sees("A1     16 Mar 2026  002M", "A2     14 Mar 2026  011P")
	p.press("end", "o")
	p.settled()
	p.says("A2 of 14 Mar 2026: soft")
	p.everySize()
	p.press("home", "p")
	p.sees("A1 of 16 Mar 2026's place")
	p.types("attic")
	p.press("enter")
	p.settled()
	for day, of := range map[shed.DayID]string{1: "A2", 2: "A1"} {
		d, err := p.journal.Day(day)
		if out := d.Fate[of].Out; err != nil || out == (session.Outcome{}) {
			t.Errorf("day %d: %+v %v", day, d.Fate, err)
		}
	}
}
