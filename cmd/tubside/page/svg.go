package page

import (
	"math"
	"strconv"
)

// ticks are round values from low to high, about so many: steps of 1, 2 or 5 times a power
// of ten, as people count. None where the range is empty or no number.
func ticks(low, high float64, about int) []float64 {
	if !(high > low) || math.IsInf(high-low, 0) || about < 1 {
		return nil
	}
	raw := (high - low) / float64(about)
	step := math.Pow(10, math.Floor(math.Log10(raw)))
	for _, m := range []float64{1, 2, 5, 10} {
		if m*step >= raw*0.999 {
			step *= m
			break
		}
	}
	return multiples(low, high, step)
}

// clockSteps are the minutes between marks on a clock's axis.
var clockSteps = []float64{1, 2, 5, 10, 20, 30, 60, 120, 240, 720, 1440}

// clockTicks are minutes from low to high at which a clock is read, about so many.
func clockTicks(low, high float64, about int) []float64 {
	if !(high > low) || math.IsInf(high-low, 0) || about < 1 {
		return nil
	}
	step := clockSteps[len(clockSteps)-1]
	for _, s := range clockSteps {
		if (high-low)/s <= float64(about) {
			step = s
			break
		}
	}
	for (high-low)/step > 2*float64(about) { // a day that was left open for weeks
		step *= 2
	}
	return multiples(low, high, step)
}

// hair is the share of a step by which a float may miss its end: more would show outside the axis.
const hair = 1.5e-10

// multiples are those of step from low to high.
func multiples(low, high, step float64) []float64 {
	var out []float64
	for i := math.Ceil(low/step - hair); i*step <= high+step*hair; i++ {
		out = append(out, i*step+0) // no -0
	}
	return out
}

// px is a coordinate as SVG has it: a tenth of a pixel is enough.
func px(v float64) string { return strconv.FormatFloat(math.Round(v*10)/10, 'f', -1, 64) }

// scale puts values from low to high between two coordinates.
type scale struct{ low, high, from, to float64 }

func (s scale) at(v float64) float64 {
	if s.high == s.low {
		return s.from
	}
	return s.from + (v-s.low)/(s.high-s.low)*(s.to-s.from)
}

// within is a value held to the scale.
func (s scale) within(v float64) float64 { return s.at(min(max(v, s.low), s.high)) }

// figure writes a plot of a size with what it shows in words, for those who do not see it.
func (b *builder) figure(w, h float64, shows string, draw func()) {
	b.begin("figure")
	b.begin("svg", "viewBox", "0 0 "+px(w)+" "+px(h), "role", "img", "aria-label", shows)
	draw()
	b.end(1)
	b.put("figcaption", shows)
	b.end(1)
}

func (b *builder) line(class string, x1, y1, x2, y2 float64) {
	b.alone("line", "class", class, "x1", px(x1), "y1", px(y1), "x2", px(x2), "y2", px(y2))
}

func (b *builder) rect(class string, x, y, w, h float64) {
	b.alone("rect", "class", class, "x", px(x), "y", px(y), "width", px(max(w, 0)), "height", px(max(h, 0)))
}

// label writes a text at a place; anchor is start, middle or end.
func (b *builder) label(x, y float64, anchor, text string) {
	b.put("text", text, "x", px(x), "y", px(y), "text-anchor", anchor)
}
