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
	f := Forecasts{Off: []float64{1, -2, 0}, Range: [][2]float64{{-1, 1}, {-1, 1}, {-1, 1}}, Half: 2, Above: "2 hotter", On: "as forecast", Below: "2 cooler"}
	got := f.Lines(&th, 36, 6)
	want := []string{
		"    2 hotter │                     ",
		"             │:::o:: :::::: :::::: ",
		" as forecast │------ ------ ---o-- ",
		"             │:::::: :::::: :::::: ",
		"    2 cooler │          !          ",
	}
	for i, l := range want {
		if i >= len(got) || strings.TrimRight(got[i], " ") != strings.TrimRight(l, " ") {
			t.Fatalf("is\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
		}
	}
	for range 100 {
		f.Off, f.Range = append(f.Off, 2), append(f.Range, [2]float64{3, 4})
	}
	if got = f.Lines(&th, 36, 5); !strings.HasPrefix(got[0], "    2 hotter │!!!!!!!!!!!!!!!!!!!!") {
		t.Errorf("the last are\n%s", strings.Join(got, "\n"))
	}
	if f.Lines(&th, 30, 5) != nil || f.Lines(&th, 36, 2) != nil {
		t.Error("it is drawn where there is no room")
	}
}
