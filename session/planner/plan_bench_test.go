package planner_test

import (
	"crypto/sha256"
	"fmt"
	"slices"
	"testing"
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/must"
	"fleece.example/tubside/session/planner"
	"fleece.example/tubside/session/sessiontest"
)

// halfDone is a day that went as its timetable says for half its length, with
// that timetable and the moment.
func halfDone(t testing.TB, batches, tubs int) (session.Day, planner.Timetable, time.Time) {
	t.Helper()
	d := begun(t, batches, tubs)
	was := must.Get(planner.Schedule(d, sessiontest.Dawn, planner.Thorough)).In(t)
	now := sessiontest.Dawn.Add(was.Finish.Sub(sessiontest.Dawn) / 2)
	first := was
	first.Pieces = slices.DeleteFunc(slices.Clone(was.Pieces), func(p planner.Piece) bool { return p.End.After(now) && (!p.Boil() || p.Start.After(now)) })
	d, _ = follow(t, d, first)
	return d, was, now
}

// yardstick is work of a fixed size against which times are told.
func yardstick() {
	for range 20_000 {
		hashed = sha256.Sum256(hashed[:])
	}
}

var hashed [32]byte

func planBench(b *testing.B, plan func() planner.Timetable) {
	b.ReportAllocs()
	var tt planner.Timetable
	begin := time.Now()
	for b.Loop() {
		tt = plan()
	}
	own := time.Since(begin).Seconds() / float64(b.N)
	begin = time.Now()
	for range 10 {
		yardstick()
	}
	b.ReportMetric(own/(time.Since(begin).Seconds()/10), "yardsticks")
	b.ReportMetric(100*tt.Gap(), "%gap")
}

func BenchmarkPlan(b *testing.B) {
	for _, n := range []int{6, 12, 24, 48} {
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			d := begun(b, n, 5)
			planBench(b, func() planner.Timetable {
				tt := must.Get(planner.Schedule(d, sessiontest.Dawn, planner.Thorough)).In(b)
				return tt
			})
		})
	}
}

// A day whose tank runs low, where each fill may wait for it or boil more.
func BenchmarkPlanLowTank(b *testing.B) {
	p := sessiontest.TankPlan(b, 1000)
	p.Kit.Tank.VolumeL = 40
	d := sessiontest.Start(b, p).Day
	planBench(b, func() planner.Timetable {
		tt := must.Get(planner.Schedule(d, sessiontest.Dawn, planner.Thorough)).In(b)
		return tt
	})
	was, err := planner.Schedule(d, sessiontest.Dawn, planner.Thorough)
	if err != nil {
		b.Fatal(err)
	}
	begin := time.Now()
	for range 10 {
		if was, err = planner.Replan(d, sessiontest.Dawn, planner.Quick, was); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(time.Since(begin).Seconds()*100, "ms/replan")
}

// A day that is half over planned again, all of it: the baths ahead, the
// search and how long each piece may wait.
func BenchmarkReplan(b *testing.B) {
	d, was, now := halfDone(b, 24, 5)
	planBench(b, func() planner.Timetable {
		tt := must.Get(planner.Replan(d, now, planner.Quick, was)).In(b)
		return tt
	})
}
