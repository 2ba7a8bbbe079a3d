package session_test

import (
	"fmt"
	"testing"
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/coach"
	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/sessiontest"
	"fleece.example/tubside/session/shed"
)

// twelveSoaking is the fullest day a person could watch: twelve tubs in the
// hot wash with twenty readings each.
func twelveSoaking(b *testing.B) (session.Day, time.Time) {
	p := sessiontest.ThreeTubs()
	tub := p.Kit.Tubs[0]
	p.Kit.Tubs, p.Batches = nil, nil
	for i := range 12 {
		tub.ID, tub.Name = fmt.Sprintf("t%d", i+1), fmt.Sprintf("Tub %d", i+1)
		p.Kit.Tubs = append(p.Kit.Tubs, tub)
		p.Batches = append(p.Batches, shed.Batch{FleeceID: "f1", RawG: 200, Presoak: shed.PresoakNone})
	}
	r := sessiontest.Start(b, p)
	for i := range 12 {
		r.Until(i, shed.Soaking)
	}
	for range 20 {
		r.Tick(30 * time.Second)
		for i := range 12 {
			c, _, _ := r.Day.TempNow(i, r.Now)
			r.Do(session.TakeReading{Tub: i, TempC: c + 0.3*float64(i%3-1)})
		}
	}
	return r.Day, r.Now
}

func BenchmarkTwelveTubs(b *testing.B) {
	day, now := twelveSoaking(b)
	for _, bench := range []struct {
		name string
		do   func()
	}{
		{"Evaluate", func() { session.Evaluate(day, now) }},
		{"Glances", func() { coach.Glances(day, now) }},
		{"Prompts", func() { coach.Prompts(day, now) }},
		{"Tick", func() { session.Tick(day, now) }},
		{"Curve", func() { h := day.Heat(0); h.Curve(now.Add(-time.Hour), now.Add(time.Hour), 120) }},
		{"Review", func() { ledger.ReviewOf(day) }},
	} {
		b.Run(bench.name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				bench.do()
			}
		})
	}
}
