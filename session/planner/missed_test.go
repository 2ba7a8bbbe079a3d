package planner_test

import (
	"strings"
	"testing"
	"time"

	"fleece.example/tubside/session/must"
	"fleece.example/tubside/session/planner"
	"fleece.example/tubside/session/sessiontest"
	"fleece.example/tubside/session/shed"
)

// A day that will end more than five minutes past the time it is to be ready by says so, and which
// batches to leave out: without them it is in time. Where nothing is left to leave out it says
// when it is done.
func TestReadyByIsMissed(t *testing.T) {
	start := func(n int, readyInMin float64) *sessiontest.Run {
		p := sessiontest.ManyBatches(n, 2)
		p.ReadyInMin = readyInMin
		return sessiontest.Start(t, p)
	}
	r := start(4, 0)
	tt, err := planner.Schedule(r.Day, r.Now, planner.Quick)
	if err != nil {
		t.Fatal(err)
	}
	length := tt.Finish.Sub(r.Now).Minutes()
	for _, x := range []struct {
		batches    int
		readyInMin float64
		says       string
	}{
		{4, 0, ""}, {4, length + 1, ""}, {4, length - 4, ""}, {4, length - 6, ". Leave A4 for another day: done about "}, {4, length/2 + 3, "Leave A3 and A4 for another day"}, {4, 30, "Running late: done about "}, {2, 60, "not by 09:00"},
	} {
		r := start(x.batches, x.readyInMin)
		tt := must.Get(planner.Schedule(r.Day, r.Now, planner.Quick)).In(t)
		said := planner.SayMissed(r.Day, r.Now, tt)
		if (said == "") != (x.says == "") || !strings.Contains(said, x.says) || strings.Contains(said, "Leave") != strings.Contains(x.says, "Leave") {
			t.Errorf("%d batches, ready in %.0f min of %.0f: %q, want %q", x.batches, x.readyInMin, length, said, x.says)
		}
		if strings.Contains(said, "Leave") {
			left := start(x.batches-1-strings.Count(said, " and "), x.readyInMin)
			if tt, err := planner.Schedule(left.Day, left.Now, planner.Quick); err != nil || tt.Finish.After(left.Now.Add(sessiontest.Minutes(x.readyInMin))) {
				t.Errorf("%q, and without them it is done at %s (%v)", said, tt.Finish, err)
			}
		}
	}
	late := start(4, length+1).Until(0, shed.Soaking)
	late.Tick(90 * time.Minute)
	if tt, err = planner.Schedule(late.Day, late.Now, planner.Quick); err != nil || planner.SayMissed(late.Day, late.Now, tt) == "" {
		t.Errorf("an hour and a half behind, done at %s: nothing is said (%v)", tt.Finish, err)
	}
}
