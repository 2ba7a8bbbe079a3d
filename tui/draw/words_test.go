package draw

import (
	"strings"
	"testing"
)

// Minutes left are never more than there are.
func TestMinText(t *testing.T) {
	for m, want := range map[float64]string{-3: "under 1 min", 0.9: "under 1 min", 1: "1 min", 4.9: "4 min", 59.9: "59 min"} {
		if got := MinText(m); got != want {
			t.Errorf("%g min: %q, want %q", m, got, want)
		}
	}
}

// The number of a choice stays with what it chooses, a figure with its unit.
func TestWrappedKeepsTogether(t *testing.T) {
	const text = "1 room and taps · 2 the timetable · 3 more batches, 12 min · 4 no kettle"
	for w := 14; w < 60; w++ {
		for _, l := range Wrapped(text, w) {
			if last := l[strings.LastIndex(l, " ")+1:]; strings.Trim(last, "0123456789") == "" {
				t.Errorf("at %d a line ends in %q", w, l)
			}
		}
	}
}
