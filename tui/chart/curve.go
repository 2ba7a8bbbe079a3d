package chart

import (
	"fmt"
	"math"
	"strings"
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/tui/draw"
	"fleece.example/tubside/tui/paint"
	"fleece.example/tubside/tui/theme"
)

// Curve is a bath over time. Temperatures are °C.
type Curve struct {
	Units    measure.System
	ReleaseC float64 // 0: none
	From, To time.Time
	Now      time.Time            // zero: no line for it
	Points   []session.CurvePoint // the line and its band
	First    []session.CurvePoint // a forecast that was made before, dotted
	Signs    []Sign               // on the line
	Below    []Sign               // on the axis, later ones over earlier ones
}

// Sign is one sign of a drawing; TempC says how high it stands, where that is asked.
type Sign struct {
	At    time.Time
	TempC float64
	Sign  string
	Style *theme.Style
}

// Lines draws it w by h cells under a line of legend; clock writes a time of day.
func (c Curve) Lines(th *theme.Theme, legend string, w, h int, clock func(time.Time) string) []string {
	low, high := math.Inf(1), math.Inf(-1)
	reach := func(lowC, highC float64) { low, high = min(low, lowC), max(high, highC) }
	for _, p := range c.Points {
		reach(p.LowC, p.HighC)
	}
	for _, p := range c.First {
		reach(p.TempC, p.TempC)
	}
	for _, s := range c.Signs {
		reach(s.TempC, s.TempC)
	}
	if c.ReleaseC > 0 {
		low = min(low, c.ReleaseC-2)
	}
	ax := NewAxes(c.Units, low-0.5, high+0.5, c.ReleaseC, c.From, c.To, w-1, h-1)
	plot := c.plot(th, ax)
	lines := []string{th.Faint.Render(draw.Fit(legend, w))}
	for i := ax.Rows - 1; i >= 0; i-- {
		lines = append(lines, draw.Fit(th.Faint.Render(fmt.Sprintf("%*s", ax.Left, ax.RowLabel(i+1)))+th.Rule.Render("│")+plot.Row(i), w))
	}
	axis := paint.NewSheet(ax.Cols, 1)
	for i := range ax.Cols {
		axis.Set(float64(i), 0, "─", &th.Rule)
	}
	for _, s := range c.Below {
		axis.Set(ax.Col(s.At), 0, s.Sign, s.Style)
	}
	return append(lines,
		draw.Fit(th.Faint.Render(fmt.Sprintf("%*s", ax.Left, ax.RowLabel(0)))+th.Rule.Render("└")+axis.Row(0), w),
		draw.Fit(th.Faint.Render(strings.Repeat(" ", ax.Left+1)+ax.Labels(clock)), w))
}

func (c Curve) plot(th *theme.Theme, ax Axes) paint.Sheet {
	plot := paint.NewSheet(ax.Cols, ax.Rows)
	for _, p := range c.Points { // the band: where it may be, nine times in ten
		for row := math.Round(ax.Row(p.LowC)); row <= math.Round(ax.Row(p.HighC)); row++ {
			plot.Set(ax.Col(p.At), row, th.Mark(theme.MarkMaybe), &th.Rule)
		}
	}
	if c.ReleaseC > 0 {
		for col := ax.Col(c.From); col < float64(ax.Cols); col++ {
			plot.Set(col, ax.Row(c.ReleaseC), th.Mark(theme.MarkGone), &th.Warn)
		}
	}
	if !c.Now.IsZero() {
		for i := range ax.Rows {
			plot.Set(ax.Col(c.Now), float64(i), th.Mark(theme.MarkNow), &th.Now)
		}
	}
	for _, p := range c.First {
		if col := math.Round(ax.Col(p.At)); int(col)%2 == 0 { // every other column: it is not the line itself
			plot.Set(col, ax.Row(p.TempC), th.Mark(theme.MarkFirst), &th.Text)
		}
	}
	for i, p := range c.Points {
		if col, row := ax.Col(p.At), ax.Row(p.TempC); th.ASCII {
			plot.Set(col, row, "*", &th.Bar)
		} else {
			plot.Stroke(col, ax.Row(c.Points[max(0, i-1)].TempC), row, &th.Bar)
		}
	}
	for _, s := range c.Signs {
		plot.Set(ax.Col(s.At), ax.Row(s.TempC), s.Sign, s.Style)
	}
	return plot
}
