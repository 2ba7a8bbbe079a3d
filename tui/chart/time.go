// Package chart draws over an axis of time: the curve of a bath, the bars of a day. It knows
// no screen; what lies ahead, runs and is past is drawn alike.
package chart

import (
	"math"
	"strings"
	"time"

	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/tui/theme"
)

// Time is an axis of time in columns, with labels at whole steps of the clock, each in the
// column that it is true of.
type Time struct {
	From  time.Time // of column 0
	Cols  int
	per   time.Duration // a column
	step  time.Duration // from label to label
	first int           // column of the first label
	every int           // columns from label to label
}

// clockSteps are minutes from label to label: 1, 2, 5 and 10, and what else divides an hour or a
// day, so that labels stand at whole ones.
var clockSteps = []float64{1, 2, 5, 10, 20, 30, 60, 120, 240, 720, 1440}

// Columns from label to label: a label has five cells.
const (
	leastEvery = 7
	mostEvery  = 18
)

// NewTime covers from to to with so many columns. Labels are by the clock of from's zone.
func NewTime(from, to time.Time, cols int) Time {
	t := Time{Cols: cols, per: time.Duration(math.MaxInt64)}
	need := to.Sub(from).Minutes() / float64(max(1, cols-2))
	for _, step := range clockSteps {
		for n := leastEvery; n <= mostEvery; n++ {
			per := measure.Lasting(step / float64(n))
			if step/float64(n) >= need && per < t.per {
				t.per, t.step, t.every = per, measure.Lasting(step), n
			}
		}
	}
	for step := 2880.0; t.every == 0; step *= 2 { // days on end
		if step/leastEvery >= need {
			t.per, t.step, t.every = measure.Lasting(step/leastEvery), measure.Lasting(step), leastEvery
		}
	}
	_, zone := from.Zone()
	off := time.Duration(zone) * time.Second
	base := from.Add(off).Truncate(t.step).Add(-off)
	n := int(math.Floor(float64(from.Sub(base)) / float64(t.per)))
	t.From = base.Add(time.Duration(n) * t.per)
	if t.first = (t.every - n%t.every) % t.every; n%t.every == 0 {
		t.first = 0
	}
	return t
}

// Col is where a moment is drawn.
func (t Time) Col(at time.Time) float64 { return float64(at.Sub(t.From)) / float64(t.per) }

// Cell is the column in which a moment lies, held to the axis.
func (t Time) Cell(at time.Time) int { return min(t.Cols-1, max(0, t.Beyond(at))) }

// Beyond is the column in which a moment lies, be it off the axis.
func (t Time) Beyond(at time.Time) int { return int(math.Floor(t.Col(at) + 1e-9)) }

// At is the moment of a column.
func (t Time) At(col int) time.Time {
	if n := col - t.first; n%t.every == 0 { // a label's, to the second
		base := t.From.Add(time.Duration(t.first) * t.per).Round(time.Minute)
		return base.Add(time.Duration(n/t.every) * t.step)
	}
	return t.From.Add(time.Duration(col) * t.per)
}

// dayOf stands before a label, where midnight comes no sooner than behind the next.
func (t Time) dayOf(col int) string {
	at := t.At(col)
	hour, min, _ := at.Clock()
	left := 24*time.Hour - time.Duration(hour*60+min)*time.Minute
	if hour+min == 0 || left <= t.step || t.At(t.Cols-1).Sub(at) < left {
		return ""
	}
	return at.Format("Mon ")
}

// Labels is the line of clock times below or above the axis, and of now where that is told: a
// label that would touch it is left out, whole. The first has its day where midnight lies behind it.
func (t Time) Labels(th *theme.Theme, now time.Time, clock func(time.Time) string) string {
	const word = "now"
	row, at, end := blank(t.Cols), t.Cols, t.Cols
	if !now.IsZero() && t.Cols >= len(word) {
		at = min(max(0, t.Cell(now)-1), t.Cols-len(word))
		end = at + len(word)
	}
	for i := t.first; i < t.Cols; i += t.every {
		text := clock(t.At(i))
		if day := t.dayOf(i) + text; i == t.first && len(day) > len(text) && (at == t.Cols || i+len(day) < at) {
			text = day
		}
		if (i == 0 || row[i-1] == " ") && (i > end || i+len(text) < at || at == t.Cols) {
			place(row, i, text, " ")
		}
	}
	out := th.Faint.Render(strings.Join(row[:at], ""))
	if at < t.Cols {
		out += th.Now.Render(word) + th.Faint.Render(strings.Join(row[end:], ""))
	}
	return out
}
