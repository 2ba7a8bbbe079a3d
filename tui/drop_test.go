package tui

import (
	"errors"
	"slices"
	"testing"
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/long"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/tui/base"
)

// lean presses Enter like somebody who leans on it.
func (p *person) lean(times int) {
	p.t.Helper()
	for range times {
		p.press("enter")
	}
}

// TestEnterStartsNoDay: however often Enter is pressed, and wherever, no day
// begins: that is a key of its own.
func TestEnterStartsNoDay(t *testing.T) {
	for name, c := range map[string]struct {
		kit  bool
		set  []func(*person, *base.Deps)
		keys []string
	}{
		"first start":              {},
		"first start with fleeces": {set: []func(*person, *base.Deps){withFleeces}},
		"home":                     {kit: true, set: []func(*person, *base.Deps){withFleeces}},
		"a plan":                   {kit: true, set: []func(*person, *base.Deps){withFleeces}, keys: []string{"p", "a", "enter", "ctrl+s"}},
		"a plan's timetable":       {kit: true, set: []func(*person, *base.Deps){withFleeces}, keys: []string{"p", "a", "enter", "ctrl+s", "t"}},
		"a plan, chosen below":     {kit: true, set: []func(*person, *base.Deps){withFleeces}, keys: []string{"p", "a", "enter", "ctrl+s", "down", "down"}},
		"fleeces":                  {kit: true, set: []func(*person, *base.Deps){withFleeces}, keys: []string{"f"}},
		"a fleece to plan with":    {kit: true, set: []func(*person, *base.Deps){withFleeces}, keys: []string{"f", "p"}},
		"a past day":               {kit: true, set: []func(*person, *base.Deps){withFleeces, withPastDay(2)}, keys: []string{"d"}},
	} {
		t.Run(name, func(t *testing.T) {
			p := newPerson(t, c.kit, c.set...)
			before := p.journal.Last
			p.press(c.keys...)
			p.lean(long.Of(50, 200))
			if p.journal.Last != before || p.app.env.Live.Day.Running() {
				t.Fatalf("a day was started:\n%s", p.view())
			}
		})
	}
}

// started is a day just begun from the plan.
func started(t *testing.T) *person {
	t.Helper()
	p := newPerson(t, true, withFleeces)
	p.press("p", "a", "enter", "ctrl+s", "s")
	if !p.app.env.Live.Day.Running() {
		t.Fatalf("no day runs:\n%s", p.view())
	}
	p.settled()
	return p
}

// TestDropADay: a day on which nothing was sunk in goes without a trace, and its
// batches are in the plan again; once something was, it can only be ended.
func TestDropADay(t *testing.T) {
	p := newPerson(t, true, withFleeces)
	p.press("p", "a", "enter", "ctrl+s")
	away := shed.Breaks{{FromMin: 750, ToMin: 795}}
	p.app.env.Planned.Plan.Break = away
	p.press("s")
	p.settled()
	planned := len(p.app.env.Live.Day.Plan.Batches)
	p.press("u")
	p.says("e discards the day")
	p.press(".", "e") // filled, nothing in it
	p.says("nothing has gone in: discard the day?")
	p.everySize()
	p.settled() // what is not saved yet is not dropped
	p.press("e")
	p.sees("Plan a wash day", "Curly")
	p.says("the day is discarded")
	if len(p.journal.Recs) != 0 || len(p.journal.Sums) != 0 || p.app.env.Live.Day.Running() {
		t.Fatalf("left of it: %v %v", p.journal.Recs, p.journal.Sums)
	}
	if got := p.app.env.Planned.Plan.Break; !slices.Equal(got, away) {
		t.Errorf("the break in the plan again is %v", got)
	}
	p.press("esc")
	p.sees("No day is running")
	p.press("d")
	p.sees("No day yet.")
	p.press("esc", "p", "s") // a day of the same plan, begun anew
	p.settled()
	if !p.app.env.Live.Day.Running() || len(p.app.env.Live.Day.Plan.Batches) != planned {
		t.Fatalf("it was not begun again:\n%s", p.view())
	}
	p.press("enter", "enter", "enter") // filled, sunk in; a doubt may ask
	p.wait(time.Minute)
	if len(p.app.env.Live.Day.Washed()) == 0 {
		t.Fatalf("nothing went in:\n%s", p.view())
	}
	p.press("e", "e", "n", "d", "enter")
	p.settled()
	if days, _ := p.journal.Days(0); len(days) != 1 || days[0].EndedAt.IsZero() {
		t.Errorf("a day with fleece in the water was dropped: %+v", days)
	}
}

// TestDropWaitsForTheWriter: what is not written yet would be written after the
// day was dropped, and it would be back.
func TestDropWaitsForTheWriter(t *testing.T) {
	t.Parallel()
	p := started(t)
	p.journal.Fail(errors.New("disk full"))
	p.press(".", "e", "e")
	p.says("isn't saved yet")
	if !p.app.env.Live.Day.Running() {
		t.Error("the day is gone")
	}
	p.journal.Fail(nil)
	p.settled()
	p.press("e", "e")
	p.says("the day is discarded")
	if len(p.journal.Recs) != 0 {
		t.Errorf("left of it: %v", p.journal.Recs)
	}
}

// TestDropAnOpenDay: found open at the start, with nothing sunk in.
func TestDropAnOpenDay(t *testing.T) {
	p := newPerson(t, true, withOpenDay(2, 0))
	p.sees("A wash day is still open")
	p.press("x")
	p.says("nothing went in on that day. Discard it")
	p.settled()
	p.press("x")
	p.says("the day is discarded")
	p.sees("No day is running")
	if len(p.journal.Recs) != 0 || len(p.journal.Sums) != 0 {
		t.Errorf("left of it: %v %v", p.journal.Recs, p.journal.Sums)
	}
}

// TestDeleteADay: a day that has ended is deleted after its consequence was said.
func TestDeleteADay(t *testing.T) {
	p := newPerson(t, true, withPastDay(2), func(p *person, _ *base.Deps) {
		sum := p.journal.Sums[1]
		sum.Lessons = make([]shed.BathLesson, 5)
		p.journal.Sums[1] = sum
	})
	p.press("d", "x")
	p.says("for good: A1, A2 and B1 with their codes, what 5 baths taught about the tubs; 565 g are raw again")
	p.says("To keep a copy, quit first: tubside export --json FILE")
	p.everySize()
	if len(p.journal.Recs) != 1 {
		t.Fatal("deleted unasked")
	}
	p.press("x")
	p.says("is deleted")
	p.sees("No day yet.")
	if len(p.journal.Recs) != 0 || len(p.journal.Sums) != 0 {
		t.Errorf("left of it: %v", p.journal.Sums)
	}
	p.press("esc")
	p.send(base.TickMsg{Gen: p.app.gen})
	p.seesNot("Last day:")
}

// TestDeleteNoOpenDay: a day that runs is ended first, or dropped where it runs.
func TestDeleteNoOpenDay(t *testing.T) {
	p := started(t)
	p.press("esc", "d", "x", "x")
	p.says("that day is still open")
	if len(p.journal.Recs) != 1 {
		t.Error("it is gone")
	}
}

// TestTheEndNamesWetFleece: what was washed and is not on the rack, in a bath or hanging between
// two, is named by the question at the end as well.
func TestTheEndNamesWetFleece(t *testing.T) {
	at := time.Date(2026, 3, 14, 9, 0, 0, 0, time.UTC)
	d := session.Day{StartedAt: at, Plan: shed.Plan{Batches: []shed.Batch{{ID: "A1"}, {ID: "A2"}, {ID: "B1"}, {ID: "B2"}}}, Fate: map[string]session.Fate{
		"A1": {SunkAt: at}, "A2": {SunkAt: at, RackedAt: at.Add(time.Hour)}, "B1": {SunkAt: at, Soaked: true}}}
	const want = "A1 is still wet, not on the rack; B2 goes back to its fleece; B1 is presoaked only, still to wash"
	if got := base.AtTheEnd(d); got != want {
		t.Errorf("%q, not %q", got, want)
	}
}

// TestEndEarlyGivesBack: what never went in is fleece again.
func TestEndEarlyGivesBack(t *testing.T) {
	p := started(t)
	for range 20 {
		if p.press("enter"); len(p.app.env.Live.Day.Washed()) > 0 {
			break
		}
	}
	d := p.app.env.Live.Day
	if len(d.Washed()) != 1 || len(d.Plan.Batches) != 10 {
		t.Fatalf("%d of %d went in:\n%s", len(d.Washed()), len(d.Plan.Batches), p.view())
	}
	p.clock.Forward(time.Minute)
	p.press("e")
	p.says("A2, A3, A4, A5, A6 and 4 more go back to their fleece")
	p.press("e")
	p.settled()
	days, _ := p.journal.Days(0)
	if x := ledger.Book(p.ledger.Have[:1], days)[0]; x.LeftG != 2000-d.Plan.Batches[0].RawG {
		t.Errorf("left %v g", x.LeftG)
	}
}
