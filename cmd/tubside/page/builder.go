package page

import (
	"html"
	"regexp"
	"strings"

	"fleece.example/tubside/session/measure"
)

// builder writes elements. What a person typed goes through text or an attribute, and both
// escape it: nothing else writes what is not a constant or a figure.
type builder struct {
	strings.Builder
	open []string
}

// mostLetters of one text: a page is no place for a novel that came in with a file.
const mostLetters = 4000

// figure is one with its unit, which stay on one line.
var figure = regexp.MustCompile(`(\d) (°[CF]|%|(?:mL|L|k?g|oz|lb|min|h|s|am|pm|cups?|qt|gal|kWh)\b)`)

// escaped is a text as it may stand in an element or an attribute.
func escaped(text string) string {
	return figure.ReplaceAllString(html.EscapeString(measure.CleanText(text, mostLetters)), "$1\u00a0$2")
}

// begin opens an element; attrs are names and values by turns.
func (b *builder) begin(name string, attrs ...string) {
	b.tag(name, attrs, ">")
	b.open = append(b.open, name)
}

func (b *builder) tag(name string, attrs []string, end string) {
	b.WriteString("<" + name)
	for i := 0; i+1 < len(attrs); i += 2 {
		b.WriteString(" " + attrs[i] + `="` + escaped(attrs[i+1]) + `"`)
	}
	b.WriteString(end)
}

// end closes so many elements that are open, the innermost first.
func (b *builder) end(n int) {
	for range n {
		last := len(b.open) - 1
		b.WriteString("</" + b.open[last] + ">")
		if b.open = b.open[:last]; last < 4 {
			b.WriteByte('\n')
		}
	}
}

func (b *builder) text(s string) { b.WriteString(escaped(s)) }

// put writes an element with a text.
func (b *builder) put(name, text string, attrs ...string) {
	b.begin(name, attrs...)
	b.text(text)
	b.end(1)
}

// alone writes an SVG element that holds nothing.
func (b *builder) alone(name string, attrs ...string) { b.tag(name, attrs, "/>") }

// table writes a table under a caption; columns from right on are figures. Where it is wider
// than the window it scrolls, by keys too.
func (b *builder) table(caption string, right int, head []string, rows [][]string) {
	b.begin("section", "class", "wide", "tabindex", "0", "aria-label", caption)
	b.begin("table")
	b.put("caption", caption)
	b.begin("thead")
	b.begin("tr")
	for i, h := range head {
		if i >= right {
			b.put("th", h, "scope", "col", "class", "n")
			continue
		}
		b.put("th", h, "scope", "col")
	}
	b.end(2)
	b.begin("tbody")
	for _, row := range rows {
		b.begin("tr")
		for i, cell := range row {
			switch {
			case i == 0:
				b.put("th", cell, "scope", "row")
			case i >= right:
				b.put("td", cell, "class", "n")
			default:
				b.put("td", cell)
			}
		}
		b.end(1)
	}
	b.end(3)
}
