package ahead

import (
	"math"
	"slices"
	"strings"

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
	block, words, upToG, col := " ", " ", 0.0, 0
	for i := range batches {
		b := &batches[i]
		upToG += b.NowG()
		to := max(col+1, min(int(math.Round(upToG/sumG*float64(free))), free-(len(batches)-1-i)))
		style, id, mass := &e.Theme.Text, b.ID, e.Kit.Units.Mass(b.NowG())
		if i == at {
			style, id = &e.Theme.Chosen, e.Theme.Mark(theme.MarkPick)+id
		}
		block += style.Render(strings.Repeat(e.Theme.Mark(theme.MarkBlock), to-col)) + " "
		words += style.Render(draw.Fit(draw.FirstFit(to-col, strings.TrimSpace(id+" "+mass), mass, id, ""), to-col+1))
		col = to
	}
	return append(slices.Repeat([]string{block}, min(mostBasket, room-1)), words)
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
