package lookback_test

import (
	"testing"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/lookback"
	"fleece.example/tubside/session/planner"
	"fleece.example/tubside/session/sessiontest"
)

// A day of 12 batches on 4 tubs, a reading in each wash, looked back at.
func longDay(b *testing.B) session.Day {
	p := sessiontest.ManyBatches(12, 4)
	o, err := planner.PlanAhead(p, sessiontest.Dawn, planner.AsGiven, planner.Quick)
	if err != nil {
		b.Fatal(err)
	}
	r := sessiontest.Start(b, o.Plan)
	r.Live(o)
	return r.Do(session.EndDay{Anyway: true}).Day
}

func BenchmarkLookBack(b *testing.B) {
	d := longDay(b)
	for name, look := range map[string]func(){
		"timings": func() { lookback.TimingsOf(d) }, "baths": func() { lookback.Baths(d) }, "findings": func() { lookback.Of(d) }, "review": func() { ledger.ReviewOf(d) },
		"advice of a week": func() { lookback.Advise([]session.Day{d, d, d, d, d, d, d}) },
		"plan": func() {
			_, _ = planner.Schedule(session.Replay(d.Told()[:1]), d.StartedAt, planner.Thorough)
		},
		"walk": func() { session.Replay(d.Told()) },
	} {
		b.Run(name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				look()
			}
		})
	}
}
