package washday

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"github.com/charmbracelet/x/ansi"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/coach"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/tui/base"
	"fleece.example/tubside/tui/draw"
	"fleece.example/tubside/tui/paint"
	"fleece.example/tubside/tui/theme"
)

// call is what is read from the door: where, which deed, how soon. All three are of
// one and the same act.
type call struct {
	_                        [0]func() // nobody compares two: no code for it
	name, deed, figure, unit string
	tub                      int // -1: none
}

// callWords are the deeds in a word that carries across the shed.
var callWords = map[shed.Action]string{
	shed.FillTub: "fill", shed.SinkIn: "lower in", shed.Lift: "lift", shed.DrainTub: "tip out", shed.SpinFibre: "spin",
	shed.RackFibre: "rack", shed.LoadNext: "start",
}

// calledAct is the act that the large figure counts to; a tub chosen by hand speaks for itself.
func (s *Screen) calledAct(p coach.Prompt) coach.NextAct {
	if a, other := s.before(p); other && s.chosen < 0 {
		return a
	}
	return coach.NextAct{Prompt: p}
}

// called is the call of that act.
func (s *Screen) called() (c call, ok bool) {
	p, ok := s.Prompt()
	if !ok || s.ask != nil || !s.e.Live.Day.Running() {
		return call{}, false
	}
	a := s.calledAct(p)
	if b, known := s.e.Live.Day.Batch(a.Batch); known && a.Act == shed.LoadNext && !s.e.Live.Day.Plan.FitsIn(b, a.Tub) {
		return call{}, false // nothing to call: it does not go in there
	}
	c.tub = -1
	c.figure, c.unit = s.countdown(p)
	if of := a.Count.Of; of == coach.ToRelease || of == coach.MayBeBelow { // an order, and not what is left till one
		c.figure, c.unit = "now", c.figure+" "+c.unit
	}
	switch {
	case a.Boil:
		c.name, c.deed = "kettle", "on"
		switch {
		case a.Again:
			c.deed = "again"
		case a.Refill:
			c.deed = "refill"
		}
	case a.Tub < 0:
		c.name, c.deed = "finish", "the day"
	default:
		c.name, c.tub = s.callName(a.Tub), a.Tub
		c.deed = callWords[a.Act]
		switch { // all that one Enter tells of
		case slices.Contains(a.Then, shed.RackFibre):
			c.deed = "spin & rack"
		case slices.Contains(a.Then, shed.SpinFibre):
			c.deed = callWords[shed.SpinFibre]
		case a.Act == shed.DrainTub && len(a.Then) > 0:
			c.deed = "refill"
		}
		if a.Act == shed.FillTub && a.Stopped() {
			c.deed = "wait"
		} else if a.Act == shed.FillTub { // nothing to fill with yet
			switch a.Kettle {
			case coach.KettleFirst:
				c.deed = "wait"
				if i := slices.IndexFunc(s.next, func(n coach.NextAct) bool { return n.Boil && n.Tub == a.Tub }); i >= 0 && !s.next[i].Behind {
					c.deed = "kettle"
					if c.figure == "" && s.next[i].Rank != coach.Now {
						c.figure, c.unit = s.figure(s.next[i].Prompt, "to go")
					}
				}
			case coach.KettleCooled:
				c.deed = "kettle"
			case coach.KettleBoils:
				c.deed = "wait"
				if k, on := s.e.Live.Day.KettleDue(s.e.Now); on && k.Refills(s.e.Now) {
					c.deed = "kettle" // its first water has boiled: it is refilled
				}
			case coach.KettleReady:
			}
		}
	}
	if c.deed == "" && a.Tub >= 0 { // no batch is in it
		c.deed = idleText
	}
	switch {
	case c.figure == "" && (a.Held || a.Act == shed.Wait || c.deed == "wait" || s.soonOf(a).lead == whenYouCan):
	case c.figure == "" || a.Boil && strings.Trim(c.figure, "0:") == "":
		c.figure, c.unit = "now", ""
	}
	return c, true
}

// callName is a tub's name in large letters, or its number where that has no room.
func (s *Screen) callName(tub int) string {
	if name := s.glances[tub].Name; paint.Has(name) && ansi.StringWidthWc(name) <= 9 {
		return name
	}
	return fmt.Sprintf("tub %d", tub+1)
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

// set is the way to set a call as large as w by h cells allow: that with the largest letters,
// and of those the one with the fewest lines. None, of scale -1, if even small ones find no room.
func (c call) set(w, h int) (best []string, bestScale int) {
	bestScale = -1
	for _, way := range c.lines() {
		for scale := 12; scale > bestScale && scale >= 0; scale-- {
			if rowsOf(way, w, scale) <= h {
				best, bestScale = way, scale
				break
			}
		}
	}
	return best, bestScale
}

// rowsOf is how many rows a way of so many cells takes; more than any window has if it is wider.
func rowsOf(way []string, w, scale int) int {
	if slices.ContainsFunc(way, func(l string) bool { return paint.FiguresWidth(strings.TrimSpace(l), scale) > w }) {
		return math.MaxInt
	}
	return len(way)*max(3, 5*scale) + (len(way)-1)*((scale+1)/2)
}

// large is a call as set. Each line is as wide as it is.
func (c call) large(w, h int, ascii bool) (out []string) {
	best, scale := c.set(w, h)
	for i, l := range best {
		if i > 0 {
			for range (scale + 1) / 2 {
				out = append(out, "")
			}
		}
		out = append(out, paint.Figures(strings.TrimSpace(l), scale, ascii)...)
	}
	return out
}

// aloud is the screen as its large letters speak: of the tub chosen by hand till an alarm rings at
// another, then of that one.
func (s *Screen) aloud() *Screen {
	a, ok := s.e.Live.Day.Pressing()
	if !ok || !a.Unanswered() || a.Tub < 0 || a.Tub == s.focus || s.chosen < 0 || s.ask != nil || s.bandRings() {
		return s
	}
	c := *s
	c.focus, c.chosen = a.Tub, a.Tub
	return &c
}

// A setting is a way to set a call over the band's words: on a line, its figure at the right, or on several.
type setting struct {
	call
	size int
	rows []string // of more than one line
	hung bool     // from an alarm's line, on the same ground
}

// settings are the ways to set the call, the best first: with its tub's number where the name has no
// room, on several lines in a narrow window.
func (s *Screen) settings() (out []setting) {
	from, w := s.aloud(), s.rooms.w
	c, ok := from.called()
	if !ok {
		return nil
	}
	if from != s && c.unit != "" { // the words beside it are another tub's
		c.unit += ": " + s.glances[from.focus].Name
	}
	for size := 1; size >= 0 && w >= 46; size-- {
		if c.width(size) <= w && (size > 0 || !s.e.Theme.ASCII) { // no larger than the words
			out = append(out, setting{call: c, size: size})
		}
	}
	if out == nil && s.rooms.h >= calledFrom && !s.e.Theme.ASCII {
		if n := c; w >= 46 && c.tub >= 0 {
			if n.name = fmt.Sprint(c.tub + 1); n.width(0) <= w {
				return []setting{{call: n}}
			}
		}
		if rows := c.large(w-1, 6, false); rows != nil {
			return []setting{{call: c, rows: rows}}
		}
	}
	return out
}

// letters are the lines of a setting, the unit among those of several.
func (l setting) letters(w int, ascii bool) (out []string) {
	out = l.rows
	if out == nil {
		_, right := l.sides(l.size)
		figure, words := paint.Figures(l.figure, l.size, ascii), paint.Figures(l.name+" "+l.deed, l.size, ascii)
		if l.hung {
			figure, words = paint.Hung(l.figure), paint.Hung(l.name+" "+l.deed)
		}
		for i, row := range words {
			out = append(out, draw.Fit(row, w-right-3)+rightward(figure[i], right))
		}
	} else if l.unit != "" {
		out = append(out, l.unit)
	}
	for i, row := range out {
		out[i] = draw.Fit(" "+row, w)
	}
	return out
}

// calledBand is the band under its call in large letters; nil where the words that have to
// stand would find no room below.
func (s *Screen) calledBand(text []bandLine, plain theme.Style, ringing bool) []string {
	aloud := s.aloud()
	h, w, big := s.rooms.band.Height, s.rooms.w, aloud.bigStyle()
	for _, l := range s.settings() {
		lines, right := l.letters(w, s.e.Theme.ASCII), 0
		below := h - len(lines)
		if l.rows == nil && l.unit != "" {
			_, right = l.sides(l.size)
		}
		if len(text) == 0 || below < 2 || right > 0 && len(brokenLine(strings.TrimSpace(text[0].s), w-right-2)) > 1 ||
			wrappedHeight(kept(text), w) > below || l.size > 0 && !ringing && wrappedHeight(must(text), w) > below {
			continue
		}
		for i, row := range lines {
			lines[i] = big.Render(row)
		}
		if ringing && l.size > 0 && wrappedHeight(must(text), w) < below && s.wordsAbove() {
			lines, below = append([]string{plain.Render(strings.Repeat(" ", w))}, lines...), below-1
		}
		for i, t := range wrapBand(text, w, below) {
			style, count := t.style, big
			if ringing {
				style = plain
			} else if aloud != s {
				count = s.e.Theme.Warn // the words are on no ground
			}
			if i == 0 && right > 0 {
				lines = append(lines, style.Render(draw.Fit(t.s, w-right-2))+count.Render(draw.Fit(rightward(l.unit, right), right+2)))
				continue
			}
			lines = append(lines, style.Render(draw.Fit(t.s, w)))
		}
		for len(lines) < h {
			lines = append(lines, plain.Render(strings.Repeat(" ", w)))
		}
		return lines
	}
	return nil
}

// wordsAbove says that a band has words above it, and no rule or ground that its own could reach into.
func (s *Screen) wordsAbove() bool {
	above := s.underHead(s.rooms.w)
	return above[len(above)-1] != s.rule() && (s.e.Say != "" || len(s.otherAlarm(s.rooms.w)) == 0)
}

// must is the band's text without what is only spare.
func must(text []bandLine) (out []bandLine) {
	for _, l := range text {
		if !l.spare {
			out = append(out, l)
		}
	}
	return out
}

// others are the other tubs for the view from the door, what presses first, in so many lines at most, nil
// if that is too few: names and minutes in letters of a scale, of -1 none, and in words what has no
// room for those. large is how many of those that count are in letters.
func (s *Screen) others(w, scale, most int) (lines []string, large, of int) {
	t, skip := &s.e.Theme, -1
	if p, ok := s.Prompt(); ok {
		if a := s.calledAct(p); !a.Boil {
			skip = a.Tub
		}
	}
	var tubs []int
	var words, idle []string
	nameW, figureW, unitW := 0, 0, 0
	for _, a := range s.next {
		if a.Tub < 0 || a.Tub == skip || slices.Contains(tubs, a.Tub) || s.glances[a.Tub].Phase == shed.Idle {
			continue
		}
		g := s.glances[a.Tub]
		says := strings.TrimSpace(g.Name + " " + s.leftText(g, 20))
		if figure, unit, _ := s.laneFigure(g); figure != "" {
			tubs, words = append(tubs, a.Tub), append(words, says)
			nameW, figureW, unitW = max(nameW, paint.FiguresWidth(s.callName(a.Tub), scale)), max(figureW, paint.FiguresWidth(figure, scale)), max(unitW, ansi.StringWidthWc(unit))
		} else if !slices.Contains(idle, says) {
			idle = append(idle, says)
		}
	}
	between := 3 * max(1, 2*scale) // more than between two letters
	each, gap := nameW+between+figureW+1+unitW, 2+4*max(1, scale)
	cols := min(len(tubs), (w-2+gap)/(each+gap))
	if large = len(tubs); scale < 0 || cols < 1 {
		cols, large = 1, 0
	}
	dot := " · "
	if t.ASCII {
		dot = " - "
	}
	for ; large >= 0; large-- {
		lines = nil
		for from := 0; from < large; from += cols {
			rows := make([]string, max(3, 5*scale))
			for _, i := range tubs[from:min(large, from+cols)] {
				figure, unit, style := s.laneFigure(s.glances[i])
				name, count := paint.Figures(s.callName(i), scale, t.ASCII), paint.Figures(figure, scale, t.ASCII)
				for y := range rows {
					text := draw.Fit(name[y], nameW) + rightward(count[y], between+figureW)
					if y == len(rows)-1 {
						text += " " + unit
					}
					if rows[y] != "" {
						rows[y] += strings.Repeat(" ", gap)
					}
					rows[y] += style.Render(draw.Fit(text, each))
				}
			}
			if from > 0 && (scale > 0 || 4*(large+cols-1)/cols < most-len(tubs)/2) { // air
				lines = append(lines, "")
			}
			lines = append(lines, rows...)
		}
		for i, l := range lines {
			lines[i] = draw.Fit(strings.Repeat(" ", 1+(w-2-cols*(each+gap)+gap)/2)+l, w)
		}
		if rest := append(slices.Clone(words[large:]), idle...); len(rest) > 0 {
			lines = append(lines, draw.Told(t.Text, strings.Join(rest, dot), w)...)
		}
		if len(lines) <= most {
			return lines, large, len(tubs)
		}
	}
	return nil, 0, len(tubs)
}

// Ahead is the call of a running day for a page over it, w cells wide in a window of h lines: tub, deed and
// how soon of what comes first, in a high window in large letters, and of what follows as much as a
// line holds. The tub of an alarm is left to the alarm's line; aside has those that have none said.
func Ahead(e *base.Env, w, h int, aside bool) (lines []string) {
	s := &Screen{e: e, chosen: -1, focus: -1} // no key of the tubs works there
	s.look(0)
	t, d := &e.Theme, e.Live.Day
	alarm, alarmed := d.Pressing()
	p, _ := s.Prompt()
	lettered, ok, unit, room := s.calledAct(p), false, "", w
	hung := alarmed && alarm.Tub == lettered.Tub
	if s.rooms.w, s.rooms.h = w, h; h >= highFrom && !t.ASCII {
		for _, l := range s.settings() {
			if ok = l.size == 0 && l.rows == nil; ok {
				l.hung = hung
				lines = l.letters(w, false)
				if unit = l.unit; unit != "" {
					_, right := l.sides(0)
					room -= right + 2
				}
			}
		}
	}
	big, count := t.Big, t.Big
	if hung {
		count = t.Warn // beside words that are on no ground
		big = base.LettersStyle(t, alarm)
	}
	for i, l := range lines {
		lines[i] = big.Render(l)
	}
	text, style := "", t.Text
	for _, a := range d.Alarms {
		if aside && a.Aside() && a.Unanswered() && a.Kind != session.SoakDone && a.Kind != session.KettleNow { // those are acts
			name, heard := t.Mark(theme.MarkAlarm)+" "+base.AlarmName(d, a), " (Space: heard)"
			lines = append(lines, draw.Told(t.Warn, draw.FirstFit(w-2, t.Mark(theme.MarkAlarm)+" "+base.AlarmPhrase(d, a, e.Now)+heard, name+heard, name), w)...)
			break
		}
	}
	for _, a := range s.next {
		if a.Rank == coach.Resting || alarmed && a.Tub == alarm.Tub && !a.Boil || ok && a.Tub == lettered.Tub && a.Boil == lettered.Boil {
			continue
		}
		says := a.Title
		if a.Boil && w < narrowFoot {
			says = "kettle on"
		} else if w < narrowFoot {
			says = a.Act.Shown()
		}
		if name := s.orderName(a); name != "" {
			says = name + ": " + says
		}
		if full, brief := s.whenSpare(a); full != "" {
			says = draw.FirstFit(room-2, says+", "+full, says+", "+brief)
		}
		if more := text + " · " + says; text != "" && ansi.StringWidthWc(more) < room-1 {
			text = more
		} else if text != "" {
			break
		} else if text = says; a.Rank == coach.Harm {
			style = t.Warn
		} else if a.Rank == coach.Now {
			style = t.Next
		}
	}
	if text != "" || unit != "" {
		for i, l := range draw.Wrapped(text, room-2) {
			if l = style.Render(draw.Fit(" "+l, room)); i == 0 { // and what the figure above counts
				l += count.Render(draw.Fit(rightward(unit, w-room-2), w-room))
			} else {
				l += style.Render(draw.Fit("", w-room))
			}
			lines = append(lines, l)
		}
	}
	return lines
}
