package planner_test

import (
	"testing"
	"time"

	"fleece.example/tubside/cooling"
	"fleece.example/tubside/session/long"
	"fleece.example/tubside/session/must"
	"fleece.example/tubside/session/planner"
	"fleece.example/tubside/session/sessiontest"
	"fleece.example/tubside/session/shed"
)

// A day that begins later isn't done sooner, whichever way its break falls: it could as well have
// been begun sooner, and waited. The search finds that to a quarter of an hour.
func TestLaterStartIsNotDoneSooner(t *testing.T) {
	t.Parallel()
	kit := func(p *shed.Plan, roomC, hotC, coldC float64, tubs ...[2]float64) {
		p.Kit.RoomC, p.Kit.HotTapC, p.Kit.ColdTapC, p.Kit.LeadMin = roomC, hotC, coldC, 5
		for i, size := range tubs {
			p.Kit.Tubs[i] = shed.Tub{Name: string(rune('A' + i)), CapacityL: size[0], FillL: size[1], Shape: cooling.Deep, Cover: cooling.Lid}
		}
		p.Kit.Tubs[2].Shape, p.Kit.Tubs[2].Cover = cooling.Shallow, cooling.Film
	}
	days := map[string]shed.Plan{
		"one break": sessiontest.ThreeTubs(func(p *shed.Plan) {
			kit(p, 14, 54, 9, [2]float64{20, 13.5}, [2]float64{12, 8}, [2]float64{7, 4.5})
			p.Batches = []shed.Batch{{FleeceID: "f2", RawG: 300}, {FleeceID: "f2", RawG: 180}, {FleeceID: "f1", RawG: 255, Form: shed.Locks, Layers: 3},
				{FleeceID: "f1", RawG: 95, Form: shed.Locks, Layers: 3}, {FleeceID: "f1", RawG: 180}}
			p.Break = shed.Breaks{{FromMin: 11*60 + 5, ToMin: 11*60 + 20}}
		}),
		"two breaks": sessiontest.ThreeTubs(func(p *shed.Plan) {
			kit(p, 18, 52, 13, [2]float64{19, 12.3}, [2]float64{19, 12.3}, [2]float64{5.7, 3.8})
			p.Kit.Kettle.PowerW = 1500
			p.Batches = []shed.Batch{{FleeceID: "f3", RawG: 340}, {FleeceID: "f1", RawG: 355}, {FleeceID: "f1", RawG: 340}, {FleeceID: "f1", RawG: 99}}
			p.Break = shed.Breaks{{FromMin: 10*60 + 30, ToMin: 11 * 60}, {FromMin: 12*60 + 30, ToMin: 12*60 + 40}}
		}),
	}
	for name, p := range days {
		soonest, last := time.Time{}, p.Break[0].FromMin-25
		for min := last; min >= last-80; min -= long.Of(40, 5) {
			at := sessiontest.Dawn.Truncate(24 * time.Hour).Add(time.Duration(min) * time.Minute)
			o := must.Get(planner.PlanAhead(p, at, planner.AsGiven, planner.Thorough)).In(t)
			done := o.Timetable.Finish
			if soonest.IsZero() || done.Before(soonest) {
				soonest = done
			}
			t.Logf("%s, from %s: done %s", name, at.Format("15:04"), done.Format("15:04:05"))
			if done.After(soonest.Add(15 * time.Minute)) {
				t.Errorf("%s, from %s it is done %s, from a later start %s", name, at.Format("15:04"), done.Format("15:04"), soonest.Format("15:04"))
			}
		}
	}
}
