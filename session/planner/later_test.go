package planner_test

import (
	"testing"
	"time"

	"fleece.example/tubside/cooling"
	"fleece.example/tubside/session/planner"
	"fleece.example/tubside/session/sessiontest"
	"fleece.example/tubside/session/shed"
)

// A day that begins later isn't done sooner, whichever way its break falls: it could as well have
// been begun sooner, and waited. The search finds that to a quarter of an hour.
func TestLaterStartIsNotDoneSooner(t *testing.T) {
	p := sessiontest.ThreeTubs(func(p *shed.Plan) {
		p.Kit.RoomC, p.Kit.HotTapC, p.Kit.ColdTapC, p.Kit.LeadMin, p.Kit.JugL = 14, 54, 9, 5, 0.25
		for i, size := range [][2]float64{{20, 13.5}, {12, 8}, {7, 4.5}} {
			p.Kit.Tubs[i] = shed.Tub{Name: string(rune('A' + i)), CapacityL: size[0], FillL: size[1], Shape: cooling.Deep, Cover: cooling.Lid}
		}
		p.Kit.Tubs[2].Shape, p.Kit.Tubs[2].Cover = cooling.Shallow, cooling.Film
		p.Batches = []shed.Batch{{FleeceID: "f2", RawG: 300}, {FleeceID: "f2", RawG: 180}, {FleeceID: "f1", RawG: 255, Form: shed.Locks, Layers: 3},
			{FleeceID: "f1", RawG: 95, Form: shed.Locks, Layers: 3}, {FleeceID: "f1", RawG: 180}}
		p.Break = shed.Breaks{{FromMin: 11*60 + 5, ToMin: 11*60 + 20}}
	})
	soonest := time.Time{}
	for at := sessiontest.Dawn.Add(160 * time.Minute); !at.Before(sessiontest.Dawn.Add(80 * time.Minute)); at = at.Add(-5 * time.Minute) {
		o, err := planner.PlanAhead(p, at, planner.AsGiven, planner.Thorough)
		if err != nil {
			t.Fatal(err)
		}
		done := o.Timetable.Finish
		if soonest.IsZero() || done.Before(soonest) {
			soonest = done
		}
		t.Logf("from %s done %s", at.Format("15:04"), done.Format("15:04:05"))
		if done.After(soonest.Add(15 * time.Minute)) {
			t.Errorf("from %s it is done %s, from a later start %s", at.Format("15:04"), done.Format("15:04"), soonest.Format("15:04"))
		}
	}
}
