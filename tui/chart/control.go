package chart

import (
	"fmt"
	"math"
	"strings"

	"github.com/charmbracelet/x/ansi"

	"fleece.example/tubside/tui/draw"
	"fleece.example/tubside/tui/paint"
	"fleece.example/tubside/tui/theme"
)

// Control is figures in their order about a centre line, with limits where they have some.
type Control struct {
	V         []float64
	Unusual   []bool
	Mean      float64
	Low, High float64 // NaN: no limits
	From0     bool    // the axis begins at 0
	At        int     // the chosen figure: stays in sight
	Label     func(v float64) string
	End       func(i int) string // what stands below the first and the last that is drawn
}

// widestStep is how many columns lie from one figure to the next, at the most.
const widestStep = 12

// Lines draws it w by h cells. Of more figures than columns those about the chosen one are
// drawn.
func (c Control) Lines(th *theme.Theme, w, h int) []string {
	rows := h - 2
	if len(c.V) == 0 || rows < 3 {
		return nil
	}
	labels := []string{c.Label(c.Mean)}
	low, high := c.Mean, c.Mean
	if !math.IsNaN(c.Low) {
		labels = append(labels, c.Label(c.Low), c.Label(c.High))
		low, high = c.Low, c.High
	}
	for _, v := range c.V {
		low, high = min(low, v), max(high, v)
	}
	if c.From0 {
		low = min(low, 0)
	}
	labels = append(labels, c.Label(low), c.Label(high))
	left := 0
	for _, l := range labels {
		left = max(left, ansi.StringWidthWc(l))
	}
	cols := max(1, w-left-3)
	from := 0
	if n := len(c.V); n > cols {
		from = min(max(0, c.At-cols/2), n-cols)
	}
	to := min(len(c.V), from+cols)
	step := max(1, min(widestStep, cols/(to-from)))
	row := func(v float64) float64 {
		if high <= low {
			return math.Floor(float64(rows) / 2)
		}
		return math.Round((v - low) / (high - low) * float64(rows-1))
	}
	sheet := paint.NewSheet(cols, rows)
	side := map[int]string{int(row(low)): c.Label(low), int(row(high)): c.Label(high)}
	line := func(v float64, mark theme.Mark) {
		for i := range cols {
			sheet.Set(float64(i), row(v), th.Mark(mark), &th.Rule)
		}
		side[int(row(v))] = c.Label(v)
	}
	if !math.IsNaN(c.Low) {
		line(c.Low, theme.MarkGone)
		line(c.High, theme.MarkGone)
	}
	line(c.Mean, theme.MarkRule)
	axis := paint.NewSheet(cols, 1)
	for i := range cols {
		axis.Set(float64(i), 0, th.Mark(theme.MarkRule), &th.Rule)
	}
	for i := from; i < to; i++ {
		at, mark, style := float64((i-from)*step), theme.MarkReading, &th.Text
		if c.Unusual[i] {
			mark, style = theme.MarkAlarm, &th.Warn
		}
		if i == c.At {
			style = &th.Big
			axis.Set(at, 0, "^", &th.Big)
		}
		sheet.Set(at, row(c.V[i]), th.Mark(mark), style)
	}
	var out []string
	for i := rows - 1; i >= 0; i-- {
		label := side[i]
		out = append(out, draw.Fit(th.Faint.Render(strings.Repeat(" ", left+1-ansi.StringWidthWc(label))+label)+th.Rule.Render("│")+sheet.Row(i), w))
	}
	first, last := c.End(from), c.End(to-1)
	ends := first
	if gap := (to-1-from)*step + 1 - len(first) - len(last); to-1 > from && gap > 0 {
		ends += strings.Repeat(" ", gap) + last
	} else if to-1 > from {
		ends = fmt.Sprintf("%s to %s", first, last)
	}
	return append(out, draw.Fit(strings.Repeat(" ", left+1)+th.Rule.Render("└")+axis.Row(0), w), th.Faint.Render(draw.Fit(strings.Repeat(" ", left+2)+ends, w)))
}
