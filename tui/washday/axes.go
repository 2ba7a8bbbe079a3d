package washday

import (
	"math"
	"strconv"
	"time"

	"fleece.example/tubside/session/measure"
)

// axes says what the rows and columns of a curve stand for. Labels stand beside
// the rows that they are true of, so a figure read off the drawing is right.
// Of labels row and column 0 are the axes, of what is drawn the first beside them.
type axes struct {
	u         measure.System
	low, step float64 // of the first row above the axis, and what each row adds; the person's degrees
	rows      int
	everyRow  int       // rows from label to label
	from      time.Time // of the first column beside the axis
	colMin    float64   // minutes a column
	cols      int
	everyCol  int
	left      int // of the axis, for labels
}

// rowSteps are degrees a row, with the rows from one label to the next so that
// labels are whole degrees.
var rowSteps = []struct {
	row   float64
	every int
}{{0.1, 10}, {0.2, 5}, {0.25, 4}, {0.5, 2}, {1, 2}, {1.5, 2}, {2, 1}, {2.5, 2}, {3, 1}, {4, 1}, {5, 1}, {10, 1}, {20, 1}, {50, 1}}

// newAxes covers low to high °C and from to to with whole degrees and minutes
// at the labels, on a chart of w by h cells. markC, if not 0, gets a row with
// the whole degree that it is shown as: 49 °C is 120 °F.
func newAxes(u measure.System, lowC, highC, markC float64, from, to time.Time, w, h int) axes {
	low, high := u.Degrees(lowC), u.Degrees(highC)
	a := axes{u: u, rows: max(2, h-2)}
	step, base := rowSteps[0], 0.0
	for _, s := range rowSteps {
		// The label at the axis, which has no curve in its row.
		step, base = s, math.Floor(low-s.row)
		for markC > 0 && s.row > 1 && math.Abs(math.Mod(math.Round(u.Degrees(markC))-base, s.row)) > 1e-6 && base > low-s.row-6 {
			base--
		}
		if a.rows >= 2*s.every && base+s.row*float64(a.rows) >= high {
			break
		}
	}
	a.low, a.step, a.everyRow = base+step.row, step.row, step.every
	for i := range a.rows + 1 {
		a.left = max(a.left, len(a.rowLabel(i)))
	}
	a.cols = max(2, w-a.left-1)
	perCol := (to.Sub(from).Minutes() + 1) / float64(a.cols-1)
	a.colMin, a.everyCol = math.Max(0.1, math.Ceil(perCol*10-1e-9)/10), 10
	if finer := math.Max(0.05, math.Ceil(perCol*20-1e-9)/20); finer < a.colMin-1e-9 { // less of the width is left empty
		a.colMin, a.everyCol = finer, 20
	}
	col := time.Duration(math.Round(a.colMin*60)) * time.Second
	a.from = from.Add(-col).Truncate(time.Minute).Add(col)
	return a
}

// row is where a temperature is drawn, 0 for the first row above the axis.
func (a axes) row(tempC float64) float64 { return (a.u.Degrees(tempC) - a.low) / a.step }

// col is where a moment is drawn, 0 for the first column beside the axis.
func (a axes) col(at time.Time) float64 { return at.Sub(a.from).Minutes() / a.colMin }

// rowLabel is what stands beside row i, "" for most.
func (a axes) rowLabel(i int) string {
	if i%a.everyRow != 0 {
		return ""
	}
	return strconv.Itoa(int(math.Round(a.low + a.step*float64(i-1))))
}

// colTime is the moment of column i.
func (a axes) colTime(i int) time.Time {
	return a.from.Add(time.Duration(math.Round(a.colMin*float64(i-1)*60)) * time.Second)
}
