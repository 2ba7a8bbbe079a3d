package washday

import (
	"fmt"
	"strings"
	"time"

	"github.com/charmbracelet/x/ansi"

	"fleece.example/tubside/session/coach"
	"fleece.example/tubside/session/shed"
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
func laneColumns(w int, two bool, names int) laneCols {
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
	if two { // the second line says temperature, cover and more
		c.temp, c.cover = 0, 0
	}
	used := 4 // mark and number
	for _, n := range []int{c.name, c.step, c.temp, c.left, c.cover, c.batch} {
		if n > 0 {
			used += n + 1
		}
	}
	c.axis = max(0, w-used-1)
	return c
}

// axisScale is the stretch of time that all lanes share.
type axisScale struct {
	from, now time.Time
	perCell   time.Duration
	cells     int
}

// newAxis starts five minutes ago; a cell is half a minute or more, so that
// the soaks of an ordinary wash fit on it.
func newAxis(now time.Time, cells int) axisScale {
	a := axisScale{from: now.Add(-5 * time.Minute), now: now, cells: cells, perCell: 30 * time.Second}
	for a.perCell*time.Duration(cells) < 40*time.Minute {
		a.perCell += 15 * time.Second
	}
	return a
}

// cell is where a moment lies; it may be off the axis to either side.
func (a axisScale) cell(t time.Time) int {
	d := t.Sub(a.from)
	if d < 0 {
		return -1
	}
	return int(d / a.perCell)
}

// lanes draws the axis and every tub's lane.
func (s *Screen) lanes() []string {
	r := s.rooms
	if r.lanes.Height == 0 {
		return nil
	}
	cols := laneColumns(r.w, r.perTub == 2, s.longestName())
	var lines []string
	var axis axisScale
	if r.axis {
		axis = newAxis(s.e.Now, cols.axis)
		lines = append(lines, s.axisLine(cols, axis))
	}
	first, count := s.firstLane()
	for i := first; i < first+count; i++ {
		if r.axis {
			lines = append(lines, s.lane(i, cols, axis))
		} else {
			lines = append(lines, s.wordLane(i))
		}
		if r.perTub == 2 {
			lines = append(lines, s.secondLine(i))
		}
	}
	for len(lines) < r.lanes.Height {
		lines = append(lines, strings.Repeat(" ", r.w))
	}
	return lines[:r.lanes.Height]
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
	if i := row / s.rooms.perTub; row >= 0 && i < count {
		return first + i, true
	}
	return 0, false
}

// axisLine marks every fifth or tenth minute and now.
func (s *Screen) axisLine(c laneCols, a axisScale) string {
	row := []rune(strings.Repeat(" ", a.cells))
	put := func(at int, text string) {
		r := []rune(text)
		if at < 0 || at+len(r) > len(row) {
			return
		}
		for i := max(0, at-1); i < min(len(row), at+len(r)+1); i++ {
			if row[i] != ' ' {
				return // no room without touching the one before
			}
		}
		copy(row[at:], r)
	}
	put(max(0, a.cell(a.now)-1), "now")
	step := 5
	if a.perCell > time.Minute {
		step = 10
	}
	for m := step; ; m += step {
		at := a.cell(a.now.Add(time.Duration(m) * time.Minute))
		if at >= a.cells {
			break
		}
		put(at, fmt.Sprintf("+%d", m))
	}
	lead := s.rooms.w - a.cells - 1
	for _, n := range []int{c.cover, c.batch} {
		if n > 0 {
			lead -= n + 1
		}
	}
	return s.e.Theme.Faint.Render(draw.Fit(strings.Repeat(" ", lead)+string(row)+" min", s.rooms.w))
}

// laneStyle is how a tub's words look, and its sign.
func (s *Screen) laneStyle(i int) (mark string, style theme.Style) {
	t, g := s.e.Theme, s.glances[i]
	mark, style = " ", t.Text
	if i == s.focus {
		mark, style = t.Mark(theme.MarkPick), t.Chosen
	}
	if g.HasAlarm {
		style = t.Heard
		if i != s.focus {
			mark = t.Mark(theme.MarkAlarm)
		}
		if g.Alarm.Unanswered() {
			style = t.Alarm
		}
	} else if g.Phase == shed.Idle {
		style = t.Faint
	}
	return mark, style
}

// lane is one tub on the shared axis.
func (s *Screen) lane(i int, c laneCols, a axisScale) string {
	t, g := s.e.Theme, s.glances[i]
	mark, style := s.laneStyle(i)
	var b strings.Builder
	word := fmt.Sprintf("%s%2d %s %s ", mark, i+1, draw.Short(g.Name, c.name), draw.Fit(s.stepText(g, c.step), c.step))
	b.WriteString(style.Render(word))
	if c.temp > 0 {
		temp := draw.Fit(s.shortTemp(g, c.temp), c.temp) + " "
		if g.TempC >= 40 {
			b.WriteString(t.Warm.Render(temp))
		} else {
			b.WriteString(t.Cool.Render(temp))
		}
	}
	b.WriteString(style.Render(draw.Fit(s.leftText(g, c.left), c.left)) + " ")
	b.WriteString(s.bar(g, a))
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
	return draw.Fit(b.String(), s.rooms.w)
}

// stepText is the step and which of how many.
func (s *Screen) stepText(g coach.Glance, w int) string {
	if g.Phase == shed.Idle {
		return "empty"
	}
	count := fmt.Sprintf(" %d/%d", g.StepNo, g.StepCount)
	kind := g.Kind.String() // says enough beside the count
	return draw.FirstFit(w, g.StepName+count, kind+strings.Repeat(" ", max(0, w-len(kind)-len(count)))+count, kind)
}

// shortDuration is "45 s", "12 min" or "3h05".
func shortDuration(d time.Duration) string { return durationIn(d, " min") }

func durationIn(d time.Duration, min string) string {
	switch {
	case d < time.Minute:
		return fmt.Sprintf("%d s", int(d.Seconds()))
	case d < 100*time.Minute:
		return fmt.Sprintf("%d%s", int(d.Minutes()), min)
	}
	return fmt.Sprintf("%dh%02d", int(d.Hours()), int(d.Minutes())%60)
}

// shortTemp is the estimate in few cells; "~" marks an estimate.
func (s *Screen) shortTemp(g coach.Glance, w int) string {
	if !g.HasTemp {
		return "-"
	}
	return draw.FirstFit(w, s.tempText(g), "~"+s.e.Live.Day.Plan.Kit.Units.Temp(g.TempC))
}

// bar draws a soak on the axis: what has been and is to come, its end, and
// where the release temperature is expected.
func (s *Screen) bar(g coach.Glance, a axisScale) string {
	t := s.e.Theme
	cells := make([]string, a.cells)
	styles := make([]*theme.Style, a.cells)
	put := func(from, to int, m theme.Mark, st *theme.Style) {
		for i := max(0, from); i < min(to, a.cells); i++ {
			cells[i], styles[i] = t.Mark(m), st
		}
	}
	nowCell := a.cell(a.now)
	if g.Phase == shed.Soaking {
		end := a.cell(g.SoakEnd)
		if rel := g.Release; g.ReleaseC > 0 && !rel.Early.IsZero() {
			early, likely, late := a.cell(rel.Early), a.cell(rel.Likely), a.cells
			if !rel.Late.IsZero() {
				late = a.cell(rel.Late)
			}
			put(end, early, theme.MarkGone, &t.Rule)
			put(early, likely, theme.MarkMaybe, &t.Band)
			put(likely, late, theme.MarkLikely, &t.Band)
		}
		put(a.cell(g.SoakStart), end, theme.MarkSoak, &t.Bar)
		if end < nowCell {
			put(end, nowCell, theme.MarkLate, &t.Warn)
		}
		put(end, end+1, theme.MarkEnd, &t.Next)
		if end >= a.cells {
			put(a.cells-1, a.cells, theme.MarkMore, &t.Bar)
		}
	}
	put(nowCell, nowCell+1, theme.MarkNow, &t.Now)
	if g.Phase != shed.Soaking && g.Phase != shed.Idle {
		for i, r := range []rune(draw.FirstFit(a.cells-nowCell-1, " "+g.Prompt.Title, " "+g.Phase.String(), "")) { // nothing runs: say what it waits for
			if at := nowCell + 1 + i; at < a.cells {
				cells[at], styles[at] = string(r), &t.Text
			}
		}
	}
	var b strings.Builder
	for i := 0; i < a.cells; {
		j := i
		for j < a.cells && styles[j] == styles[i] {
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

// secondLine says below a lane what comes next there and what is known.
func (s *Screen) secondLine(i int) string {
	g, t := s.glances[i], s.e.Theme
	a := s.actOf(g.Prompt)
	var parts []string
	if g.Phase != shed.Idle || g.Prompt.Act == shed.LoadNext {
		when := s.whenText(a)
		parts = append(parts, strings.TrimSpace(draw.FirstFit(s.rooms.w-4, a.Title+" "+when, g.Phase.String()+" "+when)))
	}
	if state := s.stateParts(g.Prompt, false); len(state) > 0 {
		parts = append(parts, draw.Fewer(s.rooms.w-7-ansi.StringWidthWc(strings.Join(parts, "")), ", ", state...))
	}
	if g.Batch != "" && s.rooms.w >= 100 {
		b, _ := s.e.Live.Day.Batch(g.Batch)
		parts = append(parts, fmt.Sprintf("%s %s %s", g.Fleece, g.Form, s.e.Live.Day.Plan.Kit.Units.Mass(b.RawG)))
	}
	sep := " · "
	if t.ASCII {
		sep = " - "
	}
	if len(parts) == 0 {
		return strings.Repeat(" ", s.rooms.w)
	}
	return t.Faint.Render(draw.Fit("    "+draw.Fewer(s.rooms.w-4, sep, parts...), s.rooms.w))
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
	title := draw.FirstFit(s.rooms.w-ansi.StringWidthWc(text), g.Prompt.Title, g.Phase.String())
	switch {
	case g.Phase == shed.Idle && g.Prompt.Act == shed.LoadNext:
		text += title
	case g.Phase == shed.Idle:
		text += "empty"
	case g.Phase == shed.Soaking:
		text += fmt.Sprintf("%s %s %s", draw.Fit(s.stepText(g, 9), 9), draw.Fit(s.leftText(g, 9), 9), s.shortTemp(g, 7))
	default:
		text += title
	}
	return style.Render(draw.Fit(text, s.rooms.w))
}
