package tui

import (
	"fmt"
	"slices"
	"strings"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/x/ansi"

	"fleece.example/tubside/tui/theme"
)

// column is one column of a grid.
type column struct {
	title string
	right bool // figures are set to the right
	// spare is the order in which columns give way when it is narrow: the
	// greatest goes first, 0 stays.
	spare int
	// seldom leaves the column out where no row has anything in it.
	seldom bool
	// name is a column of names or notes, which may be shortened; figures and
	// what to do never are.
	name bool
}

// grid is a list of rows to choose from: it scrolls, keeps the chosen row in
// sight, and lets columns give way on a narrow screen. What gave way of the
// chosen row is said in full below the list.
type grid struct {
	cols    []column
	rows    [][]string
	told    bool // what gave way is said elsewhere on the screen
	at, top int
	w, h    int   // with the line of titles
	y       int   // line of the screen it was last drawn at, for clicks
	wide    []int // widest cell of each column, of the rows that were set
}

// idle are the labels of keys that do nothing with the rows there are: those that take
// the chosen one where there is none, and where there is one to choose no other.
func (g *grid) idle(ofRow ...string) []string {
	move := keyMove.Help().Key
	switch len(g.rows) {
	case 0:
		return append(ofRow, move)
	case 1:
		return []string{move}
	}
	return nil
}

// idleMoves are the labels of the keys that put the chosen row earlier and later, where
// it can go no further.
func (g *grid) idleMoves() (out []string) {
	if g.at == 0 {
		out = append(out, "K")
	}
	if g.at >= len(g.rows)-1 {
		out = append(out, "J")
	}
	return out
}

// leastCell is how narrow a column of words may become.
const leastCell = 6

func (g *grid) setRows(rows [][]string) {
	g.rows, g.wide = rows, nil
	g.wide = g.natural()
	g.at = min(max(0, g.at), max(0, len(rows)-1))
}

// headed says whether any column has a title.
func (g *grid) headed() bool {
	for _, c := range g.cols {
		if c.title != "" {
			return true
		}
	}
	return false
}

// inSight is how many rows can be drawn; where not all can, one line less says
// how many there are besides.
func (g *grid) inSight() (n int, note bool) {
	n = g.h
	if g.headed() {
		n--
	}
	if len(g.rows) > n && n > 2 {
		return n - 1, true
	}
	return max(1, n), false
}

func (g *grid) shown() int {
	n, _ := g.inSight()
	return n
}

// move chooses another row; the list does not go round.
func (g *grid) move(k tea.KeyMsg) bool {
	switch k.String() {
	case "up", "k":
		g.at--
	case "down", "j":
		g.at++
	case "home":
		g.at = 0
	case "end":
		g.at = len(g.rows) - 1
	case "pgup":
		g.at -= g.shown()
	case "pgdown":
		g.at += g.shown()
	default:
		return false
	}
	g.at = min(max(0, g.at), max(0, len(g.rows)-1))
	return true
}

// click chooses the row under a click; hit says there was one, and again that
// it was chosen already.
func (g *grid) click(msg tea.Msg) (hit, again bool) {
	m, ok := msg.(tea.MouseMsg)
	if !ok || !clicked(m) {
		return false, false
	}
	i := m.Y - topLines - g.y
	if g.headed() {
		i--
	}
	if i < 0 || i >= g.shown() || g.top+i >= len(g.rows) {
		return false, false
	}
	again = g.at == g.top+i
	g.at = g.top + i
	return true, again
}

// lines draws the grid at line y of its screen in a room of w by h.
func (g *grid) lines(t theme.Theme, y, w, h int) []string {
	widths := g.widths(w - 3)
	rest := g.rest(widths, w)
	if room := h - len(rest); !g.told && len(rest) > 0 && room >= min(len(g.rows)+1, 4) {
		h = room
	} else {
		rest = nil
	}
	g.y, g.w, g.h = y, w, h
	n, note := g.inSight()
	g.top = min(max(g.top, g.at-n+1), g.at)
	g.top = max(0, min(g.top, len(g.rows)-n))
	var out []string
	if g.headed() {
		titles := make([]string, len(g.cols))
		for i, c := range g.cols {
			titles[i] = c.title
		}
		out = append(out, t.Faint.Render(fit("   "+g.line(titles, widths), w)))
	}
	for i := g.top; i < min(len(g.rows), g.top+n); i++ {
		if i == g.at {
			out = append(out, t.Key.Render(" "+t.Mark(theme.MarkPick)+" ")+t.Chosen.Render(fit(g.line(g.rows[i], widths), w-3)))
			continue
		}
		out = append(out, t.Text.Render(fit("   "+g.line(g.rows[i], widths), w)))
	}
	if note {
		more := fmt.Sprintf("   %d above, %d below", g.top, len(g.rows)-g.top-n)
		out = append(out, t.Faint.Render(fit(more, w)))
	}
	for _, l := range rest {
		out = append(out, t.Text.Render(fit(l, w)))
	}
	return out
}

// rest is what the chosen row says in the columns that gave way.
func (g *grid) rest(widths []int, w int) []string {
	if g.at >= len(g.rows) {
		return nil
	}
	var parts []string
	for i, text := range g.rows[g.at] {
		if i >= len(widths) || text == "" || text == "-" || ansi.StringWidth(text) <= widths[i] {
			continue
		}
		parts = append(parts, strings.TrimSpace(g.cols[i].title+" "+text))
	}
	if len(parts) == 0 {
		return nil
	}
	lines := wrapped(strings.Join(parts, ", "), w-4)
	for i, l := range lines {
		lines[i] = "   " + l
	}
	return lines
}

// natural is how wide the columns would like to be: measured once for the rows
// that were set, for a thousand rows take longer than a frame has.
func (g *grid) natural() []int {
	out := make([]int, len(g.cols))
	for i, c := range g.cols {
		out[i] = ansi.StringWidth(c.title)
	}
	if len(g.wide) == len(out) {
		return slices.Clone(g.wide)
	}
	empty := make([]bool, len(out))
	for i, c := range g.cols {
		empty[i] = c.seldom
	}
	for _, r := range g.rows {
		for i := range min(len(r), len(out)) {
			out[i] = max(out[i], ansi.StringWidth(r[i]))
			empty[i] = empty[i] && r[i] == ""
		}
	}
	for i := range out {
		if empty[i] {
			out[i] = -1
		}
	}
	return out
}

// widths gives each column its room; -1 hides it.
func (g *grid) widths(w int) []int {
	natural := g.natural()
	out := slices.Clone(natural)
	total := func() int {
		n := -2
		for _, v := range out {
			if v >= 0 {
				n += v + 2
			}
		}
		return n
	}
	for total() > w {
		worst, spare := -1, 0
		for i, c := range g.cols {
			if out[i] >= 0 && c.spare > spare {
				worst, spare = i, c.spare
			}
		}
		if wide := g.widest(out); wide >= 0 && (worst < 0 || out[wide] > 2*leastCell+5) {
			out[wide]--
			continue
		}
		if worst < 0 {
			break
		}
		out[worst] = -1
	}
	// A column that went left room: names take it back.
	for total() < w {
		most := -1
		for i, c := range g.cols {
			if c.name && out[i] >= 0 && out[i] < natural[i] && (most < 0 || natural[i]-out[i] > natural[most]-out[most]) {
				most = i
			}
		}
		if most < 0 {
			break
		}
		out[most]++
	}
	return out
}

// widest is the widest column of names that may still give way, or -1.
func (g *grid) widest(widths []int) int {
	best := -1
	for i, c := range g.cols {
		if c.name && widths[i] > leastCell && (best < 0 || widths[i] > widths[best]) {
			best = i
		}
	}
	return best
}

func (g *grid) line(cells []string, widths []int) string {
	var b strings.Builder
	first := true
	for i, w := range widths {
		if w < 0 {
			continue
		}
		if !first {
			b.WriteString("  ")
		}
		first = false
		text := ""
		if i < len(cells) {
			text = cells[i]
		}
		if pad := w - ansi.StringWidth(text); g.cols[i].right && pad > 0 {
			b.WriteString(strings.Repeat(" ", pad))
			b.WriteString(text)
			continue
		}
		if g.cols[i].name {
			b.WriteString(short(text, w))
		} else {
			b.WriteString(fit(text, w))
		}
	}
	return b.String()
}
