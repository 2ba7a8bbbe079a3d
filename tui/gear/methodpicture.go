package gear

import (
	"math"
	"strings"

	"github.com/charmbracelet/x/ansi"

	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/tui/draw"
	"fleece.example/tubside/tui/theme"
)

const (
	leastMethod = 4  // rows in which warm can be told from cool
	mostMethod  = 24 // and no more of them
	longSoakMin = 40 // a night is drawn no longer
)

// MethodPicture is a method's steps to look at, in w cells and room lines: its baths one after another, as
// wide as they soak and as high as they are warm. nil where it has no room.
func MethodPicture(t *theme.Theme, k *shed.Kit, steps []shed.Step, w, room int) []string {
	warm := func(s shed.Step) float64 {
		return map[shed.WaterFrom]float64{shed.FromCold: k.ColdTapC, shed.FromHot: k.HotTapC, shed.Mixed: s.AimC}[s.Water]
	}
	sumMin, mostC, baths := 0.0, 1.0, 0
	for _, s := range steps {
		if s.SoakMin > 0 {
			sumMin, mostC, baths = sumMin+min(s.SoakMin, longSoakMin), max(mostC, warm(s)), baths+1
		}
	}
	high, free := min(mostMethod, room-4), float64(w-2-3*baths) // each has a cell, and two between
	if high < leastMethod || baths == 0 || free < float64(baths) {
		return nil
	}
	out, upToMin, col := make([]string, high+4), 0.0, 0
	for i := range out {
		out[i] = " "
	}
	for _, s := range steps {
		if s.SoakMin == 0 {
			continue
		}
		upToMin += min(s.SoakMin, longSoakMin)
		wide := 1 + int(math.Round(upToMin/sumMin*free)) - col
		col += wide - 1
		full := warm(s) / mostC
		for row := range high {
			out[1+row] += t.Water(warm(s)).Render(strings.Repeat(level(full*float64(high)-float64(high-1-row), t.ASCII), wide)) + "  "
		}
		for i, text := range []string{s.Name, draw.FirstFit(wide+1, measure.Minutes(s.SoakMin)+", "+k.Units.Temp(warm(s)), measure.Minutes(s.SoakMin), "")} {
			if ansi.StringWidthWc(text) > wide+1 {
				text = ""
			}
			out[high+1+i] += t.Text.Render(draw.Fit(text, wide+2))
		}
	}
	return out[:high+3]
}
