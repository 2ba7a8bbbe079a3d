package past

import (
	"fmt"
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/tui/base"
	"fleece.example/tubside/tui/chart"
	"fleece.example/tubside/tui/draw"
	"fleece.example/tubside/tui/theme"
)

// weightsDrawing is what a batch has weighed on the rack, and where and when it should settle, in so many
// cells and lines; nil where that is too few or nothing is known.
func weightsDrawing(e *base.Env, x session.DryingBatch, w, room int) []string {
	t, u, rest := &e.Theme, e.Kit.Units, x.Forecast.RestingG
	if room < leastCurve || rest.Likely <= 0 || x.DryLatest.IsZero() {
		return nil
	}
	per := 1.0
	if u.Ounces() {
		per = measure.GPerOz
	}
	from, to := x.Since, x.DryLatest
	c := chart.Curve{Units: measure.Metric, Line: &t.Good, Now: e.Now, Signs: []chart.Sign{{At: x.DryAt, TempC: rest.Likely / per, Sign: t.Mark(theme.MarkEnd), Style: &t.Next}}}
	legend := fmt.Sprintf(" %s, %s:  %s dry about  %s likely range", x.Batch.ID, u.MassUnit(), t.Mark(theme.MarkEnd), t.LikelyWord())
	for i, wet := range x.Wet {
		if i == 0 {
			from = wet.At // it was spun then, or not long on the rack
			legend += "  " + t.Mark(theme.MarkReading) + " weighed"
		}
		c.Signs = append(c.Signs, chart.Sign{At: wet.At, TempC: wet.MassG / per, Sign: t.Mark(theme.MarkReading), Style: &t.Big})
	}
	if to.Before(e.Now) {
		to = e.Now
	}
	c.From, c.To = from.In(e.Zone()), to.Add(to.Sub(from)/20)
	for i := range 2*w + 1 { // each column has one
		if at := from.Add(c.To.Sub(from) / time.Duration(2*w) * time.Duration(i)); !at.Before(x.DryEarliest) && !at.After(x.DryLatest) {
			c.Points = append(c.Points, session.CurvePoint{At: at, TempC: rest.Likely / per, LowC: rest.Low / per, HighC: rest.High / per})
		}
	}
	return c.Lines(t, draw.Short(legend, w), w, room, e.ClockAxis(c.From, c.To))
}

// below says of a batch that dries where that goes, over its weights; where the form says what follows from
// the weight just typed, those with that.
func (w *weighing) below(wide, room int) []string {
	if w.of.Pages[w.of.Page] == w.isDry {
		return weightsDrawing(w.e, w.with, wide, room)
	}
	typedG := w.massG
	if w.kind != weighDry {
		typedG = 0
	}
	bars := batchBars(w.e, &w.l.Day, w.batch, typedG, wide, room)
	if w.wasOf != w.batch { // a forecast takes some milliseconds
		w.wasOf = w.batch
		w.was, w.odd = w.l.Day.Drying(w.batch)
	}
	if w.odd != nil || w.kind > weighWet {
		return bars
	}
	out := draw.Told(w.e.Theme.Text, which(w.e, w.was)+": "+forecastText(w.e, w.was, notMet(w.e, w.was)), wide)
	if room < len(out) {
		return nil
	}
	return append(out, weightsDrawing(w.e, w.was, wide, room-len(out))...)
}

// under puts a picture under lines, where there is one.
func under(lines, picture []string) []string {
	if picture == nil {
		return lines
	}
	return append(append(lines, ""), picture...)
}
