package tui

import (
	"fmt"
	"html"
	"io"
	"math/bits"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	tea "github.com/charmbracelet/bubbletea"

	"fleece.example/tubside/session/must"
	"fleece.example/tubside/tui/theme"
)

// TestStorybookForReadme draws README's pictures from the storybook's screens, in their colours, and
// holds them against those in .pictures; -update writes them.
func TestStorybookForReadme(t *testing.T) {
	t.Parallel()
	for _, x := range storybook() {
		name, ok := map[string]string{"day-washing": "day", "review-baths": "look-back"}[x.name]
		if !ok {
			continue
		}
		a := x.open(t)
		a.Update(ThemeMsg(theme.New(io.Discard, theme.Options{})))
		a.Update(tea.WindowSizeMsg{Width: 110, Height: 36})
		got, path := svg(t, a.View(), 110, 36), filepath.Join("..", ".pictures", name+".svg")
		if *update {
			must.Do(t, os.WriteFile(path, []byte(got), 0o600))
		}
		if want, err := os.ReadFile(path); err != nil || string(want) != got {
			t.Errorf("%s is not what the program draws (%v): go test ./tui -run Storybook -update", path, err)
		}
	}
}

// A cell of a picture, in its own points; halves and eighths of it are whole.
const (
	cellW = 8
	cellH = 16

	ownGround = "#111"
)

// sgr is what switches a look on or off.
var sgr = regexp.MustCompile("\x1b\\[([0-9;]*)m")

// look is how a run of cells looks; a colour of -1 is the terminal's own.
type look struct {
	fg, bg                  int
	bold, italic, underline bool
	reverse                 bool
}

// svg is a view as a picture: letters as text, blocks, lines and dots as shapes, so that no font has
// to have them and no line has gaps.
func svg(t *testing.T, view string, w, h int) string {
	t.Helper()
	var shapes, words strings.Builder
	filled := map[string]*strings.Builder{}
	rect := func(colour string, x, y, w, h float64) {
		if colour == ownGround {
			return
		}
		if filled[colour] == nil {
			filled[colour] = &strings.Builder{}
		}
		fmt.Fprintf(filled[colour], "M%g %gh%gv%gh%gz", x, y, w, h, -w)
	}
	for row, line := range strings.Split(view, "\n") {
		col := 0
		inLooks(t, line, func(now look, text string) { col = run(&words, rect, now, text, col, row) })
	}
	for _, colour := range sortedColours(filled) {
		fmt.Fprintf(&shapes, "<path fill=\"%s\" d=\"%s\"/>\n", colour, filled[colour])
	}
	return fmt.Sprintf("<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 %d %d\" font-family=\"ui-monospace,Menlo,Consolas,'DejaVu Sans Mono',monospace\" font-size=\"13\">\n"+
		"<rect width=\"100%%\" height=\"100%%\" fill=\"%s\"/>\n%s%s</svg>\n", w*cellW, h*cellH, ownGround, shapes.String(), words.String())
}

func sortedColours(m map[string]*strings.Builder) []string {
	var out []string
	for c := range m {
		out = append(out, c)
	}
	slices.Sort(out) // grounds are grey and begin with a low figure: they lie under the rest
	return out
}

// run draws cells that look alike, and says where the next begins.
func run(words *strings.Builder, rect func(colour string, x, y, w, h float64), l look, text string, col, row int) int {
	fg, bg := hex(l.fg, "#ccc"), hex(l.bg, ownGround)
	if l.reverse {
		fg, bg = bg, fg
	}
	from, word := col, ""
	end := func() {
		if trimmed := strings.TrimSpace(word); trimmed != "" {
			at := from + len([]rune(word)) - len([]rune(strings.TrimLeft(word, " ")))
			style := ""
			for i, what := range []string{` font-weight="bold"`, ` font-style="italic"`, ` text-decoration="underline"`} {
				if []bool{l.bold, l.italic, l.underline}[i] {
					style += what
				}
			}
			fmt.Fprintf(words, "<text x=\"%d\" y=\"%d\" fill=\"%s\"%s textLength=\"%d\" xml:space=\"preserve\">%s</text>\n",
				at*cellW, row*cellH+12, fg, style, len([]rune(trimmed))*cellW, html.EscapeString(trimmed))
		}
		word = ""
	}
	x := func(col int) float64 { return float64(col * cellW) }
	y := float64(row * cellH)
	for _, r := range text {
		n := float64(cellH)
		if r >= '▁' && r <= '█' {
			n = float64(2 * (r - '▀'))
			rect(fg, x(col), y+cellH-n, cellW, n)
			n = cellH - n
		}
		rect(bg, x(col), y, cellW, n)
		shape := true
		switch {
		case r == '▀':
			rect(fg, x(col), y, cellW, cellH/2)
		case r >= '▁' && r <= '█':
		case r == '─' || r == '━':
			rect(fg, x(col), y+7, cellW, 1)
		case r == '┄':
			rect(fg, x(col), y+7, 2, 1)
			rect(fg, x(col)+4, y+7, 2, 1)
		case r == '│' || r == '└':
			rect(fg, x(col)+3, y, 1, cellH)
		case r == '┃':
			rect(fg, x(col)+3, y, 2, cellH)
		case r >= 0x2800 && r <= 0x28ff:
			for b := uint(r - 0x2800); b != 0; b &= b - 1 {
				at := [8][2]float64{{0, 0}, {0, 1}, {0, 2}, {1, 0}, {1, 1}, {1, 2}, {0, 3}, {1, 3}}[bits.TrailingZeros(b)]
				rect(fg, x(col)+1.5+4*at[0], y+1+4*at[1], 2, 2)
			}
		default:
			shape = false
		}
		if shape {
			end()
			from = col + 1
		} else {
			word += string(r)
		}
		col++
	}
	end()
	return col
}

// inLooks takes a line apart into texts of one look each.
func inLooks(t *testing.T, line string, each func(look, string)) {
	t.Helper()
	for now := (look{fg: -1, bg: -1}); line != ""; {
		text, codes, rest := line, "", ""
		if at := sgr.FindStringSubmatchIndex(line); at != nil {
			text, codes, rest = line[:at[0]], line[at[2]:at[3]], line[at[1]:]
		}
		each(now, text)
		now, line = now.after(t, codes), rest
	}
}

// after is the look behind some codes.
func (l look) after(t *testing.T, codes string) look {
	t.Helper()
	list := strings.Split(codes, ";")
	for i := 0; i < len(list); i++ {
		switch n, _ := strconv.Atoi(list[i]); {
		case n == 0:
			l = look{fg: -1, bg: -1}
		case n == 1:
			l.bold = true
		case n == 3:
			l.italic = true
		case n == 4:
			l.underline = true
		case n == 7:
			l.reverse = true
		case (n == 38 || n == 48) && i+2 < len(list) && list[i+1] == "5":
			c := must.Get(strconv.Atoi(list[i+2])).In(t)
			if n == 38 {
				l.fg = c
			} else {
				l.bg = c
			}
			i += 2
		case n >= 30 && n < 38:
			l.fg = n - 30
		case n >= 90 && n < 98:
			l.fg = n - 82
		case n >= 40 && n < 48:
			l.bg = n - 40
		case n >= 100 && n < 108:
			l.bg = n - 92
		default:
			t.Fatalf("what is %q?", codes)
		}
	}
	return l
}

// hex is one of the 256 colours above the sixteen.
func hex(n int, own string) string {
	switch v := 8 + 10*(n-232); {
	case n < 0:
		return own
	case n >= 232:
		return fmt.Sprintf("#%02x%02x%02x", v, v, v)
	}
	steps := []int{0, 95, 135, 175, 215, 255}
	return fmt.Sprintf("#%02x%02x%02x", steps[(n-16)/36], steps[(n-16)/6%6], steps[(n-16)%6])
}
