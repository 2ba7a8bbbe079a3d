package past

import (
	"io"
	"strings"
	"testing"
	"time"

	"github.com/charmbracelet/x/ansi"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/tui/base"
	"fleece.example/tubside/tui/theme"
)

// TestPlaceOfABagStandsWhole: where a bag is stands on its fleece's card whole at every width, of a
// batch entered from cards too.
func TestPlaceOfABagStandsWhole(t *testing.T) {
	const place = "attic, the blue box by the window"
	e := &base.Env{Kit: shed.DefaultKit()}
	e.Theme, e.Local = theme.New(io.Discard, theme.Options{ASCII: true}), time.UTC
	at := time.Date(2026, 3, 14, 9, 0, 0, 0, time.UTC)
	for _, card := range []bool{false, true} {
		for _, dryG := range []float64{0, 150} {
			for _, w := range []int{40, 80, 200} {
				b := ledger.BookedBatch{Day: 1, At: at, Used: true, Card: card, BatchRow: ledger.BatchRow{ID: "A1", RawG: 200, DryG: dryG, SunkAt: at, RackedAt: at, Out: session.Outcome{Place: place}}}
				if dryG > 0 {
					b.DryAt = at
				} else if !card {
					continue // it lies on the rack
				}
				s := &cardScreen{ledger: &FleecesScreen{finder: newFinder()}}
				s.E, s.W, s.ledger.E = e, w, e
				lines := s.batches(&ledger.Entry{Batches: []ledger.BookedBatch{b}})
				for i, l := range lines {
					lines[i] = strings.TrimSpace(ansi.Strip(l))
				}
				if text := strings.Join(lines, " "); !strings.Contains(text, ": its bag "+place) || w == 200 && strings.Count(text, place) != 2 {
					t.Errorf("card %v, %g g, %d wide:\n%s", card, dryG, w, strings.Join(lines, "\n"))
				}
			}
		}
	}
}
