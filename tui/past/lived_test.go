package past

import (
	"strings"
	"testing"
	"time"

	"github.com/charmbracelet/x/ansi"

	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/lookback"
	"fleece.example/tubside/tui/base"
)

// TestNearestWashesAreDrawn: where not all have room, those that came nearest to where wax sets, in the day's order.
func TestNearestWashesAreDrawn(t *testing.T) {
	at := time.Date(2026, 3, 14, 9, 0, 0, 0, time.UTC)
	hands := lookback.Stretch{From: at, To: at.Add(time.Hour)}
	x := &lived{Timings: lookback.Timings{Day: lookback.Both{Was: hands}, Hands: lookback.Bars{Was: []lookback.Bar{{Stretch: hands}}}}}
	for i, name := range []string{"A1", "A2", "A3", "A4"} {
		b := lookback.Bath{MarginC: []float64{4, 9, 2, 4}[i]}
		b.Batch, b.TubName = name, "North"
		x.baths = append(x.baths, b)
	}
	for w, want := range map[int]string{60: "A3", 100: "A1 A3", 150: "A1 A3 A4", 200: "A1 A2 A3 A4"} {
		var got []string
		for _, word := range strings.Fields(ansi.Strip(strings.Join(x.drawn(&base.Env{Deps: base.Deps{Local: time.UTC}}, w, 30, 0), "\n"))) {
			if name, ok := strings.CutSuffix(word, "'s"); ok {
				got = append(got, name)
			}
		}
		if strings.Join(got, " ") != want {
			t.Errorf("%d cells: %v, want %s", w, got, want)
		}
	}
}

// TestDrawnDayIsTheOneRead: a day that was read anew is drawn anew, though nothing else is another.
func TestDrawnDayIsTheOneRead(t *testing.T) {
	at := time.Date(2026, 3, 14, 9, 0, 0, 0, time.UTC)
	lasting := func(long time.Duration) *lived {
		hands := lookback.Stretch{From: at, To: at.Add(long)}
		return &lived{Timings: lookback.Timings{Day: lookback.Both{Was: hands}, Hands: lookback.Bars{Was: []lookback.Bar{{Stretch: hands}}}}}
	}
	s := &pastScreen{days: []ledger.Summary{{ID: 1}}, wasOf: 1}
	s.E, s.W = &base.Env{Deps: base.Deps{Local: time.UTC}}, 80
	s.was = lasting(time.Hour)
	before := strings.Join(s.drawn(20), "\n")
	s.was = lasting(5 * time.Hour)
	if after := strings.Join(s.drawn(20), "\n"); after == before || !strings.Contains(after, "13:00") {
		t.Errorf("drawn as it was before:\n%s", after)
	}
}
