// Package paint draws without knowing what it draws: large figures and letters, and
// signs and fine lines on a sheet of cells.
package paint

import "strings"

// glyphs are figures and capitals 5 points high, most of them 3 wide, a row a
// string.
var glyphs = map[rune][5]string{
	'0':  {"###", "# #", "# #", "# #", "###"},
	'1':  {" # ", "## ", " # ", " # ", "###"},
	'2':  {"###", "  #", "###", "#  ", "###"},
	'3':  {"###", "  #", " ##", "  #", "###"},
	'4':  {"# #", "# #", "###", "  #", "  #"},
	'5':  {"###", "#  ", "###", "  #", "###"},
	'6':  {"###", "#  ", "###", "# #", "###"},
	'7':  {"###", "  #", " # ", " # ", " # "},
	'8':  {"###", "# #", "###", "# #", "###"},
	'9':  {"###", "# #", "###", "  #", "###"},
	':':  {" ", "#", " ", "#", " "},
	'-':  {"   ", "   ", "###", "   ", "   "},
	'+':  {"   ", " # ", "###", " # ", "   "},
	' ':  {"  ", "  ", "  ", "  ", "  "},
	'.':  {" ", " ", " ", " ", "#"},
	'\'': {"#", "#", " ", " ", " "},
	'/':  {"  #", "  #", " # ", "#  ", "#  "},
	'&':  {" #  ", "# # ", " #  ", "# # ", " # #"},

	'A': {" # ", "# #", "###", "# #", "# #"},
	'B': {"## ", "# #", "## ", "# #", "## "},
	'C': {" ##", "#  ", "#  ", "#  ", " ##"},
	'D': {"## ", "# #", "# #", "# #", "## "},
	'E': {"###", "#  ", "## ", "#  ", "###"},
	'F': {"###", "#  ", "## ", "#  ", "#  "},
	'G': {" ## ", "#   ", "# ##", "#  #", " ## "},
	'H': {"# #", "# #", "###", "# #", "# #"},
	'I': {"###", " # ", " # ", " # ", "###"},
	'J': {"  #", "  #", "  #", "# #", " # "},
	'K': {"# #", "# #", "## ", "# #", "# #"},
	'L': {"#  ", "#  ", "#  ", "#  ", "###"},
	'M': {"#   #", "## ##", "# # #", "#   #", "#   #"},
	'N': {"#  #", "## #", "# ##", "#  #", "#  #"},
	'O': {"###", "# #", "# #", "# #", "###"},
	'P': {"###", "# #", "###", "#  ", "#  "},
	'Q': {"### ", "# # ", "# # ", "# # ", "####"},
	'R': {"## ", "# #", "## ", "# #", "# #"},
	'S': {" ##", "#  ", " # ", "  #", "## "},
	'T': {"###", " # ", " # ", " # ", " # "},
	'U': {"# #", "# #", "# #", "# #", "###"},
	'V': {"# #", "# #", "# #", "# #", " # "},
	'W': {"#   #", "#   #", "# # #", "## ##", "#   #"},
	'X': {"# #", "# #", " # ", "# #", "# #"},
	'Y': {"# #", "# #", " # ", " # ", " # "},
	'Z': {"###", "  #", " # ", "#  ", "###"},
}

// smallA is the A of the small form, in which a single point at its top is a ring, and it another letter.
var smallA = [5]string{" ## ", "#  #", "####", "#  #", "#  #"}

// Has says that there is a glyph for each sign of text.
func Has(text string) bool {
	for _, r := range strings.ToUpper(text) {
		if _, ok := glyphs[r]; !ok {
			return false
		}
	}
	return text != ""
}

// points lays the glyphs of text side by side, one point of room between.
func points(text string, scale int) [5]string {
	var rows [5]strings.Builder
	for i, r := range []rune(strings.ToUpper(text)) {
		g, ok := glyphs[r]
		if !ok {
			g = glyphs[' ']
		}
		if r == 'A' && scale <= 0 {
			g = smallA
		}
		for y := range rows {
			if i > 0 {
				rows[y].WriteByte(' ')
			}
			rows[y].WriteString(g[y])
		}
	}
	var out [5]string
	for y := range rows {
		out[y] = rows[y].String()
	}
	return out
}

// Figures draws text (digits, letters as capitals, signs) 5*scale lines high; a point
// is 2*scale cells wide and scale lines high, which is about square. Scale 0
// is the small form of 3 lines, out of half blocks; plain characters have no
// halves, so there it is the text itself on the middle line.
func Figures(text string, scale int, ascii bool) []string {
	p := points(text, scale)
	if scale <= 0 {
		if ascii {
			return []string{"", strings.ToUpper(text), ""}
		}
		return halves(p, -1) // half a line of air above, where a rule may end, or a ground
	}
	on := "█"
	if ascii {
		on = "#"
	}
	out := make([]string, 0, 5*scale)
	for _, row := range p {
		var b strings.Builder
		for _, r := range row {
			if r == '#' {
				b.WriteString(strings.Repeat(on, 2*scale))
			} else {
				b.WriteString(strings.Repeat(" ", 2*scale))
			}
		}
		for range scale {
			out = append(out, b.String())
		}
	}
	return out
}

// Hung is the small form with its air below.
func Hung(text string) []string { return halves(points(text, 0), 0) }

func halves(p [5]string, from int) []string {
	out := make([]string, 0, 3)
	for y := from; y < 5; y += 2 {
		var b strings.Builder
		for x := range p[0] {
			up, down := y >= 0 && p[y][x] == '#', y+1 < 5 && p[y+1][x] == '#'
			switch {
			case up && down:
				b.WriteString("█")
			case up:
				b.WriteString("▀")
			case down:
				b.WriteString("▄")
			default:
				b.WriteByte(' ')
			}
		}
		out = append(out, b.String())
	}
	return out
}

// FiguresWidth is the width in cells that Figures will take.
func FiguresWidth(text string, scale int) int {
	n := len(points(text, scale)[0])
	if scale <= 0 {
		return n
	}
	return 2 * scale * n
}
