package paint

import (
	"cmp"
	"math"
	"slices"
	"strings"

	"fleece.example/tubside/tui/theme"
)

// Sheet is a drawing in cells. What is drawn later covers what was there; what lies
// outside is left out. Column 0 is at the left, row 0 at the bottom.
type Sheet struct {
	cols, rows int
	cells      []cell
}

type cell struct {
	sign   rune
	style  *theme.Style
	ground *theme.Style // nil: the terminal's own
}

// NewSheet is an empty one.
func NewSheet(cols, rows int) Sheet {
	return Sheet{cols, rows, slices.Repeat([]cell{{' ', new(theme.Style), nil}}, cols*rows)}
}

// at is a cell of the sheet, or one that nobody sees.
func (s Sheet) at(x, y int) *cell {
	if x < 0 || x >= s.cols || y < 0 || y >= s.rows {
		return new(cell)
	}
	return &s.cells[y*s.cols+x]
}

// nearest is the cell, or the nth part of one, in which a place lies. Halfway is the
// next one for all, below 0 too: math.Round would round that away from 0.
func nearest(cells float64, n int) int { return int(math.Floor((cells + 0.5) * float64(n))) }

// Set puts a sign into the cell that col and row are nearest to.
func (s Sheet) Set(col, row float64, sign string, style *theme.Style) {
	c := s.at(nearest(col, 1), nearest(row, 1))
	c.sign, c.style = []rune(sign)[0], style
}

// Ground paints the cell that col and row are nearest to; what is drawn there, before or
// later, stands on it. Without a ground to paint, sign is set.
func (s Sheet) Ground(col, row float64, ground *theme.Style, sign string, style *theme.Style) {
	if !ground.Grounds() {
		s.Set(col, row, sign, style)
		return
	}
	s.at(nearest(col, 1), nearest(row, 1)).ground = ground
}

// Edges makes the lowest and the highest cell of a ground that was painted as high as it is, in
// eighths; a cell with a sign is painted whole or not, and the line's always, for it lies inside. The foot is a block upside down: foot is to be
// reversed, for nobody knows the terminal's own ground.
func (s Sheet) Edges(col, low, high float64, ground, foot, top *theme.Style) {
	from, to, x := low+0.5, high+0.5, nearest(col, 1)
	if y := math.Floor(from); y == math.Floor(to) || !ground.Grounds() {
		return
	}
	for _, e := range []struct {
		at    float64
		style *theme.Style
	}{{from, foot}, {to, top}} {
		c, eighths := s.at(x, int(math.Floor(e.at))), int(math.Round(8*(e.at-math.Floor(e.at))))
		switch {
		case c.ground != ground || eighths == 0 && e.style == foot:
		case c.sign == ' ':
			c.sign, c.style, c.ground = []rune(" ▁▂▃▄▅▆▇█")[eighths], e.style, nil
		case c.sign < noDots && (eighths < 4) == (e.style == top): // a sign keeps what fills half its cell
			c.ground = nil
		}
	}
}

// Place writes text where nothing but a line of some sign is drawn, and says that it did.
func (s Sheet) Place(col int, row float64, text, on string, style *theme.Style) bool {
	y, signs := nearest(row, 1), []rune(text)
	for i := range signs {
		if s.at(col+i, y).sign != []rune(on)[0] {
			return false
		}
	}
	for i, r := range signs {
		c := s.at(col+i, y)
		c.sign, c.style = r, style
	}
	return true
}

// noDots is a cell without dots in Unicode's Braille Patterns; other signs have lower numbers.
const noDots = 0x2800

// dots are the bits of a cell's dots, from the lowest up.
var dots = [4][2]rune{{0x40, 0x80}, {0x04, 0x20}, {0x02, 0x10}, {0x01, 0x08}}

// Stroke goes on with a line of dots, 2 by 4 to a cell, from the row that it was at
// to another. A dot lies in the cell in which Set puts a sign.
func (s Sheet) Stroke(col, fromRow, row float64, style *theme.Style) {
	x, from, to := nearest(col, 2), nearest(fromRow, 4), nearest(row, 4)
	for i := range max(1, to-from, from-to) {
		y := to + i*cmp.Compare(from, to)
		c := s.at(x>>1, y>>2)
		c.sign, c.style = max(c.sign, noDots)|dots[y&3][x&1], style
	}
}

// Row is a row as text, the cells that look alike styled together.
func (s Sheet) Row(row int) string {
	var out strings.Builder
	for cells := s.cells[row*s.cols:][:s.cols]; len(cells) > 0; {
		style, ground, run := cells[0].style, cells[0].ground, []rune(nil)
		for ; len(cells) > 0 && cells[0].style == style && cells[0].ground == ground; cells = cells[1:] {
			run = append(run, cells[0].sign)
		}
		if ground != nil {
			out.WriteString(style.Over(*ground, string(run)))
		} else {
			out.WriteString(style.Render(string(run)))
		}
	}
	return out.String()
}
