package washday

import (
	"fmt"
	"math"
	"strings"
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/coach"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/tui/draw"
	"fleece.example/tubside/tui/paint"
	"fleece.example/tubside/tui/theme"
)

// chart keeps the drawn curve of the tub in focus until its data change: a
// drawing takes a third of a frame.
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
	th, d, u := &s.e.Theme, s.e.Live.Day, s.e.Live.Day.Plan.Kit.Units
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
	plot := paint.NewSheet(ax.cols, ax.rows)
	for _, p := range points { // the band: where it may be, nine times in ten
		for row := math.Round(ax.row(p.LowC)); row <= math.Round(ax.row(p.HighC)); row++ {
			plot.Set(ax.col(p.At), row, th.Mark(theme.MarkMaybe), &th.Rule)
		}
	}
	if g.ReleaseC > 0 {
		for col := ax.col(from); col < float64(ax.cols); col++ {
			plot.Set(col, ax.row(g.ReleaseC), th.Mark(theme.MarkGone), &th.Warn)
		}
	}
	for i := range ax.rows {
		plot.Set(ax.col(s.e.Now), float64(i), th.Mark(theme.MarkNow), &th.Now)
	}
	for i, p := range points {
		if col, row := ax.col(p.At), ax.row(p.TempC); th.ASCII {
			plot.Set(col, row, "*", &th.Bar)
		} else {
			plot.Stroke(col, ax.row(points[max(0, i-1)].TempC), row, &th.Bar)
		}
	}
	if !g.SoakEnd.IsZero() {
		end := coach.Curve(d, g.Tub, g.SoakEnd, g.SoakEnd.Add(time.Minute), 2)
		plot.Set(ax.col(g.SoakEnd), ax.row(end[0].TempC), th.Mark(theme.MarkEnd), &th.Next)
	}
	for _, r := range t.Bath.Readings {
		plot.Set(ax.col(r.At), ax.row(r.TempC), th.Mark(theme.MarkReading), &th.Big)
	}
	legend := []string{" " + draw.Shortened(g.Name, 14) + ", " + u.TempUnit() + ":"}
	if g.ReleaseC > 0 {
		legend = append(legend, fmt.Sprintf("%s %s: wax sets below", th.Mark(theme.MarkGone), u.Temp(g.ReleaseC)))
	}
	legend = append(legend, th.Mark(theme.MarkReading)+" reading", th.Mark(theme.MarkEnd)+" soak ends", th.Mark(theme.MarkMaybe)+" where it may be")
	lines := []string{th.Faint.Render(draw.Fit(draw.Fewer(w, "  ", legend...), w))}
	for i := ax.rows - 1; i >= 0; i-- {
		lines = append(lines, draw.Fit(th.Faint.Render(fmt.Sprintf("%*s", ax.left, ax.rowLabel(i+1)))+th.Rule.Render("│")+plot.Row(i), w))
	}
	clock := ""
	for i := 0; i < ax.cols; i += ax.everyCol {
		if at := s.e.ClockText(ax.colTime(i)); ax.left+i+len(at) < w {
			clock = fmt.Sprintf("%-*s%s", ax.left+i, clock, at)
		}
	}
	return append(lines,
		draw.Fit(th.Faint.Render(fmt.Sprintf("%*s", ax.left, ax.rowLabel(0)))+th.Rule.Render("└"+strings.Repeat("─", ax.cols)), w),
		draw.Fit(th.Faint.Render(clock), w))
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
