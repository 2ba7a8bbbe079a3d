package session_test

import (
	"math"
	"testing"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/measure"
)

// What was just read is what the bath has, whatever was expected and read before;
// from there it only cools, and is as sure as the thermometer.
func TestEstimateStartsFromTheReading(t *testing.T) {
	for _, reads := range [][]float64{{60}, {62.5, 58}, {66, 54, 51}, {60, 61}, {63, 50, 49.5, 48}} {
		r := start(t, oneTub()).until(0, session.Soaking)
		for _, c := range reads {
			r.wait(4)
			r.do(session.TakeReading{Tub: 0, TempC: c, Sure: true})
			last, sd, _ := r.day.TempNow(0, r.now)
			if math.Abs(last-c) > 0.01 || sd > 0.75 {
				t.Errorf("%v: read %g, and said to have %.2f ± %.2f", reads, c, last, sd)
			}
			for range 4 {
				r.wait(0.5)
				now, _, _ := r.day.TempNow(0, r.now)
				if now > last {
					t.Errorf("%v: it warms from %.3f to %.3f", reads, last, now)
				}
				last = now
			}
			if g := r.day.Glance(0, r.now); c > g.ReleaseC+1 && !g.Release.Likely.After(r.now) {
				t.Errorf("%v: read %g, and below %g by %v", reads, c, g.ReleaseC, g.Release.Likely)
			}
		}
	}
}

// What may have been meant is asked in the unit of the thermometer that was read.
func TestDoubtfulReadingInItsUnit(t *testing.T) {
	r := start(t, oneTub(func(p *session.Plan) { p.Kit.Units = measure.US }))
	for r.until(0, session.Soaking); r.day.Tubs[0].Step().Kind != session.Wash; {
		r.next(0).until(0, session.Soaking)
	}
	r.wait(3)
	inC := func(f float64) float64 { return (f - 32) / 1.8 }
	_ = r.refused(session.TakeReading{TempC: inC(62)}, "did you mean 144 °F: °C for °F?")
	_ = r.refused(session.TakeReading{TempC: inC(194)}, "did you mean 149 °F: digits swapped?")
}
