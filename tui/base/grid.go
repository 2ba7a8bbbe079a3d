package base

import (
	"slices"
	"strings"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/x/ansi"

	"fleece.example/tubside/tui/draw"
	"fleece.example/tubside/tui/theme"
)

// PlainLines is the grid as text, with nothing to choose.
func (g *Grid) PlainLines(head, text func(string) string, w int) []string {
	g.SetRows(g.Rows)
	widths := g.Widths(w - 4)
	out := []string{g.row(-1, "   ", head, widths, w)}
	for i := range g.Rows {
		out = append(out, g.row(i, "   ", text, widths, w))
	}
	return out
}

// row is a row, -1 the line of titles, behind its lead.
func (g *Grid) row(i int, lead string, style func(string) string, widths []int, w int) string {
	var cells []string
	if i >= 0 {
		cells = g.Rows[i]
	} else {
		for _, c := range g.Cols {
			cells = append(cells, c.Title)
		}
	}
	text := g.line(cells, widths)
	rest := w - ansi.StringWidthWc(text) - 7
	if g.Beside == nil || rest < leastBeside {
		return lead + style(draw.Fit(text, w-3))
	}
	return draw.Fit(lead+style(text)+"   "+g.Beside(i, rest), w)
}

// Column is one column of a grid.
type Column struct {
	_     [0]func() // nobody compares two: no code for it
	Title string
	Right bool // figures are set to the right
	// Spare is the order in which columns give way when it is narrow: the
	// greatest goes first, 0 stays.
	Spare int
	// Seldom leaves the column out where no row has anything in it.
	Seldom bool
	// Name: a column of names or notes, which may be shortened; figures and
	// what to do never are.
	Name bool
}

// Grid is a list of rows to choose from: it scrolls, keeps the chosen row in
// sight, and lets columns give way on a narrow screen. What gave way of the
// chosen row is said in full below the list.
type Grid struct {
	Cols []Column
	Rows [][]string
	Told bool // what gave way is said elsewhere on the screen
	By   int  // the column that names a row
	// Beside draws a row in so many cells to its right, where as many are left; row -1 is the
	// line of titles. nil: nothing.
	Beside  func(row, w int) string
	At, top int   // At -1: none is chosen
	h       int   // with the line of titles
	y       int   // line of the screen it was last drawn at, for clicks
	wide    []int // widest cell of each column, of the rows that were set
}

// Idle are the labels of keys that do nothing with the rows there are: those that take
// the chosen one where there is none, and where there is one to choose no other.
func (g *Grid) Idle(ofRow ...string) []string {
	move := KeyMove.Help().Key
	switch len(g.Rows) {
	case 0:
		return append(ofRow, move)
	case 1:
		return []string{move}
	}
	return nil
}

// IdleMoves are the labels of the keys that put the chosen row earlier and later, where
// it can go no further.
func (g *Grid) IdleMoves() (out []string) {
	if g.At == 0 {
		out = append(out, "K")
	}
	if g.At >= len(g.Rows)-1 {
		out = append(out, "J")
	}
	return out
}

// leastBeside: in fewer cells a drawing tells nothing.
const leastBeside = 8

// leastCell is how narrow a column of words may become.
const leastCell = 6

// SetRows gives the rows; the choice stays at its place as far as there is one.
func (g *Grid) SetRows(rows [][]string) {
	g.Rows, g.wide = rows, nil
	g.wide = g.natural()
	g.At = min(max(0, g.At), max(0, len(rows)-1))
}

// headed says whether any column has a title.
func (g *Grid) headed() bool {
	for _, c := range g.Cols {
		if c.Title != "" {
			return true
		}
	}
	return false
}

// inSight is how many rows can be drawn; where not all can, one line less says
// how many there are besides.
func (g *Grid) inSight() (n int, note bool) {
	n = g.h
	if g.headed() {
		n--
	}
	if len(g.Rows) > n && (n > 2 || g.At < 0 && n > 1) {
		return n - 1, true
	}
	return max(1, n), false
}

func (g *Grid) shown() int {
	n, _ := g.inSight()
	return n
}

// Move chooses another row; the list does not go round.
func (g *Grid) Move(k tea.KeyMsg) bool {
	switch k.String() {
	case "up", "k":
		g.At--
	case "down", "j":
		g.At++
	case "home":
		g.At = 0
	case "end":
		g.At = len(g.Rows) - 1
	case "pgup":
		g.At -= g.shown()
	case "pgdown":
		g.At += g.shown()
	default:
		return false
	}
	g.At = min(max(0, g.At), max(0, len(g.Rows)-1))
	return true
}

// click chooses the row under a click; hit says there was one, and again that
// it was chosen already.
func (g *Grid) click(msg tea.Msg) (hit, again bool) {
	m, ok := msg.(tea.MouseMsg)
	if !ok || !Clicked(m) {
		return false, false
	}
	i := m.Y - TopLines - g.y
	if g.headed() {
		i--
	}
	if i < 0 || i >= g.shown() || g.top+i >= len(g.Rows) {
		return false, false
	}
	again = g.At == g.top+i
	g.At = g.top + i
	return true, again
}

// Lines draws the grid at line y of its screen in a room of w by h.
func (g *Grid) Lines(t *theme.Theme, y, w, h int) []string {
	widths := g.Widths(w - 3)
	rest := g.rest(widths, w)
	if room := h - len(rest); !g.Told && len(rest) > 0 && room >= min(len(g.Rows)+1, 4) {
		h = room
	} else {
		rest = nil
	}
	g.y, g.h = y, h
	n, note := g.inSight()
	g.top = min(max(g.top, g.At-n+1), g.At)
	g.top = max(0, min(g.top, len(g.Rows)-n))
	var out []string
	if g.headed() {
		out = append(out, g.row(-1, "   ", t.Faint.Render, widths, w))
	}
	for i := g.top; i < min(len(g.Rows), g.top+n); i++ {
		lead, style := "   ", &t.Text
		if i == g.At {
			lead, style = t.Key.Render(" "+t.Mark(theme.MarkPick)+" "), &t.Chosen
		}
		out = append(out, g.row(i, lead, style.Render, widths, w))
	}
	if note {
		out = append(out, t.Faint.Render(draw.Fit(More(g.top, len(g.Rows)-g.top-n), w)))
	}
	for _, l := range rest {
		out = append(out, t.Text.Render(draw.Fit(l, w)))
	}
	return out
}

// rest is what the chosen row says in the columns that gave way, and whose that is: it stands
// below the last row, and would be taken for that one's.
func (g *Grid) rest(widths []int, w int) []string {
	if g.At < 0 || g.At >= len(g.Rows) {
		return nil
	}
	var parts []string
	for i, text := range g.Rows[g.At] {
		if i >= len(widths) || text == "" || text == "-" || ansi.StringWidthWc(text) <= widths[i] {
			continue
		}
		parts = append(parts, strings.TrimSpace(g.Cols[i].Title+" "+text))
	}
	if len(parts) == 0 {
		return nil
	}
	text := strings.Join(parts, ", ")
	if name := g.Rows[g.At][g.By]; ansi.StringWidthWc(name) <= widths[g.By] {
		text = name + ": " + text
	}
	lines := draw.Wrapped(text, w-4)
	for i, l := range lines {
		lines[i] = "   " + l
	}
	return lines
}

// natural is how wide the columns would like to be: measured once for the rows
// that were set, for a thousand rows take longer than a frame has.
func (g *Grid) natural() []int {
	out := make([]int, len(g.Cols))
	for i, c := range g.Cols {
		out[i] = ansi.StringWidthWc(c.Title)
	}
	if len(g.wide) == len(out) {
		return slices.Clone(g.wide)
	}
	empty := make([]bool, len(out))
	for i, c := range g.Cols {
		empty[i] = c.Seldom
	}
	for _, r := range g.Rows {
		for i := range min(len(r), len(out)) {
			out[i] = max(out[i], ansi.StringWidthWc(r[i]))
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

// Widths gives each column its room; -1 hides it.
func (g *Grid) Widths(w int) []int {
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
		for i, c := range g.Cols {
			if out[i] >= 0 && c.Spare > spare {
				worst, spare = i, c.Spare
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
		for i, c := range g.Cols {
			if c.Name && out[i] >= 0 && out[i] < natural[i] && (most < 0 || natural[i]-out[i] > natural[most]-out[most]) {
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
func (g *Grid) widest(widths []int) int {
	best := -1
	for i, c := range g.Cols {
		if c.Name && widths[i] > leastCell && (best < 0 || widths[i] > widths[best]) {
			best = i
		}
	}
	return best
}

func (g *Grid) line(cells []string, widths []int) string {
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
		if pad := w - ansi.StringWidthWc(text); g.Cols[i].Right && pad > 0 {
			b.WriteString(strings.Repeat(" ", pad))
			b.WriteString(text)
			continue
		}
		if g.Cols[i].Name {
			b.WriteString(draw.Short(text, w))
		} else {
			b.WriteString(draw.Fit(text, w))
		}
	}
	return b.String()
}
