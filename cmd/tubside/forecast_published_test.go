package main

import (
	"bytes"
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"fleece.example/tubside/session/must"
)

func published(name string) string { return filepath.Join("..", "..", "testdata", "published", name) }

// forecastOf runs the command and reads its JSON.
func forecastOf(t *testing.T, args ...string) (answer struct {
	RoomC       float64                                `json:"room_c"`
	RoomSD      float64                                `json:"room_sd"`
	StartC      float64                                `json:"start_c"`
	RatePerMin  float64                                `json:"rate_per_min"`
	RateSD      float64                                `json:"rate_sd"`
	RSS         float64                                `json:"rss"`
	Points      int                                    `json:"points"`
	CrossingMin struct{ Early, Likely, Late *float64 } `json:"crossing_min"`
}) {
	t.Helper()
	out := must.Get(runForecast("", append(args, "--json")...)).In(t)
	if err := json.Unmarshal([]byte(out), &answer); err != nil {
		t.Fatalf("%v in %s", err, out)
	}
	return answer
}

func runForecast(stdin string, args ...string) (string, error) {
	var out bytes.Buffer
	cmd := newForecast(&options{data: "none", getenv: func(string) string { return "" }})
	cmd.SilenceErrors, cmd.SilenceUsage = true, true
	cmd.SetArgs(args)
	cmd.SetIn(strings.NewReader(stdin))
	cmd.SetOut(&out)
	err := cmd.Execute()
	return out.String(), err
}

// TestForecastCertifiedFit holds the command against NIST's Statistical
// Reference Datasets, nonlinear regression, Misra1a (certified values): a
// cooling curve read upside down, with the start known and the room not.
func TestForecastCertifiedFit(t *testing.T) {
	a := forecastOf(t, published("nist-misra1a.csv"), "--start", "0", "--room", "free")
	for _, row := range []struct {
		what             string
		got, want, digit float64
	}{
		{"b1", a.RoomC, 2.3894212918e+02, 8},
		{"sd of b1", a.RoomSD, 2.7070075241e+00, 8},
		{"b2", a.RatePerMin, 5.5015643181e-04, 8},
		{"sd of b2", a.RateSD, 7.2668688436e-06, 8},
		{"residual sum of squares", a.RSS, 1.2455138894e-01, 8},
	} {
		digits := -math.Log10(math.Abs(row.got-row.want) / row.want)
		t.Logf("%-24s %.11e, %.1f digits", row.what, row.got, digits)
		if digits < row.digit {
			t.Errorf("%s is %.11e, certified %.10e", row.what, row.got, row.want)
		}
	}
	if a.Points != 14 || a.StartC != 0 {
		t.Errorf("%d points from %g", a.Points, a.StartC)
	}
}

// TestForecastWorkedExample: OpenStax, Calculus Volume 1, section 6.8, Example
// 6.45: coffee at 200 °F in a room of 70 °F is at 180 °F after 2 minutes; it is
// at 155 °F after 5.09 minutes. Two exact readings and a known start make it
// a fit; the third keeps a degree of freedom.
func TestForecastWorkedExample(t *testing.T) {
	file := filepath.Join(t.TempDir(), "coffee.csv")
	writeFile(t, file, "minutes,fahrenheit\n0,200\n2,180\n4,163.0769230769\n")
	a := forecastOf(t, file, "--temp-unit", "f", "--room", "70", "--start", "200", "--floor", "155", "--reading-error", "0.1")
	if a.CrossingMin.Likely == nil || math.Abs(*a.CrossingMin.Likely-5.08677) > 0.0001 || math.Abs(a.RatePerMin-0.0835270) > 1e-6 {
		t.Errorf("rate %.7f, crossing %v; the book has 5.09 min, 5.08677 with more digits", a.RatePerMin, *a.CrossingMin.Likely)
	}
}

func TestForecastTimeUnits(t *testing.T) {
	dir := t.TempDir()
	for unit, scale := range map[string]float64{"s": 60, "min": 1, "h": 1.0 / 60} {
		file := filepath.Join(dir, unit+".csv")
		var b strings.Builder
		b.WriteString("# invented\n")
		for m := 0.0; m <= 30; m += 5 {
			c := 20 + 45*math.Exp(-0.01*m)
			b.WriteString(strings.Join([]string{jsonNumber(m * scale), jsonNumber(c)}, ",") + "\n")
		}
		writeFile(t, file, b.String())
		a := forecastOf(t, file, "--room", "20", "--time-unit", unit)
		want := math.Log(45.0/29) / 0.01
		if a.CrossingMin.Likely == nil || math.Abs(*a.CrossingMin.Likely-want) > 0.01 {
			t.Errorf("%s: likely %v, want %.3f", unit, a.CrossingMin.Likely, want)
		}
	}
}

// TestForecastUntil uses only what was known by then.
func TestForecastUntil(t *testing.T) {
	if a := forecastOf(t, published("mug-open-and-film.csv"), "--room", "23", "--until", "40"); a.Points != 11 {
		t.Errorf("%d points up to minute 40, want 11", a.Points)
	}
}

// TestForecastRefusals: a sentence that says what is wrong, and no panic.
func TestForecastRefusals(t *testing.T) {
	for _, row := range []struct{ name, in, says string }{
		{"no room", "0,60\n5,58\n10,56\n", "how warm the room is"},
		{"empty", "", "too few"},
		{"words", "0,60\nfive,58\n", "write numbers"},
		{"one column", "60\n58\n", "second column"},
		{"not a number", "0,NaN\n1,3\n", "write numbers"},
		{"one time", "1,60\n1,61\n1,62\n", ""},
		{"terminal codes", "0,60\n\x1b[31m,x\n", "write numbers"},
		{"open quote", "0,\"60\n", "not CSV"},
	} {
		args := []string{"-", "--room", "20"}
		if row.name == "no room" {
			args = args[:1]
		}
		out, err := runForecast(row.in, args...)
		if err == nil {
			t.Errorf("%s was accepted: %s", row.name, out)
			continue
		}
		if !strings.Contains(err.Error(), row.says) || strings.ContainsRune(err.Error(), 0x1b) {
			t.Errorf("%s: %q does not say %q", row.name, err, row.says)
		}
	}
	for _, args := range [][]string{
		{"-", "--room", "hot"}, {"-", "--room", "20", "--time-unit", "day"}, {"-", "--room", "20", "--temp-unit", "k"},
		{"-", "--room", "20", "--until", "-1"}, {"-", "--room", "20", "--reading-error", "NaN"}, {"-", "--room", "20", "--floor", "NaN"}, {},
	} {
		if _, err := runForecast("0,60\n5,58\n10,56\n", args...); err == nil {
			t.Errorf("%v was accepted", args)
		}
	}
}

func FuzzForecastFile(f *testing.F) {
	f.Add("0,60\n5,58\n10,56\n")
	f.Add("23:50,60\n0:05,58\n0:20,56\n0:35,55\n")
	f.Add("2026-05-16T23:50Z,60\n2026-05-17T00:05Z,85\n")
	f.Add("t,c\n# x\n1e300,1e300\n-1e300,0\n5,5\n")
	f.Fuzz(func(t *testing.T, text string) {
		for _, more := range [][]string{{"--room", "20"}, {"--room", "free"}, {"--room", "20", "--cover", "lid", "--volume", "8"}, {"--room", "free", "--cover", "open", "--volume", "8", "--start", "65"}} {
			out, err := runForecast(text, append([]string{"-", "--json"}, more...)...)
			if err == nil && !json.Valid([]byte(out)) {
				t.Errorf("%v: not JSON: %s", more, out)
			}
		}
	})
}

func jsonNumber(v float64) string {
	b, err := json.Marshal(v)
	if err != nil {
		panic(err)
	}
	return string(b)
}

func writeFile(t *testing.T, name, text string) {
	t.Helper()
	must.Do(t, os.WriteFile(name, []byte(text), 0o600))
}
