//go:build unix

package store

import (
	"fmt"
	"syscall"
	"testing"
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/compare"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/must"
	"fleece.example/tubside/session/planner"
	"fleece.example/tubside/session/sessiontest"
	"fleece.example/tubside/session/shed"
)

// ownTime is the processor time that the process has used, which others on the machine do not
// change.
func ownTime(b *testing.B) time.Duration {
	var u syscall.Rusage
	must.Do(b, syscall.Getrusage(syscall.RUSAGE_SELF, &u))
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}

// BenchmarkCompare reads the lines of all days and holds them together by tub: days of two
// batches in two tubs. ms-own is its own processor time.
func BenchmarkCompare(b *testing.B) {
	o := must.Get(planner.PlanAhead(sessiontest.ManyBatches(2, 2), sessiontest.Dawn, planner.AsGiven, planner.Quick)).In(b)
	r := sessiontest.Start(b, o.Plan)
	r.Live(o)
	r.Do(session.EndDay{Anyway: true})
	for _, n := range []int{100, 1000, 10_000} {
		b.Run(fmt.Sprintf("%d days", n), func(b *testing.B) {
			s := newStore(b)
			s.db.NoSync = true // only to get there
			for range n {
				id := must.Get(s.NewDay()).In(b)
				must.Do(b, s.Append(id, r.Recs[:1], compare.Summarise(id, r.Day)))
			}
			s.db.NoSync = false
			begun := ownTime(b)
			for b.Loop() {
				days, err := s.Days(0)
				if err == nil {
					err = compare.Fill(s, days)
				}
				if err != nil {
					b.Fatal(err)
				}
				all := compare.Groups(compare.Rows(days, nil, shed.Kit{Units: measure.Metric}), compare.ByTub, compare.Margin)
				if len(all) != 2 || len(all[0].Days) != n {
					b.Fatalf("%d groups", len(all))
				}
			}
			b.ReportMetric((ownTime(b)-begun).Seconds()*1000/float64(b.N), "ms-own")
		})
	}
}
