package gear

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/tui/form"
)

// TestKitFieldsRoundTrip: what stands in a field of the kit, in any units, reads as what it
// is of within half the step it is shown to.
func TestKitFieldsRoundTrip(t *testing.T) {
	for _, base := range measure.Bases {
		u := base.Of
		foot, mark, kettle, gallon, therm := 1.0, 0.001, 0.001, 1.0, 1.0
		if u.Inches() {
			foot, mark, kettle = measure.MPerFoot, 4*u.FinestL()/1000, 4*u.FinestL()/100
		}
		if u.USVolume() {
			kettle, gallon, therm = measure.LPerUSQuart/100, measure.LPerUSGal, measure.KWhPerTherm
		}
		for name, c := range map[string]struct {
			q              form.Quantity
			low, top, step float64
		}{
			"height": {height, -300, 4000, foot}, "jug": {jugMark, 0, 5, mark}, "kettle": {kettleSize, 0, 10, kettle}, "water": {waterPrice, 0, 50, 1e-4 / gallon},
			"power": {powerPrice, 0, 5, 1e-4}, "gas": {gasPrice, 0, 5, 1e-4 / therm}, "scour": {scourPrice, 0, 90, 1e-4 / gallon},
		} {
			t.Run(u.String()+" "+name, rapid.MakeCheck(func(t *rapid.T) {
				v := rapid.Float64Range(c.low, c.top).Draw(t, "v")
				shown := c.q.Show(u, v)
				got, err := c.q.Parse(u, shown)
				if err != nil || len(shown) > 12 || math.Abs(got-v) > c.step/2*(1+1e-6)+1e-9*math.Abs(v) {
					t.Fatalf("%v stands as %q and reads as %v (%v)", v, shown, got, err)
				}
			}))
		}
	}
	for text, want := range map[string]float64{"1.7": 1.7 * measure.LPerUSQuart, "7 cups": 7 * measure.LPerUSCup, "1 1/2 L": 1.5} {
		if got, err := kettleSize.Parse(measure.US, text); err != nil || math.Abs(got-want) > 1e-9 {
			t.Errorf("a kettle of %s: %v L (%v)", text, got, err)
		}
	}
}

// Quiet hours stand as the person's clock has them, and read as they stand.
func TestQuietHoursByTheClock(t *testing.T) {
	for u, want := range map[measure.System]string{measure.Metric: "22:30-7:00", measure.US: "10:30 pm-7:00 am"} {
		text := quietWords(u, 22*60+30, 7*60)
		if from, to, err := ReadQuiet(text); text != want || err != nil || from != 22*60+30 || to != 7*60 {
			t.Errorf("%v: %q reads as %d, %d (%v)", u, text, from, to, err)
		}
	}
	for min := range 24 * 60 {
		for _, u := range []measure.System{measure.Metric, measure.US} {
			if from, to, err := ReadQuiet(quietWords(u, min, (min+61)%1440)); err != nil || from != min || to != (min+61)%1440 {
				t.Fatalf("%v: %d reads as %d, %d (%v)", u, min, from, to, err)
			}
		}
	}
}
