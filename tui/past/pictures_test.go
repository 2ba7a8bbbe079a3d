package past

import (
	"io"
	"strings"
	"testing"

	"github.com/charmbracelet/x/ansi"

	"fleece.example/tubside/tui/theme"
)

// TestBarsSayWhatFits: over narrow bars what their sign means is left out, not cut.
func TestBarsSayWhatFits(t *testing.T) {
	th := theme.New(io.Discard, theme.Options{NoColor: true})
	draw := bars(&th, 1, func(int) []share { return dayShares(&th, 565, 0, 0) })
	for w := range 30 {
		if says := draw(-1, w); ansi.StringWidthWc(says) > w {
			t.Errorf("%q in %d cells", says, w)
		}
	}
	if draw(-1, 20) == "" {
		t.Error("20 cells say nothing")
	}
}

// TestBarsStandApart: bars in rows of a list are told apart, nor does a sign that says what they mean grow into one; of
// a bar of more lines, what is lost is one line.
func TestBarsStandApart(t *testing.T) {
	th := theme.New(io.Discard, theme.Options{})
	of := dayShares(&th, 400, 400, 240)
	list := bars(&th, 2, func(int) []share { return of })
	if got := ansi.Strip(list(-1, 40) + list(0, 40) + list(1, 40)); strings.Contains(got, "█") {
		t.Errorf("rows of a list run into one: %q", got)
	}
	lines := shareRows(&th, []string{"A1", "A2"}, [][]share{of, of}, -1, 60, 10)
	all := ansi.Strip(strings.Join(lines, "\n"))
	if n := strings.Count(all, "▆▆"); n == 0 || strings.Contains(ansi.Strip(lines[0]), "█") || strings.Contains(ansi.Strip(lines[1]), "█") {
		t.Errorf("a bar touches what its signs mean:\n%s", all)
	}
	if n := strings.Count(all, "┄ ") + strings.Count(all, "┄\n"); n > 3 {
		t.Errorf("what is lost is %d lines of two bars and a legend:\n%s", n, all)
	}
}
