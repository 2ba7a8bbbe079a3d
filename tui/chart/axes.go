package chart

import (
	"math"
	"strconv"

	"fleece.example/tubside/session/measure"
)

// Axes says what the rows and columns of a curve stand for. Labels are round numbers of the
// person's degrees, each beside the row that it is true of, so a figure read off the drawing is
// right. Row 0 is the first above the axis, which itself is row -1.
type Axes struct {
	Time
	u                measure.System
	low, step, label float64 // of row 0, from row to row, and from label to label; the person's degrees
	Rows             int
	Left             int // of the axis, for labels
}

// rowSteps are degrees from row to row and from label to label.
var rowSteps = [][2]float64{{0.1, 1}, {0.2, 1}, {0.25, 1}, {0.4, 2}, {0.5, 2}, {0.5, 1}, {2.0 / 3, 2}, {1, 5}, {1, 2}, {1.25, 5}, {5.0 / 3, 5}, {2, 10}, {2, 2},
	{2.5, 5}, {10.0 / 3, 10}, {5, 10}, {5, 5}, {10, 10}, {20, 20}, {50, 50}, {100, 100}, {200, 200}, {500, 500}, {1000, 1000}}

// newRows covers low to high °C: in the fewest degrees a row that leave three labels, of few rows two.
func newRows(u measure.System, lowC, highC float64, rows int) Axes {
	a, low := Axes{u: u, Rows: rows}, u.Degrees(lowC)
	for _, s := range rowSteps {
		a.low, a.step, a.label = s[0]*math.Ceil(low/s[0]-0.5), s[0], s[1]
		labels := math.Floor((a.low+a.step*float64(rows-1))/a.label+1e-9) - math.Ceil(a.low/a.label-1e-9) + 1
		if labels >= 2 && (labels > 2 || rows < 6) && a.Row(highC) < float64(rows)-0.5 {
			break
		}
	}
	for i := -1; i < rows; i++ {
		a.Left = max(a.Left, len(a.RowLabel(i)))
	}
	return a
}

// Row is where a temperature is drawn, 0 for the first row above the axis.
func (a Axes) Row(tempC float64) float64 { return (a.u.Degrees(tempC) - a.low) / a.step }

// RowLabel is what stands beside row i, "" for most.
func (a Axes) RowLabel(i int) string {
	if v, ok := a.figure(i); ok {
		return strconv.Itoa(v)
	}
	return ""
}

// figure is that of row i, where it has one.
func (a Axes) figure(i int) (v int, ok bool) {
	labels := (a.low + a.step*float64(i)) / a.label
	return int(math.Round(labels) * a.label), a.label != 0 && math.Abs(labels-math.Round(labels)) <= 1e-6
}
