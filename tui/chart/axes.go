package chart

import (
	"math"
	"strconv"
	"time"

	"fleece.example/tubside/session/measure"
)

// Axes says what the rows and columns of a curve stand for. Labels stand beside
// the rows that they are true of, so a figure read off the drawing is right.
// Of labels row 0 is the axis, of what is drawn the first above it.
type Axes struct {
	Time
	u         measure.System
	low, step float64 // of the first row above the axis, and what each row adds; the person's degrees
	Rows      int
	everyRow  int // rows from label to label
	Left      int // of the axis, for labels
}

// rowSteps are degrees a row, with the rows from one label to the next: 1, 2, 5 and 10 whole
// degrees.
var rowSteps = []struct {
	row   float64
	every int
}{{0.1, 10}, {0.2, 5}, {0.25, 4}, {0.4, 5}, {0.5, 2}, {2.0 / 3, 3}, {1, 2}, {1.25, 4}, {5.0 / 3, 3}, {2, 1}, {2.5, 2}, {10.0 / 3, 3}, {5, 1}, {10, 1}, {20, 1}, {50, 1}}

// NewAxes covers low to high °C and from to to with whole degrees and times of the clock
// at the labels, on a chart of w by h cells. markC, if not 0, gets a row with
// the whole degree that it is shown as: 49 °C is 120 °F.
func NewAxes(u measure.System, lowC, highC, markC float64, from, to time.Time, w, h int) Axes {
	a := newRows(u, lowC, highC, markC, max(2, h-2))
	a.Time = NewTime(from, to, max(2, w-a.Left-1))
	return a
}

// newRows is NewAxes without its time.
func newRows(u measure.System, lowC, highC, markC float64, rows int) Axes {
	low, high := u.Degrees(lowC), u.Degrees(highC)
	a := Axes{u: u, Rows: rows}
	step, base := rowSteps[0], 0.0
	for _, s := range rowSteps {
		// The label at the axis, which has no curve in its row.
		step, base = s, math.Floor(low-s.row)
		if labels := s.row * float64(s.every); markC == 0 { // whole tens, fives or twos
			base = labels * math.Floor((low-s.row)/labels+1e-9)
		}
		for markC > 0 && !whole((math.Round(u.Degrees(markC))-base)/s.row) && base > low-s.row-6 {
			base--
		}
		if a.Rows >= 2*s.every && base+s.row*float64(a.Rows) >= high {
			break
		}
	}
	a.low, a.step, a.everyRow = base+step.row, step.row, step.every
	for i := range a.Rows + 1 {
		a.Left = max(a.Left, len(a.RowLabel(i)))
	}
	return a
}

func whole(rows float64) bool { return math.Abs(rows-math.Round(rows)) < 1e-6 }

// Row is where a temperature is drawn, 0 for the first row above the axis.
func (a Axes) Row(tempC float64) float64 { return (a.u.Degrees(tempC) - a.low) / a.step }

// RowLabel is what stands beside row i, "" for most.
func (a Axes) RowLabel(i int) string {
	if i%a.everyRow != 0 {
		return ""
	}
	return strconv.Itoa(int(math.Round(a.low + a.step*float64(i-1))))
}
