package planner_test

import (
	"testing"

	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/must"
	"fleece.example/tubside/session/planner"
	"fleece.example/tubside/session/sessiontest"
	"fleece.example/tubside/session/shed"
)

// TestHelpsGainWhatTheySay: what would help is said with the time that the plan of a kit with it is
// done at, and only where that is worth saying.
func TestHelpsGainWhatTheySay(t *testing.T) {
	t.Parallel()
	said := map[string]int{}
	for _, n := range []struct {
		batches, tubs int
		kettleW       float64
	}{{1, 1, 2200}, {3, 3, 2200}, {3, 3, 900}, {4, 2, 2200}, {4, 2, 900}, {6, 3, 600}} {
		p := sessiontest.ManyBatches(n.batches, n.tubs)
		p.Kit.Kettle.PowerW = n.kettleW
		o := must.Get(planner.PlanAhead(p, sessiontest.Dawn, planner.AsGiven, planner.Thorough)).In(t)
		finish := o.Timetable.Finish
		for _, h := range o.Helps(sessiontest.Dawn) {
			said[h.What]++
			with := p
			if h.What == "a second kettle" {
				with.Kit.Kettle.CapacityL, with.Kit.Kettle.PowerW = 2*p.Kit.Kettle.CapacityL, 2*p.Kit.Kettle.PowerW
			} else {
				with.Kit.Tubs = append(with.Kit.Tubs[:n.tubs:n.tubs], shed.Tub{})
				with.Kit.Tubs[n.tubs] = with.Kit.Tubs[0]
				with.Kit.Tubs[n.tubs].ID, with.Kit.Tubs[n.tubs].Name = "", "more"
			}
			than := must.Get(planner.PlanAhead(with, sessiontest.Dawn, planner.AsGiven, planner.Thorough)).In(t)
			if got := than.Timetable.Finish; !got.Equal(h.Finish) || h.SoonerMin != measure.ShownMin(got, finish) || h.SoonerMin < 5 {
				t.Errorf("%v, %s: %v sooner, at %s; it is done at %s, else %s", n, h.What, h.SoonerMin, h.Finish, got, finish)
			}
		}
		if hs := o.Helps(sessiontest.Dawn); n.batches == 1 && n.kettleW > 2000 && len(hs) > 0 {
			t.Errorf("one batch in one tub: %+v", hs)
		}
		if o.Plan.Kit.Kettle.PowerW != n.kettleW || len(o.Plan.Kit.Tubs) != n.tubs {
			t.Errorf("%v: the plan's own kit is changed", n)
		}
	}
	t.Log(said)
	if len(said) < 2 {
		t.Errorf("only %v would help", said)
	}
}
