package tui

import (
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/sessiontest"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/tui/base"
)

// TestRackWithoutADay: what a day washes again is off the rack for that day too.
func TestRackWithoutADay(t *testing.T) {
	at := time.Date(2026, 3, 14, 9, 0, 0, 0, time.UTC)
	e := &base.Env{}
	e.Record.Days = []ledger.Summary{
		{ID: 2, Rows: ledger.BatchRows{{ID: "A1", SunkAt: at, Again: shed.Earlier{Day: 1, Batch: "A1"}}}},
		{ID: 1, Rows: ledger.BatchRows{{ID: "A1", Tray: "r1", SunkAt: at, RackedAt: at}}},
	}
	if lying, err := e.Lying(2); len(lying) != 0 || err != nil {
		t.Errorf("%+v %v", lying, err)
	}
}

// withWashedAgain is withRecord, and a third day washes A1 of the first again.
func withWashedAgain(p *person, d *base.Deps) {
	withRecord(p, d)
	first, _ := p.journal.Day(1)
	plan := first.Plan
	plan.Batches = slices.Clone(plan.Batches[:1])
	plan.Batches[0].Again = shed.Earlier{Day: 1, Batch: "A1"}
	x := sessiontest.StartAt(p.t, plan, p.clock.At).Rack(2).Do(session.EndDay{})
	x.Keep(p.journal)
	p.clock.At = x.Now.Add(time.Hour)
}

// TestAnOldCodeFindsItsBatch: the tag that a bag has from before it was washed again leads to what it is now.
func TestAnOldCodeFindsItsBatch(t *testing.T) {
	p := newPerson(t, true, withWashedAgain)
	p.resize(100, 50)
	p.press("f", "/")
	p.types("001J")
	p.press("enter", "enter")
	if n := strings.Count(p.view(), "▸ A1"); n != 2 || !strings.Contains(p.view(), "washed twice") {
		t.Errorf("%d found:\n%s", n, p.view())
	}
	p.press("h")
	if !regexp.MustCompile(`▸ A1 .* 003P`).MatchString(p.view()) {
		t.Error(p.view())
	}
	p.press("esc", "esc", "esc", "esc", "d", "/")
	p.types("001J")
	p.sees("(2 of 3)")

	p = newPerson(t, true, withWashedAgain) // where that bag was kept says nothing of the one that it is now
	p.resize(100, 50)
	p.press("d", "end", "enter", "h", "p")
	p.types("attic")
	p.press("enter")
	p.settled()
	p.press("esc", "esc", "esc", "f", "/")
	p.types("attic")
	p.sees("No fleece matches")
}

// TestWashedAgainOnce: a batch is washed again from where it was washed last, and no raw
// weight comes back with one of its days.
func TestWashedAgainOnce(t *testing.T) {
	p := newPerson(t, true, withWashedAgain)
	p.press("d", "end", "enter", "h", "w")
	p.says("A1 was washed again on a later day")
	p.everySize()
	p.press("esc", "esc", "x")
	p.says("A1 and A2 with their codes, 2 dry weights; 200 g are raw again")
	p.press("home", "x")
	p.says("A1 with its code; the earlier wash of A1 counts again?")
	p.everySize()
}

// TestWashABaggedBatchAgain: from how it came out, a batch of a past day goes into the plan of
// the next as the same batch; once it is in, it is not put in twice.
func TestWashABaggedBatchAgain(t *testing.T) {
	p := newPerson(t, true, withRecord)
	p.press("d", "down", "enter", "h", "x", "w")
	p.sees("Wash A1 again, Curly")
	p.says("A1 goes into the next day's plan.")
	p.everySize()
	if n := len(p.app.env.Planned.Plan.Batches); n > 0 {
		t.Errorf("%d planned at one press", n)
	}
	p.press("esc")
	p.seesNot("is in the plan")
	p.press("w", "enter")
	p.says("A1 is in the next day's plan, to be washed again")
	p.everySize()
	batches := p.app.env.Planned.Plan.Batches
	if len(batches) != 1 || batches[0].Again != (shed.Earlier{Day: 1, Batch: "A1"}) || batches[0].RawG != 200 || batches[0].Presoak != shed.PresoakNone || batches[0].Washed != 1 || batches[0].DosePart != 0.5 || batches[0].WasDryG != 122 {
		t.Fatalf("planned %+v", batches)
	}
	p.press("w", "enter")
	p.says("A1 is planned already")
	p.press("esc", "esc", "esc", "esc", "p")
	p.sees("Curly, Invented Hill: 1 washed again, 1 kg left", "weighs", "122 g clean", "A1 of 14 Mar 2026 again: was 200 g raw, bag 001J; half the scour", "122 g in all")
	p.press("enter")
	p.resize(80, 40)
	p.sees("A1 122 g") // drawn by what goes in, not by what it was raw
	p.sees("Form", "Part of the fleece", "  half of it")
	p.resize(80, 24)
	p.seesNot("Raw weight")
	p.seesNot("Presoak")
	p.everySize()
	p.press("esc", "s")
	p.settled()
	if part := p.app.env.Live.Day.Tubs[0].Steps[0].DosePart; part != 0.5 {
		t.Errorf("its hot wash takes %v of the dose", part)
	}
	p.press("esc", "f")
	p.resize(120, 40)
	p.sees("Curly", "1 kg") // as much left as before
	p.press("enter")
	p.sees("to wash again")
	p.everySize()
}

// TestOldWashFormUnsaid: nobody said how the wool of an old wash lay, until it is washed again.
func TestOldWashFormUnsaid(t *testing.T) {
	p := newPerson(t, true, withRecord)
	p.press("d", "a", "2", "0", "2", "4", "-", "0", "6", "-", "0", "1", "enter", "enter", "2", "0", "0", "enter", "enter")
	p.types("Blue 7")
	p.press("ctrl+s")
	p.says("1 Jun 2024 is before Curly, Invented Hill was shorn, 2026. Is the day right?")
	p.press("ctrl+s")
	p.settled()
	d, err := p.journal.Day(3)
	if err != nil || d.Plan.Batches[0].Form != shed.FormUnsaid {
		t.Errorf("%v: %+v", err, d.Plan.Batches)
	}
	p.press("esc", "/")
	for _, of := range []string{"003P", "blue 7"} { // its code, its own mark
		p.types(of)
		p.sees("(1 of 3)", "2024")
	}
	p.press("enter", "enter")
	p.sees("A1  Curly, Invented Hill, 200 g raw;")
	p.press("h", "x", "w", "enter")
	p.says("A1 is in the next day's plan, to be washed again")
	if b := p.app.env.Planned.Plan.Batches; len(b) != 1 || b[0].Form != shed.Loose {
		t.Errorf("%+v", b)
	}
	p.press("esc", "esc", "esc", "esc", "p")
	p.sees("A1 of 1 Jun 2024 again: bag 003P, Blue 7")
}

// TestPartIsNoWeight: a bare number for a part is asked about, and stands when it is given again.
func TestPartIsNoWeight(t *testing.T) {
	p := newPerson(t, true, withRack(1))
	p.press("d", "enter", "p", "enter")
	p.types("480")
	p.press("enter")
	p.says("480 looks like a weight: parts are words such as shoulder")
	p.wait(3 * time.Second)
	p.press("enter")
	p.settled()
	if d, err := p.journal.Day(1); err != nil || d.Plan.Batches[0].Part != "480" {
		t.Errorf("%v: %+v", err, d.Plan.Batches[0])
	}
}

// TestABatchKeepsItsNameWhenWashedAgain: on the plan, at the tub, on its tag and in its fleece's history, beside new
// ones of its fleece and of another.
func TestABatchKeepsItsNameWhenWashedAgain(t *testing.T) {
	p := newPerson(t, true, withRecord)
	p.resize(100, 50)
	p.press("d", "down", "enter", "h", "down", "x", "w")
	p.sees("Wash A2 again, Curly")
	p.press("enter")
	p.says("A2 is in the next day's plan, to be washed again")
	p.press("w", "enter")
	p.says("A2 is planned already")
	p.press("esc", "esc", "esc", "esc", "p")
	p.sees("1  A2     Curly, Invented Hill", "A2 of 14 Mar 2026 again: ")
	p.press("a", "ctrl+s", "s", "s", "s")
	p.settled()
	d := p.app.env.Live.Day
	if len(d.Plan.Batches) < 2 || d.Plan.Batches[0].ID != "A2" || d.Plan.Batches[1].ID == "A2" {
		t.Fatalf("%+v", d.Plan.Batches)
	}
	if text := d.TagText(&d.Plan.Batches[0], p.clock.At); !strings.HasPrefix(text, "A2 Curly, Invented Hill") || !strings.HasSuffix(text, "washed twice") && !strings.HasSuffix(text, "2026") {
		t.Errorf("its tag: %s", text)
	}
	p.press("esc", "f", "enter")
	p.sees("A2", "to wash again")
}

// TestABagIsFoundByItsPlace: which of a fleece's bags was searched for is marked on its card, and how it came out opens
// at it; there a part of it is told as used.
func TestABagIsFoundByItsPlace(t *testing.T) {
	p := newPerson(t, true, withRecord)
	p.resize(100, 50)
	p.press("d", "down", "enter", "h", "down", "p")
	p.types("shelf 2")
	p.press("enter", "esc", "esc", "esc", "f", "/")
	p.types("curly shelf 2")
	p.press("enter", "enter")
	p.sees("▸ A2", "shelf 2")
	p.seesNot("▸ A1")
	p.everySize()
	p.press("h")
	p.sees("A2 of 14 Mar 2026's bag: shelf 2", "g part used or sold")
	p.everySize()
	p.press("g")
	p.sees("A part of this bag: half of 011P", "Clean fibre used or sold")
	p.everySize()
	p.types("hat half of A2")
	p.press("enter")
	p.says("Curly, Invented Hill is saved")
	uses := p.ledger.Have[slices.IndexFunc(p.ledger.Have, func(f shed.Fleece) bool { return f.ID == "f2" })].Uses
	d, err := p.journal.Day(1)
	if err != nil || len(uses) != 1 || uses[0].Name != "hat" || uses[0].RawG != d.Fate["A2"].DryG/2 {
		t.Errorf("used %+v of %v g (%v)", uses, d.Fate["A2"].DryG, err)
	}
}
