package planner_test

import (
	"slices"
	"strings"
	"testing"
	"time"

	"fleece.example/tubside/cooling"
	"fleece.example/tubside/session"
	"fleece.example/tubside/session/planner"
	"fleece.example/tubside/session/sessiontest"
	"fleece.example/tubside/session/shed"
)

// A break that is told of in the middle of a day leaves no hot fleece hanging for long that more
// thought would have put in.
func TestLittleThoughtLeavesNoHotFleeceHanging(t *testing.T) {
	for _, c := range []struct{ batches, nowMin, inMin int }{{6, 61, 50}, {6, 83, 3}, {6, 111, 28}, {8, 111, 12}} {
		p := sessiontest.ManyBatches(c.batches, 3)
		p.Kit.HotTapC, p.Kit.Kettle.PowerW = 43, 1200
		d, now := sessiontest.Start(t, p).Day, sessiontest.Dawn.Add(time.Duration(c.nowMin)*time.Minute)
		was, err := planner.Schedule(d, sessiontest.Dawn, planner.Quick)
		if err != nil {
			t.Fatal(err)
		}
		first := was
		first.Pieces = slices.DeleteFunc(slices.Clone(was.Pieces), func(p planner.Piece) bool { return p.End.After(now) && (!p.Boil() || p.Start.After(now)) })
		d, _ = follow(t, d, first)
		if d, _, err = session.Do(d, session.TakeBreak{InMin: float64(c.inMin), ForMin: 90}, now); err != nil {
			t.Fatal(err)
		}
		tt, err := planner.Replan(d, now, planner.Quick, was)
		if err != nil {
			t.Fatal(err)
		}
		for _, piece := range tt.Pieces {
			if piece.Late > 15*time.Minute && slices.Contains(piece.Acts, shed.FillTub) {
				t.Errorf("%+v: %s of %s is %s late", c, piece.Words(&p.Kit), piece.Batch, piece.Late)
			}
		}
	}
}

// Fleece whose next bath waits for the kettle soaks on rather than hangs for longer than it is planned to.
func TestSoaksOnTillTheKettleIsThere(t *testing.T) {
	p := sessiontest.SplitPlan(8)
	k := &p.Kit
	k.HotTapC, k.RoomC, k.Kettle.CapacityL, k.Kettle.PowerW = 45, 18, 3, 1200
	for i := range k.Tubs {
		k.Tubs[i].CapacityL, k.Tubs[i].Cover = 12, cooling.Film
	}
	p.Break = shed.Breaks{{FromMin: 12 * 60, ToMin: 13 * 60}, {FromMin: 16 * 60, ToMin: 16*60 + 20}}
	p.Fleeces = []shed.Fleece{{ID: "f", Animal: "Invented", Type: shed.Medium, Wax: shed.High, RawG: 1200}}
	for range 7 {
		p.Batches = append(p.Batches, shed.Batch{FleeceID: "f", RawG: 171, Form: shed.Locks})
	}
	o, err := planner.PlanAhead(p, time.Date(2026, 12, 2, 8, 0, 0, 0, time.UTC), planner.AsGiven, planner.Thorough)
	if err != nil {
		t.Fatal(err)
	}
	hangs := 0
	for i, lift := range o.Timetable.Pieces {
		if !slices.Contains(lift.Acts, shed.Lift) || !strings.Contains(lift.Name, "wash") {
			continue
		}
		for _, next := range o.Timetable.Pieces[i:] {
			if next.Batch == lift.Batch && slices.Contains(next.Acts, shed.FillTub) {
				hangs++
				if min := next.End.Sub(lift.Start).Minutes() - lift.ActMin[0]; min > 10.01 {
					t.Errorf("%s hangs %.2f min from its %s", lift.Batch, min, lift.Name)
				}
				break
			}
		}
	}
	if hangs != 14 {
		t.Errorf("%d hangs of 7 batches that are washed twice", hangs)
	}
}
