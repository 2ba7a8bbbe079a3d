package washday

import (
	"fmt"
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/coach"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/tui/chart"
	"fleece.example/tubside/tui/draw"
	"fleece.example/tubside/tui/theme"
)

// drawn keeps the drawn curve of the tub in focus until its data change: a
// drawing takes a third of a frame.
type drawn struct {
	key   string
	lines []string
}

// chartStep is how far now moves before the curve is drawn again.
const chartStep = 15 * time.Second

// drawnCurve is the cooling curve of the tub in focus: readings, forecast with its
// band, release line, now, soak end.
func (s *Screen) drawnCurve() drawn {
	r, d := s.rooms.curve, s.e.Live.Day
	tub := s.curveTub()
	if r.Height == 0 || tub < 0 {
		return drawn{}
	}
	g, t := s.glances[tub], d.Tubs[tub]
	// The bath's own figures are the key: another reading, cover, top-up or
	// tub is another drawing.
	key := fmt.Sprint(s.e.Theme.Light, tub, t.Bath.FilledAt.Unix(), t.Bath.VolumeL, len(t.Bath.Readings), len(t.Bath.Changes), len(t.Bath.Rooms), t.Bath.SoakMin,
		d.Plan.Kit.Units, s.e.Now.Unix()/int64(chartStep.Seconds()), s.rooms.w, r.Height, t.Held())
	if s.chart.key == key {
		return s.chart
	}
	return drawn{key, s.drawCurve(g, t, s.rooms.w, r.Height)}
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
	th, u := &s.e.Theme, s.e.Live.Day.Plan.Kit.Units
	c := chart.Curve{Units: u, Now: s.e.Now}
	c.From, c.To = s.curveSpan(g, t)
	if s.bathOn(&c, g, t, c.From, c.To, max(2, 2*w)); c.Points == nil { // two to a cell, so that none is left out
		return nil
	}
	legend := []string{" " + draw.Shortened(g.Name, 14) + ", " + u.TempUnit() + ":"}
	if g.ReleaseC > 0 {
		legend = append(legend, fmt.Sprintf("%s %s: wax sets below", th.Mark(theme.MarkGone), u.Temp(g.ReleaseC)))
	}
	legend = append(legend, th.Mark(theme.MarkReading)+" reading", th.Mark(theme.MarkEnd)+" soak ends", th.LikelyWord()+" likely range")
	return c.Lines(th, draw.Fewer(w, "  ", legend...), w, h, s.e.ClockAxis(c.From, c.To))
}

// bathOn puts a bath on a curve: n points from one moment to another, its release line,
// its readings and the end of its soak.
func (s *Screen) bathOn(c *chart.Curve, g coach.Glance, run session.TubRun, from, to time.Time, n int) {
	th, heat := &s.e.Theme, s.e.Live.Day.Heat(g.Tub)
	c.ReleaseC, c.Points = g.ReleaseC, heat.Curve(from, to, n)
	if !g.SoakEnd.IsZero() {
		endC, _ := heat.At(g.SoakEnd)
		c.Signs = append(c.Signs, chart.Sign{At: g.SoakEnd, TempC: endC, Sign: th.Mark(theme.MarkEnd), Style: &th.Next})
	}
	for _, r := range run.Bath.Readings {
		c.Signs = append(c.Signs, chart.Sign{At: r.At, TempC: r.TempC, Sign: th.Mark(theme.MarkReading), Style: &th.Big})
	}
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
	return from.In(s.e.Zone()), to.Truncate(time.Minute).Add(time.Minute)
}
