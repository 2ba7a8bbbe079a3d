package form

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/must"
	"fleece.example/tubside/session/shed"
)

// TestFieldsRoundTrip: what stands in a field of any quantity, in any units, reads as what
// it is of within half the step it is shown to, and by its label's unit alone.
func TestFieldsRoundTrip(t *testing.T) {
	for _, text := range []string{"metric", "us", "imperial", "us, g", "us, C", "us, L", "metric, F", "metric, oz", "metric, imp gal", "imperial, F"} {
		u := must.Get(measure.ParseSystem(text)).In(t)
		degree, litre, gram := 0.1, 0.01, 0.1
		if u.Fahrenheit() {
			degree = measure.DeltaFToC(0.1)
		}
		if u.Inches() {
			litre = u.FinestL()
		}
		if u.Ounces() {
			gram = measure.GPerOz / 100
		}
		dose := 0.01
		if u.USVolume() {
			dose = measure.MLPerUSTsp / 4
		}
		for name, c := range map[string]struct {
			q              Quantity
			low, top, step float64
		}{
			"temperature": {Temperature, 0, 100, degree}, "volume": {Volume, 0, 300, litre}, "tank": {Volume.OrNone(), 0, 300, litre}, "weight": {Weight, 0, 20_000, gram},
			"duration": {Duration, 0, 600, 0.01}, "power": {Power, 100, 20_000, 1}, "difference": {TempStep, 0, 50, degree}, "dose": {Rate, 0, 50, dose * 100 / shed.DosedG(u)},
		} {
			t.Run(text+" "+name, rapid.MakeCheck(func(t *rapid.T) {
				v := rapid.Float64Range(c.low, c.top).Draw(t, "v")
				shown := c.q.Show(u, v)
				got, err := c.q.Parse(u, shown)
				if len(shown) > 24 {
					t.Fatalf("%v stands as %q", v, shown)
				}
				if err != nil || math.Abs(got-v) > c.step/2*(1+1e-6)+1e-9*v {
					t.Fatalf("%v stands as %q and reads as %v (%v)", v, shown, got, err)
				}
			}))
		}
	}
}
