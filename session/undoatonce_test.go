package session_test

import (
	"testing"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/sessiontest"
	"fleece.example/tubside/session/shed"
)

// Deeds of one moment, as while a clock that went back stands, are taken back one by one: an alarm
// that each of them ended stands again once.
func TestUndoOfDeedsAtOneMoment(t *testing.T) {
	r := sessiontest.Start(t, sessiontest.RecordPlan()).Until(0, shed.Soaking)
	at := r.Now
	for _, tempC := range []float64{30, 60, 30, 60, 30, 60} {
		r.Now = at
		r.Do(session.TakeReading{Tub: 0, TempC: tempC, Sure: true}).Tick(0)
		sessiontest.Same(t, "standing", len(r.Day.Alarms), map[float64]int{30: 1, 60: 0}[tempC])
	}
	for range 6 {
		r.Now = at
		r.Do(session.Undo{}).Tick(0)
		if len(r.Day.Alarms) > 1 {
			t.Fatalf("%+v", r.Day.Alarms)
		}
	}
}
