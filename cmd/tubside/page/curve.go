package page

import (
	"fmt"
	"math"
	"slices"
	"time"

	"fleece.example/tubside/session/lookback"
	"fleece.example/tubside/session/measure"
)

// curvePoints are as many as a curve of a bath needs to look smooth.
const curvePoints = 40

// plot is a bath to draw, in minutes since its filling and the person's degrees.
type plot struct {
	lookback.Bath
	was, forecast [][2]float64
	end           float64
}

// plots are the washes, and what else was read.
func (p *htmlPage) plots() (out []plot) {
	for _, b := range p.baths {
		if b.SunkAt.IsZero() || len(b.Forecasts) == 0 || !b.Step.HasRelease() && len(b.Readings) == 0 {
			continue
		}
		end := b.Span.To
		if !b.LiftedAt.IsZero() { // what cools on without fleece tells nothing
			end = b.LiftedAt.Add(2 * time.Minute)
		}
		line := func(f lookback.Forecast, since time.Time) (out [][2]float64) {
			for i := range curvePoints + 1 {
				at := since.Add(time.Duration(float64(i) / curvePoints * float64(end.Sub(since))))
				if c, _ := f.Heat.At(at); measure.Finite(c) {
					out = append(out, [2]float64{measure.MinutesBetween(b.FilledAt, at), p.Units.Degrees(c)})
				}
			}
			return out
		}
		then, _ := b.AtSinkIn()
		x := plot{b, line(b.Forecasts[len(b.Forecasts)-1], b.FilledAt), line(then, b.SunkAt), measure.MinutesBetween(b.FilledAt, end)}
		if len(x.was) > 0 {
			out = append(out, x)
		}
	}
	return out
}

// reach is how far the axes of some plots go: minutes, and the person's degrees.
func (p *htmlPage) reach(all []plot, washes bool) (end, low, high float64) {
	end, low, high = 1, math.Inf(1), math.Inf(-1)
	see := func(v float64) { low, high = min(low, v), max(high, v) }
	for _, b := range all {
		if b.Step.HasRelease() != washes {
			continue
		}
		end = max(end, b.end)
		for _, q := range slices.Concat(b.was, b.forecast) {
			see(q[1])
		}
		for _, r := range b.Readings {
			if !r.Doubtful {
				see(p.Units.Degrees(r.TempC))
			}
		}
		if washes {
			see(p.Units.Degrees(b.Step.ReleaseC))
		}
	}
	return end, math.Floor(low - 1), math.Ceil(high + 1)
}

// curves draws the washes, and what else was read: the washes of a day on the same axes, and its
// other baths.
func (p *htmlPage) curves() {
	all := p.plots()
	p.begin("div", "class", "plots")
	for _, b := range all {
		end, low, high := p.reach(all, b.Step.HasRelease())
		p.curve(b, end, low, high)
	}
	p.end(1)
	if len(all) == 0 {
		p.put("p", "None yet.")
		return
	}
	p.put("p", "Solid: the bath by all its readings; dashed: as it was forecast when the fleece went in. Dots: what was read. The shaded time is that of the fleece in the bath; the dotted line is the lift-by temperature.")
}

// curve draws one bath: its temperature, in the person's degrees, by the minute.
func (p *htmlPage) curve(b plot, end, low, high float64) {
	const w, h, left, right, top, foot = 360.0, 228.0, 38.0, 10.0, 16.0, 38.0
	min := func(t time.Time) float64 { return measure.MinutesBetween(b.FilledAt, t) }
	x, y := scale{0, end, left, w - right}, scale{low, high, h - foot, top}
	p.figure(w, h, p.curveText(b.Bath), func() {
		if lift := b.LiftedAt; !lift.IsZero() {
			p.rect("soaked", x.within(min(b.SunkAt)), top, x.within(min(lift))-x.within(min(b.SunkAt)), h-foot-top)
		}
		for _, v := range ticks(y.low, y.high, 8) {
			p.line("grid", left, y.at(v), w-right, y.at(v))
			p.label(left-5, y.at(v)+4, "end", fmt.Sprintf("%g", v))
		}
		for _, m := range clockTicks(x.low, x.high, 6) {
			p.line("grid", x.at(m), h-foot, x.at(m), h-foot+4)
			p.label(x.at(m), h-foot+16, "middle", fmt.Sprintf("%g", m))
		}
		p.label((left+w-right)/2, h-2, "middle", "min since it was filled")
		p.label(2, 10, "start", p.Units.TempUnit())
		if b.Step.HasRelease() {
			p.line("release", left, y.at(p.Units.Degrees(b.Step.ReleaseC)), w-right, y.at(p.Units.Degrees(b.Step.ReleaseC)))
		}
		p.path("forecast", x, y, b.forecast)
		p.path("curve", x, y, b.was)
		for _, r := range b.Readings {
			if m := min(r.At); m <= x.high && !r.Doubtful {
				p.alone("circle", "class", "read", "cx", px(x.within(m)), "cy", px(y.at(p.Units.Degrees(r.TempC))), "r", "4")
			}
		}
	})
}

func (p *htmlPage) path(class string, x, y scale, points [][2]float64) {
	d := ""
	for i, q := range points {
		cmd := "L"
		if i == 0 {
			cmd = "M"
		}
		d += cmd + px(x.within(q[0])) + " " + px(y.within(q[1]))
	}
	if d != "" {
		p.alone("path", "class", class, "d", d)
	}
}

// curveText says what a curve shows.
func (p *htmlPage) curveText(b lookback.Bath) string {
	text := fmt.Sprintf("%s, %s in %s at %s: in at %s", b.Batch, b.Step.Name, b.TubName, p.w.Clock(b.SunkAt), p.w.Known(b.In))
	if !b.LiftedAt.IsZero() {
		text += fmt.Sprintf(", lifted at %s after %s", p.w.Known(b.Lift), measure.Minutes(measure.ShownMin(b.SunkAt, b.LiftedAt)))
	}
	if margin := p.w.Margin(b); margin != "" {
		text += fmt.Sprintf("; the lowest, %s, lay %s", p.w.Known(b.Lowest), margin)
	}
	return text + "."
}
