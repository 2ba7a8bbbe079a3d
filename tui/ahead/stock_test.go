package ahead

import (
	"testing"
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/tui/base"
)

// What is left of a fleece is what past days left: those batches of the running day
// that went in are in its plan, and are not taken off twice.
func TestStockLeavesOutTheRunningDay(t *testing.T) {
	at := time.Date(2026, 3, 14, 9, 0, 0, 0, time.UTC)
	washed := func(id shed.DayID, g float64) ledger.Summary {
		return ledger.Summary{ID: id, StartedAt: at, Batches: 1, Sunk: 1, Rows: ledger.BatchRows{{ID: "A1", FleeceID: "f1", RawG: g, SunkAt: at, RackedAt: at}}}
	}
	e := &base.Env{Live: &base.Live{ID: 2, Day: session.Day{StartedAt: at}}}
	e.Record.Days = []ledger.Summary{washed(2, 300), washed(1, 200)}
	f := shed.Fleece{ID: "f1", RawG: 1000}
	if got := stockOf(e, []shed.Fleece{f}).WholeG(f); got != 800 {
		t.Errorf("%g g left of 1000, after 200 on a past day", got)
	}
}
