package lookback_test

import (
	"testing"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/lookback"
	"fleece.example/tubside/session/must"
	"fleece.example/tubside/session/planner"
	"fleece.example/tubside/session/sessiontest"
	"fleece.example/tubside/session/shed"
)

// A day of 12 batches on 4 tubs, a reading in each wash, looked back at.
func longDay(b *testing.B) session.Day {
	p := sessiontest.ManyBatches(12, 4)
	o := must.Get(planner.PlanAhead(p, sessiontest.Dawn, planner.AsGiven, planner.Quick)).In(b)
	r := sessiontest.Start(b, o.Plan)
	r.Live(o)
	return r.Do(session.EndDay{Anyway: true}).Day
}

// lateDay is it with each wash lifted five hours late, its alarms beside it.
func lateDay(b *testing.B) session.Day {
	p := sessiontest.ManyBatches(12, 4)
	r := sessiontest.Start(b, p)
	for n := 0; n < 400 && !r.Day.AllRacked(); n++ {
		for tub := range r.Day.Tubs {
			if t := r.Day.Tubs[tub]; t.Phase == shed.Soaking && t.Bath.Step.HasRelease() {
				for range 10 {
					r.Wait(30)
				}
			} else if t.Phase == shed.Soaking {
				r.Wait(20)
			}
			if a := r.Day.NextAction(tub); a != shed.Wait {
				r.Wait(1).Do(session.DoNext{Tub: tub, Act: a, Sooner: true})
			}
		}
	}
	return r.Do(session.EndDay{Anyway: true}).Day
}

func BenchmarkLookBack(b *testing.B) {
	d, late := longDay(b), lateDay(b)
	for name, look := range map[string]func(){
		"timings": func() { lookback.TimingsOf(d) }, "baths": func() { lookback.Baths(d) }, "findings": func() { lookback.Of(d) }, "review": func() { ledger.ReviewOf(d) },
		"advice of a week": func() { lookback.Advise([]session.Day{d, d, d, d, d, d, d}) },
		"plan": func() {
			_, _ = planner.Schedule(session.Replay(d.Told()[:1]), d.StartedAt, planner.Thorough)
		},
		"late, timings": func() { lookback.TimingsBeside(late, planner.Timetable{}) }, "late, findings": func() { lookback.Of(late) }, "late, review": func() { ledger.ReviewOf(late) }, "late, baths": func() { lookback.Baths(late) },
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
