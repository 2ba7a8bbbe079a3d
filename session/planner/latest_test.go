package planner_test

import (
	"testing"
	"time"

	"fleece.example/tubside/session/long"
	"fleece.example/tubside/session/must"
	"fleece.example/tubside/session/planner"
	"fleece.example/tubside/session/sessiontest"
	"fleece.example/tubside/session/shed"
)

// TestNoLaterStartIsInTime: a day that is to be ready by a time begins as late as that allows: of
// all later minutes none is in time, whether a break lies before it, in it or behind it.
func TestNoLaterStartIsInTime(t *testing.T) {
	t.Parallel()
	start := time.Date(2026, 6, 13, 7, 0, 0, 0, time.UTC)
	days := []struct{ batches, tubs int }{{1, 1}, {2, 1}}
	breaks := []shed.Breaks{nil, {{FromMin: 12*60 + 30, ToMin: 13*60 + 15}}, {{FromMin: 14 * 60, ToMin: 16 * 60}}, {{FromMin: 11 * 60, ToMin: 11*60 + 40}, {FromMin: 14 * 60, ToMin: 16 * 60}}}
	bys := []int{15*60 + 59, 17*60 + 45}
	if long.Run() {
		days = append(days, struct{ batches, tubs int }{3, 2}, struct{ batches, tubs int }{4, 2}, struct{ batches, tubs int }{3, 3})
		breaks = append(breaks, shed.Breaks{{FromMin: 10*60 + 7, ToMin: 10*60 + 52}}, shed.Breaks{{FromMin: 11 * 60, ToMin: 15 * 60}})
		bys = append(bys, 13*60+10, 16*60+20, 14*60+31, 20*60)
	}
	for _, n := range days {
		p := sessiontest.ManyBatches(n.batches, n.tubs)
		free := must.Get(planner.PlanAhead(p, start, planner.AsGiven, planner.Thorough)).In(t)
		least := free.Timetable.Finish.Sub(start)
		for _, h := range breaks {
			for _, min := range bys {
				p.Break = h
				by := start.Add(time.Duration(min-7*60) * time.Minute)
				o, from := must.Get2(planner.ReadyBy(p, start, by, planner.AsGiven)).In(t)
				if o.Timetable.Finish.After(by) {
					t.Errorf("%v, break %v: from %s done %s, after %s", n, h, from, o.Timetable.Finish, by)
				}
				for at := from.Add(time.Minute); !at.After(by.Add(-least)); at = at.Add(time.Duration(long.Of(3, 1)) * time.Minute) {
					later := must.Get(planner.PlanAhead(p, at, planner.AsGiven, planner.Thorough)).In(t)
					if !later.Timetable.Finish.After(by) {
						t.Errorf("%v, break %v, by %s: from %s, and from %s it is done %s too", n, h, by.Format("15:04"), from.Format("15:04"), at.Format("15:04"), later.Timetable.Finish.Format("15:04:05"))
						break
					}
				}
			}
		}
	}
}
