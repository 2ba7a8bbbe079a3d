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
