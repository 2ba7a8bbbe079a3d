package chart

import (
	"cmp"
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"
	"unicode/utf8"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/tui/draw"
	"fleece.example/tubside/tui/paint"
	"fleece.example/tubside/tui/theme"
)

// Curve is a bath over time. Temperatures are °C, or grams or ounces in metric units with a Line.
type Curve struct {
	Units    measure.System
	Line     *theme.Style // how the line looks; nil: as warm as its water
	ReleaseC float64      // 0: none
	From, To time.Time
	Now      time.Time            // zero: no line for it
	LowC     float64              // the axis reaches from here
	HighC    float64              // to here at the least; both 0: as far as what is drawn
	Points   []session.CurvePoint // the line and its band
	First    []session.CurvePoint // a forecast that was made before, dotted
	Signs    []Sign               // on the line
	Below    []Sign               // on the axis, later ones over earlier ones
	Said     string               // beside now, below the line; "": nothing
}

// Sign is one sign of a drawing; TempC says how high it stands, where that is asked.
type Sign struct {
	At    time.Time
	TempC float64
	Sign  string
	Style *theme.Style
}

// Lines draws it w by h cells under a line of legend; clock writes a time of day.
func (c *Curve) Lines(th *theme.Theme, legend string, w, h int, clock func(time.Time) string) []string {
	low, high := c.reach()
	if c.ReleaseC > 0 {
		low = min(low, c.ReleaseC-1)
	}
	ax := newRows(c.Units, low, high, max(2, h-3))
	ax.Time = NewTime(c.From, c.To, max(2, w-ax.Left-2))
	lines := append([]string{th.Faint.Render(draw.Fit(legend, w))}, c.drawn(th, ax, ax.Left)...)
	for i := range lines {
		lines[i] = draw.Fit(lines[i], w)
	}
	axis := paint.NewSheet(ax.Cols, 1)
	for i := range ax.Cols {
		axis.Set(float64(i), 0, "─", &th.Rule)
	}
	for _, s := range c.Below {
		axis.Set(ax.Col(s.At), 0, s.Sign, s.Style)
	}
	return append(lines,
		draw.Fit(th.Faint.Render(fmt.Sprintf("%*s", ax.Left, ax.RowLabel(-1)))+th.Rule.Render("└")+axis.Row(0), w),
		draw.Fit(strings.Repeat(" ", ax.Left+1)+ax.Labels(th, c.Now, clock), w))
}

// Lane draws it so many rows high on an axis of time that it shares with others, without
// an axis of its own; left cells are for the degrees.
func (c Curve) Lane(th *theme.Theme, over Time, left, rows int) []string {
	ax := Axes{Rows: rows}
	if len(c.Points) > 0 {
		ax = c.laneRows(rows)
	}
	ax.Time = over
	return c.drawn(th, ax, left)
}

// reach is how cool and how hot all there is to draw is.
func (c *Curve) reach() (low, high float64) {
	low, high = math.Inf(1), math.Inf(-1)
	take := func(lowC, highC float64) { low, high = min(low, lowC), max(high, highC) }
	for _, p := range c.Points {
		take(p.LowC, p.HighC)
	}
	for _, p := range c.First {
		take(p.TempC, p.TempC)
	}
	for _, s := range c.Signs {
		take(s.TempC, s.TempC)
	}
	if c.LowC < c.HighC {
		take(c.LowC, c.HighC)
	}
	return low, high
}

// laneRows begins at the release line, if there is one and the bath stays above it.
func (c Curve) laneRows(n int) Axes {
	low, high := c.reach()
	if c.ReleaseC > 0 && low > c.ReleaseC-1 {
		low = c.ReleaseC
	}
	return newRows(c.Units, low, high, n)
}

// drawn is the curve from its top row down, with the degrees left of it.
func (c *Curve) drawn(th *theme.Theme, ax Axes, left int) (lines []string) {
	plot := c.plot(th, ax)
	for i := ax.Rows - 1; i >= 0; i-- {
		lines = append(lines, th.Faint.Render(fmt.Sprintf("%*s", left, ax.RowLabel(i)))+th.Rule.Render("│")+plot.Row(i))
	}
	return lines
}

func (c Curve) plot(th *theme.Theme, ax Axes) paint.Sheet {
	plot := paint.NewSheet(ax.Cols, ax.Rows)
	dotted := !th.Likely.Grounds() && !th.ASCII
	var band []session.CurvePoint // where it may be, nine times in ten: a point of each column
	for i, p := range c.Points {
		col := math.Floor(ax.Col(p.At) + 0.5)
		if i > 0 && col <= math.Floor(ax.Col(c.Points[i-1].At)+0.5) {
			continue
		}
		band = append(band, p)
		if dotted {
			continue
		}
		for row := math.Round(ax.Row(p.LowC)); row <= math.Round(ax.Row(p.HighC)); row++ {
			plot.Ground(col, row, &th.Likely, th.Mark(theme.MarkMaybe), &th.Rule)
		}
	}
	if c.ReleaseC > 0 && len(c.Points) > 0 {
		for col := max(0, ax.Col(c.Points[0].At)); col < float64(ax.Cols); col++ {
			plot.Set(col, ax.Row(c.ReleaseC), th.Mark(theme.MarkGone), &th.Release)
		}
	}
	for _, p := range band {
		if col := math.Floor(ax.Col(p.At) + 0.5); dotted { // its edges, thinner than the line, go through that of the release
			plot.Stroke(col, ax.Row(p.LowC), ax.Row(p.LowC), &th.Rule)
			plot.Stroke(col, ax.Row(p.HighC), ax.Row(p.HighC), &th.Rule)
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
		line := cmp.Or(c.Line, th.Water(p.TempC))
		if col, row := ax.Col(p.At), ax.Row(p.TempC); th.ASCII {
			plot.Set(col, row, "*", line)
		} else {
			plot.Stroke(col, ax.Row(c.Points[max(0, i-1)].TempC), row, line)
		}
	}
	for _, s := range c.Signs {
		plot.Set(ax.Col(s.At), ax.Row(s.TempC), s.Sign, s.Style)
	}
	for _, p := range band {
		plot.Edges(ax.Col(p.At), ax.Row(p.LowC), ax.Row(p.HighC), &th.Likely, &th.LikelyFoot, &th.LikelyTop)
	}
	row := 0.0
	if len(c.Points) == 0 {
		row = float64(ax.Rows / 2)
	}
	for i, r := range []rune(c.Said) {
		plot.Set(math.Floor(ax.Col(c.Now)+0.5)+float64(i+2), row, string(r), &th.Text)
	}
	if c.ReleaseC > 0 && len(c.Points) > 0 { // its degrees stand on the line, where there is most room, unless they are beside it
		line, label := ax.Row(c.ReleaseC), " "+c.Units.Temp(c.ReleaseC)+" "
		beside := ax.RowLabel(int(math.Floor(line+0.5))) == strconv.Itoa(int(math.Round(c.Units.Degrees(c.ReleaseC))))
		for col := ax.Cols - utf8.RuneCountInString(label); col >= 0 && !beside; col-- {
			beside = plot.Place(col, line, label, th.Mark(theme.MarkGone), &th.Release)
		}
	}
	return plot
}
