package gear

import (
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/tui/form"
)

// TestKitFieldsRoundTrip: what stands in a field of the kit, in any units, reads as what it
// is of within half the step it is shown to.
func TestKitFieldsRoundTrip(t *testing.T) {
	for _, base := range measure.Bases {
		u := base.Of
		foot, mark, gallon, therm := 1.0, 0.001, 1.0, 1.0
		if u.Inches() {
			foot, mark = measure.MPerFoot, 4*u.FinestL()/1000
		}
		if u.USVolume() {
			gallon, therm = measure.LPerUSGal, measure.KWhPerTherm
		}
		for name, c := range map[string]struct {
			q              form.Quantity
			low, top, step float64
		}{
			"height": {height, -300, 4000, foot}, "jug": {jugMark, 0, 5, mark}, "kettle": {kettleSize, 0, 10, mark}, "water": {waterPrice, 0, 50, 1e-4 / gallon},
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
	for text, want := range map[string]float64{"7": 7 * measure.LPerUSCup, "7 cups": 7 * measure.LPerUSCup, "1 1/2 L": 1.5, "2 qt": 2 * measure.LPerUSQuart} {
		if got, err := kettleSize.Parse(measure.US, text); err != nil || math.Abs(got-want) > 1e-9 {
			t.Errorf("a kettle of %s: %v L (%v)", text, got, err)
		}
	}
}

// Hours stand as the person's clock has them, and read as they stand.
func TestHoursByTheClock(t *testing.T) {
	for u, want := range map[measure.System]string{measure.Metric: "22:30-7:00", measure.US: "10:30 pm-7:00 am"} {
		if text := form.HoursText(u, shed.Breaks{{FromMin: 22*60 + 30, ToMin: 7 * 60}}); text != want {
			t.Errorf("%v: %q", u, text)
		}
		for min := range 24 * 60 {
			h := shed.Breaks{{FromMin: min, ToMin: (min + 61) % 1440}}
			for range 3 {
				if got, err := form.ReadHours(u, form.HoursText(u, h), h); err != nil || !slices.Equal(got, h) {
					t.Fatalf("%v: %v reads as %v (%v)", u, h, got, err)
				}
				h = append(h, shed.Hours{FromMin: (min + 70*len(h)) % 1440, ToMin: (min + 70*len(h) + 9) % 1440})
			}
			if got, err := form.ReadHours(u, form.HoursText(u, h), h[:1]); err == nil {
				t.Fatalf("%v: where one is asked for, %v reads as %v", u, h, got)
			}
		}
	}
}
