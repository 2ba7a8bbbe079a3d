package chart

import (
	"fmt"
	"math"
	"unicode/utf8"

	"fleece.example/tubside/tui/draw"
	"fleece.example/tubside/tui/paint"
	"fleece.example/tubside/tui/theme"
)

// Forecasts are figures in their order, each as far off its forecast as it came, in the range that was
// given for it.
type Forecasts struct {
	Off              []float64
	Range            [][2]float64
	Half             float64 // the drawing reaches so far to either side
	Above, On, Below string  // what stands beside its top, its middle and its foot
}

// Lines draws them w by h cells, of more than there are columns the last; nil where that is too little.
func (f Forecasts) Lines(th *theme.Theme, w, h int) []string {
	h -= 1 - h%2 // the forecast has a row of its own
	left := max(utf8.RuneCountInString(f.Above), len(f.On), utf8.RuneCountInString(f.Below)) + 2
	cols := w - left - 2
	if h < 3 || cols < leastBars {
		return nil
	}
	n, mid := min(len(f.Off), cols), h/2
	step := cols / n
	sheet := paint.NewSheet(cols, h)
	row := func(off float64) float64 { return float64(mid) + math.Round(min(1, max(-1, off/f.Half))*float64(mid)) }
	for i, off := range f.Off[len(f.Off)-n:] {
		low, high := f.Range[len(f.Off)-n+i][0], f.Range[len(f.Off)-n+i][1]
		for x := i * step; x < i*step+max(1, step-1); x++ {
			for y := row(low); y <= row(high); y++ {
				sheet.Ground(float64(x), y, &th.Likely, th.Mark(theme.MarkMaybe), &th.Rule)
			}
			sheet.Set(float64(x), float64(mid), th.Mark(theme.MarkRule), &th.Text)
		}
		mark, style := theme.MarkReading, &th.Big
		if off < low || off > high {
			mark, style = theme.MarkAlarm, &th.Warn
		}
		sheet.Set(float64(i*step+(step-1)/2), row(off), th.Mark(mark), style)
	}
	var out []string
	for y := h - 1; y >= 0; y-- {
		label := ""
		switch y {
		case h - 1:
			label = f.Above
		case mid:
			label = f.On
		case 0:
			label = f.Below
		}
		out = append(out, draw.Fit(th.Faint.Render(fmt.Sprintf("%*s ", left-1, label))+th.Rule.Render("│")+sheet.Row(y), w))
	}
	return out
}
