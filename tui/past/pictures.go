package past

import (
	"math"
	"slices"
	"strings"
	"time"

	"github.com/charmbracelet/x/ansi"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/tui/base"
	"fleece.example/tubside/tui/draw"
	"fleece.example/tubside/tui/theme"
)

// A share of a fleece is what has come to the same point of its way, by raw weight.
type share struct {
	word    string
	rawG    float64
	weighsG float64 // as it is now; 0: nobody knows
	mark    theme.Mark
	style   *theme.Style
}

// says is a share in words: by what it weighs now, else by what it weighed raw.
func (p share) says(u measure.System) string {
	if p.weighsG > 0 {
		return u.Mass(p.weighsG) + " " + p.word
	}
	return p.word + " " + u.Mass(p.rawG) + " raw"
}

// shares are a fleece's: clean, used, drying, not weighed on its card, wet (in the water or left so) and raw; what was
// discarded or given away raw is in none. Clean and used are parts of what its bags held, as its card says.
func shares(t *theme.Theme, x *ledger.Entry) []share {
	dryingG, untoldG, goneG := 0.0, 0.0, 0.0
	for _, b := range x.Batches {
		switch {
		case b.State() == ledger.Gone && b.Used:
			goneG += b.RawG
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
	cleanG, part := x.CleanG(), 0.0
	if cleanG > 0 {
		part = cleanG / x.DryG
	}
	return append([]share(nil), []share{ // not kept itself: Go writes code that compares two arrays of it
		{"clean", x.RawG * part, cleanG, theme.MarkHands, &t.Good}, {"used", x.RawG * (1 - part), x.DryG - cleanG, theme.MarkFirst, &t.Text},
		{"drying", dryingG, 0, theme.MarkMaybe, &t.Cool}, {"not weighed", untoldG, 0, theme.MarkLate, &t.Text},
		{"wet", max(0, x.UsedG-x.RawG-dryingG-untoldG-goneG), 0, theme.MarkSoak, &t.Hot}, {"raw", rawG, rawG, theme.MarkGone, &t.Text},
	}...)
}

func sumG(of []share) (sum float64) {
	for _, p := range of {
		sum += p.rawG
	}
	return sum
}

// shareBar is line y of a fleece as a bar of w cells, wide for wholeG and high lines high: what is there fills it, what
// is lost or not known is a line through its middle.
func shareBar(t *theme.Theme, of []share, wholeG float64, w, y, high int) (bar string) {
	upToG, col, left := 0.0, 0, 0 // left: how many come after it
	for _, p := range of {
		if p.rawG > 0 {
			left++
		}
	}
	for _, p := range of {
		if p.rawG <= 0 {
			continue
		}
		upToG += p.rawG
		left--
		to := max(col+1, min(int(math.Round(upToG/wholeG*float64(w))), w-left)) // each has a cell
		sign := t.Mark(p.mark)
		switch {
		case p.mark == theme.MarkHands && y > 0:
			sign = t.Mark(theme.MarkBlock)
		case p.mark != theme.MarkHands && p.mark != theme.MarkMaybe && y != high/2:
			sign = " "
		}
		bar += p.style.Render(strings.Repeat(sign, to-col))
		col = to
	}
	return bar
}

// bars draw the rows of a list beside it, to one scale, under what their signs mean.
func bars(t *theme.Theme, n int, of func(row int) []share) func(row, w int) string {
	wholeG, seen := 0.0, map[string]bool{}
	for i := range n {
		shares := of(i)
		wholeG = max(wholeG, sumG(shares))
		for _, p := range shares {
			seen[p.word] = seen[p.word] || p.rawG > 0
		}
	}
	return func(row, w int) string {
		if row < 0 {
			var signs []string // in the theme as it is by now
			if n == 0 {
				return ""
			}
			for _, p := range of(0) {
				if seen[p.word] {
					signs = append(signs, p.style.Render(t.Mark(p.mark))+t.Faint.Render(" "+p.word))
				}
			}
			return draw.FirstFit(w, draw.Fewer(w, "  ", signs...), "")
		}
		return shareBar(t, of(row), wholeG, w, 0, 1)
	}
}

// mostShare is the most lines that a bar of shares is high.
const mostShare = 5

// shareRows draws bars of shares one under the other, to one scale, each behind its name and as high as w cells and
// room lines let them be, under what their signs mean; the one at stands out (-1: none does). nil where they have no
// room.
func shareRows(t *theme.Theme, names []string, of [][]share, at, w, room int) (out []string) {
	lead, wholeG := 0, 0.0
	for i, name := range names {
		lead, wholeG = max(lead, min(ansi.StringWidthWc(name), w/4)), max(wholeG, sumG(of[i]))
	}
	w -= lead + 4
	over := bars(t, len(of), func(row int) []share { return of[row] })(-1, w)
	high := min(mostShare, room/max(1, len(of))-1) // a line over each
	if high < 1 || wholeG <= 0 {
		return nil
	}
	for i, name := range names {
		out = append(out, strings.Repeat(" ", lead+3)+over)
		over = ""
		for y := range high {
			label, style := "", &t.Text
			if y == high/2 {
				label = "  " + name
			}
			if i == at {
				style, label = &t.Chosen, strings.Replace(label, " ", t.Mark(theme.MarkPick), 1)
			}
			out = append(out, style.Render(draw.Short(label, lead+2))+" "+shareBar(t, of[i], wholeG, w, y, high))
		}
	}
	return out
}

// batchBars are a day's batches as what became of each, with the weight just typed for one.
func batchBars(e *base.Env, d *session.Day, at string, dryG float64, w, room int) []string {
	var names []string
	var of [][]share
	chosen := -1
	for i := range d.Plan.Batches {
		b := &d.Plan.Batches[i]
		if !d.CameOut(b.ID) {
			continue
		}
		g := d.Fate[b.ID].DryG
		if b.ID == at {
			if chosen = len(names); dryG > 0 {
				g = dryG
			}
		}
		names, of = append(names, b.ID), append(of, batchShares(&e.Theme, b.RawG, g))
	}
	return shareRows(&e.Theme, names, of, chosen, w, room)
}

// batchShares are what a batch became.
func batchShares(t *theme.Theme, rawG, dryG float64) []share {
	if dryG > 0 {
		return dayShares(t, rawG, rawG, dryG)
	}
	return dayShares(t, rawG, 0, 0)
}

// dayShares are what a day's fleece became, by its raw weight.
func dayShares(t *theme.Theme, rawG, weighedG, dryG float64) []share {
	return append([]share(nil), []share{{"dry", dryG, 0, theme.MarkHands, &t.Good}, {"loss", weighedG - dryG, 0, theme.MarkGone, &t.Text}, {"not weighed", rawG - weighedG, 0, theme.MarkLate, &t.Text}}...)
}

// fleeceBar is a fleece as a bar, with what the signs mean below; nil where nothing of it is washed.
func (s *cardScreen) fleeceBar(x *ledger.Entry) []string {
	t, u, w := &s.E.Theme, s.E.Kit.Units, s.W-13
	of, lead := shares(t, x), strings.Repeat(" ", 11)
	if sumG(of) <= of[len(of)-1].rawG || w < 20 {
		return nil
	}
	out := []string{lead + shareBar(t, of, sumG(of), w, 0, 1)}
	line := lead
	for _, p := range append(of, share{word: "widths by raw weight"}) {
		text := t.Faint.Render(p.word)
		if p.rawG > 0 {
			text = p.style.Render(t.Mark(p.mark)) + t.Faint.Render(" "+p.says(u))
		} else if p.style != nil {
			continue
		}
		if line != lead && ansi.StringWidthWc(line)+ansi.StringWidthWc(text) >= s.W {
			out, line = append(out, strings.TrimRight(line, " ")), lead
		}
		line += text + "  "
	}
	return append(out, strings.TrimRight(line, " "))
}

// mostLayer is the most lines to a layer.
const mostLayer = 4

// rackDrawing is the rack as its trays, a column a place and a row a layer, as large as w cells and
// room lines let it be, with what lies there: the longer a batch has dried, the less of it is wet. nil
// where that has no room.
func rackDrawing(e *base.Env, list []dryingLine, at, w, room int) (out []string) {
	t, trays := &e.Theme, e.Kit.Trays
	if len(trays) == 0 { // the kit does not say
		trays = []shed.Tray{{Name: "rack", Places: len(list)}}
	}
	name, cell, places, layers := 4, 4, 1, 0
	for _, tray := range trays {
		name, places, layers = max(name, min(ansi.StringWidthWc(tray.Name), w/4)), max(places, tray.Places), layers+max(1, tray.Layers)
	}
	for _, x := range list {
		cell = max(cell, len(x.Batch.ID)+2)
	}
	cell = max(cell, (w-name-4)/places-1)
	shelf := 1 // the foot of each tray
	if room < 2+layers+len(trays) {
		shelf = 0
	}
	high := min(mostLayer, (room-2-shelf*len(trays))/layers)
	if high < 1 {
		return nil
	}
	out = append(out, "")
	edge := t.Rule.Render("│")
	for _, tray := range trays {
		places, label := min(tray.Places, (w-name-4)/(cell+1)), tray.Name
		for row := max(1, tray.Layers)*high - 1; row >= 0; row-- {
			line := t.Text.Render(" "+draw.Short(label, name)+" ") + edge
			for place := 1; place <= places; place++ {
				line += lyingAt(e, list, at, tray.ID, place, row, high, cell) + edge
			}
			if label != "" && places < tray.Places {
				line += t.Faint.Render(t.Mark(theme.MarkMore))
			}
			out, label = append(out, draw.Fit(line, w)), ""
		}
		if shelf > 0 {
			out = append(out, draw.Fit(strings.Repeat(" ", name+2)+t.Rule.Render("└"+strings.Join(slices.Repeat([]string{strings.Repeat("─", cell)}, places), "┴")+"┘"), w))
		}
	}
	return append(out, draw.Fit(" "+t.Good.Render(t.Mark(theme.MarkHands))+t.Faint.Render(" time dried  ")+t.Cool.Render(t.Mark(theme.MarkMaybe))+t.Faint.Render(" till dry"), w))
}

// lyingAt is a row of what lies at a place, as so many cells, high rows to a layer: batches without
// a place of their own fill the first that nobody has.
func lyingAt(e *base.Env, list []dryingLine, at int, tray string, place, row, high, cell int) string {
	t, without := &e.Theme, 0
	for i, x := range list {
		if x.tray != tray {
			continue
		}
		top := 0 // the row of its name
		for _, spot := range x.spots {
			if layer := row/high + 1; spot.Place == place && spot.From <= layer && layer <= spot.To {
				top = spot.To * high
			}
		}
		if len(x.spots) == 0 {
			if without++; without == place {
				top = row/high*high + high
			}
		}
		if top == 0 {
			continue
		}
		style, text := t.Text, ""
		if i == at {
			style = t.Chosen
		}
		name, id := " "+marked(e, list, x)+" ", " "+x.Batch.ID+" "
		whole := name
		if slices.ContainsFunc(list, func(o dryingLine) bool { return o.Batch.FleeceID != x.Batch.FleeceID }) {
			whole += x.Fleece.Animal + " "
		}
		switch {
		case row == top-1:
			text = draw.FirstFit(cell, whole, name, id)
		case row == top-2 && name != id && ansi.StringWidthWc(name) > cell: // the day stands below
			text = draw.FirstFit(cell, " "+e.Kit.Units.Moment(x.Washed.In(e.Zone()), "2 Jan")+" ", "")
		}
		gone := max(ansi.StringWidthWc(text), int(math.Round(x.dried(e.Now)*float64(cell))))
		return style.Render(text) + t.Good.Render(strings.Repeat(t.Mark(theme.MarkBlock), gone-ansi.StringWidthWc(text))) + t.Cool.Render(strings.Repeat(t.Mark(theme.MarkMaybe), cell-gone))
	}
	return strings.Repeat(" ", cell)
}

// dried is how much of its time on the rack is over; 0 where nobody knows, and 1 only once it is dry.
func (x dryingLine) dried(now time.Time) float64 {
	switch {
	case x.Dry, session.LongDry(x.Since, now):
		return 1
	case x.Since.IsZero() || !x.DryAt.After(x.Since):
		return 0
	}
	return min(0.95, max(0, float64(now.Sub(x.Since))/float64(x.DryAt.Sub(x.Since))))
}
