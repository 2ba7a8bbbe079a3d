package tags

import (
	"bytes"
	"strings"
	"testing"
)

// A card is one page whatever it has to say; what has no room is told, and what the font
// lacks.
func TestCardIsOnePage(t *testing.T) {
	for _, paper := range Grids() {
		for n, want := range map[int]string{0: "", 3: "", 200: "the card has no room for "} {
			c := Card{Title: "Žofie " + strings.Repeat("of the hill ", n/40), Under: "Nowhere Fold", Head: []string{"code", "came out"}, Foot: "the end", Paper: paper,
				Parts: []CardPart{{"What went in", [][2]string{{"notes", strings.Repeat("a long note ", n)}, {"", ""}}}, {Heading: "nothing"}}}
			for range n {
				c.Rows = append(c.Rows, []string{"001J", strings.Repeat("still waxy, tips stuck; ", 9)})
			}
			var b bytes.Buffer
			warnings, err := c.Write(&b)
			if err != nil || bytes.Count(b.Bytes(), []byte("/Type /Page\n")) != 1 {
				t.Errorf("%s, %d rows: %v, %d pages", paper.Paper, n, err, bytes.Count(b.Bytes(), []byte("/Type /Page\n")))
			}
			if got := strings.Join(warnings, "|"); !strings.HasPrefix(got, want) || want == "" && got != "" {
				t.Errorf("%s, %d rows: %q", paper.Paper, n, got)
			}
		}
	}
	c := Card{Title: "羊\x1b[2J", Paper: Grids()[0]}
	if warnings, err := c.Write(&bytes.Buffer{}); err != nil || len(warnings) != 1 || !strings.Contains(warnings[0], "羊") {
		t.Errorf("%q %v", warnings, err)
	}
}
