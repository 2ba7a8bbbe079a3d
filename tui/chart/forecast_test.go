package chart

import (
	"strings"
	"testing"

	"fleece.example/tubside/tui/theme"
)

// TestReadingsStandBesideTheirForecasts: each as far off as it was, in the range that was given for it or out
// of it; of more than there are columns the last.
func TestReadingsStandBesideTheirForecasts(t *testing.T) {
	th := theme.Theme{ASCII: true}
	f := Forecasts{Off: []float64{1, -2, 0}, Range: [][2]float64{{-1, 1}, {-1, 1}, {-1, 1}}, Low: -2, High: 1, Per: 1, Unit: "K"}
	got := f.Lines(&th, 37, 5)
	want := []string{
		"             │:::o:: :::::: ::::::",
		" as forecast │------ ------ ---o--",
		"             │:::::: :::::: ::::::",
		"  2 K cooler │          !",
	}
	got = got[1:]
	for i, l := range want {
		if i >= len(got) || strings.TrimRight(got[i], " ") != strings.TrimRight(l, " ") {
			t.Fatalf("is\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
		}
	}
	for range 100 {
		f.Off, f.Range = append(f.Off, 2), append(f.Range, [2]float64{3, 4})
	}
	if got = f.Lines(&th, 37, 5); !strings.HasPrefix(got[0], "  2 K hotter │!!!!!!!!!!!!!!!!!!!!") {
		t.Errorf("the last are\n%s", strings.Join(got, "\n"))
	}
	if f.Lines(&th, 30, 5) != nil || f.Lines(&th, 36, 2) != nil {
		t.Error("it is drawn where there is no room")
	}
}

// TestForecastsFillTheirScale: it reaches as far as what is drawn and little farther, on both sides of the
// forecast, whatever the person's degrees.
func TestForecastsFillTheirScale(t *testing.T) {
	th := theme.Theme{ASCII: true}
	for _, low := range []float64{-1.3, -6, -13, -44} {
		for _, per := range []float64{1, 1.8} {
			f := Forecasts{Off: []float64{low, 0.2}, Range: [][2]float64{{-1, 1}, {-1, 1}}, Low: low, High: 1, Per: per, Unit: "K"}
			const rows = 25
			got, marks := f.Lines(&th, 60, rows), 0
			for i, l := range got {
				if marks += strings.Count(l, "!") + strings.Count(l, "o |"); strings.Contains(l, "!") && i < rows/2 {
					t.Errorf("%g: of %d rows most are below the farthest:\n%s", low*per, rows, strings.Join(got, "\n"))
				}
			}
			if marks != 1 {
				t.Errorf("%g: %d marks out of their range:\n%s", low*per, marks, strings.Join(got, "\n"))
			}
		}
	}
}
