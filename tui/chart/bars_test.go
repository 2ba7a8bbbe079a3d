package chart

import (
	"io"
	"strings"
	"testing"
	"time"

	"github.com/charmbracelet/x/ansi"

	"fleece.example/tubside/tui/theme"
	"fleece.example/tubside/tui/tuitest"
)

// TestRowsOfBarsStandApart: hands at two tubs at once are two bars, however high, and not one block; nor does the
// sign of the legend grow out of the bar above it.
func TestRowsOfBarsStandApart(t *testing.T) {
	th := theme.New(io.Discard, theme.Options{})
	from := tuitest.StoryStart
	all := []Bar{{From: from, To: from.Add(time.Hour), Mark: theme.MarkHands}}
	rows := []Row{{Name: "North", Bars: all}, {Name: "South", Bars: all}, {Name: "you", Bars: all, Over: true}}
	for high := 1; high <= mostHigh; high++ {
		lines := Bars(&th, from, from.Add(time.Hour), rows, 80, high, func(time.Time) string { return "" })
		whole, bars := 0, 0
		for _, l := range lines {
			switch l = ansi.Strip(l); {
			case strings.Contains(l, "██"):
				whole++
			case strings.Contains(l, "▆▆"):
				bars, whole = bars+1, 1
			}
			if whole > high {
				t.Errorf("%d lines high: two bars run into one:\n%s", high, ansi.Strip(strings.Join(lines, "\n")))
			}
		}
		if legend := ansi.Strip(lines[len(lines)-1]); bars != len(rows) || strings.Contains(legend, "█") {
			t.Errorf("%d lines high: %d of %d bars begin with room above, and the legend is %q", high, bars, len(rows), legend)
		}
	}
}
