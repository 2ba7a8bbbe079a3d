package measure

import (
	"math"
	"strings"
	"testing"
	"unicode"
	"unicode/utf8"

	"pgregory.net/rapid"
)

// boundsIn takes the two bounds out of the sentence of a check.
func boundsIn(t *rapid.T, sentence string) []string {
	_, bounds, ok := strings.Cut(sentence, "give between ")
	if !ok {
		t.Fatalf("%q names no bounds", sentence)
	}
	return strings.Split(bounds, " and ")
}

// safe fails where text could do more in a terminal than be read.
func safe(t *testing.T, text string) {
	t.Helper()
	if !utf8.ValidString(text) {
		t.Fatalf("%q is not UTF-8", text)
	}
	for _, r := range text {
		if unicode.IsControl(r) || unicode.Is(unicode.Cf, r) || unicode.Is(unicode.Bidi_Control, r) {
			t.Fatalf("%q holds %U", text, r)
		}
	}
}

var typedSeeds = []string{
	"", " ", "63", "63,5 °C", "150F", "-5", "−½", "8 l", "2 US gal", "2 gal", "1 lb 4 oz", "1 1/2 tsp", "1½", "1/0",
	"1h30", "1:30", "45 s", "2.2 kW", "1,500 g", "1.2.3", "NaN", "Inf", "0x1p-2", "1e400", "9e9", "--5", ".", ",5", "1/",
	"\x1b[31m63\x1b[0m", "63\u202e", "\u009b2J", "\xff63", "٦٣", "6\u03003", "999999999999999999999", "1 gal\x1b]0;x\a",
}

func fuzzParser(f *testing.F, parsers ...parser) {
	for _, seed := range typedSeeds {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, text string) {
		for _, parse := range parsers {
			v, err := parse(text)
			if math.IsNaN(v) || math.IsInf(v, 0) || math.Abs(v) > maxTypedG {
				t.Fatalf("%q reads as %v", text, v)
			}
			if err == nil {
				continue
			}
			safe(t, err.Error())
			if v != 0 || utf8.RuneCountInString(err.Error()) > 160 {
				t.Fatalf("%q gives %v with %q", text, v, err)
			}
		}
	})
}

func FuzzParseTempC(f *testing.F)   { fuzzParser(f, Metric.ParseTempC, US.ParseTempC) }
func FuzzParseVolumeL(f *testing.F) { fuzzParser(f, Metric.ParseVolumeL, US.ParseVolumeL) }
func FuzzParseMassG(f *testing.F)   { fuzzParser(f, Metric.ParseMassG, US.ParseMassG) }
func FuzzParseDoseML(f *testing.F)  { fuzzParser(f, Metric.ParseDoseML, US.ParseDoseML) }
func FuzzParseMinutes(f *testing.F) { fuzzParser(f, Metric.ParseMinutes) }
func FuzzParsePowerW(f *testing.F)  { fuzzParser(f, Metric.ParsePowerW) }

func FuzzParseSystem(f *testing.F) {
	for _, seed := range append(typedSeeds, "metric", "US", "us ", "us,C", "imperial, g, 12h", "US,imp gal,US gal") {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, text string) {
		if s, err := ParseSystem(text); err != nil {
			safe(t, err.Error())
		} else if again, err := ParseSystem(s.String()); !s.valid() || err != nil || again != s {
			t.Fatalf("%q reads as %v, which reads as %v (%v)", text, s, again, err)
		}
	})
}

func FuzzCleanText(f *testing.F) {
	for _, seed := range typedSeeds {
		f.Add(seed, 20)
	}
	f.Add("羊毛 \x1b]8;;x\x1b\\wash\u200d\u20e3", 4)
	f.Add("a\u0301\u0301\u0301\u0301\u0301", -1)
	f.Fuzz(func(t *testing.T, text string, max int) {
		got := CleanText(text, max)
		safe(t, got)
		if n := utf8.RuneCountInString(got); n > 0 && n > max {
			t.Fatalf("CleanText(%q, %d) keeps %d runes", text, max, n)
		}
		if got != strings.TrimSpace(got) || strings.Contains(got, "  ") {
			t.Fatalf("CleanText(%q, %d) = %q leaves white space", text, max, got)
		}
		if again := CleanText(got, max); again != got {
			t.Fatalf("cleaning %q again gives %q", got, again)
		}
	})
}
