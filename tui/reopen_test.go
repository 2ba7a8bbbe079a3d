package tui

import (
	"testing"
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/must"
	"fleece.example/tubside/session/sessiontest"
	"fleece.example/tubside/tui/base"
	"fleece.example/tubside/tui/tuitest"
)

// endedWet is a day of three tubs that was ended with fleece in the water.
func endedWet(t *testing.T) *person {
	t.Helper()
	p := newPerson(t, true, withOpenDay(3, 34))
	p.press("enter", "e", "e", "n", "d", "enter")
	if p.app.env.Live.Day.Running() {
		t.Fatalf("it did not end:\n%s", p.view())
	}
	p.settled()
	return p
}

// TestEndTakenBackFromTheLookBack: the end leads to the look-back, and from there a
// day ended by mistake goes on.
func TestEndTakenBackFromTheLookBack(t *testing.T) {
	p := endedWet(t)
	p.sees("Looking back", "Timings")
	p.press("u")
	p.says("Reopen the day that ended")
	p.everySize()
	p.wait(time.Second)
	p.press("u")
	p.says("the day is open again")
	if !p.app.env.Live.Day.Running() || len(p.app.env.Live.Day.FleeceIn()) == 0 {
		t.Fatalf("it does not go on:\n%s", p.view())
	}
	p.settled()
	if _, open, _ := p.journal.OpenDay(); !open {
		t.Error("it is not open in the journal")
	}
}

// TestEndTakenBackFromHome: home says that fleece lies in a tub, and goes on.
func TestEndTakenBackFromHome(t *testing.T) {
	p := endedWet(t)
	p.press("esc")
	p.wait(3 * time.Minute)
	p.says("The day ended 3 minutes ago and left A1, A2 and B1 wet. u reopens it.")
	p.press("u")
	p.says("Reopen the day that ended 3 minutes ago?")
	p.wait(time.Second)
	p.press("u")
	d := p.app.env.Live.Day
	if !d.Running() || len(d.Resumed) == 0 {
		t.Fatalf("it does not go on, or was watched meanwhile: %v\n%s", d.Resumed, p.view())
	}
	if gap := d.Resumed[len(d.Resumed)-1]; gap < 3*time.Minute || gap > 4*time.Minute {
		t.Errorf("nobody watched for %v, not the 3 min since its end", gap)
	}
}

// TestEndTakenBackAfterAStart: the program was closed meanwhile.
func TestEndTakenBackAfterAStart(t *testing.T) {
	first := endedWet(t)
	p := newPerson(t, true, func(p *person, d *base.Deps) {
		p.journal, d.Journal = first.journal, first.journal
		p.clock.At = first.clock.At.Add(2 * time.Hour)
	})
	p.sees("left A1")
	p.press("u")
	p.wait(time.Second)
	p.press("u")
	if !p.app.env.Live.Day.Running() {
		t.Fatalf("it does not go on:\n%s", p.view())
	}
}

// TestOnlyTheLastDayGoesOn: the end of an earlier one stays.
func TestOnlyTheLastDayGoesOn(t *testing.T) {
	p := endedWet(t)
	sessiontest.StartAt(t, tuitest.StoryPlan(1), p.clock.At).Tick(time.Minute).Do(session.EndDay{Anyway: true}).Keep(p.journal)
	p.press("u")
	p.wait(time.Second)
	p.press("u")
	p.says("only the last day can be reopened")
	if p.app.env.Live.Day.Running() {
		t.Error("it goes on")
	}
}

// TestWhatWasEnteredSinceTheEndStays: going on with a day takes back its end and nothing
// else, though home read it before that was written.
func TestWhatWasEnteredSinceTheEndStays(t *testing.T) {
	first := endedWet(t)
	p := newPerson(t, true, func(p *person, d *base.Deps) {
		p.journal, d.Journal = first.journal, first.journal
		p.clock.At = first.clock.At.Add(2 * time.Hour)
	})
	p.sees("left A1")
	for _, text := range []string{"smells of wax", "and of sheep"} {
		day := must.Get(p.journal.Day(1)).In(t)
		must.Get(p.app.env.Keeper.Do(1, day, session.AddNote{Tub: -1, Text: text}, p.clock.At)).In(t)
		p.settled()
		p.press("u")
		p.wait(time.Second)
		p.press("u")
		p.settled()
		p.says("undo that first, under Past days")
	}
	if d, err := p.journal.Day(1); err != nil || len(d.Notes) != 2 || p.app.env.Live.Day.Running() {
		t.Errorf("%d notes, %v, running %v", len(d.Notes), err, p.app.env.Live.Day.Running())
	}
}
