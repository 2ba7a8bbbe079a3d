package chart

import (
	"fmt"
	"math"
	"unicode/utf8"

	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/tui/draw"
	"fleece.example/tubside/tui/paint"
	"fleece.example/tubside/tui/theme"
)

// Forecasts are figures in their order, each as far off its forecast as it came, in the range that was
// given for it.
type Forecasts struct {
	Off       []float64
	Range     [][2]float64
	Low, High float64 // the drawing reaches from here to here at the least
	Per       float64 // of the person's degrees to one of these
	Unit      string
}

// Lines draws them w by h cells, of more than there are columns the last; nil where that is too little.
func (f Forecasts) Lines(th *theme.Theme, w, h int) []string {
	if h < 3 {
		return nil
	}
	ax := newRows(measure.Metric, f.Per*min(0, f.Low), f.Per*max(0, f.High), h) // whose degrees are as they come
	labels, left := make([]string, h), 0
	for y := range labels {
		v, ok := ax.figure(y)
		if word := "hotter"; ok && v != 0 {
			if v < 0 {
				v, word = -v, "cooler"
			}
			labels[y] = fmt.Sprintf("%d %s %s", v, f.Unit, word)
		} else if ok {
			labels[y] = "as forecast"
		}
		left = max(left, utf8.RuneCountInString(labels[y])+2)
	}
	cols := w - left - 2
	if cols < leastBars {
		return nil
	}
	n := min(len(f.Off), cols)
	step := cols / n
	sheet := paint.NewSheet(cols, h)
	for i, off := range f.Off[len(f.Off)-n:] {
		low, high := f.Range[len(f.Off)-n+i][0], f.Range[len(f.Off)-n+i][1]
		for x := i * step; x < i*step+max(1, step-1); x++ {
			for y := math.Round(ax.Row(f.Per * low)); y <= math.Round(ax.Row(f.Per*high)); y++ {
				sheet.Ground(float64(x), y, &th.Likely, th.Mark(theme.MarkMaybe), &th.Rule)
			}
			sheet.Set(float64(x), ax.Row(0), th.Mark(theme.MarkRule), &th.Text)
		}
		mark, style := theme.MarkReading, &th.Big
		if off < low || off > high {
			mark, style = theme.MarkAlarm, &th.Warn
		}
		sheet.Set(float64(i*step+(step-1)/2), ax.Row(f.Per*off), th.Mark(mark), style)
	}
	var out []string
	for y := h - 1; y >= 0; y-- {
		out = append(out, draw.Fit(th.Faint.Render(fmt.Sprintf("%*s ", left-1, labels[y]))+th.Rule.Render("│")+sheet.Row(y), w))
	}
	return out
}
