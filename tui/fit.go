package tui

import (
	"slices"
	"strings"

	"github.com/charmbracelet/lipgloss"
	"github.com/charmbracelet/x/ansi"
)

// A line is either held or shortened, and whoever draws it says which.
//
//   - What tells what to do, how much, by when or how to leave is held: it is
//     wrapped (wrapped, hung, told), worded shorter where there is little room
//     (firstFit, fewer), or left out whole for something more important (whole).
//     It reaches fit only when it has room. What is too long there all the same
//     ends in cutSign, which the tests look for on every screen they draw.
//   - A name of a fleece, a farm or a tub, a note, a title of a screen may be
//     shortened (short): it ends in shortSign, and is read in full elsewhere.
const (
	cutSign   = "⋯"
	shortSign = "…"
)

// fit makes a line that is held exactly w cells wide.
func fit(s string, w int) string { return cell(s, w, cutSign) }

// short makes a line that may be shortened exactly w cells wide.
func short(s string, w int) string { return cell(s, w, shortSign) }

// shortened is a name that may be shortened to w cells, and is not padded.
func shortened(s string, w int) string { return strings.TrimRight(short(s, w), " ") }

func cell(s string, w int, sign string) string {
	if w <= 0 {
		return ""
	}
	n := ansi.StringWidth(s)
	if n > w {
		s = ansi.Truncate(s, w, sign)
		n = ansi.StringWidth(s)
	}
	return s + strings.Repeat(" ", max(0, w-n))
}

// firstFit is the first of some wordings, the fullest first, that fits w cells;
// the last where none does.
func firstFit(w int, wordings ...string) string {
	for _, s := range wordings {
		if ansi.StringWidth(s) <= w {
			return s
		}
	}
	return wordings[len(wordings)-1]
}

// fewer joins parts, the most important first, as many as fit w cells whole;
// the first always stands.
func fewer(w int, sep string, parts ...string) string {
	for n := len(parts); n > 1; n-- {
		if text := strings.Join(parts[:n], sep); ansi.StringWidth(text) <= w {
			return text
		}
	}
	return strings.Join(parts[:min(1, len(parts))], sep)
}

// told is text in a style, wrapped and one cell in from the edge.
func told(style lipgloss.Style, text string, w int) []string {
	lines := wrapped(text, w-2)
	for i, l := range lines {
		lines[i] = style.Render(fit(" "+l, w))
	}
	return lines
}

// para is lines that are shown together or not at all.
type para struct {
	lines []string
	rank  int // the greatest goes first where not all have room; 0 stays
}

// whole is as many paras as have room in h lines, in their order.
func whole(h int, paras ...para) []string {
	n := 0
	paras = slices.Clone(paras)
	for _, p := range paras {
		n += len(p.lines)
	}
	for n > h {
		worst := -1
		for i, p := range paras {
			if len(p.lines) > 0 && p.rank > 0 && (worst < 0 || p.rank >= paras[worst].rank) {
				worst = i
			}
		}
		if worst < 0 {
			break
		}
		n -= len(paras[worst].lines)
		paras[worst].lines = nil
	}
	var out []string
	for _, p := range paras {
		out = append(out, p.lines...)
	}
	return out
}

// block makes exactly h lines of exactly w cells out of lines. Words that find
// no room below leave their sign on the last line.
func block(lines []string, w, h int) string {
	out := make([]string, h)
	for i := range out {
		if i < len(lines) {
			out[i] = fit(lines[i], w)
		} else {
			out[i] = strings.Repeat(" ", max(0, w))
		}
	}
	for i := h; i < len(lines) && h > 0; i++ {
		if strings.TrimSpace(ansi.Strip(lines[i])) != "" {
			out[h-1] = cell(out[h-1]+" ", w, cutSign)
			break
		}
	}
	return strings.Join(out, "\n")
}

// plainer turns the signs that words and charts bring along into plain
// characters of the same width; names keep theirs.
var plainer = strings.NewReplacer("°", " ", shortSign, "~", cutSign, "~", "·", "-", "│", "|", "└", "+", "─", "-", "┌", "+", "┐", "+", "┘", "+",
	"├", "+", "┤", "+", "┃", "|", "•", "*", "→", ">", "←", "<", "↑", "^", "↓", "v", "✓", "x", "▌", "|")

// plain is a view in plain characters if the theme asks for it.
func plain(view string, ascii bool) string {
	if !ascii {
		return view
	}
	return plainer.Replace(view)
}
