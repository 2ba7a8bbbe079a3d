package ahead

import (
	"math"
	"slices"
	"strings"

	"github.com/charmbracelet/x/ansi"

	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/tui/base"
	"fleece.example/tubside/tui/draw"
	"fleece.example/tubside/tui/gear"
	"fleece.example/tubside/tui/theme"
)

// mostBasket is the most lines that baskets are drawn high.
const mostBasket = 5

// baskets draws batches side by side in w cells and at most room lines, each as wide as what goes into it weighs, with that
// below; the one at stands out (-1: none does). nil where they have no room.
func baskets(e *base.Env, batches []shed.Batch, at, w, room int) []string {
	sumG, free := 0.0, w-1-len(batches) // one cell behind each
	for i := range batches {
		sumG += batches[i].NowG()
	}
	if room < 3 || len(batches) == 0 || free < len(batches) || !(sumG > 0) {
		return nil
	}
	block, upToG, col := " ", 0.0, 0
	wide, form := make([]int, len(batches)), 0
	if batches[0].ID == "" {
		form = 2
	}
	says := func(i, form int) string { // the same of each: mark and weight, the mark, the weight
		id := batches[i].ID
		if i == at {
			id = e.Theme.Mark(theme.MarkPick) + id
		}
		return strings.TrimSpace([]string{id + " ", id, ""}[form] + []string{e.Kit.Units.Mass(batches[i].NowG()), ""}[form%2])
	}
	for i := range batches {
		upToG += batches[i].NowG()
		to := max(col+1, min(int(math.Round(upToG/sumG*float64(free))), free-(len(batches)-1-i)))
		wide[i], col = to-col, to
		for form < 2 && ansi.StringWidthWc(says(i, form)) > wide[i] {
			form++
		}
	}
	below := []string{" "}
	if form == 1 && room > 3 { // the weights have a line of their own
		below = append(below, " ")
	}
	for i, w := range wide {
		style := &e.Theme.Text
		if i == at {
			style = &e.Theme.Chosen
		}
		block += style.Render(strings.Repeat(e.Theme.Mark(theme.MarkBlock), w)) + " "
		for y := range below {
			below[y] += style.Render(draw.Fit(draw.FirstFit(w, says(i, form+y), ""), w+1))
		}
	}
	return append(slices.Repeat([]string{block}, min(mostBasket, room-len(below))), below...)
}

// picture is the baths that a batch still goes through.
func (x *washOn) picture(e *base.Env, m *shed.Method, w, room int) []string {
	steps := m.StepsFor(x.f, x.b.Presoak)
	for i := range steps {
		if steps[i].Name == x.b.FromStep {
			steps = steps[i:]
			break
		}
	}
	return gear.MethodPicture(&e.Theme, &e.Kit, steps, w, room)
}
