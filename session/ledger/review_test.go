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

// A reading that was taken back has not cooled the bath: the look back does not say so.
// One that stands has.
func TestLookBackForgetsWhatWasTakenBack(t *testing.T) {
	washed := func(mistyped bool) []ledger.BelowSpan {
		r := sessiontest.Start(t, sessiontest.OneTub()).Until(0, shed.Soaking)
		for !r.Day.Tubs[0].Step().HasRelease() {
			r.Next(0).Until(0, shed.Soaking)
		}
		r.Wait(2).Do(session.TakeReading{TempC: 47, Sure: true})
		r.Wait(1)
		if mistyped {
			r.Do(session.Undo{}, session.TakeReading{TempC: 61, Sure: true})
		}
		r.Wait(3).Do(session.DoNext{Act: shed.Lift, Sooner: true}).Next(0)
		for _, b := range ledger.ReviewOf(r.Day).Batches[0].Baths {
			if b.Step.HasRelease() {
				return b.Below
			}
		}
		t.Fatal("no wash")
		return nil
	}
	if got := washed(true); len(got) != 0 {
		t.Errorf("taken back, and said all the same: %+v", got)
	}
	if got := washed(false); len(got) == 0 {
		t.Error("read below its release temperature, and not said")
	}
}
