package tui

import (
	"testing"

	"fleece.example/tubside/session/shed"
)

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
