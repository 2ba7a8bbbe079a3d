package lookback_test

import (
	"testing"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/lookback"
	"fleece.example/tubside/session/sessiontest"
)

// What was read before the lift is no reading at the lift, nor one after the sink-in one at it:
// there the estimate stands that the reading bears.
func TestAnOldReadingIsNotTheTemperatureAtTheLift(t *testing.T) {
	for min, read := range map[float64]bool{0: true, 1: true, 1.5: false, 3.5: false} {
		r := washed(t, 65).Wait(15).Do(session.TakeReading{TempC: 60, Sure: true}).Wait(min)
		r.Do(session.DoNext{Act: r.Day.NextAction(0), Sooner: true})
		b := lookback.Baths(r.Day)[0]
		if b.Lift.Read != read || !read && !(b.Lift.TempC < 60 && b.Lift.TempC > 58) {
			t.Errorf("read %g min before the lift: out %+v", min, b.Lift)
		}
	}
	r := sessiontest.Start(t, sessiontest.OneTub())
	for r.Day.Tubs[0].Bath.SunkAt.IsZero() {
		r.Wait(1).Next(0)
	}
	r.Wait(3).Do(session.TakeReading{TempC: 60, Sure: true})
	if b := lookback.Baths(r.Day)[0]; b.In.Read || !(b.In.TempC > 60) {
		t.Errorf("read 3 min after the sink-in: in %+v", b.In)
	}
}
