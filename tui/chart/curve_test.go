package chart

import (
	"io"
	"math"
	"strings"
	"testing"
	"time"

	"github.com/charmbracelet/x/ansi"

	"fleece.example/tubside/session"
	"fleece.example/tubside/tui/theme"
)

// TestBandHasNoHoles: where no ground is painted the dotted edges of a band go on through the
// line of the release temperature.
func TestBandHasNoHoles(t *testing.T) {
	from := time.Date(2026, 3, 14, 9, 0, 0, 0, time.UTC)
	c := Curve{ReleaseC: 49}
	for i := range 100 {
		c.Points = append(c.Points, session.CurvePoint{At: from.Add(time.Duration(i) * time.Minute), TempC: 65 - float64(i)/10, LowC: 62 - float64(i)/5, HighC: 70 - float64(i)/10})
	}
	for _, o := range []theme.Options{{NoColor: true}, {Few: true}, {Few: true, Light: true}} {
		th, ax := theme.New(io.Discard, o), c.laneRows(10)
		ax.Time = NewTime(from, from.Add(99*time.Minute), 100)
		sheet := c.plot(&th, ax)
		for _, p := range c.Points {
			for _, tempC := range []float64{p.LowC, p.HighC} {
				row := []rune(ansi.Strip(sheet.Row(int(math.Floor(ax.Row(tempC) + 0.5)))))
				if r := row[int(math.Floor(ax.Col(p.At)+0.5))]; r < '⠀' || r > '⣿' {
					t.Fatalf("%+v: at %v the edge at %.1f °C is %q", o, p.At, tempC, r)
				}
			}
		}
	}
}

// TestSaidAndReleaseDoNotMeet: what a lane says stands whole, and so do the degrees of its release
// line, or they are left out.
func TestSaidAndReleaseDoNotMeet(t *testing.T) {
	from := time.Date(2026, 3, 14, 9, 0, 0, 0, time.UTC)
	for cols := 24; cols < 70; cols++ {
		for _, tempC := range []float64{49.2, 52, 66} {
			c := Curve{ReleaseC: 49, Now: from, Said: "lower the fleece in"}
			for i := range 60 {
				c.Points = append(c.Points, session.CurvePoint{At: from.Add(time.Duration(i) * time.Minute), TempC: tempC, LowC: tempC - 1, HighC: tempC + 1})
			}
			th, ax := theme.New(io.Discard, theme.Options{NoColor: true}), c.laneRows(4)
			ax.Time = NewTime(from, from.Add(59*time.Minute), cols)
			sheet, all := c.plot(&th, ax), ""
			for i := ax.Rows - 1; i >= 0; i-- {
				all += ansi.Strip(sheet.Row(i)) + "\n"
			}
			if !strings.Contains(all, c.Said) || strings.Contains(strings.ReplaceAll(all, " 49 °C ", ""), "°") {
				t.Errorf("%d columns, %g °C:\n%s", cols, tempC, all)
			}
		}
	}
}
