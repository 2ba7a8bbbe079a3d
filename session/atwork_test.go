package session_test

import (
	"math"
	"slices"
	"testing"
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/sessiontest"
	"fleece.example/tubside/session/shed"
)

// Who is at work is not called to the kettle between two boils; who has gone is, when the
// work that waits would have been done.
func TestRefillIsNotCalledForAtWork(t *testing.T) {
	for _, works := range []bool{true, false} {
		r := sessiontest.Start(t, sessiontest.ThreeTubs(func(p *shed.Plan) {
			p.Kit.Kettle.CapacityL, p.Batches[0].Presoak, p.Batches[1].Presoak = 1.9, shed.PresoakAsMethod, shed.PresoakAsMethod
		}))
		r.Next(0, 0).Wait(5).Do(session.TellKettle{Sure: true})
		k := r.Day.Kettle
		if k.Loads() < 2 {
			t.Fatalf("%d boils", k.Loads())
		}
		for r.Now.Before(k.RefillAt()) {
			r.Tick(time.Second)
		}
		if works {
			for _, act := range []shed.Action{shed.FillTub, shed.SinkIn} { // each in half its usual minutes
				for end := r.Now.Add(sessiontest.Minutes(r.Day.Plan.HandsMin()[act] / 2)); r.Now.Before(end); {
					r.Tick(time.Second)
				}
				if act == shed.SinkIn || r.Day.Tubs[1].Phase == shed.ToFill {
					r.Next(1)
				}
				called(t, r, session.KettleNow, false)
			}
			continue
		}
		r.Wait(8)
		called(t, r, session.KettleNow, true)
	}
}

func called(t *testing.T, r *sessiontest.Run, kind session.AlarmKind, want bool) {
	t.Helper()
	if _, is := sessiontest.FindAlarm(r.Day, kind); is != want {
		t.Errorf("at %v %s stands: %v, not %v", r.Now, kind, is, want)
	}
}

// Wet fleece that has hung too long is not called for while its next bath may be under the
// hands: for the usual minutes of the act, and where nothing else was done since.
func TestHangingFleeceWaitsForTheHands(t *testing.T) {
	for _, elsewhere := range []bool{false, true} {
		r := sessiontest.Start(t, sessiontest.ThreeTubs(func(p *shed.Plan) { p.Batches[0].Presoak = shed.PresoakNone }))
		r.Until(0, shed.Soaking).Wait(20).Next(0)
		limit := r.Day.Tubs[0].WetBy()
		for r.Now.Before(limit.Add(-time.Minute)) {
			r.Tick(time.Second)
		}
		r.Next(0) // emptied: it is to be filled, which takes 3 min
		if r.Wait(0.5); elsewhere {
			r.Do(session.AddNote{Tub: -1, Text: "elsewhere"})
		}
		r.Wait(1)
		called(t, r, session.WetWaiting, elsewhere)
		r.Wait(4)
		called(t, r, session.WetWaiting, true)
	}
}

// A wash near its longest soak is told of in the warning time, later where somebody was at
// work just now, and always so soon that its lift is in time.
func TestLongestSoakIsToldOfInTime(t *testing.T) {
	for _, x := range []struct {
		workedMin, liftMin float64 // before the longest soak is over; what a lift usually takes
		rang               float64 // as long before
	}{{20, 1.5, 5}, {7, 1.5, 4}, {5.5, 1.5, 2.5}, {5.5, 2, 2}, {5.5, 4, 4}, {4, 4, 5}} {
		r := sessiontest.Start(t, sessiontest.ThreeTubs(func(p *shed.Plan) {
			p.Batches[0].Presoak, p.Hands = shed.PresoakNone, []shed.HandsTime{{Act: shed.Lift, Min: x.liftMin, Times: 1e6}}
		})).Until(0, shed.Soaking)
		longest := r.Day.Tubs[0].LongestAt()
		for r.Now.Before(longest) {
			if r.Now.Equal(longest.Add(-sessiontest.Minutes(x.workedMin))) {
				r.Do(session.AddNote{Tub: -1, Text: "at work"})
			}
			r.Tick(time.Second)
		}
		at := slices.IndexFunc(r.Recs, func(rec session.Recorded) bool {
			return rec.Event == session.AlarmRaised{Alarm: session.NotLifted, Tub: 0}
		})
		if at < 0 {
			t.Fatalf("worked %g min before: not told of", x.workedMin)
		}
		if got := longest.Sub(r.Recs[at].At).Minutes(); math.Abs(got-x.rang) > 0.1 {
			t.Errorf("worked %g min before, lifts of %g: told of %g min before, not %g", x.workedMin, x.liftMin, got, x.rang)
		}
	}
}
