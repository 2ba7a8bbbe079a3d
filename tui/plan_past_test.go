package tui

import (
	"errors"
	"strings"
	"testing"
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/tui/ahead"
	"fleece.example/tubside/tui/base"
)

// TestPlanKnowsThePast: the plan counts from what is left of a fleece, says when
// it has more, and goes by what past days taught, as its timetable does.
func TestPlanKnowsThePast(t *testing.T) {
	p := newPerson(t, true, withRecord) // of 1.8 kg of Curly 0.8 kg are washed
	p.resize(120, 40)
	p.press("f", "enter", "p")
	p.sees("Which fleece")
	p.press("enter", "enter", "enter", "9", "0", "0", "ctrl+s")
	p.sees("900 g of 1 kg, 100 g left")
	plan := p.app.top().(*ahead.PlanScreen).Whole()
	if len(plan.OnRack) != 2 || len(plan.Hands) == 0 {
		t.Errorf("the plan knows %d on the rack and %d acts of the hands", len(plan.OnRack), len(plan.Hands))
	}
	p.press("a", "enter", "enter", "enter", "2", "2", "5", "ctrl+s")
	p.sees("1.12 kg of Curly, Invented Hill are planned, but by the record 1 kg is left", "1.12 kg of 1 kg, 0 g left")
	p.everySize()
	p.press("s")
	p.says("Press s again to start anyway")
	if p.app.env.Live.Day.Running() {
		t.Fatal("one press started it")
	}
	p.press("s")
	if !p.app.env.Live.Day.Running() {
		t.Fatalf("two presses did not start it:\n%s", p.view())
	}
}

// TestAddedBeyondWhatIsLeft: batches put into the running day count too.
func TestAddedBeyondWhatIsLeft(t *testing.T) {
	p := newPerson(t, true, withRecord)
	p.resize(120, 40)
	p.press("f", "enter", "p", "enter", "enter", "enter", "9", "0", "0", "ctrl+s", "s") // 900 g of the 1 kg that are left
	if !p.app.env.Live.Day.Running() {
		t.Fatalf("no day runs:\n%s", p.view())
	}
	p.settled()
	p.press("esc", "f", "enter", "p", "enter", "enter", "enter", "2", "2", "5", "ctrl+s")
	p.says("1 batch added to the day; that makes 1.12 kg of Curly, Invented Hill, but by the record only 1 kg was left")
}

// TestOneOddBatch: a batch of which nothing can be said does not hide the
// others on the rack, and the choice stays with its batch when the order changes.
func TestOneOddBatch(t *testing.T) {
	p := newPerson(t, true, withRecord, func(p *person, _ *base.Deps) {
		recs, err := p.journal.Events(2)
		if err != nil {
			p.t.Fatal(err)
		}
		d := session.Replay(recs)
		odd := session.Recorded{Seq: d.LastSeq + 1, At: d.LastAt, Event: session.BatchWeighedRaw{Batch: "A1", RawG: 9}} // an older version took it
		d = session.Apply(d, odd)
		if err := p.journal.Append(2, []session.Recorded{odd}, ledger.Summarise(2, d)); err != nil {
			p.t.Fatal(err)
		}
	})
	p.resize(120, 40)
	p.press("r")
	p.sees("A1", "A2")
	if !strings.Contains(p.view(), "doesn't go with 9 g raw") {
		p.press("down")
	}
	p.sees("138 g on the rack doesn't go with 9 g raw: is the unit right?")
	p.everySize()
}

// TestPlanOutlivesTheProgram: a plan in the making is there again at the next start, one that
// was begun or emptied is not.
func TestPlanOutlivesTheProgram(t *testing.T) {
	p := newPerson(t, true, withRecord)
	again := func() *person {
		p.settled()
		return newPerson(t, true, func(q *person, d *base.Deps) {
			q.journal, q.ledger, q.clock = p.journal, p.ledger, p.clock
			d.Journal, d.Ledger, d.Clock = p.journal, p.ledger, p.clock
			p.journal.Ask, p.ledger.Ask = nil, nil
		})
	}
	p.press("f", "enter", "p", "enter", "enter", "enter", "9", "0", "0", "ctrl+s")
	n := len(p.app.env.Planned.Plan.Batches)
	begin := p.clock.At.Add(20 * time.Hour)
	p.app.env.Planned.Begin = begin
	p.press("down")
	p = again()
	if got := p.app.env.Planned.Begin; !got.Equal(begin) {
		t.Errorf("it is to begin at %v, not %v", got, begin)
	}
	p.app.env.Planned.Begin = time.Time{}
	p.sees("Go on with the plan")
	p.press("p")
	if got := len(p.app.env.Planned.Plan.Batches); got != n || n < 2 {
		t.Fatalf("%d of %d batches are there again", got, n)
	}
	p.press("d", "d")
	p = again()
	if got := len(p.app.env.Planned.Plan.Batches); got != n-1 {
		t.Errorf("one taken out of %d: %d are there again", n, got)
	}
	p.press("p", "s")
	if !p.app.env.Live.Day.Running() {
		t.Fatalf("no day runs:\n%s", p.view())
	}
	p.settled()
	if got := len(p.ledger.Next.Plan.Batches); got > 0 {
		t.Errorf("of the plan that was begun %d batches are kept", got)
	}
}

// TestPlanIsSavedOnceItCanBe: a plan that could not be saved is, without a further change, once
// the disk takes it; meanwhile that is not tried at each key.
func TestPlanIsSavedOnceItCanBe(t *testing.T) {
	p := newPerson(t, true, withRecord)
	tried := 0
	p.ledger.Ask = func(what string) {
		p.mayAsk(what)
		if what == "SaveDraft" {
			tried++
		}
	}
	p.press("f", "enter", "p", "enter", "enter", "enter", "9", "0", "0")
	p.ledger.Err, tried = errors.New("the disk is full"), 0
	p.press("ctrl+s")
	p.says("the plan couldn't be saved: the disk is full")
	p.press("down", "up")
	if tried != 1 {
		t.Errorf("it is tried %d times within 3 s", tried)
	}
	p.wait(10 * time.Second)
	p.ledger.Err = nil
	p.wait(10 * time.Second)
	if want, got := p.app.env.Planned.Plan.Batches, p.ledger.Next.Plan.Batches; len(want) < 2 || len(got) != len(want) {
		t.Errorf("%d of %d batches are saved", len(got), len(want))
	}
	if p.wait(10 * time.Second); tried != 3 {
		t.Errorf("it is tried %d times, once it is saved too", tried)
	}
}

// TestOldWashesAddUp: what was entered from one card is off its fleece for the next.
func TestOldWashesAddUp(t *testing.T) {
	p := newPerson(t, true, withFleeces) // Curly is 2 kg
	p.resize(120, 40)
	p.press("d", "a")
	p.press(strings.Split("2025-06-01", "")...)
	p.press("enter", "enter", "9", "0", "0", "ctrl+s", "ctrl+s") // asked about: the clip is of 2026
	p.says("A1 of 1 Jun 2025 is saved")
	p.press("esc", "a")
	p.press(strings.Split("2025-06-08", "")...)
	p.press("enter", "enter", "6", "0", "0", "ctrl+s", "ctrl+s")
	p.says("A1 of 8 Jun 2025 is saved")
	p.press("enter", "9", "0", "0", "ctrl+s")
	p.says("only 500 g of it is not washed: 900 g is more")
}
