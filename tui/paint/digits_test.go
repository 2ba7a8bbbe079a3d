package paint

import (
	"strings"
	"testing"
	"unicode/utf8"
)

// TestGlyphs: every letter and figure is there, of even width, and like no other
// but for the letter O, which is like the figure.
func TestGlyphs(t *testing.T) {
	seen := map[[5]string]rune{}
	for _, r := range "0123456789ABCDEFGHIJKLMNPQRSTUVWXYZ" {
		g, ok := glyphs[r]
		if !ok {
			t.Fatalf("no glyph for %c", r)
		}
		if other, twice := seen[g]; twice {
			t.Errorf("%c is drawn like %c", r, other)
		}
		seen[g] = r
	}
	for r, g := range glyphs {
		for _, row := range g {
			if len(row) != len(g[0]) || strings.Trim(row, "# ") != "" {
				t.Errorf("%c has the row %q beside %q", r, row, g[0])
			}
		}
	}
	if !Has("South 2") || Has("Zinc, deep") || Has("Süd") || Has("") {
		t.Error("Has does not say what there is a glyph for")
	}
}

// TestWords draws words of the shed as they are meant.
func TestWords(t *testing.T) {
	want := map[string]string{
		"lift": `
▄   ▄▄▄ ▄▄▄ ▄▄▄
█    █  █▄   █
█▄▄ ▄█▄ █    █`,
		"FILL": `
▄▄▄ ▄▄▄ ▄   ▄
█▄   █  █   █
█   ▄█▄ █▄▄ █▄▄`,
		"South": `
 ▄▄ ▄▄▄ ▄ ▄ ▄▄▄ ▄ ▄
▀▄  █ █ █ █  █  █▄█
▄▄▀ █▄█ █▄█  █  █ █`,
	}
	if large, small := FiguresWidth("a", 1), FiguresWidth("a", 0); large != 6 || small != 4 { // or a call of 120 cells has no room
		t.Errorf("A is %d cells wide large and %d small, want 6 and 4", large, small)
	}
	for text, picture := range want {
		lines := Figures(text, 0, false)
		for i := range lines {
			lines[i] = strings.TrimRight(lines[i], " ")
		}
		if got := "\n" + strings.Join(lines, "\n"); got != picture {
			t.Errorf("%s is drawn\n%s\nwant\n%s", text, got, picture)
		}
		for scale := range 4 {
			for _, l := range Figures(text, scale, false) {
				if n := utf8.RuneCountInString(l); n != FiguresWidth(text, scale) {
					t.Errorf("%s at %d is %d wide, said to be %d", text, scale, n, FiguresWidth(text, scale))
				}
			}
		}
	}
	if got := Figures("lift", 0, true)[1]; got != "LIFT" {
		t.Errorf("in plain characters %q", got)
	}
}
