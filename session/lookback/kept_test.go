package lookback_test

import (
	"strings"
	"testing"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/lookback"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/sessiontest"
	"fleece.example/tubside/session/shed"
)

// twoWaxy is a day of two heavy-wax batches that are washed twice, from a tap of 45 °C: each wash wants the kettle.
func twoWaxy(t *testing.T, change ...func(*shed.Plan)) *sessiontest.Run {
	p := sessiontest.ThreeTubs(change...)
	p.Kit.HotTapC, p.Kit.Kettle.CapacityL = 45, 6
	p.Kit.Tubs, p.Fleeces = p.Kit.Tubs[:2], p.Fleeces[1:2]
	p.Batches = []shed.Batch{{FleeceID: "f2", RawG: 150, Presoak: shed.PresoakNone}, {FleeceID: "f2", RawG: 150, Presoak: shed.PresoakNone}}
	return sessiontest.Start(t, p)
}

// kettle tells that it is on, or has boiled.
func kettle(tub int) session.Command { return session.TellKettle{Tub: tub, Sure: true} }

// inFirst has both in their first wash, North's by 08:09, South's by 08:20.
func inFirst(r *sessiontest.Run) *sessiontest.Run {
	r.Do(kettle(0)).Wait(8).Do(kettle(0)).Wait(1).Next(0, 0)
	return r.Wait(2).Do(kettle(1)).Wait(8).Do(kettle(1)).Wait(1).Next(1, 1)
}

func hungOf(r *sessiontest.Run) (out []string) {
	for _, s := range said(r, measure.Metric) {
		if strings.Contains(s, " hung ") {
			out = append(out, s)
		}
	}
	return out
}

// One kettle for two tubs. North is out at 08:30 and empty at 08:32; its kettle is on from 08:33 for 30 min. South is
// out at 08:39; the kettle, on for North till 09:03, is on for it from 09:05 to 09:17. Nobody stayed away.
func TestOneKettleForTwoIsNobodysFault(t *testing.T) {
	r := inFirst(twoWaxy(t)).Wait(10).Next(0).Wait(2).Next(0)
	r.Wait(1).Do(kettle(0)).Wait(6).Next(1, 1).Wait(24).Do(kettle(0)).Wait(1).Next(0, 0)
	r.Wait(1).Do(kettle(1)).Wait(12).Do(kettle(1)).Wait(1).Next(1, 1)
	sessiontest.Same(t, "told", hungOf(r), []string{
		"A2 hung 39 min between the first hot wash and the second hot wash: out of the water fleece cools, and wax sets. The kettle was on for North for 24 min of it. Next time start the tubs further apart, or boil on a second kettle on another circuit.",
		"A1 hung 34 min between the first hot wash and the second hot wash: out of the water fleece cools, and wax sets. Its water had to boil for 30 min of it. Next time put the kettle on sooner.",
	})
	got := strings.Join(waits(r.Day, lookback.TimingsOf(r.Day)), "; ")
	for _, want := range []string{"South to be filled: the kettle was on for North for 24 min of it", "North to be filled: its kettle boiled for 30 min of it"} {
		if !strings.Contains(got, want) {
			t.Errorf("nothing says %q: %s", want, got)
		}
	}
}

// What was poured boiling had to boil, whether anybody told of the kettle or not: here for 7 min; and a fill takes 9 on
// this day. North is empty at 08:33, and it rings for wet fleece at 08:51.
func TestWaterHadToBoilUntold(t *testing.T) {
	for min, want := range map[float64]string{27: "Next time have its water ready when you lift.", 60: "The alarm rang at 08:51 but nobody came for 26 min."} {
		r := twoWaxy(t).Wait(9).Next(0, 0).Wait(2).Next(1, 1).Wait(20).Next(0).Wait(2).Next(0).Wait(min).Next(0, 0)
		told := hungOf(r)
		if len(told) != 1 || !strings.HasSuffix(told[0], ", and wax sets. "+want) {
			t.Errorf("filled after %g min: %q", min, told)
		}
	}
}

// A wash was repeated at 08:26 with a tank that has nothing left till 08:52: whoever stood there could not fill. It rang
// at 08:44, and a fill takes 3 min.
func TestATankThatHeatsIsNobodysFault(t *testing.T) {
	for min, want := range map[float64]string{57: "The tank was heating up for 26 min of it. Next time boil more of its water.", 80: "The alarm rang at 08:44 but nobody came for 25 min."} {
		p := sessiontest.TankPlan(t, 1000)
		p.Kit.Tank.VolumeL, p.Kit.Kettle.CapacityL, p.Kit.HotTapC = 24, 0, 65
		for i := range p.Batches {
			p.Batches[i].Presoak = shed.PresoakNone
		}
		r := sessiontest.Start(t, p)
		r.Leap(3).Fill(0, 62).Leap(4).Next(0).Leap(6).Fill(1, 62).Leap(7).Next(1).Leap(24).Next(0).Leap(26).Next(0)
		told := hungOf(r.Do(session.RepeatStep{Wash: true}).At(min).Next(0, 0))
		if len(told) != 1 || !strings.HasSuffix(told[0], ", and wax sets. "+want) {
			t.Errorf("filled after %g min: %q", min, told)
		}
	}
}
