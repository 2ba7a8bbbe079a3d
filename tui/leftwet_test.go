package tui

import (
	"testing"
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/must"
	"fleece.example/tubside/session/sessiontest"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/tui/base"
)

// withLeftWet is withRecord and a third day that ended early: A1 stood in a rinse, A2 and A3 in their hot wash.
func withLeftWet(p *person, d *base.Deps) {
	withRecord(p, d)
	first, _ := p.journal.Day(1)
	plan := first.Plan
	plan.Batches = nil
	for range 3 {
		plan.Batches = append(plan.Batches, shed.Batch{FleeceID: "f2", RawG: 100, Presoak: shed.PresoakNone})
	}
	x := sessiontest.StartAt(p.t, plan, p.clock.At)
	for rinsed := false; !rinsed; rinsed = x.Day.Tubs[0].Phase == shed.Soaking && !x.Day.Tubs[0].Step().HasRelease() {
		x.Wait(3).Next(0)
	}
	for _, tub := range []int{1, 2} {
		x.Until(tub, shed.Soaking)
	}
	x.Do(session.EndDay{Anyway: true})
	x.Keep(p.journal)
	p.clock.At = x.Now.Add(96 * time.Hour) // too late to reopen it
}

// booked is the fleece of that third day as the record has it.
func (p *person) booked() ledger.Entry {
	p.t.Helper()
	p.settled()
	days, err := p.journal.Days(0)
	if err != nil {
		p.t.Fatal(err)
	}
	for _, x := range ledger.Book(p.ledger.Have, days) {
		if x.Fleece.ID == "f2" {
			return x
		}
	}
	p.t.Fatal("no fleece f2")
	return ledger.Entry{}
}

// TestBatchesLeftWetGoOn: from the fleece's record a batch that its day left wet is laid on the rack, washed on
// from the step it stood at, or thrown away; its raw weight counts once, whichever.
func TestBatchesLeftWetGoOn(t *testing.T) {
	p := newPerson(t, true, withLeftWet)
	p.resize(100, 40)
	before := p.booked()
	state := func(batch string, want ledger.State) {
		t.Helper()
		x := p.booked()
		for _, b := range x.Batches {
			if b.Day == 3 && b.ID == batch && b.State() != want {
				t.Errorf("%s is %v, not %v", batch, b.State(), want)
			}
		}
		if x.UsedG != before.UsedG || x.LeftG != before.LeftG {
			t.Errorf("%v g used and %v left, before %v and %v", x.UsedG, x.LeftG, before.UsedG, before.LeftG)
		}
	}
	p.press("f", "enter")
	p.sees("left wet", "A1, A2 and A3 of 16 Mar 2026: h racks them, washes them on or throws them away")
	p.press("h")
	p.sees("left wet at the first rinse", "left wet at the hot wash", "A1 of 16 Mar 2026: r lays it on the rack, w washes it on another day, z throws it away")
	p.seesNot("c clean") // it is asked of what hangs or lies dry
	p.press("c")
	p.seesNot("came out clean")
	p.everySize()
	p.press("home", "r")
	p.sees("Lay A1 on the rack", "tower")
	p.press("enter")
	p.says("A1 lies on")
	state("A1", ledger.Drying)
	p.press("esc", "esc", "esc", "r")
	p.sees("A1 of 16 Mar") // its wash, not the day it was laid there
	p.seesNot("A1 of 20 Mar")
	p.press("esc", "f", "enter", "h")
	p.press("home", "down", "down", "z")
	p.sees("thrown away")
	state("A3", ledger.Gone)
	p.press("z") // by mistake
	state("A3", ledger.InWater)
	p.press("z")
	p.press("home", "down", "w")
	p.sees("Go on with A2", "stood at the hot wash")
	p.press("down")
	p.press("enter")
	p.says("A2 is in the next day's plan")
	b := p.app.env.Planned.Plan.Batches
	if len(b) != 1 || b[0].Again != (shed.Earlier{Day: 3, Batch: "A2"}) || b[0].FromStep != "first rinse" || b[0].RawG != 100 || b[0].Washed != 1 {
		t.Fatalf("planned %+v", b)
	}
	state("A2", ledger.InWater)
	p.press("esc", "esc", "esc", "p")
	p.sees("from the first rinse, label")
	p.press("s")
	p.settled()
	if p.app.env.Live.ID != 4 {
		t.Fatalf("not begun:\n%s", p.view())
	}
	for range 4 {
		p.press("enter")
		p.wait(10 * time.Second)
	}
	run := p.app.env.Live.Day.Tubs
	if len(p.app.env.Live.Day.Baths) == 0 && run[0].Bath.Step.Name != "first rinse" {
		t.Errorf("it went on with %+v", run)
	}
	x := p.booked()
	for _, b := range x.Batches {
		if b.Day == 3 && b.ID == "A2" && !b.Before {
			t.Errorf("A2 counts in both days")
		}
		if b.Day == 4 && (x.Washes(b) != 1 || b.RawG != 100) {
			t.Errorf("washed %d times, %v g", x.Washes(b), b.RawG)
		}
	}
	state("A3", ledger.Gone)
	p.press("esc", "f", "enter", "h") // of a batch in its tub nobody asks how it came out
	p.sees("How it came out", "A1")
	p.seesNot("no batch of this day is on the rack")
}

// TestABatchThatWentOnIsNotRackedToo: what another day washes on is laid on the rack from there alone.
func TestABatchThatWentOnIsNotRackedToo(t *testing.T) {
	p := newPerson(t, true, withLeftWet)
	p.resize(100, 40)
	p.press("f", "enter", "h", "home", "down", "w", "enter")
	p.says("A2 is in the next day's plan")
	p.press("esc", "esc", "esc", "p", "s")
	p.settled()
	for n := 0; p.booked().Batches[0].State() == ledger.Unwashed && n < 60; n++ {
		p.press("enter")
		p.wait(time.Minute)
	}
	for _, c := range []session.Command{session.EndDay{Anyway: true}, session.MoveOnRack{Batch: "A2"}} {
		must.Do(t, p.app.env.Live.Do(c, p.app.env.Now))
	}
	p.press("enter", "esc", "esc", "esc", "f", "enter", "h", "home", "down", "down")
	p.sees("left wet at the hot wash")
	p.press("r")
	p.says("A2 was washed on another day")
}

// TestAlarmsOfADayThatIsOver: those of yesterday are not drawn as today's.
func TestAlarmsOfADayThatIsOver(t *testing.T) {
	t.Parallel()
	p := newPerson(t, true, withOpenDay(3, 28))
	p.press("enter", " ")
	p.clock.Forward(4 * time.Minute)
	p.press("enter")
	p.clock.Forward(9 * time.Minute)
	p.wait(time.Second)
	must.Do(t, p.app.env.Live.Do(session.EndDay{Anyway: true}, p.app.env.Now))
	p.wait(time.Second)
	p.clock.Forward(20 * time.Hour)
	p.wait(time.Second)
	p.press("esc", "a")
	p.resize(100, 40)
	p.sees("No alarm.")
	p.seesNot("Today's alarms")
}

// withPresoaked is withRecord and a third day that ended early: A1 is on the rack, A2 and A4 in their presoak, A3
// lifted from it.
func withPresoaked(p *person, d *base.Deps) {
	withRecord(p, d)
	first, _ := p.journal.Day(1)
	plan := first.Plan
	plan.Batches = nil
	for i := range 4 {
		b := shed.Batch{FleeceID: "f2", RawG: 100, Presoak: shed.PresoakQuick}
		if i == 0 {
			b.Presoak = shed.PresoakNone
		}
		plan.Batches = append(plan.Batches, b)
	}
	x := sessiontest.StartAt(p.t, plan, p.clock.At)
	for x.Day.Fate["A1"].RackedAt.IsZero() {
		x.Next(0)
	}
	for _, tub := range []int{0, 1, 2} {
		x.Until(tub, shed.Soaking)
	}
	x.Until(2, shed.Draining).Do(session.EndDay{Anyway: true})
	x.Keep(p.journal)
	p.clock.At = x.Now.Add(time.Hour)
}

// TestBatchPresoakedOnlyGoesOn: what a day that ended early left in its presoak, or lifted from it, is found from
// home as home says, and there laid on the rack, washed or thrown away. Home offers no reopening where a weight
// was entered since.
func TestBatchPresoakedOnlyGoesOn(t *testing.T) {
	p := newPerson(t, true, withPresoaked)
	p.resize(100, 40)
	p.says("u reopens it. To rack it")
	rawG := p.booked().LeftG
	p.press("f", "enter")
	p.sees("left wet", "A2, A3 and A4 of")
	p.press("h")
	p.sees("left wet at the presoak", "left wet at the hot wash", "A2 of 16 Mar 2026: r lays it on the rack")
	p.press("home", "down", "r", "enter")
	p.says("A2 lies on")
	p.press("down", "z")
	p.sees("thrown away")
	if got := p.booked().LeftG; got != rawG-200 {
		t.Errorf("%v g left, before %v", got, rawG)
	}
	p.press("down", "w")
	p.says("A4 goes into the next day's plan.")
	p.press("enter")
	p.says("A4 is in the next day's plan, to be washed")
	b := p.app.env.Planned.Plan.Batches
	if len(b) != 1 || !b[0].Raw() || b[0].Washed != 0 || b[0].RawG != 100 || b[0].Presoak != shed.PresoakNone {
		t.Errorf("planned %+v", b)
	}
	p.press("esc", "esc", "esc")
	p.says("and left")
	p.seesNot("u reopens it")
}

// TestPresoakedBatchIsPlannedOnce: pressed again it says as what it is planned, on a running day too; once that
// washes it, its own day neither racks nor plans it.
func TestPresoakedBatchIsPlannedOnce(t *testing.T) {
	p := newPerson(t, true, withPresoaked)
	p.resize(100, 40)
	rawG := p.booked().LeftG
	p.press("f", "enter", "h", "home", "down", "down", "down", "w", "enter")
	p.says("A4 is in the next day's plan")
	p.press("w", "enter")
	p.says("A4 is planned already")
	if b := p.app.env.Planned.Plan.Batches; len(b) != 1 {
		t.Fatalf("planned %+v", b)
	}
	p.press("esc", "esc", "esc", "esc", "p")
	p.sees("A4 of 16 Mar 2026, presoaked: label")
	p.press("s")
	p.settled()
	p.press("esc", "f", "enter", "h", "home", "down", "down", "down")
	if p.view(); p.app.env.Live.ID != 4 {
		t.Fatalf("not begun:\n%s", p.view())
	}
	p.press("w", "enter")
	p.says("A4 is planned already")
	p.press("esc", "esc", "esc", "esc", "t")
	for n := 0; p.booked().Batches[0].State() == ledger.Unwashed && n < 60; n++ {
		p.press("enter")
		p.wait(time.Minute)
	}
	if x := p.booked(); x.LeftG != rawG-100 {
		t.Errorf("%v g left, before %v", x.LeftG, rawG)
	}
	if err := p.app.env.Live.Do(session.EndDay{Anyway: true}, p.app.env.Now); err != nil {
		t.Fatal(err)
	}
	p.settled()
	p.press("enter", "esc", "esc", "esc", "d", "down", "enter", "h", "end")
	p.sees("A4")
	p.press("w")
	p.says("A4 was washed on a later day")
	p.press("r")
	p.says("A4 was washed on another day")
}

// TestPlanOffersWhatWasLeftWet: a plan says first what the last day left wet, and its key puts that before all else,
// asking from which step each goes on that was in a wash; then nothing more is said of it.
func TestPlanOffersWhatWasLeftWet(t *testing.T) {
	p := newPerson(t, true, withLeftWet)
	p.resize(100, 40)
	p.press("p")
	p.sees("A1, A2 and A3 of 16 Mar were left wet: g puts them first", "No batch yet", "g wet ones first")
	p.everySize()
	p.press("a", "ctrl+s")
	p.sees("were left wet: g puts them first")
	others := len(p.app.env.Planned.Plan.Batches)
	p.press("g")
	p.sees("Go on with A1, A2 and A3", "A1 goes on from", "stood at the first rinse", "A2 goes on from", "stood at the hot wash")
	p.everySize()
	p.press("tab", "down", "ctrl+s")
	p.says("A1, A2 and A3 of 16 Mar are in the plan, before all else")
	p.seesNot("puts them")
	b := p.app.env.Planned.Plan.Batches
	if len(b) != others+3 {
		t.Fatalf("planned %+v", b)
	}
	for i, from := range []string{"first rinse", "first rinse", "hot wash"} {
		if b[i].Again != (shed.Earlier{Day: 3, Batch: []string{"A1", "A2", "A3"}[i]}) || b[i].FromStep != from || b[i].RawG != 100 {
			t.Errorf("%d: %+v", i+1, b[i])
		}
	}
	p.press("g")
	if got := p.app.env.Planned.Plan.Batches; len(got) != others+3 {
		t.Errorf("planned %+v", got)
	}
	p.press("home", "d", "d") // A1 out again
	p.sees("A1 of 16 Mar was left wet: g puts it first")
}

// withWetOfTwoDays is withLeftWet and a fourth day that left A1 in its hot wash; a fifth washed other fleece.
func withWetOfTwoDays(p *person, d *base.Deps) {
	withLeftWet(p, d)
	third, _ := p.journal.Day(3)
	plan := third.Plan
	plan.Batches = []shed.Batch{{FleeceID: "f2", RawG: 100, Presoak: shed.PresoakNone}}
	x := sessiontest.StartAt(p.t, plan, p.clock.At).Until(0, shed.Soaking)
	x.Do(session.EndDay{Anyway: true})
	x.Keep(p.journal)
	x = sessiontest.StartAt(p.t, plan, x.Now.Add(24*time.Hour)).Rack(1).Do(session.EndDay{})
	x.Keep(p.journal)
	p.clock.At = x.Now.Add(time.Hour)
}

// TestPlanOffersWhatAnyDayLeftWet: not only the newest day's; of which day each is stands in the question too.
func TestPlanOffersWhatAnyDayLeftWet(t *testing.T) {
	p := newPerson(t, true, withWetOfTwoDays)
	p.resize(100, 40)
	p.clock.Forward(96 * time.Hour) // too late to reopen the last of them
	p.wait(time.Minute)
	p.says("A1, A2 and A3 of 16 Mar, A1 of 20 Mar were left wet. To wash on: p, then g")
	p.everySize()
	p.press("p")
	p.sees("A1, A2 and A3 of 16 Mar, A1 of 20 Mar were left wet: g puts them first")
	p.everySize()
	p.press("g")
	p.sees("Go on with A1, A2 and A3 of 16 Mar, A1 of 20 Mar", "16 Mar: stood at the first rinse", "20 Mar: stood at the hot wash")
	p.press("ctrl+s")
	p.says("A1, A2 and A3 of 16 Mar, A1 of 20 Mar are in the plan")
	if b := p.app.env.Planned.Plan.Batches; len(b) != 4 || b[3].Again != (shed.Earlier{Day: 4, Batch: "A1"}) {
		t.Errorf("%+v", b)
	}
	p.seesNot("left wet")
	p.wait(22 * 24 * time.Hour) // it is dry or rotten by now
	p.press("d", "d", "esc", "p")
	p.seesNot("left wet")
}

// TestPlanOffersWhatWasPresoakedOnly: likewise, as the raw fleece that it is, and no step is asked for.
func TestPlanOffersWhatWasPresoakedOnly(t *testing.T) {
	p := newPerson(t, true, withPresoaked)
	p.resize(100, 40)
	p.press("p", "g")
	p.says("A2, A3 and A4 of 16 Mar are in the plan, before all else")
	for i, was := range []string{"A2", "A3", "A4"} {
		if b := p.app.env.Planned.Plan.Batches[i]; !b.Raw() || b.Soaked != (shed.Earlier{Day: 3, Batch: was}) || b.Presoak != shed.PresoakNone || b.RawG != 100 {
			t.Errorf("%s: %+v", was, b)
		}
	}
	p.press("esc", "f", "enter", "h", "home", "down", "down", "down", "w", "enter")
	p.says("A4 is planned already")
}
