package washday

import (
	"fmt"
	"math"
	"strings"
	"time"

	"github.com/NimbleMarkets/ntcharts/canvas"
	"github.com/NimbleMarkets/ntcharts/canvas/graph"
	"github.com/NimbleMarkets/ntcharts/linechart"
	"github.com/charmbracelet/lipgloss"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/coach"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/tui/draw"
	"fleece.example/tubside/tui/theme"
)

// chart keeps the drawn curve of the tub in focus until its data change: a
// drawing costs more than all the rest of a frame.
type chart struct {
	key   string
	lines []string
}

// chartStep is how far now moves before the curve is drawn again.
const chartStep = 15 * time.Second

// drawnCurve is the cooling curve of the tub in focus: readings, forecast with its
// band, release line, now, soak end.
func (s *Screen) drawnCurve() chart {
	r, d := s.rooms.curve, s.e.Live.Day
	tub := s.curveTub()
	if r.Height == 0 || tub < 0 {
		return chart{}
	}
	g, t := s.glances[tub], d.Tubs[tub]
	// The bath's own figures are the key: another reading, cover, top-up or
	// tub is another drawing.
	key := fmt.Sprint(tub, t.Bath.FilledAt.Unix(), len(t.Bath.Readings), len(t.Bath.Changes), len(t.Bath.Rooms), t.Bath.SoakMin,
		d.Plan.Kit.Units, s.e.Now.Unix()/int64(chartStep.Seconds()), s.rooms.w, r.Height, t.Held())
	if s.chart.key == key {
		return s.chart
	}
	return chart{key, s.drawCurve(g, t, s.rooms.w, r.Height)}
}

// curveTub is the tub whose curve is drawn: the one in focus, else the most
// pressing one that has a bath; -1 for none.
func (s *Screen) curveTub() int {
	has := func(i int) bool {
		return i >= 0 && i < len(s.glances) && s.glances[i].HasTemp && s.glances[i].Phase != shed.Draining
	}
	if has(s.focus) {
		return s.focus
	}
	for _, p := range s.prompts {
		if has(p.Tub) {
			return p.Tub
		}
	}
	return -1
}

func (s *Screen) drawCurve(g coach.Glance, t session.TubRun, w, h int) []string {
	th, d, u := s.e.Theme, s.e.Live.Day, s.e.Live.Day.Plan.Kit.Units
	from, to := s.curveSpan(g, t)
	points := coach.Curve(d, g.Tub, from, to, max(2, 2*w)) // two to a cell, so that none is left out
	if points == nil {
		return nil
	}
	low, high := math.Inf(1), math.Inf(-1)
	for _, p := range points {
		low, high = min(low, p.LowC), max(high, p.HighC)
	}
	for _, r := range t.Bath.Readings {
		low, high = min(low, r.TempC), max(high, r.TempC)
	}
	if g.ReleaseC > 0 {
		low = min(low, g.ReleaseC-2)
	}
	ax := newAxes(u, low-0.5, high+0.5, g.ReleaseC, from, to, w-1, h-1)
	low, high = ax.lowC(), ax.highC()
	x := func(at time.Time) float64 { return at.Sub(ax.from).Minutes() }
	to = ax.to()

	m := linechart.New(w-1, h-1, 0, ax.lastMin(), low, high,
		linechart.WithXYSteps(ax.everyCol, 1),
		linechart.WithXLabelFormatter(func(i int, _ float64) string { return s.e.ClockText(ax.colTime(i)) }),
		linechart.WithYLabelFormatter(func(i int, _ float64) string { return ax.rowLabel(i) }),
		linechart.WithStyles(th.Rule, th.Faint, th.Text))
	m.DrawXYAxisAndLabel()
	at := func(t time.Time, c float64) canvas.Float64Point { return canvas.Float64Point{X: x(t), Y: c} }
	mark := func(k theme.Mark) rune { return []rune(th.Mark(k))[0] }

	rowC, maybe := ax.rowSpanC(), mark(theme.MarkMaybe)
	for _, p := range points { // the band: where it may be, nine times in ten
		for c := p.LowC; c < p.HighC; c += 0.9 * rowC { // so that no row is left out
			m.DrawRuneWithStyle(at(p.At, c), maybe, th.Rule)
		}
		m.DrawRuneWithStyle(at(p.At, p.HighC), maybe, th.Rule)
	}
	if g.ReleaseC > 0 {
		m.DrawRuneLineWithStyle(at(from, g.ReleaseC), at(to, g.ReleaseC), mark(theme.MarkGone), th.Warn)
	}
	for c := low; c <= high; c += rowC {
		m.DrawRuneWithStyle(at(s.e.Now, c), mark(theme.MarkNow), th.Now)
	}
	if th.ASCII {
		for _, p := range points {
			m.DrawRuneWithStyle(at(p.At, p.TempC), '*', th.Bar)
		}
	} else { // one grid for the whole line: the chart's own call makes one for each piece
		grid := graph.NewBrailleGrid(m.GraphWidth(), m.GraphHeight(), 0, ax.lastMin(), low, high)
		for i := 1; i < len(points); i++ {
			a, b := grid.GridPoint(at(points[i-1].At, points[i-1].TempC)), grid.GridPoint(at(points[i].At, points[i].TempC))
			for _, p := range graph.GetLinePoints(a, b) {
				grid.Set(p)
			}
		}
		graph.DrawBraillePatterns(&m.Canvas, canvas.Point{X: m.Origin().X + 1}, grid.BraillePatterns(), th.Bar)
	}
	if !g.SoakEnd.IsZero() && g.SoakEnd.Before(to) {
		if end := coach.Curve(d, g.Tub, g.SoakEnd, g.SoakEnd.Add(time.Minute), 2); end != nil {
			m.DrawRuneWithStyle(at(g.SoakEnd, end[0].TempC), mark(theme.MarkEnd), th.Next)
		}
	}
	for _, r := range t.Bath.Readings {
		m.DrawRuneWithStyle(at(r.At, r.TempC), mark(theme.MarkReading), th.Big)
	}
	legend := []string{" " + draw.Shortened(g.Name, 14) + ", " + u.TempUnit() + ":"}
	if g.ReleaseC > 0 {
		legend = append(legend, fmt.Sprintf("%s %s: wax sets below", th.Mark(theme.MarkGone), u.Temp(g.ReleaseC)))
	}
	legend = append(legend, th.Mark(theme.MarkReading)+" reading", th.Mark(theme.MarkEnd)+" soak ends", th.Mark(theme.MarkMaybe)+" where it may be")
	lines := []string{th.Faint.Render(draw.Fit(draw.Fewer(w, "  ", legend...), w))}
	for y := range m.Canvas.Height() {
		lines = append(lines, draw.Fit(canvasLine(&m.Canvas, y), w))
	}
	for len(lines) < h {
		lines = append(lines, strings.Repeat(" ", w))
	}
	return lines[:h]
}

// canvasLine is a line of a drawing, a run of cells that look alike at a time:
// the canvas's own View styles each cell by itself, which is most of a frame.
func canvasLine(c *canvas.Model, y int) string {
	var out, run strings.Builder
	var style lipgloss.Style
	var colour lipgloss.TerminalColor
	var bold bool
	for x := range c.Width() {
		cell := c.Cell(canvas.Point{X: x, Y: y})
		if fg, b := cell.Style.GetForeground(), cell.Style.GetBold(); x == 0 || fg != colour || b != bold {
			if run.Len() > 0 {
				out.WriteString(style.Render(run.String()))
				run.Reset()
			}
			style, colour, bold = cell.Style, fg, b
		}
		if cell.Rune == 0 {
			run.WriteByte(' ')
		} else {
			run.WriteRune(cell.Rune)
		}
	}
	out.WriteString(style.Render(run.String()))
	return out.String()
}

// curveSpan is the stretch of time shown: from the filling to a little past
// what matters, two hours at the most.
func (s *Screen) curveSpan(g coach.Glance, t session.TubRun) (from, to time.Time) {
	from, to = t.Bath.FilledAt, s.e.Now.Add(10*time.Minute)
	later := func(at time.Time) {
		if at.After(to) {
			to = at
		}
	}
	later(g.SoakEnd)
	if !g.Release.Likely.IsZero() {
		later(g.Release.Early.Add(10 * time.Minute))
	}
	to = to.Add(3 * time.Minute)
	if longest := from.Add(2 * time.Hour); to.After(longest) && s.e.Now.Before(longest) {
		to = longest
	} else if to.Sub(from) > 2*time.Hour { // an overnight soak: the last hour and the next
		from, to = s.e.Now.Add(-time.Hour), s.e.Now.Add(time.Hour)
	}
	return from, to.Truncate(time.Minute).Add(time.Minute)
}
