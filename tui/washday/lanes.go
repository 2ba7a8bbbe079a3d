package washday

import (
	"fmt"
	"strings"
	"time"

	"github.com/charmbracelet/x/ansi"

	"fleece.example/tubside/session/coach"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/tui/base"
	"fleece.example/tubside/tui/chart"
	"fleece.example/tubside/tui/draw"
	"fleece.example/tubside/tui/theme"
)

// laneCols are the columns of a lane for a width: words left, the time axis in
// the middle, cover and batch right. A width of 0 leaves a column out.
type laneCols struct {
	name, step, temp, left int
	axis                   int
	cover, batch           int
}

// laneColumns: the column of the names is as wide as the longest of them, names cells, up to a fifth
// of the line: the axis gives way.
func laneColumns(w, names int) laneCols {
	c := laneCols{name: 8, step: 12, temp: 0, left: 9}
	switch {
	case w >= 150:
		c = laneCols{name: 12, step: 20, temp: 13, left: 12, cover: 13, batch: 24}
	case w >= 110:
		c = laneCols{name: 9, step: 17, temp: 11, left: 11, cover: 12, batch: 14}
	case w >= 76:
		c = laneCols{name: 8, step: 12, temp: 8, left: 11, batch: 4}
	case w >= 60:
		c = laneCols{name: 7, step: 12, left: 8, batch: 4}
	}
	c.name = max(min(c.name, names), min(names, w/5))
	used := 4 // mark and number
	for _, n := range []int{c.name, c.step, c.temp, c.left, c.cover, c.batch} {
		if n > 0 {
			used += n + 1
		}
	}
	c.axis = max(0, w-used-1)
	return c
}

// lead is how many cells stand before the axis.
func (c laneCols) lead() int {
	n := 4
	for _, x := range []int{c.name, c.step, c.temp, c.left} {
		if x > 0 {
			n += x + 1
		}
	}
	return n
}

// laneAxis is the stretch of time that all lanes share, and how many cells stand before
// it: from five minutes ago, a cell half a minute or more, so that the soaks of an ordinary
// wash fit on it.
func (s *Screen) laneAxis() (lead int, axis chart.Time) {
	cols := laneColumns(s.rooms.lanesW, s.longestName())
	lead, cells := cols.lead(), cols.axis
	if s.rooms.perTub > 1 {
		lead = s.curveWords() + figureCells + scaleCells + 2
		cells = s.rooms.lanesW - lead - 1
	}
	from := s.e.Now.Add(-5 * time.Minute).In(s.e.Zone())
	return lead, chart.NewTime(from, from.Add(max(45*time.Minute, time.Duration(cells)*30*time.Second)), max(2, cells))
}

// lanes draws the axis and every tub's lane.
func (s *Screen) lanes() []string {
	r := s.rooms
	if r.lanes.Height == 0 {
		return nil
	}
	var lines []string
	lead, axis := s.laneAxis()
	if r.axis {
		lines = append(lines, draw.Fit(s.laneLegend(lead, axis)+axis.Labels(&s.e.Theme, s.e.Now, s.e.ClockAxis(axis.From, axis.At(axis.Cols-1))), s.rooms.lanesW))
	}
	cols := laneColumns(r.lanesW, s.longestName())
	first, count := s.firstLane()
	for i := first; i < first+count; i++ {
		switch {
		case !r.axis:
			lines = append(lines, s.wordLane(i))
		case r.perTub > 1:
			lines = append(lines, s.curveLane(i, axis)...)
		default:
			lines = append(lines, s.lane(i, cols, axis))
		}
	}
	if more := len(s.glances) - count; more > 0 && len(lines) == r.lanes.Height && count > 1 {
		lines[len(lines)-1] = s.e.Theme.Faint.Render(draw.Fit(fmt.Sprintf("   and %d more: Up, Down", more+1), r.lanesW))
	} else if more > 0 && len(lines) < r.lanes.Height {
		lines = append(lines, s.e.Theme.Faint.Render(draw.Fit(fmt.Sprintf("   and %d more: Up, Down", more), r.lanesW)))
	}
	for len(lines) < r.lanes.Height {
		lines = append(lines, strings.Repeat(" ", r.lanesW))
	}
	return lines[:r.lanes.Height]
}

// laneLegend says, in the cells before the axis, what is shaded where lanes are lines: a curve has it on its own axis.
func (s *Screen) laneLegend(cells int, axis chart.Time) string {
	t, says := &s.e.Theme, " wax may set "
	for _, g := range s.glances {
		if early := g.Release.Early; s.rooms.perTub == 1 && g.Phase == shed.Soaking && g.ReleaseC > 0 && !early.IsZero() && axis.Beyond(early) < axis.Cols && cells > len(says) {
			return strings.Repeat(" ", cells-len(says)-1) + t.Release.Render(t.Mark(theme.MarkMaybe)) + t.Faint.Render(says)
		}
	}
	return strings.Repeat(" ", cells)
}

// firstLane is which tubs are shown when not all fit: those around the focus.
func (s *Screen) firstLane() (first, count int) {
	n := len(s.glances)
	count = min(n, s.rooms.shown)
	first = max(0, min(s.focus-count/2, n-count))
	return first, count
}

// laneAt is the tub whose lane lies on line y.
func (s *Screen) laneAt(y int) (int, bool) {
	row := y - s.rooms.lanes.Top
	if s.rooms.axis {
		row--
	}
	first, count := s.firstLane()
	for i := first; row >= 0 && i < first+count; i++ {
		if row -= s.laneRows(i); row < 0 {
			return i, true
		}
	}
	return 0, false
}

// laneStyle is how a tub's words look, and its sign.
func (s *Screen) laneStyle(i int) (mark string, style theme.Style) {
	t, g := &s.e.Theme, s.glances[i]
	mark, style = " ", t.Text
	if i == s.focus {
		mark, style = t.Mark(theme.MarkPick), t.Chosen
	}
	if g.HasAlarm {
		style = base.AlarmStyle(t, g.Alarm)
		if i != s.focus {
			mark = t.Mark(theme.MarkAlarm)
		}
	} else if g.Phase == shed.Idle {
		style = t.Faint
	}
	return mark, style
}

// lane is one tub on the shared axis.
func (s *Screen) lane(i int, c laneCols, a chart.Time) string {
	t, g := &s.e.Theme, s.glances[i]
	mark, style := s.laneStyle(i)
	var b strings.Builder
	word := fmt.Sprintf("%s%2d %s %s ", mark, i+1, draw.Short(g.Name, c.name), draw.Fit(s.stepText(g, c.step), c.step))
	b.WriteString(style.Render(word))
	if c.temp > 0 {
		temp := draw.Fit(s.shortTemp(g, c.temp), c.temp) + " "
		b.WriteString(t.Water(g.TempC).Render(temp))
	}
	left := s.leftText(g, c.left)
	if len(left) > 1 && left[0] >= '0' && left[0] <= '9' && left[1] == ' ' && len(left) < c.left { // minutes end in one column
		left = " " + left
	}
	b.WriteString(style.Render(draw.Fit(left, c.left)) + " ")
	b.WriteString(s.bar(g, a, s.actOf(g.Prompt).Count.Of != coach.NoCount || g.Prompt.Kettle != coach.KettleReady)) // else the deed stands before it
	if c.cover > 0 {
		cover := ""
		if g.HasTemp {
			cover = g.Cover.String()
		}
		b.WriteString(" " + t.Faint.Render(draw.Fit(cover, c.cover)))
	}
	if c.batch > 0 {
		who := g.Batch
		if c.batch > 6 {
			who += " " + g.Fleece
		}
		b.WriteString(" " + style.Render(draw.Short(who, c.batch)))
	}
	return draw.Fit(b.String(), s.rooms.lanesW)
}

// idleText is how a tub without a batch stands. Whether the water of its last bath is out
// nobody tells, so that it is no order.
const idleText = "empty"

// stepText is the step and which of how many.
func (s *Screen) stepText(g coach.Glance, w int) string {
	if g.Phase == shed.Idle {
		return idleText
	}
	count := fmt.Sprintf(" %d/%d", g.StepNo, g.StepCount)
	kind := g.Kind.String() // says enough beside the count
	return draw.FirstFit(w, g.StepName+count, kind+strings.Repeat(" ", max(0, w-len(kind)-len(count)))+count, kind)
}

// inHours: from so long on a count is of hours and minutes, in figures as in lanes.
const inHours = 90 * time.Minute

// shortDuration is "45 s", "12 min" or "3 h 05".
func shortDuration(d time.Duration) string { return durationIn(d, " min") }

func durationIn(d time.Duration, min string) string {
	switch {
	case d < time.Minute:
		return fmt.Sprintf("%d s", int(d.Seconds()))
	case d < inHours:
		return fmt.Sprintf("%d%s", int(d.Minutes()), min)
	}
	return fmt.Sprintf("%d h %02d", int(d.Hours()), int(d.Minutes())%60)
}

// shortTemp is the estimate in few cells; "~" marks an estimate.
func (s *Screen) shortTemp(g coach.Glance, w int) string {
	if !g.HasTemp {
		return "-"
	}
	return draw.FirstFit(w, s.tempText(g), "~"+s.e.Live.Day.Plan.Kit.Units.Temp(g.TempC))
}

// bar draws a soak on the axis: what has been and is to come, its end, and
// where the release temperature is expected; says has it say what a tub waits for.
func (s *Screen) bar(g coach.Glance, a chart.Time, says bool) string {
	t := &s.e.Theme
	cells := make([]string, a.Cols)
	styles := make([]*theme.Style, a.Cols)
	put := func(from, to int, m theme.Mark, st *theme.Style) {
		for i := max(0, from); i < min(to, a.Cols); i++ {
			cells[i], styles[i] = t.Mark(m), st
		}
	}
	nowCell := a.Beyond(s.e.Now)
	if g.Phase == shed.Soaking {
		end := a.Beyond(g.SoakEnd)
		if rel := g.Release; g.ReleaseC > 0 && !rel.Early.IsZero() {
			early, likely, late := a.Beyond(rel.Early), a.Beyond(rel.Likely), a.Cols
			if !rel.Late.IsZero() {
				late = a.Beyond(rel.Late)
			}
			put(end, early, theme.MarkGone, &t.Rule)
			put(early, likely, theme.MarkMaybe, &t.Release)
			put(likely, late, theme.MarkLikely, &t.Release)
		}
		put(a.Beyond(g.SoakStart), end, theme.MarkSoak, &t.Bar)
		if end < nowCell {
			put(end, nowCell, theme.MarkLate, &t.Warn)
		}
		put(end, end+1, theme.MarkEnd, &t.Next)
		if end >= a.Cols {
			put(a.Cols-1, a.Cols, theme.MarkMore, &t.Bar)
		}
	}
	put(nowCell, nowCell+1, theme.MarkNow, &t.Now)
	if says && g.Phase != shed.Soaking && g.Phase != shed.Idle {
		for i, r := range []rune(draw.FirstFit(a.Cols-nowCell-1, " "+s.waitsFor(g), " "+g.Phase.Shown(), "")) { // nothing runs: say what it waits for
			if at := nowCell + 1 + i; at < a.Cols {
				cells[at], styles[at] = string(r), &t.Text
			}
		}
	}
	var b strings.Builder
	for i := 0; i < a.Cols; {
		j := i
		for j < a.Cols && styles[j] == styles[i] {
			if cells[j] == "" {
				cells[j] = " "
			}
			j++
		}
		run := strings.Join(cells[i:j], "")
		if styles[i] != nil {
			run = styles[i].Render(run)
		}
		b.WriteString(run)
		i = j
	}
	return b.String()
}

// waitsFor is what the hands do next at a tub, and when if that is not now.
func (s *Screen) waitsFor(g coach.Glance) string {
	if c := g.Prompt.Count; c.Of == coach.ToDue && c.At.After(s.e.Now) {
		return g.Prompt.Title + " at " + s.e.ClockText(c.At)
	}
	return g.Prompt.Title
}

// longestName is the width of the longest name of a tub.
func (s *Screen) longestName() (n int) {
	for _, g := range s.glances {
		n = max(n, ansi.StringWidthWc(g.Name))
	}
	return n
}

// wordLane is a lane without an axis, for a small window.
func (s *Screen) wordLane(i int) string {
	g := s.glances[i]
	mark, style := s.laneStyle(i)
	// Title, minutes and temperature keep their room: 27 cells hold all but a few.
	text := fmt.Sprintf("%s%-2d %s ", mark, i+1, draw.Short(g.Name, max(7, min(s.longestName(), s.rooms.w-33))))
	title := draw.FirstFit(s.rooms.w-ansi.StringWidthWc(text), s.waitsFor(g), g.Phase.Shown())
	switch {
	case g.Phase == shed.Idle && g.Prompt.Act == shed.LoadNext:
		text += title
	case g.Phase == shed.Idle:
		text += idleText
	case g.Phase == shed.Soaking:
		text += fmt.Sprintf("%s %s %s", draw.Fit(s.stepText(g, 9), 9), draw.Fit(s.leftText(g, 9), 9), s.shortTemp(g, 7))
	default:
		text += title
	}
	return style.Render(draw.Fit(text, s.rooms.w))
}
