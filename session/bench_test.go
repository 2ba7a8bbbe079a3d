package session_test

import (
	"fmt"
	"testing"
	"time"

	"fleece.example/tubside/session"
)

// twelveSoaking is the fullest day a person could watch: twelve tubs in the
// hot wash with twenty readings each.
func twelveSoaking(b *testing.B) (session.Day, time.Time) {
	p := threeTubs()
	tub := p.Kit.Tubs[0]
	p.Kit.Tubs, p.Batches = nil, nil
	for i := range 12 {
		tub.ID, tub.Name = fmt.Sprintf("t%d", i+1), fmt.Sprintf("Tub %d", i+1)
		p.Kit.Tubs = append(p.Kit.Tubs, tub)
		p.Batches = append(p.Batches, session.Batch{FleeceID: "f1", RawG: 200, Presoak: session.PresoakNone})
	}
	r := start(b, p)
	for i := range 12 {
		r.until(i, session.Soaking)
	}
	for range 20 {
		r.tick(30 * time.Second)
		for i := range 12 {
			c, _, _ := r.day.TempNow(i, r.now)
			r.do(session.TakeReading{Tub: i, TempC: c + 0.3*float64(i%3-1)})
		}
	}
	return r.day, r.now
}

func BenchmarkTwelveTubs(b *testing.B) {
	day, now := twelveSoaking(b)
	for _, bench := range []struct {
		name string
		do   func()
	}{
		{"Evaluate", func() { session.Evaluate(day, now) }},
		{"Glances", func() { day.Glances(now) }},
		{"Prompts", func() { day.Prompts(now) }},
		{"Tick", func() { session.Tick(day, now) }},
		{"Curve", func() { day.Curve(0, now.Add(-time.Hour), now.Add(time.Hour), 120) }},
		{"Review", func() { day.Review() }},
	} {
		b.Run(bench.name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				bench.do()
			}
		})
	}
}
