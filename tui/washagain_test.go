package tui

import (
	"testing"
	"time"

	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/tui/base"
)

// TestRackWithoutADay: what a day washes again is off the rack for that day too.
func TestRackWithoutADay(t *testing.T) {
	at := time.Date(2026, 3, 14, 9, 0, 0, 0, time.UTC)
	e := &base.Env{}
	e.Record.Days = []ledger.Summary{
		{ID: 2, Rows: ledger.BatchRows{{ID: "A1", Again: shed.Earlier{Day: 1, Batch: "A1"}}}},
		{ID: 1, Rows: ledger.BatchRows{{ID: "A1", Tray: "r1", SunkAt: at, RackedAt: at}}},
	}
	if lying, err := e.Lying(2); len(lying) != 0 || err != nil {
		t.Errorf("%+v %v", lying, err)
	}
}

// TestWashABaggedBatchAgain: from how it came out, a batch of a past day goes into the plan of
// the next as the same batch; once it is in, it is not put in twice.
func TestWashABaggedBatchAgain(t *testing.T) {
	p := newPerson(t, true, withRecord)
	p.press("d", "down", "enter", "h", "x", "w")
	p.says("A1 is in the plan of the next day, to be washed again")
	p.everySize()
	batches := p.app.env.Planned.Plan.Batches
	if len(batches) != 1 || batches[0].Again != (shed.Earlier{Day: 1, Batch: "A1"}) || batches[0].RawG != 200 || batches[0].Presoak != shed.PresoakNone {
		t.Fatalf("planned %+v", batches)
	}
	p.press("w")
	p.says("A1 is in the plan already")
	p.press("esc", "esc", "esc", "p", "s")
	p.settled()
	p.press("esc", "f")
	p.resize(120, 40)
	p.sees("Curly", "1 kg") // as much left as before
	p.press("enter")
	p.sees("washed again")
	p.everySize()
}
