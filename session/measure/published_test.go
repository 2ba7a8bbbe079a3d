package measure

import (
	"math"
	"testing"
)

// TestPublishedFactors holds the factors against NIST Special Publication 811
// (2008), appendix B.8, which prints seven digits, and against the definitions
// the exact values follow from.
func TestPublishedFactors(t *testing.T) {
	const cubicInch = 2.54 * 2.54 * 2.54 / 1000 // L
	cases := []struct {
		name    string
		got     float64
		printed float64 // NIST SP 811, B.8
		exact   float64 // from the definition
	}{
		{"pound (avoirdupois), g", GPerLb, 4.535924e2, 453.59237},
		{"ounce (avoirdupois), g", GPerOz, 2.834952e1, 453.59237 / 16},
		{"gallon (US), L", LPerUSGal, 3.785412, 231 * cubicInch},
		{"quart (US liquid), L", LPerUSQuart, 9.463529e-1, 231 * cubicInch / 4},
		{"pint (US liquid), L", LPerUSPint, 4.731765e-1, 231 * cubicInch / 8},
		{"fluid ounce (US), mL", MLPerUSFlOz, 2.957353e1, 231 * cubicInch * 1000 / 128},
		{"teaspoon (US), mL", MLPerUSTsp, 4.928922, 231 * cubicInch * 1000 / 768},
		{"gallon (imperial), L", LPerImpGal, 4.54609, 4.54609},
		{"fluid ounce (imperial), mL", MLPerImpFlOz, 2.841306e1, 4546.09 / 160},
		{"inch, m", MPerInch, 2.54e-2, 0.0254},
		{"foot, m", MPerFoot, 3.048e-1, 12 * 0.0254},
		// Not printed there; whole parts of the imperial gallon.
		{"quart (imperial), L", LPerImpQuart, LPerImpGal / 4, 4.54609 / 4},
		{"pint (imperial), L", LPerImpPint, LPerImpGal / 8, 4.54609 / 8},
	}
	for _, c := range cases {
		if math.Abs(c.got-c.exact) > 1e-14*c.exact {
			t.Errorf("%s: %v, by definition %v", c.name, c.got, c.exact)
		}
		if math.Abs(c.got-c.printed) > 5.1e-7*c.printed {
			t.Errorf("%s: %v, NIST SP 811 prints %v", c.name, c.got, c.printed)
		}
	}
}

// TestPublishedTemperatures checks t/°C = (t/°F - 32)/1.8, NIST SP 811, B.8, at
// pairs that are whole in both scales, both ways and without rounding.
func TestPublishedTemperatures(t *testing.T) {
	for _, p := range []struct{ c, f float64 }{
		{-40, -40}, {0, 32}, {20, 68}, {35, 95}, {40, 104}, {60, 140}, {65, 149}, {100, 212},
	} {
		if got := CToF(p.c); got != p.f {
			t.Errorf("CToF(%v) = %v, want %v", p.c, got, p.f)
		}
		if got := FToC(p.f); got != p.c {
			t.Errorf("FToC(%v) = %v, want %v", p.f, got, p.c)
		}
	}
	if DeltaFToC(9) != 5 || DeltaCToF(5) != 9 {
		t.Error("a difference of 9 °F is one of 5 °C")
	}
}

// TestHandbook44 holds the kitchen's measures against NIST Handbook 44, Appendix C, General
// Tables of Units of Measurement, which prints these figures: through the parser, in the
// units of a person who writes no owner.
func TestHandbook44(t *testing.T) {
	for _, c := range []struct {
		s       System
		text    string
		litres  float64
		printed float64 // half its last digit
	}{
		{US, "1 gal", 231 * 0.016387064, 1e-9}, {US, "1 cup", 0.237, 5e-4}, {US, "1 pint", 2 * 0.2365882365, 1e-9}, {US, "16 qt", 4 * 3.785411784, 1e-9}, {US, "5 gal", 5 * 3.785411784, 1e-9},
		{US, "8 fl oz", 0.237, 5e-4}, {US, "1 tbsp", 3 * 0.00492892159375, 1e-9}, {Imperial, "1 fl oz", 0.961 * 0.0295735, 2e-5}, {Imperial, "1 gal", 160 * 0.961 * 0.0295735, 3e-3}, {Imperial, "8 pints", 4.54609, 1e-9},
	} {
		if got, err := c.s.ParseVolumeL(c.text); err != nil || math.Abs(got-c.litres) > c.printed {
			t.Errorf("%v %s: %v L (%v), the handbook has %v", c.s, c.text, got, err, c.litres)
		}
	}
	if got, err := US.ParseMassG("5 lb 6 oz"); err != nil || math.Abs(got-86*453.59237/16) > 1e-9 {
		t.Errorf("5 lb 6 oz: %v g (%v)", got, err)
	}
}

// TestPublishedHeat holds a heater's BTU an hour and a therm against NIST SP 811 (2008),
// appendix B.8: 2.930711 E-01 W, and 1.054804 E+08 J for the US therm.
func TestPublishedHeat(t *testing.T) {
	if got, err := US.ParsePowerW("40,000 BTU/h"); err != nil || math.Abs(got-11722.844) > 1e-6 {
		t.Errorf("40,000 BTU/h: %v W (%v)", got, err)
	}
	if math.Abs(KWhPerTherm*3.6e6-1.054804e8) > 1 {
		t.Errorf("a therm: %v kWh", KWhPerTherm)
	}
}

// TestSystemsApart: each choice can be made by itself, and what is written reads back.
func TestSystemsApart(t *testing.T) {
	for s := range beyond {
		text, err := s.MarshalText()
		if !s.valid() {
			if err == nil {
				t.Errorf("%d was written as %s", int(s), text)
			}
			continue
		}
		if back, e := ParseSystem(string(text)); err != nil || e != nil || back != s {
			t.Errorf("%d is written %q and reads as %d (%v, %v)", int(s), text, int(back), err, e)
		}
	}
	for text, want := range map[string][3]string{ // a temperature, a volume, a weight
		"us":            {"149 °F", "2 gal", "7.9 oz"},
		"us,g":          {"149 °F", "2 gal", "225 g"},
		"metric, F":     {"149 °F", "8 L", "225 g"},
		"us, C":         {"65 °C", "2 gal", "7.9 oz"},
		"Imperial":      {"65 °C", "1 gal 6 pints", "7.9 oz"},
		"metric,us gal": {"65 °C", "2 gal", "225 g"},
	} {
		s, err := ParseSystem(text)
		if got := [3]string{s.Temp(65), s.Volume(8), s.Mass(225)}; err != nil || got != want {
			t.Errorf("%s: %v (%v), want %v", text, got, err, want)
		}
	}
	for _, text := range []string{"", "F", "metric F", "us, gal", "us,,x"} {
		if s, err := ParseSystem(text); err == nil {
			t.Errorf("%q reads as %v", text, s)
		}
	}
}
