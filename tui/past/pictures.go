package past

import (
	"math"
	"slices"
	"strings"

	"github.com/charmbracelet/x/ansi"

	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/tui/draw"
	"fleece.example/tubside/tui/theme"
)

// A share of a fleece is what has come to the same point of its way, by raw weight.
type share struct {
	word  string
	rawG  float64
	mark  theme.Mark
	style *theme.Style
}

// shares are a fleece's: clean, drying, not weighed on its card, in the water and raw; what was
// discarded or given away is in none.
func shares(t *theme.Theme, x ledger.Entry) []share {
	dryingG, untoldG := 0.0, 0.0
	for _, b := range x.Batches {
		switch {
		case b.State() != ledger.Drying || b.Before:
		case b.Card:
			untoldG += b.RawG
		default:
			dryingG += b.RawG
		}
	}
	rawG := x.LeftG
	if x.Fleece.Rest != shed.RestToWash {
		rawG = 0
	}
	return []share{
		{"clean", x.RawG, theme.MarkHands, &t.Good}, {"drying", dryingG, theme.MarkMaybe, &t.Cool},
		{"not weighed", untoldG, theme.MarkLate, &t.Text},
		{"in the water", max(0, x.UsedG-x.RawG-dryingG-untoldG), theme.MarkSoak, &t.Hot}, {"raw", rawG, theme.MarkGone, &t.Text},
	}
}

func sumG(of []share) (sum float64) {
	for _, p := range of {
		sum += p.rawG
	}
	return sum
}

// shareBar is a fleece as a bar of w cells, wide for wholeG.
func shareBar(t *theme.Theme, of []share, wholeG float64, w int) (bar string) {
	of = slices.DeleteFunc(slices.Clone(of), func(p share) bool { return p.rawG <= 0 })
	upToG, col := 0.0, 0
	for i, p := range of {
		upToG += p.rawG
		to := max(col+1, min(int(math.Round(upToG/wholeG*float64(w))), w-len(of)+i+1)) // each has a cell
		bar += p.style.Render(strings.Repeat(t.Mark(p.mark), to-col))
		col = to
	}
	return bar
}

// fleeceBar is a fleece as a bar, with what the signs mean below; nil where nothing of it is washed.
func (s *cardScreen) fleeceBar(x ledger.Entry) []string {
	t, u, w := &s.E.Theme, s.E.Kit.Units, s.W-13
	of, legend := shares(t, x), []string{strings.Repeat(" ", 11) + t.Faint.Render("by raw weight")}
	if sumG(of) <= of[len(of)-1].rawG || w < 20 {
		return nil
	}
	for _, p := range of {
		if p.rawG > 0 {
			legend = append(legend, p.style.Render(t.Mark(p.mark))+t.Faint.Render(" "+p.word+" "+u.Mass(p.rawG)))
		}
	}
	return []string{strings.Repeat(" ", 11) + shareBar(t, of, sumG(of), w), draw.Fewer(s.W-1, "  ", legend...)}
}

// rackDrawing is the rack as its trays, a column a place and a row a layer, with what lies there; nil
// where that has no room.
func (s *dryingScreen) rackDrawing(room int) (out []string) {
	t, trays := &s.E.Theme, s.E.Kit.Trays
	name, cell := 4, 4
	for _, tray := range trays {
		name = max(name, min(ansi.StringWidthWc(tray.Name), s.W/4))
	}
	for _, x := range s.list {
		cell = max(cell, len(x.Batch.ID)+1)
	}
	edge := t.Rule.Render("│")
	for _, tray := range trays {
		places, high := min(tray.Places, (s.W-name-4)/(cell+1)), max(1, tray.Layers)
		for layer := high; layer >= 1; layer-- {
			label := ""
			if layer == high {
				label = tray.Name
			}
			line := t.Text.Render(" "+draw.Short(label, name)+" ") + edge
			for place := 1; place <= places; place++ {
				line += s.lyingAt(tray.ID, place, layer, cell) + edge
			}
			if layer == high && places < tray.Places {
				line += t.Faint.Render(t.Mark(theme.MarkMore))
			}
			out = append(out, draw.Fit(line, s.W))
		}
	}
	if len(out) == 0 || len(out)+1 > room {
		return nil
	}
	return append([]string{""}, out...)
}

// lyingAt is what lies at a place, as so many cells: batches without a place of their own fill the
// first that nobody has.
func (s *dryingScreen) lyingAt(tray string, place, layer, cell int) string {
	t, without := &s.E.Theme, 0
	for i, x := range s.list {
		if x.tray != tray {
			continue
		}
		here := false
		for _, spot := range x.spots {
			here = here || spot.Place == place && spot.From <= layer && layer <= spot.To
		}
		if len(x.spots) == 0 {
			without++
			here = without == place
		}
		if here {
			style := t.Cool
			if i == s.grid.At {
				style = t.Chosen
			}
			return style.Render(draw.Fit(" "+x.Batch.ID, cell))
		}
	}
	return strings.Repeat(" ", cell)
}
