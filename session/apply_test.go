package session_test

import (
	"testing"
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/sessiontest"
	"fleece.example/tubside/session/shed"
)

// A journal from elsewhere may tell of deeds at a tub that holds nothing: they
// leave it idle, in any order, and the day can be looked at.
func TestDeedsAtAnIdleTub(t *testing.T) {
	begun := sessiontest.Start(t, sessiontest.OneTub()).Day
	var deeds []session.Event
	for _, e := range session.AllEvents() {
		switch e.(type) {
		case session.DayStarted, session.BatchLoaded, session.KitChanged, session.Undone, session.DayEnded:
		default:
			deeds = append(deeds, e)
		}
	}
	idle := begun
	idle.Tubs = []session.TubRun{{PhaseAt: begun.StartedAt}}
	for _, first := range deeds {
		for _, second := range deeds {
			d := idle
			for _, e := range []session.Event{first, second} {
				d = session.Apply(d, session.Recorded{Seq: d.LastSeq + 1, At: d.LastAt.Add(time.Minute), Event: e})
			}
			if d.Tubs[0].Phase != shed.Idle || len(d.Baths) != 0 {
				t.Fatalf("%s, %s: %v, %d baths", session.KindOf(first), session.KindOf(second), d.Tubs[0].Phase, len(d.Baths))
			}
			look(t, d)
		}
	}
}

// Made-up journals move baskets from and to tubs that are not there: the day
// stays as it is, and so it does when the move is taken back.
func TestBasketMovedFromNowhere(t *testing.T) {
	begun := sessiontest.Start(t, sessiontest.OneTub()).Day
	begun = session.Apply(begun, session.Recorded{Seq: begun.LastSeq + 1, At: begun.LastAt.Add(time.Minute), Event: session.BatchLoaded{Batch: begun.Plan.Batches[0].ID}})
	if begun.Tubs[0].Batch == "" {
		t.Fatal("the tub is empty")
	}
	for _, from := range []int{-1, 0, len(begun.Tubs)} {
		for _, to := range []int{-1, 0, len(begun.Tubs)} {
			moved := session.Apply(begun, session.Recorded{Seq: begun.LastSeq + 1, At: begun.LastAt.Add(time.Minute), Event: session.BasketMoved{Tub: from, To: to}})
			look(t, moved)
			look(t, session.Apply(moved, session.Recorded{Seq: moved.LastSeq + 1, At: moved.LastAt.Add(time.Minute), Event: session.Undone{Seq: moved.LastSeq}}))
		}
	}
}
