package lookback_test

import (
	"testing"
	"time"

	"fleece.example/tubside/session/lookback"
	"fleece.example/tubside/session/sessiontest"
	"fleece.example/tubside/session/shed"
)

// A day whose clock was set years ahead with a wash in the tub costs no more to look back at than
// one that was left for an hour.
func TestLookBackAtADayOfYears(t *testing.T) {
	took := func(left time.Duration) time.Duration {
		r := sessiontest.Start(t, sessiontest.LongWash())
		for r.Day.Tubs[0].Step().Kind != shed.Wash {
			r.Wait(3).Next(0)
		}
		r.Until(0, shed.Soaking).Tick(left)
		began := time.Now()
		for range 20 {
			lookback.Of(r.Day)
			lookback.TimingsOf(r.Day)
		}
		return time.Since(began)
	}
	// Stepped through by the quarter minute it is ten thousand times as much.
	if hour, years := took(time.Hour), took(30*365*24*time.Hour); years > 100*hour+time.Second {
		t.Errorf("%v, where an hour takes %v", years, hour)
	}
}
