package draw

import "testing"

// Minutes left are never more than there are.
func TestMinText(t *testing.T) {
	for m, want := range map[float64]string{-3: "under 1 min", 0.9: "under 1 min", 1: "1 min", 4.9: "4 min", 59.9: "59 min"} {
		if got := MinText(m); got != want {
			t.Errorf("%g min: %q, want %q", m, got, want)
		}
	}
}
