package ahead

import (
	"fmt"
	"io"
	"strings"
	"testing"

	"github.com/charmbracelet/x/ansi"

	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/tui/base"
	"fleece.example/tubside/tui/theme"
)

// TestBasketsAreLabelledAlike: below baskets side by side stands the same of each: its mark and weight, or its mark
// where not all have room for both, so that no weight stands below one and a mark below its neighbour.
func TestBasketsAreLabelledAlike(t *testing.T) {
	e := &base.Env{Deps: base.Deps{Theme: theme.New(io.Discard, theme.Options{})}, Kit: shed.DefaultKit()}
	var all []shed.Batch
	for i, g := range []float64{220, 220, 135, 215, 215, 135, 215, 215, 215, 215} {
		all = append(all, shed.Batch{ID: fmt.Sprintf("A%d", i+1), RawG: g})
	}
	seen := map[bool]bool{}
	for w := 60; w <= 200; w++ {
		lines := baskets(e, all, 9, w, 3)
		words := ansi.Strip(lines[len(lines)-1])
		marks, weights := strings.Count(words, "A"), strings.Count(words, " g")
		if marks != len(all) || weights != 0 && weights != len(all) {
			t.Errorf("%d wide: %d marks and %d weights of %d:\n%s", w, marks, weights, len(all), ansi.Strip(strings.Join(lines, "\n")))
		}
		seen[weights > 0] = true
	}
	lines := baskets(e, all, 9, 120, 4)
	if marks, weights := ansi.Strip(lines[len(lines)-2]), ansi.Strip(lines[len(lines)-1]); strings.Count(marks, "A") != len(all) || strings.Count(weights, " g") != len(all) {
		t.Errorf("with a line more the weights have none of their own: %q, %q", marks, weights)
	}
	if len(seen) != 2 {
		t.Error("all widths are labelled the same way")
	}
}
