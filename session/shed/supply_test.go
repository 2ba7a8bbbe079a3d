package shed

import (
	"testing"

	"fleece.example/tubside/session/measure"
)

// What is boiled is said in what the hands fill: kettles, and the rest.
func TestBoilText(t *testing.T) {
	for _, c := range []struct {
		u       measure.System
		kettleL float64
		litres  float64
		want    string
	}{
		{u: measure.Metric, kettleL: 1.7, litres: 1.5, want: "1.5 L"}, {u: measure.Metric, kettleL: 1.7, litres: 1.7, want: "1.7 L"},
		{u: measure.Metric, kettleL: 1.7, litres: 5.1, want: "3 kettles"}, {u: measure.Metric, kettleL: 1.7, litres: 3.2, want: "1 kettle + 1.5 L"},
		{u: measure.Metric, kettleL: 0, litres: 3.2, want: "3.2 L"},
		{u: measure.US, kettleL: 1.75 * measure.LPerUSQuart, litres: 4.5 * measure.LPerUSQuart, want: "2 kettles + 4 cups"},
	} {
		k := DefaultKit()
		if k.Units, k.Kettle.CapacityL = c.u, c.kettleL; k.BoilText(c.litres) != c.want {
			t.Errorf("%v, %.2f L: %s, want %s", c.u, c.litres, k.BoilText(c.litres), c.want)
		}
	}
}
