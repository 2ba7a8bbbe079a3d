package measure

import (
	"math"
	"strings"
	"testing"
)

func TestShow(t *testing.T) {
	cases := []struct {
		name string
		show func(System) func(float64) string
		in   float64
		m    string
		us   string
	}{
		{"temp", showTemp, 63, "63 °C", "145 °F"},
		{"temp", showTemp, -0.2, "0 °C", "32 °F"},
		{"temp", showTemp, -17.9, "-18 °C", "0 °F"},
		{"fine", showFine, 63, "63.0 °C", "145 °F"},
		{"fine", showFine, -0.01, "0.0 °C", "32 °F"},
		{"delta", showDelta, 1.5, "1.5 °C", "2.7 °F"},
		{"delta", showDelta, 5, "5 °C", "9 °F"},
		{"volume", showVolume, 8, "8 L", "2 gal"},
		{"volume", showVolume, 5.5, "5.5 L", "1 gal 2 qt"},
		{"volume", showVolume, 0.25, "250 mL", "1 cup"},
		{"volume", showVolume, 0.9996, "1 L", "4 1/4 cups"},
		{"volume", showVolume, 0.9463, "946 mL", "4 cups"},
		{"volume", showVolume, 3, "3 L", "12 3/4 cups"},
		{"volume", showVolume, 0, "0 mL", "0 fl oz"},
		{"dose", showDose, 10, "10 mL (2 tsp)", "2 tsp"},
		{"dose", showDose, 2.5, "2.5 mL (1/2 tsp)", "1/2 tsp"},
		{"dose", showDose, 7.5, "7.5 mL (1 1/2 tsp)", "1 1/2 tsp"},
		{"dose", showDose, 14, "14 mL (2 3/4 tsp)", "2 3/4 tsp"},
		{"dose", showDose, 0.5, "0.5 mL", "under 1/8 tsp"},
		{"dose", showDose, 0, "0 mL", "0 tsp"},
		{"dose", showDose, 88.72, "89 mL", "1/4 cup + 2 tbsp"},
		{"dose", showDose, 14.79, "15 mL (3 tsp)", "1 tbsp"}, {"dose", showDose, 20, "20 mL (4 tsp)", "1 tbsp + 1 tsp"}, {"dose", showDose, 33.27, "33 mL (6 3/4 tsp)", "2 1/4 tbsp"},
		{"dose", showDose, 102 * MLPerUSTsp, "503 mL", "2 cups + 2 tbsp"}, {"dose", showDose, 70.5 * MLPerUSTsp, "347 mL", "1 1/4 cups + 3 1/2 tbsp"}, {"dose", showDose, 46.5 * MLPerUSTsp, "229 mL", "3/4 cup + 3 1/2 tbsp"},
		{"dose", showDose, 59.15, "59 mL (11 3/4 tsp)", "1/4 cup"},
		{"volume", showVolume, 13.25, "13.2 L", "3 gal 2 qt"},
		{"volume", showVolume, 0.03, "30 mL", "1 fl oz"},
		{"mass", showMass, 225, "225 g", "7.9 oz"},
		{"mass", showMass, 1250, "1.25 kg", "2 lb 12.1 oz"},
		{"mass", showMass, 995, "995 g", "2 lb 3.1 oz"},
		{"mass", showMass, 999.6, "1 kg", "2 lb 3.3 oz"},
		{"mass", showMass, 453.5, "453.5 g", "1 lb"},
		{"mass", showMass, 453.47, "453 g", "1 lb"},
		{"mass", showMass, 112.5, "112.5 g", "4 oz"},
		{"mass", showMass, 2.5, "2.5 g", "0.1 oz"},
		{"mass", showMass, -225, "-225 g", "-7.9 oz"},
		{"mass", showMass, -0.01, "0 g", "0 oz"},
		{"length", showLength, 0.003, "3 mm", "0.12 in"},
		{"length", showLength, 0.25, "25 cm", "9.8 in"},
		{"length", showLength, 1, "1 m", "3 ft 3.4 in"},
		{"length", showLength, 0.6096, "61 cm", "2 ft"},
	}
	for _, c := range cases {
		if got := c.show(Metric)(c.in); got != c.m {
			t.Errorf("%s %v metric: %q, want %q", c.name, c.in, got, c.m)
		}
		if got := c.show(US)(c.in); got != c.us {
			t.Errorf("%s %v US: %q, want %q", c.name, c.in, got, c.us)
		}
	}
}

func showTemp(s System) func(float64) string   { return s.Temp }
func showFine(s System) func(float64) string   { return s.TempFine }
func showDelta(s System) func(float64) string  { return s.TempDelta }
func showVolume(s System) func(float64) string { return s.Volume }
func showDose(s System) func(float64) string   { return s.Dose }
func showMass(s System) func(float64) string   { return s.Mass }
func showLength(s System) func(float64) string { return s.Length }

func TestShowTimeAndPower(t *testing.T) {
	for in, want := range map[float64]string{
		0: "0 min", 0.75: "45 s", 1.5: "1 min 30 s", 9.999: "10 min", 15: "15 min",
		59.7: "1 h", 90: "1 h 30 min", 720: "12 h", -5: "-5 min", math.Inf(1): "unknown",
	} {
		if got := Minutes(in); got != want {
			t.Errorf("Minutes(%v) = %q, want %q", in, got, want)
		}
	}
	for in, want := range map[float64]string{800: "800 W", 2200: "2.2 kW", 999.7: "1 kW", math.NaN(): "unknown",
		40_000 * WPerBtuH: "40,000 BTU/h", 199_900 * WPerBtuH: "199,900 BTU/h", 900 * WPerBtuH: "900 BTU/h", 11_722: "11.72 kW", 1.5 * WPerBtuH: "0 W"} {
		if got := Power(in); got != want {
			t.Errorf("Power(%v) = %q, want %q", in, got, want)
		}
		if w, err := Metric.ParsePowerW(PowerField(in)); err == nil && math.Abs(w-in) > 1 || strings.Contains(want, "BTU") && math.Abs(w-in) > 1e-6 {
			t.Errorf("%v stands as %q in its field, read as %v (%v)", in, PowerField(in), w, err)
		}
	}
}

// TestShowNotFinite: no figure that is not one may reach a person or a field.
func TestShowNotFinite(t *testing.T) {
	for _, v := range []float64{math.NaN(), math.Inf(1), math.Inf(-1)} {
		for _, s := range []System{Metric, US} {
			for _, show := range []func(float64) string{s.Temp, s.TempFine, s.TempDelta, s.Volume, s.Dose, s.Mass, s.Length} {
				if got := show(v); got != unknown {
					t.Errorf("%v in %v shows %q", v, s, got)
				}
			}
			for _, fill := range []func(float64) string{s.TempField, s.VolumeField, s.JugField, s.MassField, s.DoseField} {
				if got := fill(v); got != "" {
					t.Errorf("%v in %v fills %q", v, s, got)
				}
			}
		}
	}
}

func TestFields(t *testing.T) {
	cases := []struct{ got, want string }{
		{Metric.TempField(63), "63"}, {US.TempField(63), "145.4"},
		{Metric.VolumeField(5.5), "5.5"}, {US.VolumeField(8), "2 gal 1 3/4 cups"}, {US.VolumeField(0), "0"},
		{Metric.MassField(1250), "1250"}, {US.MassField(225), "7.94"},
		{Metric.DoseField(10), "10"}, {US.DoseField(10), "2"}, {US.MassField(86 * GPerOz), "5 lb 6 oz"}, {US.MassTyped(8 * GPerOz), "8 oz"}, {US.StapleField(95), "3 3/4"}, {US.StapleField(114.3), "4 1/2"},
		{Metric.JugField(0.4372), "0.45"}, {Metric.JugField(0.01), "0.05"}, {Metric.JugField(0), "0"}, {Metric.JugUnit(), "L"},
		{US.JugField(0.5), "2"}, {US.JugField(0.6), "2 1/2"}, {US.JugField(0.01), "1/4"}, {US.JugUnit(), "cups"},
		{Metric.TempUnit(), "°C"}, {US.TempUnit(), "°F"},
		{Metric.Temp(62.5) + " - " + Metric.Temp(60) + " = " + Metric.TempApart(62.5, 60), "62 °C - 60 °C = 2 °C"},
		{Metric.VolumeUnit(), "L"}, {US.VolumeUnit(), "gal"},
		{Metric.MassUnit(), "g"}, {US.MassUnit(), "oz"},
		{Metric.DoseUnit(), "mL"}, {US.DoseUnit(), "tsp"},
	}
	for _, c := range cases {
		if c.got != c.want {
			t.Errorf("%q, want %q", c.got, c.want)
		}
	}
}

func TestSystemText(t *testing.T) {
	for _, s := range []System{Metric, US} {
		text, err := s.MarshalText()
		if err != nil || string(text) != s.String() {
			t.Fatalf("%v writes %q, %v", s, text, err)
		}
		var back System
		if err := back.UnmarshalText(text); err != nil || back != s {
			t.Errorf("%q reads as %v, %v", text, back, err)
		}
	}
	if _, err := System(7).MarshalText(); err == nil {
		t.Error("a system that is neither was written")
	}
	s := US
	if err := s.UnmarshalText([]byte("furlongs\x1b[2J")); err == nil || s != US {
		t.Errorf("an unknown word gave %v, %v", s, err)
	} else if want := `"furlongs" is not a system of units: give metric, us or imperial`; err.Error() != want {
		t.Errorf("%q, want %q", err, want)
	}
}

func TestCheck(t *testing.T) {
	cases := []struct {
		err  error
		want string
	}{
		{Metric.CheckTempC(40, Range{10, 40}), ""},
		{Metric.CheckTempC(40.04, Range{10, 40}), "40.04 °C is out of range: give between 10 °C and 40 °C"},
		{US.CheckTempC(63, Range{10, 37}), "145.4 °F is out of range: give between 50 °F and 98.6 °F"},
		{US.CheckVolumeL(12, Range{1, 9}), "3 gal 2 3/4 cups is out of range: give between 4 1/4 cups and 2 gal 1 qt 2 cups"},
		{Metric.CheckMassG(5, Range{20, 5000}), "5 g is out of range: give between 20 g and 5000 g"},
		{US.CheckMassG(math.NaN(), Range{0, 4535.9237}), "unknown is out of range: give between 0 oz and 10 lb"},
		{US.CheckMassG(115*GPerOz, Range{5, 2000}), "7 lb 3 oz is out of range: give between 0.2 oz and 4 lb 6.5 oz"},
		{US.CheckMassG(115*GPerOz, Range{0.3, 2000}), "7 lb 3 oz is out of range: give between 0.02 oz and 4 lb 6.54 oz"},
		{CheckMinutes(90, Range{5, 60}), "1 h 30 min is out of range: give between 5 min and 1 h"},
		{CheckMinutes(60.2, Range{5, 60}), "60.2 min is out of range: give between 5 min and 1 h"},
	}
	for _, c := range cases {
		got := ""
		if c.err != nil {
			got = c.err.Error()
		}
		if got != c.want {
			t.Errorf("%q, want %q", got, c.want)
		}
	}
}

// TestPour: what is told in marks or cups is what the jug gives.
func TestPour(t *testing.T) {
	for _, c := range []struct {
		s        System
		l, stepL float64
		want     string
	}{
		{Metric, 8, 0.25, "8 L"}, {Metric, 6.25, 0.25, "6.25 L"}, {Metric, 0.75, 0.25, "750 mL"}, {Metric, 8, 0, "8 L"},
		{US, 34 * LPerUSCup, LPerUSCup, "2 gal 2 cups"}, {US, 56 * LPerUSCup, LPerUSCup, "3 gal 2 qt"}, {US, 12 * LPerUSCup, LPerUSQuart, "12 cups"}, {US, 18 * LPerUSCup, LPerUSQuart, "1 gal 2 cups"}, {US, 12 * LPerUSCup, LPerUSCup, "12 cups"}, {US, LPerUSCup, LPerUSCup, "1 cup"}, {US, 1.5 * LPerUSCup, LPerUSCup / 2, "1 1/2 cups"},
		{US, 8, 0.25, "32 marks"}, {US, 0.25, 0.25, "1 mark"}, {US, 8.1, 0.25, "2 gal 2 1/4 cups"}, {US, 0.3, 0.25, "1 1/4 cups"},
		{US, 4.8, 0.24, "20 marks"}, {US, 2 * LPerUSCup, 0.237, "2 cups"}, {US, 8, 0, "2 gal 1 3/4 cups"},
		{US, math.NaN(), 0.25, "unknown"}, {US, math.NaN(), LPerUSCup, "unknown"}, {US, 8, math.NaN(), "2 gal 1 3/4 cups"},
	} {
		if got := c.s.Pour(c.l, c.stepL); got != c.want {
			t.Errorf("%v L in marks of %v L, %v: %q, want %q", c.l, c.stepL, c.s, got, c.want)
		}
	}
	for l, want := range map[float64][2]string{0.25: {"250 mL", "8.5 fl oz"}, LPerUSCup: {"237 mL", "1 cup"}, LPerUSCup / 4: {"59 mL", "1/4 cup"}, 2: {"2 L", "67.6 fl oz"}} {
		if m, us := Metric.Mark(l), US.Mark(l); m != want[0] || us != want[1] {
			t.Errorf("a mark of %v L: %q, %q; want %q", l, m, us, want)
		}
	}
}

// What is added up is what was shown, in spoons and in mL: six times a tablespoon are six, and
// four times 12.5 mL (2 1/2 tsp) are 50 (10).
func TestRoundDose(t *testing.T) {
	for _, s := range []System{Metric, US} {
		for _, mL := range []float64{0.2, 0.5, 3.17, 8.4375, 9.96, 14.98, 15.2, 42.3, 88.4} {
			got := s.RoundDose(mL)
			if again := s.RoundDose(got); again != got || math.Abs(got-mL) > 0.63 {
				t.Errorf("%v: %g is rounded to %g, that to %g", s, mL, got, again)
			}
		}
	}
	if six := 6 * US.RoundDose(15); US.Dose(six) != "1/4 cup + 2 tbsp" {
		t.Error(US.Dose(six))
	}
	for mL, want := range map[float64]string{12.375: "12.5 mL (2 1/2 tsp)", 9.135: "8.75 mL (1 3/4 tsp)", 88.4: "88 mL", 0.4: "0.4 mL"} {
		if got := Metric.Dose(Metric.RoundDose(mL)); got != want {
			t.Errorf("%g mL is measured out as %s, want %s", mL, got, want)
		}
	}
	if sum := 4*Metric.RoundDose(12.375) + Metric.RoundDose(9.135); Metric.Dose(sum) != "58.75 mL (11 3/4 tsp)" {
		t.Error(Metric.Dose(sum))
	}
}

// What is not a number lies in no range, however wide, and is refused in all quantities.
func TestNoNumberIsInNoRange(t *testing.T) {
	nan := math.NaN()
	for _, r := range []Range{{0, 0}, {10, 40}, {-10, 40}, {0, math.Inf(1)}, {math.Inf(-1), math.Inf(1)}, {nan, 40}, {10, nan}} {
		if r.Contains(nan) {
			t.Errorf("%v has a figure that is none in it", r)
		}
		for _, err := range []error{Metric.CheckTempC(nan, r), US.CheckVolumeL(nan, r), US.CheckMassG(nan, r), CheckMinutes(nan, r)} {
			if err == nil {
				t.Errorf("a figure that is none passes for one in %v", r)
			}
		}
	}
	for _, r := range []Range{{nan, 40}, {10, nan}, {nan, nan}} {
		if r.Contains(20) {
			t.Errorf("20 lies in %v, which has no bounds", r)
		}
	}
}

// A weight that a scale of quarters, eighths or twentieths of an ounce showed stays as it was typed.
func TestOuncesAsTheScaleHasThem(t *testing.T) {
	for typed, want := range map[string]string{"5.25": "5.25 oz", "5.3": "5.3 oz", "5 1/8": "5.125 oz", "0.05": "0.05 oz", "1 lb 5.75": "1 lb 5.75 oz", "10.44": "10.4 oz", "16": "1 lb"} {
		g, err := US.ParseMassG(typed)
		if got := US.Mass(g); err != nil || got != want || Imperial.Mass(g) != want {
			t.Errorf("%s is shown as %s (%v)", typed, got, err)
		}
		if got := US.MassTyped(g); got != want && typed != "10.44" {
			t.Errorf("%s stands in a field as %s", typed, got)
		}
	}
}

// A scale's step is kept to 0.001 g, and reads as it was typed all the same; a forecast is shown no
// finer than it can be.
func TestOuncesOfAStepAndOfAForecast(t *testing.T) {
	for oz, want := range map[float64]string{0.25: "0.25 oz", 0.125: "0.125 oz", 0.05: "0.05 oz", 0.1: "0.1 oz"} {
		if got := US.Mass(round(oz*GPerOz, 3)); got != want {
			t.Errorf("a step of %s is shown as %s", want, got)
		}
	}
	for want, oz := range map[float64][2]float64{GPerOz / 2: {11.5, 6.5}, GPerOz / 4: {11.25, 6.5}, GPerOz / 10: {11.3, 6.5}, GPerOz / 8: {11.125, 6.5}, 0: {11.33, 6.5}} {
		if got := WrittenStepG(oz[0]*GPerOz, oz[1]*GPerOz); got != want {
			t.Errorf("%v oz were written in steps of %v g, not %v", oz, got, want)
		}
	}
	if got := WrittenStepG(200, 115); got != 0 {
		t.Errorf("grams pass for ounces in steps of %v g", got)
	}
	for _, c := range []struct {
		u                 System
		low, likely, high float64 // oz
		want              string
	}{
		{US, 6.1, 6.7, 7, "6 oz, 6.75 oz, 7 oz"},
		{US, 3.6, 4.4, 4.9, "3.5 oz, 4.5 oz, 5 oz"},
		{US, 36.9, 45.5, 57.7, "2 lb 5 oz, 2 lb 14 oz, 3 lb 10 oz"},
		{US, 4.3, 4.4, 4.6, "4.3 oz, 4.4 oz, 4.6 oz"},
		{Metric, 3.6, 4.4, 4.9, "102 g, 125 g, 139 g"},
	} {
		show := c.u.MassSpread(c.low*GPerOz, c.high*GPerOz)
		if got := show(c.low*GPerOz) + ", " + show(c.likely*GPerOz) + ", " + show(c.high*GPerOz); got != c.want {
			t.Errorf("%s, want %s", got, c.want)
		}
	}
}

// TestSumsAreRound: a day's sums read as they can be measured, and small ones as finely as a dose.
func TestSumsAreRound(t *testing.T) {
	for _, c := range []struct{ got, want string }{
		{Metric.DoseSum(68.75), "70 mL"}, {Metric.DoseSum(73.75), "75 mL"},
		{Metric.DoseSum(18.75), "19 mL (3 3/4 tsp)"}, {Metric.DoseSum(54), "55 mL (11 tsp)"},
		{US.DoseSum(68.75), US.Dose(68.75)},
		{Metric.VolumeSum(204.2), "204 L"}, {Metric.VolumeSum(19.4), "19.4 L"},
		{US.VolumeSum(204.2), US.Volume(204.2)},
	} {
		if c.got != c.want {
			t.Errorf("%q, want %q", c.got, c.want)
		}
	}
}
