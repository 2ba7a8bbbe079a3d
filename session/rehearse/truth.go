package rehearse

import (
	"math"
	"time"

	"fleece.example/tubside/cooling"
	"fleece.example/tubside/session"
	"fleece.example/tubside/session/shed"
)

// reading is what the thermometer shows in a tub; ok is false without a bath.
func (t *Truth) reading(d session.Day, tub int, now time.Time) (tempC float64, ok bool) {
	run := d.Tubs[tub]
	b := run.Bath
	if run.Phase != shed.ToSink && run.Phase != shed.Soaking || b.FilledAt.IsZero() {
		return 0, false
	}
	tempC, _ = t.bath(d.Plan, b).Fit(nil, 0).At(now.Sub(b.FilledAt).Minutes())
	return tenth(tempC + t.errorC(tub, now)), true
}

// fillReading is what the thermometer shows in a bath that has just been
// filled as the coach asked for it.
func (t *Truth) fillReading(d session.Day, tub int, now time.Time) float64 {
	return tenth(d.FillAt(tub, now).WaterC + t.errorC(tub, now))
}

// bath is the bath as it really is: as the session has it, but for its loss and
// for what the thermometer added at the fill.
func (t *Truth) bath(p shed.Plan, b session.Bath) cooling.Bath {
	out, _, _ := session.BathModel(&p, &b)
	if b.FillRead {
		out.StartC -= t.errorC(b.Tub, b.FilledAt)
	}
	out.LossWPerK *= t.LossFactor
	for i := range out.Changes {
		out.Changes[i].LossWPerK *= t.LossFactor
	}
	return out
}

// errorC is by how much the thermometer errs there and then: the same for the
// same seed, tub and time. The sum of four evenly spread numbers is near enough
// to a bell curve, and has ends.
func (t *Truth) errorC(tub int, at time.Time) float64 {
	x := t.Seed ^ uint64(tub+1)*0x9E3779B97F4A7C15 ^ uint64(at.Unix())
	sum := 0.0
	for range 4 { // splitmix64
		x += 0x9E3779B97F4A7C15
		z := x
		z = (z ^ z>>30) * 0xBF58476D1CE4E5B9
		z = (z ^ z>>27) * 0x94D049BB133111EB
		z ^= z >> 31
		sum += float64(z>>11)/(1<<53) - 0.5
	}
	return t.ThermometerErrorC * sum * math.Sqrt(3) // four such have a variance of 4/12
}

// tenth is how finely a thermometer is read.
func tenth(c float64) float64 { return math.Round(c*10) / 10 }
