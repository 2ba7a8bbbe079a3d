package chart

import (
	"io"
	"math"
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
