package tags

import (
	"bufio"
	"fmt"
	"io"
	"strings"

	"github.com/charmbracelet/x/ansi"

	"fleece.example/tubside/session/measure"
)

// TextWidth is how many columns a tag on plain paper takes; the narrowest till
// printers in use have about that many.
const TextWidth = 40

// Text says how tags are written on plain paper.
type Text struct {
	Units measure.System
	ASCII bool // letters of ASCII alone, for a printer that knows no others
}

// Write writes the tags with lines to cut along between them. No line is wider
// than TextWidth. The warnings are sentences about what could not be written as
// it was given.
//
// Errors: what w returns, wrapped.
func (o Text) Write(w io.Writer, tags []Tag) (warnings []string, err error) {
	var lost lostLetters
	cut := strings.TrimSpace(strings.Repeat("- ", TextWidth/2))
	out := bufio.NewWriter(w)
	for i, t := range tags {
		if i == 0 {
			_, _ = fmt.Fprintln(out, cut) // bufio keeps an error until Flush
		}
		for _, line := range o.lines(t.clean(), &lost) {
			_, _ = fmt.Fprintln(out, line)
		}
		_, _ = fmt.Fprintln(out, cut)
	}
	if err := out.Flush(); err != nil {
		return nil, fmt.Errorf("the tags cannot be written: %w", err)
	}
	if len(lost) > 0 {
		warnings = append(warnings, fmt.Sprintf("there is no plain letter for %s: a question mark stands in its place", lost.text()))
	}
	return warnings, nil
}

// lines are one tag.
func (o Text) lines(t Tag, lost *lostLetters) []string {
	wide := func(s string) float64 { return float64(ansi.StringWidthWc(s)) }
	put := func(s string) string {
		if o.ASCII {
			return plain(s, lost)
		}
		return s
	}
	var out []string
	para := func(s string) { out = append(out, wrap(put(s), TextWidth, wide)...) }
	row := func(texts ...string) {
		var there []string
		for _, s := range texts {
			if s = put(s); s != "" {
				there = append(there, s)
			}
		}
		for _, s := range flow(there, "   ", TextWidth, wide) {
			if wide(s) > TextWidth { // a figure beyond all sense
				out = append(out, wrap(s, TextWidth, wide)...)
				continue
			}
			out = append(out, s)
		}
	}
	para(t.Fleece)
	para(t.origin())
	row(t.batch(), t.washed(o.Units))
	row(t.weights(o.Units)...)
	para(t.Washes)
	for _, m := range t.More {
		para(m.text(o.Units))
	}
	para(t.Note)
	para(t.code())
	return out
}
