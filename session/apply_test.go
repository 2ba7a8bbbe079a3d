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
