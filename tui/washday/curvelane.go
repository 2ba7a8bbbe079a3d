package washday

import (
	"fmt"
	"strings"
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/coach"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/tui/ahead"
	"fleece.example/tubside/tui/base"
	"fleece.example/tubside/tui/chart"
	"fleece.example/tubside/tui/draw"
	"fleece.example/tubside/tui/paint"
	"fleece.example/tubside/tui/theme"
)

// The columns of a lane that is a curve: words, the minutes, the degrees, the curve.
const (
	figureCells = 18 // "12:05" or "+2:05" in large figures
	scaleCells  = 3
)

// curveWords is the width of a lane's words.
func (s *Screen) curveWords() int { return min(30, max(17, s.rooms.lanesW/5)) }

// laneDrawn keeps a lane's drawn curve until its data or the axis change.
type laneDrawn struct {
	of    laneKey
	lines []string
}

// laneKey is all that a lane's curve is drawn from.
type laneKey struct {
	filled              time.Time
	readings, changes   int
	rooms               int
	soakMin, volumeL    float64
	phase               shed.Phase
	units               measure.System
	held, light         bool
	from                time.Time
	nowCell, cols, rows int
	says                string
}

// flatLane says that a tub's bath has no heat to lose: a line tells all there is.
func flatLane(g coach.Glance) bool {
	return g.Phase != shed.Idle && g.Kind.IsBath() && !g.Kind.Facts().Teaches
}

// laneRows is how many rows a tub's lane has.
func (s *Screen) laneRows(i int) int {
	if flatLane(s.glances[i]) {
		return s.rooms.perFlat
	}
	return s.rooms.perTub
}

// curveLane is one tub over the shared time: what it is, how long, and its curve.
func (s *Screen) curveLane(i int, axis chart.Time) []string {
	g, t, rows := s.glances[i], &s.e.Theme, s.laneRows(i)
	mark, style := s.laneStyle(i)
	w := s.curveWords()
	number := draw.Shortened(g.Name, w-4)
	if rows == 1 {
		number = draw.FirstFit(w-4, number+"  "+g.Batch+"  "+g.StepName, number+"  "+g.StepName, number)
	} else if rows < 4 && g.Batch != "" {
		number = draw.FirstFit(w-4, number+"  "+g.Batch, number)
	}
	words := make([]string, rows)
	words[0] = style.Render(draw.Fit(fmt.Sprintf("%s%2d %s", mark, i+1, number), w))
	say := func(row int, st theme.Style, text string) {
		if row < rows {
			words[row] = st.Render(draw.Fit("    "+draw.Short(text, w-4), w))
		}
	}
	say(1, style, s.stepText(g, w-4))
	water := *t.Water(g.TempC)
	switch {
	case g.HasTemp && g.Phase == shed.Soaking:
		say(2, water, draw.FirstFit(w-4, s.tempText(g)+", "+g.Cover.String(), s.tempText(g)))
	case g.HasTemp:
		say(2, water, s.tempText(g))
	case g.Phase != shed.Idle:
		say(2, t.Faint, g.Phase.Shown())
	}
	last := 3
	if g.Batch != "" {
		say(last, t.Faint, draw.FirstFit(w-4, g.Batch+" "+g.Fleece, g.Batch))
		last++
	}
	release := s.releaseText(g)
	if lines := draw.Wrapped(release, w-4); release != "" && last+len(lines) <= rows && g.Prompt.Count.Of != coach.SinceBelow { // which the figure says
		for _, l := range lines {
			say(last, t.Faint, l)
			last++
		}
	}
	if b, ok := s.e.Live.Day.Batch(g.Batch); ok {
		say(last, t.Faint, g.Form.String()+" "+s.e.Live.Day.Plan.Kit.Units.Mass(b.NowG()))
	}
	figure, unit, big := s.laneFigure(g)
	large := laneLetters(figure, 0, t.ASCII)
	if figure == "" {
		large = []string{"", "", ""}
	}
	large = append(large, unit)
	if rows == 1 {
		large = []string{draw.FirstFit(figureCells-1, figure+" "+unit, unit)} // the time of day stands in its unit too
	}
	curve := s.laneCurve(i, axis).lines
	lines := make([]string, rows)
	for y := range lines {
		if words[y] == "" {
			words[y] = strings.Repeat(" ", w)
		}
		fig := strings.Repeat(" ", 1+figureCells)
		if y < len(large) {
			fig = big.Render(draw.Fit(" "+large[y], 1+figureCells))
		}
		lines[y] = draw.Fit(words[y]+fig+curve[y], s.rooms.lanesW)
	}
	return lines
}

// laneLetters sets a lane's figure; one of a single digit leaves the place of a second.
func laneLetters(figure string, scale int, ascii bool) []string {
	out, room := paint.Figures(figure, scale, ascii), ""
	if strings.Trim(figure, "0123456789") == "" && len(figure) == 1 {
		if room = strings.Repeat(" ", paint.FiguresWidth("00", scale)-paint.FiguresWidth("0", scale)); ascii && scale <= 0 {
			room = " "
		}
	}
	for i := range out {
		out[i] = room + out[i]
	}
	return out
}

// laneFigure is the minutes to a tub's next deed, or since it was due, in few signs.
func (s *Screen) laneFigure(g coach.Glance) (figure, unit string, style theme.Style) {
	c, t := s.actOf(g.Prompt).Count, s.e.Theme
	style = t.Big
	if g.HasAlarm {
		style = base.LettersStyle(&t, g.Alarm)
	} else if c.Of.Harm() {
		_, style = s.laneStyle(g.Tub)
	}
	limit, aside := s.aside(g)
	switch {
	case aside && limit.IsZero():
		return "", "on hold", style
	case aside:
		c.At = limit
	case c.Of == coach.NoCount:
		return "", "", style
	case c.Of == coach.MayBeBelow:
		return "0", "min", style
	}
	if !aside && c.Of <= coach.ToRelease && s.overMidnight(c.At) {
		return s.e.ClockMark(c.At), "until " + s.then(c.At), style
	}
	left := c.At.Sub(s.e.Now)
	lead, what := "+", ""
	switch c.Of {
	case coach.SinceBelow:
		what = " cool"
	case coach.SinceLongest:
		what = " past"
	case coach.SinceSoak, coach.SinceWet:
		what = " over"
	default:
		lead = ""
	}
	if aside {
		what = ", held"
	}
	if left = max(0, left); lead != "" {
		left = max(0, -c.At.Sub(s.e.Now))
	}
	switch {
	case left < time.Minute && lead == "":
		return figuresOf(left), "min" + what, style
	case left < inHours:
		return lead + fmt.Sprintf("%d", int(left.Minutes())), "min" + what, style
	}
	if figure = fmt.Sprintf("%s%d:%02d", lead, int(left.Hours()), int(left.Minutes())%60); paint.FiguresWidth(figure, 0) < figureCells {
		return figure, "h:min" + what, style
	}
	return lead + fmt.Sprintf("%d", min(999, int(left.Hours()))), "h" + what, style
}

// laneCurve is the lane's drawing, with the degrees before it: the bath's curve, or what
// the tub waits for.
func (s *Screen) laneCurve(i int, axis chart.Time) laneDrawn {
	g, run, rows := s.glances[i], s.e.Live.Day.Tubs[i], s.laneRows(i)
	now := axis.Cell(s.e.Now)
	says := ""
	if g.Phase != shed.Soaking && g.Phase != shed.Idle {
		says = draw.FirstFit(axis.Cols-now-2, s.waitsFor(g), g.Phase.Shown(), "")
	}
	key := laneKey{run.Bath.FilledAt, len(run.Bath.Readings), len(run.Bath.Changes), len(run.Bath.Rooms), run.Bath.SoakMin, run.Bath.VolumeL,
		g.Phase, s.e.Live.Day.Plan.Kit.Units, run.Held(), s.e.Theme.Light, axis.From, now, axis.Cols, rows, says}
	if i < len(s.lanesDrawn) && s.lanesDrawn[i].of == key {
		return s.lanesDrawn[i]
	}
	return laneDrawn{key, s.drawLane(g, run, axis, rows, says)}
}

// keepRest draws the rest of the day where lanes and order leave room: in a presoak, before the first fill.
func (s *Screen) keepRest() {
	e, r, tt := s.e, s.rooms, &s.e.Live.Plan
	room := 0
	if r.axis {
		room = r.bottom() - r.lanes.Top - r.lanes.Height
	}
	if !r.aside {
		room -= len(s.order(r.order.Height))
	}
	if of := fmt.Sprintf("%v %d %d %v %v %p %v", e.Theme.Light, r.lanesW, room, tt.From, tt.Finish, tt.Pieces, e.Live.Day.Running()); s.rest.key != of {
		s.rest = drawn{of, ahead.RestBars(e, r.lanesW, room)}
	}
}

// keepLanes draws what has changed of the lanes and of what lies below them, for the frames to come.
func (s *Screen) keepLanes() {
	s.keepRest()
	if s.rooms.perTub < 2 || !s.rooms.axis {
		s.lanesDrawn = nil
		return
	}
	_, axis := s.laneAxis()
	kept := make([]laneDrawn, len(s.glances))
	for i := range kept {
		kept[i] = s.laneCurve(i, axis)
	}
	s.lanesDrawn = kept
}

func (s *Screen) drawLane(g coach.Glance, run session.TubRun, axis chart.Time, rows int, says string) []string {
	t := &s.e.Theme
	if flatLane(g) {
		lines, before := make([]string, rows), strings.Repeat(" ", scaleCells)+t.Rule.Render("│")
		for y := range lines {
			lines[y] = before + s.bar(coach.Glance{}, axis, false)
		}
		lines[min(1, rows-1)] = before + s.bar(g, axis, true)
		return lines
	}
	c := chart.Curve{Units: s.e.Live.Day.Plan.Kit.Units, Now: s.e.Now, Said: says}
	if g.HasTemp && g.Phase != shed.Draining {
		from := run.Bath.FilledAt
		if axis.From.After(from) {
			from = axis.From
		}
		s.bathOn(&c, g, run, from, axis.At(axis.Cols-1), 2*axis.Cols)
	}
	return c.Lane(t, axis, scaleCells, rows)
}
