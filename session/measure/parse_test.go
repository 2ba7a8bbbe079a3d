package measure

import (
	"math"
	"strings"
	"testing"
)

type parser = func(string) (float64, error)

func TestParse(t *testing.T) {
	cases := []struct {
		parse parser
		text  string
		want  float64
	}{
		{Metric.ParseTempC, "63", 63}, {Metric.ParseTempC, "63,5", 63.5}, {Metric.ParseTempC, " 63.5 ", 63.5},
		{Metric.ParseTempC, "150F", FToC(150)}, {Metric.ParseTempC, "150 °F", FToC(150)}, {Metric.ParseTempC, "65 c", 65},
		{Metric.ParseTempC, "-5", -5}, {Metric.ParseTempC, "−5 °C", -5}, {Metric.ParseTempC, "63\u00a0℃", 63},
		{Metric.ParseTempC, "63 degrees", 63}, {Metric.ParseTempC, "63 deg. C", 63}, {Metric.ParseTempC, "-0", 0},
		{US.ParseTempC, "104", 40}, {US.ParseTempC, "40C", 40}, {US.ParseTempC, "104°", 40}, {US.ParseTempC, "104 Fahrenheit", 40},

		{Metric.ParseVolumeL, "8", 8}, {Metric.ParseVolumeL, "8 l", 8}, {Metric.ParseVolumeL, "8,5 L", 8.5},
		{Metric.ParseVolumeL, "2 US gal", 2 * LPerUSGal}, {Metric.ParseVolumeL, "250 mL", 0.25}, {Metric.ParseVolumeL, ".5", 0.5},
		{Metric.ParseVolumeL, "1 imp gal", LPerImpGal}, {Metric.ParseVolumeL, "1 UK gallon", LPerImpGal},
		{Metric.ParseVolumeL, "2 Imperial pints", 2 * LPerImpPint}, {Metric.ParseVolumeL, "1 u.s. gal.", LPerUSGal},
		{Metric.ParseVolumeL, "8 US fl. oz", 8 * MLPerUSFlOz / 1000}, {Metric.ParseVolumeL, "0,125 L", 0.125},
		{Metric.ParseVolumeL, "1.500", 1.5}, {Metric.ParseVolumeL, "5 dl", 0.5},
		{US.ParseVolumeL, "2", 2 * LPerUSGal}, {US.ParseVolumeL, "2 1/2", 2.5 * LPerUSGal}, {US.ParseVolumeL, "8 L", 8},
		{US.ParseJugL, "2", 2 * LPerUSCup}, {US.ParseJugL, "1 ½", 1.5 * LPerUSCup}, {US.ParseJugL, "1 US qt", LPerUSQuart}, {Metric.ParseJugL, "0,5", 0.5},
		{US.ParseVolumeL, "1 US gal 2 US qt", 1.5 * LPerUSGal}, {US.ParseVolumeL, "1 gallon 2 quarts", 1.5 * LPerUSGal},
		{US.ParseVolumeL, "2 pt", 2 * LPerUSPint}, {US.ParseVolumeL, "1 imp gal", LPerImpGal}, {US.ParseDoseML, "2 tbsp", MLPerUSFlOz}, {US.ParseDoseML, "2 cups + 2 tbsp", 102 * MLPerUSTsp},
		{US.ParseVolumeL, "7.4 fl oz", 7.4 * MLPerUSFlOz / 1000}, {US.ParseVolumeL, "8 fl. oz", 8 * MLPerUSFlOz / 1000},
		{US.ParseVolumeL, "1 imp fl oz", MLPerImpFlOz / 1000}, {US.ParseVolumeL, "1 1/2 cups", 1.5 * LPerUSCup},
		{Metric.ParseVolumeL, "2 US cups", 2 * LPerUSCup}, {US.ParseDoseML, "1 fl oz", MLPerUSFlOz},

		{Metric.ParseMassG, "225", 225}, {Metric.ParseMassG, "0.5 kg", 500}, {Metric.ParseMassG, "8 oz", 8 * GPerOz},
		{US.ParseMassG, "8", 8 * GPerOz}, {US.ParseMassG, "1 lb 4 oz", 20 * GPerOz}, {US.ParseMassG, "1lb, 4oz", 20 * GPerOz},
		{US.ParseMassG, "2 lb 12", 44 * GPerOz}, {US.ParseMassG, "2lbs, 12 1/2", 44.5 * GPerOz}, {Metric.ParseMassG, "2 lb 12", 44 * GPerOz}, {Imperial.ParseMassG, "1 lb 4.5", 20.5 * GPerOz},
		{US.ParseVolumeL, "3 gal 1", 13 * LPerUSQuart}, {Imperial.ParseVolumeL, "1 gal 3", 11 * LPerImpPint}, {Metric.ParseVolumeL, "1 US gal 2", 1.5 * LPerUSGal}, {US.ParseJugL, "1 gal 2", 1.5 * LPerUSGal},
		{US.ParseStapleMM, "1 ft 2", 355.6}, {US.ParseStapleMM, "1' 2", 355.6}, {Metric.ParseMinutes, "1 h 20", 80}, {Metric.ParseMinutes, "1 min 30", 1.5},
		{US.ParseMassG, "1½ lbs", 1.5 * GPerLb}, {US.ParseMassG, "225 g", 225},

		{Metric.ParseDoseML, "10", 10}, {Metric.ParseDoseML, "2 tsp", 10}, {Metric.ParseDoseML, "½ tsp", 2.5},
		{Metric.ParseDoseML, "1 1/2 tsp", 7.5}, {Metric.ParseDoseML, "1 US tsp", MLPerUSTsp},
		{US.ParseDoseML, "2", 2 * MLPerUSTsp}, {US.ParseDoseML, "1/2", MLPerUSTsp / 2}, {US.ParseDoseML, "10 ml", 10},
		{US.ParseDoseML, "1 metric tsp", 5}, {US.ParseDoseML, "0", 0},

		{Metric.ParseMinutes, "15", 15}, {Metric.ParseMinutes, "15 min", 15}, {Metric.ParseMinutes, "1 h", 60}, {Metric.ParseMinutes, "1h30", 90},
		{Metric.ParseMinutes, "1 h 30", 90}, {Metric.ParseMinutes, "1 h 30 min", 90}, {Metric.ParseMinutes, "1:30", 90}, {Metric.ParseMinutes, "1:30 h", 90},
		{Metric.ParseMinutes, "0:05", 5}, {Metric.ParseMinutes, "45 s", 0.75}, {Metric.ParseMinutes, "1.5 hours", 90}, {Metric.ParseMinutes, "2 days", 2880},

		{Metric.ParsePowerW, "2200", 2200}, {Metric.ParsePowerW, "2.2 kW", 2200}, {Metric.ParsePowerW, "2,2kw", 2200}, {Metric.ParsePowerW, "800 W", 800},
		{Metric.ParsePowerW, "2.2", 2200}, {Metric.ParsePowerW, "3", 3000}, {Metric.ParsePowerW, "99", 99_000}, {Metric.ParsePowerW, "100", 100}, {Metric.ParsePowerW, "2.2 W", 2.2}, {Metric.ParsePowerW, "0", 0},
	}
	for _, c := range cases {
		got, err := c.parse(c.text)
		if err != nil || math.Abs(got-c.want) > 1e-12*math.Abs(c.want) {
			t.Errorf("%q reads as %v, %v; want %v", c.text, got, err, c.want)
		}
	}
}

// TestParseRefuses holds the sentences: each says what is wrong and what would
// be right.
func TestParseRefuses(t *testing.T) {
	const (
		gallon = "say whose gallon: US gal (3.785 L) or imp gal (4.546 L)"
		figure = "isn't one number"
	)
	cases := []struct {
		parse parser
		text  string
		want  string // a part of the sentence
	}{
		{Metric.ParseTempC, "abc", `"abc" is not a temperature: give a number such as 63 °C`},
		{US.ParseTempC, "abc", `"abc" is not a temperature: give a number such as 145 °F`},
		{Metric.ParseTempC, "", "type a temperature such as 63 °C"},
		{Metric.ParseTempC, " \u200b\t", "type a temperature such as 63 °C"},
		{Metric.ParseTempC, "NaN", "is not a temperature"}, {Metric.ParseTempC, "-inf", "is not a temperature"},
		{Metric.ParseTempC, "1e400", "isn't one number"}, {Metric.ParseTempC, "0x1p4", figure},
		{Metric.ParseTempC, "63 K", "has a unit that doesn't fit a temperature"},
		{Metric.ParseTempC, "900", `"900" is beyond any weather or kettle: give a temperature between 0 °C and 100 °C`}, {US.ParseTempC, "415", "give a temperature between 32 °F and 212 °F"},
		{US.ParseTempC, "900", "between 32 °F and 212 °F"},
		{Metric.ParseTempC, "60-65", figure}, {Metric.ParseTempC, "60 65", figure},
		{Metric.ParseTempC, "1.2.3", "more than one decimal mark"},
		{Metric.ParseTempC, strings.Repeat("9", 30), "has too many digits"},
		{Metric.ParseTempC, strings.Repeat("9", 300), `"99999999999999999999..." is too long`},

		{Metric.ParseVolumeL, "2 gal", `"2 gal" has more than one size, ` + gallon},
		{Metric.ParseVolumeL, "1 pint", "say whose pint"},
		{Metric.ParseVolumeL, "1 quart", "say whose quart"}, {Metric.ParseVolumeL, "8 fl. oz", "say whose fluid ounce"},
		{US.ParseVolumeL, "8 oz", "say US fl oz or imp fl oz"}, {US.ParseDoseML, "1 oz", "say US fl oz or imp fl oz"},
		{Metric.ParseVolumeL, "1 cup", "more than one size: say mL, L or US cups"},
		{Metric.ParseVolumeL, "1 tbsp", "more than one size: say mL, L or US fl oz"},
		{Metric.ParseVolumeL, "-3", `"-3" is below zero: give a volume such as 8 L`},
		{Metric.ParseVolumeL, "20000", `"20000" is too large: give a volume up to 10000 L`},
		{Metric.ParseVolumeL, "1,500 L", `"1,500 L" can be read two ways: write 1500 or 1.5`}, {US.ParseHeightM, "1,200,5 ft", "a comma too many"}, {US.ParseHeightM, "1,2,3 ft", "more than one decimal mark"},
		{Metric.ParseVolumeL, "8 \x1b]0;x\aparsecs", `"8 parsecs" has a unit that doesn't fit a volume: give a number such as 8 L`},

		{US.ParseMassG, "1 lb 20 oz", figure}, {US.ParseMassG, "1.5 lb 4 oz", figure}, {US.ParseMassG, "1 lb 20", figure}, {US.ParseMassG, "1.5 lb 4", figure}, {US.ParseMassG, "1 lb 4 2", figure},
		{US.ParseMassG, "4 oz 2", figure}, {US.ParseMassG, "2 4 oz", figure}, {Metric.ParseMassG, "1 kg 2", figure}, {US.ParseVolumeL, "1 qt 2", figure}, {Metric.ParseVolumeL, "3 gal 1", "say whose gallon"}, {Metric.ParseVolumeL, "8 L 2", figure},
		{US.ParseMassG, "a fleece", `is not a weight: give a number such as 8 oz or 1 lb 4 oz`}, {Metric.ParseMassG, "1 kg 2", "type a weight such as 225 g or 1.2 kg"},
		{US.ParseMassG, "4 oz 1 lb", figure}, {US.ParseMassG, "1/0 lb", "has a fraction that is not one"},
		{US.ParseMassG, "1 3/2 lb", "has a fraction that is not one"}, {US.ParseMassG, "8 fl oz", "has a unit that doesn't fit a weight"},
		{Metric.ParseMassG, "5000 kg", "give a weight up to 1000 kg"},
		{Metric.ParseMassG, "1,250 kg", "write 1250 or 1.25"},

		{Metric.ParseMinutes, "1:75", "isn't hours and minutes"}, {Metric.ParseMinutes, "1:3", "isn't hours and minutes"},
		{Metric.ParseMinutes, "1:30:00", "isn't hours and minutes"}, {Metric.ParseMinutes, ":", "isn't hours and minutes"},
		{Metric.ParseMinutes, "900:00", "give a time up to 31 days"}, {Metric.ParseMinutes, "1h90", figure},
		{Metric.ParseMinutes, "soon", `"soon" is not a time: give a number such as 15, 1 h 30 min or 1:30`},
		{Metric.ParseMinutes, "-5", "is below zero"},

		{Metric.ParsePowerW, "200 kW", "up to 100 kW"}, {Metric.ParsePowerW, "2 MW", "has a unit that doesn't fit a power"},
	}
	for _, c := range cases {
		got, err := c.parse(c.text)
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%q reads as %v, error %v; want %q", c.text, got, err, c.want)
		}
		if got != 0 {
			t.Errorf("%q is refused and yet gives %v", c.text, got)
		}
	}
}
