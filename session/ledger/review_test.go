package ledger_test

import (
	"testing"
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/coach"
	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/sessiontest"
	"fleece.example/tubside/session/shed"
)

// A reading of the same clock minutes stands beside the estimate at the sink-in, and the
// estimate follows what was read, as the curve does.
func TestLookBackFollowsTheReadings(t *testing.T) {
	r := sessiontest.Start(t, sessiontest.OneTub()).Until(0, shed.Soaking)
	sunk := r.Day.Tubs[0].Bath.SunkAt
	guessed := r.Day.Tubs[0].Bath.SinkC
	r.Now = sunk.Add(3*time.Minute + 40*time.Second)
	r.Do(session.TakeReading{TempC: 50, Sure: true})
	look := func() ledger.BathReview { return ledger.ReviewOf(r.Day).Batches[0].Baths[0] }
	b := look()
	sessiontest.Near(t, "read at the sink-in", b.SinkReadC, 50, 0)
	if b.SinkForecastC > 53 || b.SinkForecastC < 50 {
		t.Errorf("in at about %.1f °C, as guessed %.1f; 50 °C was read 3 min after", b.SinkForecastC, guessed)
	}
	curve := coach.Curve(r.Day, 0, sunk, sunk.Add(10*time.Minute), 2)
	sessiontest.Near(t, "the curve at the sink-in", b.SinkForecastC, curve[0].TempC, 1e-9)
	r.Now = sunk.Add(20 * time.Minute)
	at, _, _ := r.Day.TempNow(0, r.Now)
	r.Next(0)
	sessiontest.Near(t, "at the lift", look().LiftForecastC, at, 1e-6)
}
