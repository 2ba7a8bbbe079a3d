package planner_test

import (
	"slices"
	"testing"
	"time"

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
				t.Errorf("%+v: %s of %s is %s late", c, piece.Words(p.Kit), piece.Batch, piece.Late)
			}
		}
	}
}
