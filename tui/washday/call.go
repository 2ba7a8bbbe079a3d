package washday

import (
	"fmt"
	"slices"
	"strings"

	"github.com/charmbracelet/x/ansi"

	"fleece.example/tubside/session/coach"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/tui/draw"
	"fleece.example/tubside/tui/paint"
	"fleece.example/tubside/tui/theme"
)

// call is what is read from the door: where, which deed, how soon. All three are of
// one and the same act.
type call struct {
	name, deed, figure, unit string
}

// callWords are the deeds in a word that carries across the shed.
var callWords = map[shed.Action]string{
	shed.FillTub: "fill", shed.SinkIn: "lower in", shed.Lift: "lift", shed.DrainTub: "empty", shed.SpinFibre: "spin",
	shed.RackFibre: "rack", shed.LoadNext: "start",
}

// called is the call of what the large figure counts to; a tub chosen by hand speaks
// for itself.
func (s *Screen) called() (c call, ok bool) {
	p, ok := s.Prompt()
	if !ok || s.ask != nil || !s.e.Live.Day.Running() {
		return call{}, false
	}
	a, other := s.before(p)
	if !other || s.chosen >= 0 {
		a = coach.NextAct{Prompt: p}
	}
	if b, known := s.e.Live.Day.Batch(a.Batch); known && a.Act == shed.LoadNext && !s.e.Live.Day.Plan.FitsIn(b, a.Tub) {
		return call{}, false // nothing to call: it does not go in there
	}
	c.figure, c.unit = s.countdown(p)
	switch {
	case a.Boil:
		c.name, c.deed = "kettle", "on"
		if a.Refill {
			c.deed = "refill"
		}
	case a.Tub < 0:
		c.name, c.deed = "finish", "the day"
	default:
		if c.name = s.glances[a.Tub].Name; !paint.Has(c.name) || ansi.StringWidthWc(c.name) > 9 {
			c.name = fmt.Sprintf("tub %d", a.Tub+1)
		}
		c.deed = callWords[a.Act]
		if a.Act == shed.FillTub { // nothing to fill with yet
			switch a.Kettle {
			case coach.KettleFirst:
				c.deed = "kettle"
			case coach.KettleBoils:
				c.deed = "wait"
				if k, on := s.e.Live.Day.KettleOn(); on && k.Refills(s.e.Now) {
					c.deed = "kettle" // its first water has boiled: it is refilled
				}
			case coach.KettleReady:
			}
		}
	}
	if c.deed == "" && a.Tub >= 0 { // no batch is in it
		c.deed = idleText(s.glances[a.Tub])
	}
	switch {
	case c.figure == "" && (a.Held || a.Act == shed.Wait || c.deed == "wait"):
	case c.figure == "" || a.Boil && strings.Trim(c.figure, "0:") == "":
		c.figure, c.unit = "now", ""
	}
	return c, true
}

// lines are the ways to set a call in lines of large letters.
func (c call) lines() [][]string {
	out := [][]string{{c.name + " " + c.deed + "  " + c.figure}, {c.name + " " + c.deed, c.figure}, {c.name, c.deed + "  " + c.figure}, {c.name, c.deed, c.figure}}
	for i, way := range out {
		out[i] = slices.DeleteFunc(way, func(l string) bool { return strings.TrimSpace(l) == "" })
	}
	return out
}

// sides are the cells that a call takes on one line: where and which deed at the left, how soon
// at the right.
func (c call) sides(size int) (left, right int) {
	return paint.FiguresWidth(c.name+" "+c.deed, size), max(paint.FiguresWidth(c.figure, size), ansi.StringWidthWc(c.unit))
}

// width is how wide a window has to be for them.
func (c call) width(size int) int {
	left, right := c.sides(size)
	return left + right + 6 + 2*size // they do not run into one word
}

// letters sets a call as large as w by h cells allow: the way with the largest letters,
// and of those the one with the fewest lines. Each line is as wide as it is; none if even
// small ones find no room.
func (c call) letters(w, h int, ascii bool) []string {
	best, bestScale := []string(nil), -1
	for _, way := range c.lines() {
		for scale := 12; scale > bestScale && scale >= 0; scale-- {
			rows := len(way)*max(3, 5*scale) + (len(way)-1)*(scale+1)/2
			if rows > h || slices.ContainsFunc(way, func(l string) bool { return paint.FiguresWidth(strings.TrimSpace(l), scale) > w }) {
				continue
			}
			best, bestScale = way, scale
			break
		}
	}
	var out []string
	for i, l := range best {
		if i > 0 {
			for range (bestScale + 1) / 2 {
				out = append(out, "")
			}
		}
		out = append(out, paint.Figures(strings.TrimSpace(l), bestScale, ascii)...)
	}
	return out
}

// calledBand is the band under its call in large letters; nil where the words that have to
// stand would find no room below.
func (s *Screen) calledBand(text []bandLine, plain, big theme.Style, ringing bool) []string {
	h, w := s.rooms.band.Height, s.rooms.w
	c, ok := s.called()
	if !ok || len(text) == 0 || w < 46 {
		return nil
	}
	unitW := ansi.StringWidthWc(c.unit)
	head := c.name + " " + c.deed
	for size := 1; size >= 0; size-- {
		_, right := c.sides(size)
		rows := max(3, 5*size)
		below := h - rows
		if c.width(size) > w || below < 2 || s.e.Theme.ASCII && size == 0 {
			continue
		}
		first := brokenLine(strings.TrimSpace(text[0].s), w-right-2)
		if len(first) > 1 || wrappedHeight(kept(text), w) > below || size > 0 && wrappedHeight(must(text), w) > below {
			continue
		}
		var lines []string
		words, figure := paint.Figures(head, size, s.e.Theme.ASCII), paint.Figures(c.figure, size, s.e.Theme.ASCII)
		for i := range rows {
			lines = append(lines, big.Render(draw.Fit(" "+words[i], w-right-2))+big.Render(draw.Fit(rightward(figure[i], right), right+2)))
		}
		for i, l := range wrapBand(text, w, below) {
			style := l.style
			if ringing {
				style = plain
			}
			if i == 0 && unitW > 0 {
				lines = append(lines, style.Render(draw.Fit(l.s, w-right-2))+big.Render(draw.Fit(rightward(c.unit, right), right+2)))
				continue
			}
			lines = append(lines, style.Render(draw.Fit(l.s, w)))
		}
		for len(lines) < h {
			lines = append(lines, plain.Render(strings.Repeat(" ", w)))
		}
		return lines
	}
	return nil
}

// must is the band's text without what is only spare.
func must(text []bandLine) []bandLine {
	return slices.DeleteFunc(slices.Clone(text), func(l bandLine) bool { return l.spare })
}

// others are the other tubs in small figures, for the view from the door: a block each
// where they fit, else words in a line or two.
func (s *Screen) others(w, h int) []string {
	t := s.e.Theme
	skip := s.focus
	if p, ok := s.Prompt(); ok {
		if a, other := s.before(p); other && s.chosen < 0 && !a.Boil {
			skip = a.Tub
		} else if other && a.Boil && s.chosen < 0 {
			skip = -1
		}
	}
	var blocks [][]string
	var words []string
	for i, g := range s.glances {
		if i == skip || g.Phase == shed.Idle {
			continue
		}
		figure, unit, style := s.laneFigure(g)
		name := draw.Short(g.Name, figureCells-1)
		if figure == "" {
			unit = draw.Short(s.leftText(g, figureCells-1), figureCells-1)
		}
		large := []string{"", "", ""}
		if figure != "" {
			large = laneLetters(figure, t.ASCII)
		}
		block := []string{style.Render(draw.Fit(name, figureCells))}
		for _, l := range append(large, unit) {
			block = append(block, style.Render(draw.Fit(l, figureCells)))
		}
		blocks = append(blocks, block)
		words = append(words, strings.TrimSpace(g.Name+" "+s.leftText(g, 20)))
	}
	if len(blocks) == 0 {
		return nil
	}
	each := figureCells + 2
	if perRow := max(1, w/each); h >= 5 && len(blocks) <= perRow {
		out := make([]string, 5)
		pad := strings.Repeat(" ", max(0, (w-len(blocks)*each)/2))
		for y := range out {
			out[y] = pad
			for _, b := range blocks {
				out[y] += b[y] + "  "
			}
			out[y] = draw.Fit(out[y], w)
		}
		return out
	}
	lines := draw.Wrapped(strings.Join(words, " · "), w-2)
	if t.ASCII {
		lines = draw.Wrapped(strings.Join(words, " - "), w-2)
	}
	for i, l := range lines {
		lines[i] = t.Text.Render(draw.Fit(" "+l, w))
	}
	return lines[:min(len(lines), h)]
}
