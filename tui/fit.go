package tui

import (
	"strings"

	"github.com/charmbracelet/x/ansi"
)

// fit makes a line exactly w cells wide: cut with an ellipsis, or padded.
func fit(s string, w int) string {
	if w <= 0 {
		return ""
	}
	n := ansi.StringWidth(s)
	if n > w {
		s = ansi.Truncate(s, w, "…")
		n = ansi.StringWidth(s)
	}
	return s + strings.Repeat(" ", max(0, w-n))
}

// block makes exactly h lines of exactly w cells out of lines.
func block(lines []string, w, h int) string {
	out := make([]string, h)
	for i := range out {
		if i < len(lines) {
			out[i] = fit(lines[i], w)
		} else {
			out[i] = strings.Repeat(" ", max(0, w))
		}
	}
	return strings.Join(out, "\n")
}

// plainer turns the signs that words and charts bring along into plain
// characters of the same width; names keep theirs.
var plainer = strings.NewReplacer("°", " ", "…", "~", "·", "-", "│", "|", "└", "+", "─", "-", "┌", "+", "┐", "+", "┘", "+",
	"├", "+", "┤", "+", "┃", "|", "•", "*", "→", ">", "←", "<", "↑", "^", "↓", "v", "✓", "x", "▌", "|")

// plain is a view in plain characters if the theme asks for it.
func plain(view string, ascii bool) string {
	if !ascii {
		return view
	}
	return plainer.Replace(view)
}
