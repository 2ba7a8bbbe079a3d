package shed

import (
	"testing"
	"time"
)

// Who goes to bed after midnight is up at eleven at night and at one, and not at five.
func TestWhenUp(t *testing.T) {
	at := func(day, h int) time.Time { return time.Date(2026, 3, day, h, 30, 0, 0, time.UTC) }
	up := time.Date(2026, 3, 14, 8, 0, 0, 0, time.UTC)
	for _, x := range []struct {
		upH, bedH int
		t, want   time.Time
	}{
		{8, 2, at(13, 23), at(13, 23)}, {8, 2, at(14, 1), at(14, 1)}, {8, 2, at(14, 2), up}, {8, 2, at(14, 5), up}, {8, 2, at(14, 8), at(14, 8)},
		{8, 22, at(13, 21), at(13, 21)}, {8, 22, at(13, 22), up}, {8, 22, at(14, 7), up}, {8, 24, at(13, 23), at(13, 23)}, {8, 24, at(14, 0), up},
	} {
		if got := (&Kit{UpH: x.upH, BedH: x.bedH}).WhenUp(x.t); !got.Equal(x.want) {
			t.Errorf("up %d to %d, %v: %v, want %v", x.upH, x.bedH, x.t, got, x.want)
		}
	}
}
