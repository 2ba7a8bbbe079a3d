package measure

import (
	"math"
	"testing"
)

func TestPercent(t *testing.T) {
	for _, c := range []struct {
		u        System
		part     float64
		decimals int
		want     string
	}{
		{Metric, 0.494, 0, "49 %"}, {US, 0.494, 0, "49%"}, {Metric, 0.4949, 1, "49.5 %"}, {Metric, 0.525, 0, "53 %"}, {Metric, 0.575, 0, "58 %"}, {Metric, 0.0725, 1, "7.3 %"}, {Metric, 0.5249, 0, "52 %"}, {US, 1, 1, "100.0%"}, {US, -0.0001, 0, "0%"}, {Metric, math.NaN(), 0, unknown}, {US &^ fahrenheit, 0.5, 0, "50%"}, {Imperial, 0.5, 0, "50 %"},
	} {
		if got := c.u.Percent(c.part, c.decimals); got != c.want {
			t.Errorf("%v %g: %q, not %q", c.u, c.part, got, c.want)
		}
	}
	if got := Metric.PercentTyped(1.7) + US.PercentTyped(0.575); got != "170 %57.5%" {
		t.Error(got)
	}
	if text := "58.4 % is within 45-60 % of it"; US.PercentSigns(text) != "58.4% is within 45-60% of it" || Imperial.PercentSigns(text) != text {
		t.Errorf("%q", US.PercentSigns(text))
	}
}
