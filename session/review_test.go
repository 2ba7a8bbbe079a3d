package session_test

import (
	"testing"
	"time"

	"fleece.example/tubside/session"
)

// A reading of the same clock minutes stands beside the estimate at the sink-in, and the
// estimate follows what was read, as the curve does.
func TestLookBackFollowsTheReadings(t *testing.T) {
	r := start(t, oneTub()).until(0, session.Soaking)
	sunk := r.day.Tubs[0].Bath.SunkAt
	guessed := r.day.Tubs[0].Bath.SinkC
	r.now = sunk.Add(3*time.Minute + 40*time.Second)
	r.do(session.TakeReading{TempC: 50, Sure: true})
	look := func() session.BathReview { return r.day.Review().Batches[0].Baths[0] }
	b := look()
	near(t, "read at the sink-in", b.SinkReadC, 50, 0)
	if b.SinkForecastC > 53 || b.SinkForecastC < 50 {
		t.Errorf("in at about %.1f °C, as guessed %.1f; 50 °C was read 3 min after", b.SinkForecastC, guessed)
	}
	curve := r.day.Curve(0, sunk, sunk.Add(10*time.Minute), 2)
	near(t, "the curve at the sink-in", b.SinkForecastC, curve[0].TempC, 1e-9)
	r.now = sunk.Add(20 * time.Minute)
	at, _, _ := r.day.TempNow(0, r.now)
	r.next(0)
	near(t, "at the lift", look().LiftForecastC, at, 1e-6)
}
