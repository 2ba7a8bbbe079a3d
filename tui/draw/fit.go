package draw

import (
	"regexp"
	"slices"
	"strings"

	"github.com/charmbracelet/x/ansi"

	"fleece.example/tubside/tui/theme"
)

// A line is either held or shortened, and whoever draws it says which.
//
//   - What tells what to do, how much, by when or how to leave is held: it is
//     wrapped (Wrapped, Hung, Told), worded shorter where there is little room
//     (FirstFit, Fewer), or left out whole for something more important (Whole).
//     It reaches Fit only when it has room. What is too long there all the same
//     ends in CutSign, which the tests look for on every screen they draw.
//   - A name of a fleece, a farm or a tub, a note, a title of a screen may be
//     shortened (Short): it ends in ShortSign, and is read in full elsewhere.
const (
	CutSign   = "⋯"
	ShortSign = "…"
)

// Cells are counted by letter, as terminals do that were not told otherwise: what a
// script draws together may take more of them than one. Where a terminal draws it in one
// cell all the same, the line is narrower than the window, and never wider.

// Fit makes a line that is held exactly w cells wide.
func Fit(s string, w int) string { return Cell(s, w, CutSign) }

// Short makes a line that may be shortened exactly w cells wide.
func Short(s string, w int) string { return Cell(s, w, ShortSign) }

// Shortened is a name that may be shortened to w cells, and is not padded.
func Shortened(s string, w int) string { return strings.TrimRight(Short(s, w), " ") }

// Cell is a line exactly w cells wide; what is too long ends in sign.
func Cell(s string, w int, sign string) string {
	if w <= 0 {
		return ""
	}
	n := ansi.StringWidthWc(s)
	if n > w {
		// It lets be what is short enough in cells of another kind.
		s = ansi.TruncateWc(s+strings.Repeat(" ", n-ansi.StringWidth(s)), w, sign)
		n = ansi.StringWidthWc(s)
	}
	return s + strings.Repeat(" ", max(0, w-n))
}

// FirstFit is the first of some wordings, the fullest first, that fits w cells;
// the last where none does.
func FirstFit(w int, wordings ...string) string {
	for _, s := range wordings {
		if ansi.StringWidthWc(s) <= w {
			return s
		}
	}
	return wordings[len(wordings)-1]
}

// Fewer joins parts, the most important first, as many as fit w cells whole;
// the first always stands.
func Fewer(w int, sep string, parts ...string) string {
	for n := len(parts); n > 1; n-- {
		if text := strings.Join(parts[:n], sep); ansi.StringWidthWc(text) <= w {
			return text
		}
	}
	return strings.Join(parts[:min(1, len(parts))], sep)
}

// Told is text in a style, wrapped and one cell in from the edge.
func Told(style theme.Style, text string, w int) []string {
	lines := Wrapped(text, w-2)
	for i, l := range lines {
		lines[i] = style.Render(Fit(" "+l, w))
	}
	return lines
}

// Para is lines that are shown together or not at all.
type Para struct {
	Lines []string
	Rank  int // the greatest goes first where not all have room; 0 stays
}

// Whole is as many paras as have room in h lines, in their order.
func Whole(h int, paras ...Para) []string {
	n := 0
	paras = slices.Clone(paras)
	for _, p := range paras {
		n += len(p.Lines)
	}
	for n > h {
		worst := -1
		for i, p := range paras {
			if len(p.Lines) > 0 && p.Rank > 0 && (worst < 0 || p.Rank >= paras[worst].Rank) {
				worst = i
			}
		}
		if worst < 0 {
			break
		}
		n -= len(paras[worst].Lines)
		paras[worst].Lines = nil
	}
	var out []string
	for _, p := range paras {
		out = append(out, p.Lines...)
	}
	return out
}

// Block makes exactly h lines of exactly w cells out of lines. Words that find
// no room below leave their sign on the last line.
func Block(lines []string, w, h int) string {
	out := make([]string, h)
	for i := range out {
		if i < len(lines) {
			out[i] = Fit(lines[i], w)
		} else {
			out[i] = strings.Repeat(" ", max(0, w))
		}
	}
	for i := h; i < len(lines) && h > 0; i++ {
		if strings.TrimSpace(ansi.Strip(lines[i])) != "" {
			out[h-1] = Cell(out[h-1]+" ", w, CutSign)
			break
		}
	}
	return strings.Join(out, "\n")
}

// plainer turns the signs that words and charts bring along into plain
// characters of the same width; names keep theirs.
var plainer = strings.NewReplacer(ShortSign, "~", CutSign, "~", "·", "-", "│", "|", "└", "+", "─", "-", "┌", "+", "┐", "+", "┘", "+",
	"├", "+", "┤", "+", "┴", "+", "┃", "|", "•", "*", "→", ">", "←", "<", "↑", "^", "↓", "v", "✓", "x", "▌", "|")

// Plain is a view in plain characters if the theme asks for it.
func Plain(view string, ascii bool) string {
	if !ascii {
		return view
	}
	lines := strings.Split(plainer.Replace(view), "\n")
	for i, l := range lines {
		lines[i] = withoutDegrees(l)
	}
	return strings.Join(lines, "\n")
}

// withoutDegrees has no sign of degrees: the cell of each goes where the next column begins, so that
// a sentence keeps its spacing and what stands further right its place.
func withoutDegrees(line string) string {
	var out strings.Builder
	owed, last := 0, 'x'
	for _, r := range line {
		switch {
		case r == '°':
			owed++
			continue
		case r == ' ' && last == ' ', r == '|':
			out.WriteString(strings.Repeat(" ", owed))
			owed = 0
		}
		out.WriteRune(r)
		last = r
	}
	return out.String() + strings.Repeat(" ", owed)
}

// Wrapped is plain text in lines no wider than w. It breaks at spaces only, for a
// minus must not part from its figure, and not between a figure and its unit.
func Wrapped(text string, w int) []string {
	if w < 1 {
		return nil
	}
	var out []string
	for _, para := range strings.Split(text, "\n") {
		line := ""
		for _, word := range unparted(strings.Fields(para)) {
			if line != "" && ansi.StringWidthWc(line)+1+ansi.StringWidthWc(word) <= w {
				line += " " + word
				continue
			}
			if line != "" {
				out = append(out, line)
			}
			pieces := strings.Split(ansi.HardwrapWc(word, w, true), "\n")
			out = append(out, pieces[:len(pieces)-1]...)
			line = pieces[len(pieces)-1]
		}
		out = append(out, line)
	}
	return out
}

// units are what stays on the line of its figure.
var units = []string{"°C", "°F", "L", "mL", "g", "kg", "oz", "lb", "min", "h", "s", "cups", "cup", "tsp", "tbsp", "W", "kW", "kWh", "%", "F", "C", "am", "pm"}

// fraction is what a spoon or a cup is read to: the half of 2 1/2.
var fraction = regexp.MustCompile(`^[1-9]/[1-9]$`)

// unparted puts a figure and its unit together as one word, and the number of a choice with what
// it chooses.
func unparted(words []string) []string {
	var out []string
	for i, word := range words {
		if i > 1 && words[i-2] == "·" && strings.Trim(words[i-1], "0123456789") == "" {
			out[len(out)-1] += " " + word
			continue
		}
		bare := strings.TrimRight(word, ",.;:)")
		if i > 0 && (slices.Contains(units, bare) || fraction.MatchString(bare)) && strings.ContainsAny(words[i-1][len(words[i-1])-1:], "0123456789") {
			out[len(out)-1] += " " + word
			continue
		}
		out = append(out, word)
	}
	return out
}

// Hung is text wrapped behind a label, its further lines under the first.
func Hung(label, text string, w int) []string {
	n := ansi.StringWidthWc(label)
	lines := Wrapped(text, max(8, w-n))
	for i, l := range lines {
		if i == 0 {
			lines[i] = label + l
		} else {
			lines[i] = strings.Repeat(" ", n) + l
		}
	}
	return lines
}

// Labelled is text in a style, hung behind a label in lines of w cells.
func Labelled(style theme.Style, label, text string, w int) []string {
	lines := Hung(label, text, w-1)
	for i, l := range lines {
		lines[i] = style.Render(l)
	}
	return lines
}

// Span is some lines of the screen.
type Span struct{ Top, Height int }

// Has says that line y is one of them.
func (s Span) Has(y int) bool { return y >= s.Top && y < s.Top+s.Height }
