package compare_test

import (
	"testing"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/compare"
	"fleece.example/tubside/session/lookback"
	"fleece.example/tubside/session/must"
	"fleece.example/tubside/session/planner"
	"fleece.example/tubside/session/sessiontest"
)

// BenchmarkMeasures is what a day's measures cost at its end: 12 batches on 4 tubs.
func BenchmarkMeasures(b *testing.B) {
	o := must.Get(planner.PlanAhead(sessiontest.ManyBatches(12, 4), sessiontest.Dawn, planner.AsGiven, planner.Quick)).In(b)
	r := sessiontest.Start(b, o.Plan)
	r.Live(o)
	r.Do(session.EndDay{Anyway: true})
	b.Run("all", func(b *testing.B) {
		for b.Loop() {
			compare.MeasuresOf(r.Day)
		}
	})
	b.Run("baths", func(b *testing.B) {
		for b.Loop() {
			lookback.Baths(r.Day)
		}
	})
	b.Run("timings", func(b *testing.B) {
		for b.Loop() {
			lookback.TimingsBeside(r.Day, planner.Timetable{})
		}
	})
	b.Run("replay", func(b *testing.B) {
		for b.Loop() {
			session.Replay(r.Day.Told())
		}
	})
}
