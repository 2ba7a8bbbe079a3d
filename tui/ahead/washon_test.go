package ahead

import (
	"testing"
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/tui/base"
)

// TestWashedAgainFromTheFirst: a batch that went on from a rinse on the day that dried it is washed again with all of
// the method's steps and dose, unless somebody says otherwise.
func TestWashedAgainFromTheFirst(t *testing.T) {
	at := time.Date(2026, 6, 13, 9, 0, 0, 0, time.UTC)
	d := session.Day{Plan: shed.Plan{Batches: []shed.Batch{{ID: "A1", FleeceID: "f1", RawG: 200, Form: shed.Loose, FromStep: "first rinse", DosePart: 0.5}}},
		Fate: map[string]session.Fate{"A1": {SunkAt: at, RackedAt: at.Add(time.Hour), Washes: 1}}}
	x := washedOn(&base.Env{}, 3, d, "A1")
	if x.asks || x.b.FromStep != "" || x.b.DosePart != 0 || x.b.Again != (shed.Earlier{Day: 3, Batch: "A1"}) {
		t.Errorf("%+v", x)
	}
}
