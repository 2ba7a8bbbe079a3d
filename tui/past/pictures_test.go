package past

import (
	"io"
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
