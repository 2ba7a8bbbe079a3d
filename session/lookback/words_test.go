package lookback_test

import (
	"testing"

	"fleece.example/tubside/session/lookback"
	"fleece.example/tubside/session/sessiontest"
	"fleece.example/tubside/session/shed"
)

// How often times how long is how much in all, planned and as it was.
func TestTheTableOfHandsComputes(t *testing.T) {
	row := func(h lookback.HandsTiming) []string { return lookback.Words{}.HandsRow(h) }
	sessiontest.Same(t, "fill", row(lookback.HandsTiming{Act: shed.FillTub, PlannedTimes: 15, PlannedMin: 45, Times: 14, WasMin: 18.2}),
		[]string{"fill", "15 times", "3.0 min", "45 min", "14 times", "1.3 min", "18 min"})
	sessiontest.Same(t, "never", row(lookback.HandsTiming{Act: shed.Lift, PlannedTimes: 1, PlannedMin: 1.5}), []string{"lift", "1 time", "1.5 min", "2 min", "-", "-", "-"})
}
