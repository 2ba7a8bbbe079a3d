package measure

import (
	"math"
	"strings"
	"testing"
)

// Heights, differences, per cent and bare numbers are read as every other figure.
func TestPlainFigures(t *testing.T) {
	number := func(text string) (float64, error) { return Metric.ParseNumber(text, "0.35") }
	count := func(text string) (float64, error) { v, err := Metric.ParseCount(text, "3"); return float64(v), err }
	for _, c := range []struct {
		parse   func(string) (float64, error)
		text    string
		want    float64
		refused string
	}{
		{Metric.ParseHeightM, "900 ft", 274.32, ""}, {Metric.ParseHeightM, "250", 250, ""}, {Metric.ParseHeightM, "-2 m", -2, ""},
		{US.ParseHeightM, "900", 274.32, ""}, {US.ParseHeightM, "250 m", 250, ""}, {Metric.ParseHeightM, "1,5 m", 1.5, ""},
		{US.ParseHeightM, "1,200 ft", 365.76, ""}, {US.ParseHeightM, "5280'", 1609.344, ""}, {US.ParseHeightM, "5,280′", 1609.344, ""}, {US.ParseHeightM, "1,5 m", 1.5, ""}, {US.ParseHeightM, "0,500 m", 0.5, ""},
		{Metric.ParseHeightM, "1,200 ft", 0, "two ways"}, {US.ParsePowerW, "4,500 W", 4500, ""}, {US.ParsePowerW, "4,500.5 W", 4500.5, ""}, {US.ParseMassG, "1,000,000 g", 1e6, ""}, {US.ParseMassG, "1,500 g", 1500, ""},
		{US.ParseStapleMM, `7"`, 177.8, ""}, {US.ParseStapleMM, "7 inches", 177.8, ""}, {US.ParseStapleMM, "7", 177.8, ""}, {US.ParseStapleMM, "3 3/4 in", 95.3, ""}, {Metric.ParseStapleMM, "7 in.", 177.8, ""},
		{US.ParseStapleMM, "18 cm", 180, ""}, {Metric.ParseStapleMM, "95", 95, ""}, {Metric.ParseStapleMM, "9,5 cm", 95, ""}, {US.ParseStapleMM, "1' 2”", 355.6, ""}, {US.ParseStapleMM, "7 oz", 0, "has a unit"},
		{Metric.ParseHeightM, "900 yd", 0, "doesn't fit a height"}, {Metric.ParseHeightM, "1e3", 0, "one number"},
		{Metric.ParseHeightM, "NaN", 0, "is not a height"}, {Metric.ParseHeightM, "99999", 0, "isn't a height on land"}, {Metric.ParseHeightM, "", 0, "type a height"},
		{Metric.ParseTempDeltaC, "9 F", 5, ""}, {US.ParseTempDeltaC, "9", 5, ""}, {US.ParseTempDeltaC, "5 C", 5, ""}, {Metric.ParseTempDeltaC, "0.5", 0.5, ""},
		{Metric.ParseTempDeltaC, "0,5 K", 0, "doesn't fit a number of degrees"}, {Metric.ParseTempDeltaC, "400", 0, "too many degrees"},
		{Metric.ParsePercent, "55", 0.55, ""}, {Metric.ParsePercent, "55,5 %", 0.555, ""}, {Metric.ParsePercent, "120 %", 1.2, ""}, {Metric.ParsePercent, "-1", 0, "out of range"}, {Metric.ParsePercent, "9999", 0, "out of range"}, {Metric.ParsePercent, "5 g", 0, "doesn't fit"},
		{number, "0,35", 0.35, ""}, {number, "Inf", 0, "is not a number"}, {number, "0x10", 0, "one number"}, {number, "-1", 0, "below zero"}, {number, "3 g", 0, "has a unit"},
		{count, "12", 12, ""}, {count, "1.5", 0, "isn't a whole number"}, {count, "-3", 0, "below zero"}, {count, "three", 0, "is not a number"},
		{Metric.ParseTempC, "22.96769230769231", 22.96769230769231, ""}, {Metric.ParseVolumeL, "0.000000000000000001", 1e-18, ""},
	} {
		got, err := c.parse(c.text)
		switch {
		case c.refused == "" && (err != nil || math.Abs(got-c.want) > 1e-12*max(1, c.want)):
			t.Errorf("%q: %v (%v), want %v", c.text, got, err, c.want)
		case c.refused != "" && (err == nil || !strings.Contains(err.Error(), c.refused)):
			t.Errorf("%q: %v, %v, want %q", c.text, got, err, c.refused)
		}
	}
}
