package main

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/must"
)

// zeros is a file that has no end.
type zeros struct{}

func (zeros) Read(b []byte) (int, error) {
	clear(b)
	return len(b), nil
}

// Readings come from many an editor; what they part columns with is named.
func TestReadSeries(t *testing.T) {
	for _, c := range []struct {
		name, text string
		readings   int
		refused    string
	}{
		{"plain", "0,65\n10,60\n", 2, ""},
		{"names", "time,temp\n0,65\n", 1, ""},
		{"mark of the encoding", "\ufeff0,65\n10,60\n", 2, ""},
		{"mark before names", "\ufefftime,temp\n0,65\n", 1, ""},
		{"mark before a comment", "\ufeff# shed\n0,65\n", 1, ""},
		{"mark before quotes", "\ufeff\"0\",\"65\"\n", 1, ""},
		{"semicolons", "0;65\n10;60\n", 0, "line 1 has semicolons between its columns: write commas there"},
		{"semicolons under names", "time;temp\n0;65\n", 0, "line 1 has semicolons"},
		{"semicolons, commas in the figures", "0;65,5\n10;60,1\n", 0, "semicolons"},
		{"semicolons later", "0,65\n10;60\n", 0, "line 2 has semicolons"},
		{"tabs", "0\t65\n10\t60\n", 0, "line 1 has tabs between its columns"},
		{"spaces", "0 65\n", 0, "line 1 has no second column"},
		{"commas in the figures", "0,65\n5,62,5\n10,60,4\n", 0, "line 2 has 3 columns, others 2: write points"},
		{"commas in the first figure", "0,65,5\n5,62\n10,60,4\n", 0, "line 2 has 2 columns, others 3: write points"},
		{"another column", "0,65,18\n5,62,18\n", 2, ""},
		{"times of a 12-hour clock", "11:55 am,65\n12:05 PM,62\n1:00pm,55\n", 3, ""},
		{"colder than ice", "0,65\n5,-400\n", 0, "line 2: -400 °C is colder than water gets"},
		{"no temperature", "0,65\n5,1e300\n", 0, "line 2: that is hotter than water gets"},
		{"units", "0,65 C\n1,64 C\n", 0, `"65 C" is not a time and a temperature`},
		{"too many", strings.Repeat("1,2\n", mostReadings+1), 0, "more than 200000 readings"},
		{"too long", strings.Repeat(strings.Repeat(" ", 99)+"\n", mostSeries/100+1), 0, "larger than 16 MB"},
	} {
		got, err := readSeries(strings.NewReader(c.text), "min", measure.Metric)
		if c.refused == "" && (err != nil || len(got.points) != c.readings) || c.refused != "" && (err == nil || !strings.Contains(err.Error(), c.refused)) {
			t.Errorf("%s: %d readings (%v), want %d, %q", c.name, len(got.points), err, c.readings, c.refused)
		}
	}
	if _, err := readSeries(zeros{}, "min", measure.Metric); err == nil || !strings.Contains(err.Error(), "larger than") {
		t.Errorf("without an end: %v", err)
	}
}

// TestForecastByThePersonsClock: times of day are answered as the person's clock has them, however
// the file and its temperatures are written.
func TestForecastByThePersonsClock(t *testing.T) {
	path := filepath.Join(t.TempDir(), "shed.csv")
	for times, file := range map[string]string{"day": "12:00 pm,150\n12:15 pm,145\n12:30 pm,141\n12:45 pm,137\n", "date": "2026-05-16T12:00,150\n2026-05-16T12:15,145\n2026-05-16T12:30,141\n2026-05-16T12:45,137\n"} {
		must.Do(t, os.WriteFile(path, []byte(file), 0o600))
		for lang, want := range map[string]string{"en_US.UTF-8": `likely [12]:\d\d pm(.|\n)* 12:00 pm\n`, "en_GB.UTF-8": `likely 1[34]:\d\d(.|\n)* 12:00\n`} {
			code, out, errs := saysIn(t, lang, "forecast", path, "--room", "65F", "--temp-unit", "f", "--data", "none")
			if code != 0 || !regexp.MustCompile(want).MatchString(out) || lang[3:5] == "US" != strings.Contains(out, " pm") {
				t.Errorf("%s, %s: %d\n%s%s", lang, times, code, out, errs)
			}
		}
	}
}
