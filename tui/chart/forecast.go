package chart

import (
	"math"
	"strings"

	"github.com/charmbracelet/x/ansi"

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
	left := max(ansi.StringWidthWc(f.Above), ansi.StringWidthWc(f.On), ansi.StringWidthWc(f.Below)) + 2
	cols := w - left - 2
	if h < 3 || cols < leastBars {
		return nil
	}
	n, mid := min(len(f.Off), cols), h/2
	step := cols / n
	sheet := paint.NewSheet(cols, h)
	row := func(off float64) float64 {
		return float64(mid) + math.Round(min(1, max(-1, off/f.Half))*float64(mid))
	}
	for i := range n {
		is := f.Range[len(f.Off)-n+i]
		for x := i * step; x < i*step+max(1, step-1); x++ {
			for y := row(is[0]); y <= row(is[1]); y++ {
				sheet.Ground(float64(x), y, &th.Likely, th.Mark(theme.MarkMaybe), &th.Rule)
			}
			sheet.Set(float64(x), float64(mid), th.Mark(theme.MarkRule), &th.Text)
		}
	}
	for i := range n {
		off, is := f.Off[len(f.Off)-n+i], f.Range[len(f.Off)-n+i]
		mark, style := theme.MarkReading, &th.Big
		if off < is[0] || off > is[1] {
			mark, style = theme.MarkAlarm, &th.Warn
		}
		sheet.Set(float64(i*step+(step-1)/2), row(off), th.Mark(mark), style)
	}
	var out []string
	for y := h - 1; y >= 0; y-- {
		label := map[int]string{h - 1: f.Above, mid: f.On, 0: f.Below}[y]
		out = append(out, draw.Fit(th.Faint.Render(strings.Repeat(" ", left-1-ansi.StringWidthWc(label))+label+" ")+th.Rule.Render("│")+sheet.Row(y), w))
	}
	return out
}
