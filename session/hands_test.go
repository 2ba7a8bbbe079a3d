package session_test

import (
	"slices"
	"testing"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/lookback"
	"fleece.example/tubside/session/sessiontest"
	"fleece.example/tubside/session/shed"
)

// Who came 21, 19 or 12 min after each soak was called and was elsewhere: their lifts are late,
// not slow. A lift four minutes after is taken for what it takes.
func TestALateLiftTeachesNothingOfTheHands(t *testing.T) {
	for lateMin, want := range map[float64]float64{21: 0, 19: 0, 12: 0, 4: 4} {
		r := sessiontest.Start(t, sessiontest.OneTub())
		for !r.Day.AllRacked() {
			if tub := r.Day.Tubs[0]; tub.Phase == shed.Soaking {
				r.Wait(tub.Bath.SoakMin + lateMin)
			} else {
				r.Wait(2)
			}
			r.Next(0)
		}
		liftMin, others := 0.0, 0
		for _, h := range r.Day.HandsTimes() {
			if h.Act == shed.Lift {
				liftMin = h.Min
			} else {
				others++
			}
		}
		sessiontest.Near(t, "a lift takes", liftMin, want, 1e-6)
		if others < 5 {
			t.Errorf("%.0f min late: the other deeds taught %d kinds", lateMin, others)
		}
	}
}

// From 08:01 to about 08:13 the kettle boiled: a fill over at 08:15 says how long that took. Where
// somebody told at 08:13 that it had boiled, the two minutes behind are the hands'.
func TestABoilTeachesNothingOfTheHands(t *testing.T) {
	for told, want := range map[bool]float64{true: 2, false: 0} {
		r := sessiontest.Start(t, sessiontest.OneTub(func(p *shed.Plan) { p.Kit.HotTapC, p.Kit.Kettle.CapacityL = 55, 5 })).Leap(1).Do(session.TellKettle{})
		if told {
			r.Leap(13).Do(session.TellKettle{Sure: true})
		}
		fillMin := 0.0
		for _, h := range r.Leap(15).Next(0).Day.HandsTimes() {
			if h.Act == shed.FillTub {
				fillMin = h.Min
			}
		}
		sessiontest.Near(t, "a fill takes", fillMin, want, 1e-6)
	}
}

// Deeds told one after the other, 24 s apart, were done before: neither the plan nor the look back
// takes it that a tub fills in that time.
func TestDeedsToldAfterwardsTeachNothingOfTheHands(t *testing.T) {
	for min, kinds := range map[float64]int{0.4: 0, 2: 5} {
		r := sessiontest.Start(t, sessiontest.ManyBatches(5, 1))
		for !r.Day.AllRacked() {
			if tub := r.Day.Tubs[0]; tub.Phase == shed.Soaking {
				r.Wait(tub.Bath.SoakMin)
			}
			r.Wait(min).Next(0)
		}
		taught := 0
		for _, h := range r.Day.HandsTimes() {
			if h.Act != shed.Lift && h.Act != shed.SinkIn { // these may be as quick
				taught++
			}
		}
		if taught != kinds {
			t.Errorf("%.1f min each: %d kinds of deeds taught", min, taught)
		}
		if advised := lookback.Advise([]session.Day{r.Day}); min < 1 && slices.ContainsFunc(advised, func(a lookback.Advice) bool { return a.Change == lookback.HandsMinutes && a.Act != shed.SinkIn }) {
			t.Errorf("%.1f min each: %v", min, advised)
		}
	}
}
