package gear

import (
	"fmt"
	"math"
	"strings"

	"github.com/charmbracelet/x/ansi"

	"fleece.example/tubside/cooling"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/tui/draw"
	"fleece.example/tubside/tui/theme"
)

const (
	leastVessel = 3 // rows in which a tub can be told from a tray
	mostPlaces  = 5 // of a tray side by side
	trayWidth   = 3 // widths to a height, as the heat takes it (cooling)
	tankHeight  = 2 // heights to a width; common, no source
)

// vessel is a part of the kit as it is drawn: what holds water, filled as it is used, or the rack
// with its trays one over another.
type vessel struct {
	name, holds          string
	wideDM, highDM, full float64
	wall, water          *theme.Style
	trays                []int // places side by side of each, from the top
}

// vessels are the kit's, tubs first, and how high the highest is of those drawn in full: a tank is
// far higher.
func vessels(t *theme.Theme, k *shed.Kit, chosen int) (out []vessel, highDM float64) {
	u := k.Units
	add := func(name, holds string, capacityL, widthToHeight, fullL float64, water *theme.Style) {
		if capacityL <= 0 {
			return
		}
		wide := math.Cbrt(4 / math.Pi * capacityL * widthToHeight)
		v := vessel{name, holds, wide, wide / widthToHeight, fullL / capacityL, &t.Text, water, nil}
		if water == &t.Cool && len(out) == chosen {
			v.wall = &t.Chosen
		}
		if widthToHeight >= 1 {
			highDM = max(highDM, v.highDM)
		}
		out = append(out, v)
	}
	for _, tub := range k.Tubs {
		ratio := 1.0
		if tub.Shape == cooling.Shallow {
			ratio = trayWidth
		}
		add(tub.Name, u.Volume(tub.FillL)+" of "+u.Volume(tub.CapacityL), tub.CapacityL, ratio, tub.FillL, &t.Cool)
	}
	add("kettle", u.Volume(k.Kettle.CapacityL), k.Kettle.CapacityL, 1, k.Kettle.CapacityL, &t.Hot)
	add("tank", u.Volume(k.Tank.VolumeL), k.Tank.VolumeL, 1.0/tankHeight, k.Tank.VolumeL, &t.Hot)
	rack, holds := vessel{name: "rack", wall: &t.Text}, 0
	for _, tray := range k.Trays {
		for range max(1, tray.Layers) {
			rack.trays = append(rack.trays, min(tray.Places, mostPlaces))
			holds += tray.Places
		}
	}
	if rack.holds = fmt.Sprint("room for ", holds); holds > 0 {
		out = append(out, rack)
	}
	return out, highDM
}

// drawn is a vessel so many rows to a decimetre, a row as high as two cells are wide, and no higher
// than most rows.
func (v vessel) drawn(rows float64, most int, ascii bool) (lines []string, w int) {
	for _, places := range v.trays {
		w = max(w, 4*places+3)
	}
	for _, places := range v.trays[:min(len(v.trays), most+1)] { // how many it holds stands below
		lines = append(lines, v.wall.Render("│"+draw.Fit(strings.Repeat(" ───", places), w-2)+"│"))
	}
	if w > 0 {
		return lines, w
	}
	high, wide := min(float64(most), max(1, math.Round(v.highDM*rows))), max(2, int(math.Round(2*v.wideDM*rows)))
	for y := high - 1; y >= 0; y-- {
		lines = append(lines, v.wall.Render("│")+v.water.Render(strings.Repeat(level(v.full*high-y, ascii), wide))+v.wall.Render("│"))
	}
	return append(lines, v.wall.Render("└"+strings.Repeat("─", wide)+"┘")), wide + 2
}

// level is a cell full of water up to a part of it.
func level(full float64, ascii bool) string {
	sign := []rune(" ▁▂▃▄▅▆▇█")[int(math.Round(8*min(1, max(0, full))))]
	if ascii && sign != ' ' {
		sign = '~'
	}
	return string(sign)
}

// Picture is a kit to look at, to one scale, a tub of it chosen, in w cells and room lines; nil where
// it has none.
func Picture(t *theme.Theme, k *shed.Kit, chosen, w, room int) []string {
	of, highDM := vessels(t, k, chosen)
	for high := room - 4; high >= leastVessel && w >= 80; high-- {
		out, used := make([]string, high+4), 1
		for i := range out {
			out[i] = " "
		}
		for _, v := range of {
			lines, wide := v.drawn(float64(high)/highDM, high, t.ASCII)
			name := draw.Shortened(v.name, 12)
			cells := max(wide, ansi.StringWidthWc(name), ansi.StringWidthWc(v.holds)) + 2
			used += cells
			for y := range out {
				text := ""
				switch at := y - 1 - (high + 1 - len(lines)); {
				case y == high+2:
					text = v.wall.Render(name)
				case y == high+3:
					text = t.Faint.Render(v.holds)
				case at >= 0:
					text = lines[at]
				}
				out[y] += draw.Fit(text, cells)
			}
		}
		if used <= w {
			for y := range out {
				out[y] = draw.Fit(out[y], w)
			}
			return out
		}
	}
	return nil
}
