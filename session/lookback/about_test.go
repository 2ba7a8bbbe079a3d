package lookback_test

import (
	"math"
	"testing"
	"time"

	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/lookback"
	"fleece.example/tubside/session/sessiontest"
	"fleece.example/tubside/session/shed"
)

// TestAdviceIsAboutTheBathThatWasMostSo: of its tub and its step the one that came nearest to where wax
// sets, of lifts the latest; a deed's minutes are about the day.
func TestAdviceIsAboutTheBathThatWasMostSo(t *testing.T) {
	at := time.Date(2026, 3, 14, 9, 0, 0, 0, time.UTC)
	bath := func(tub, step string, marginC, lateMin float64) lookback.Bath {
		b := lookback.Bath{BathReview: ledger.BathReview{TubName: tub}, MarginC: marginC}
		b.Step, b.SoakMin, b.SunkAt = shed.Step{Name: step}, 20, at
		b.LiftedAt = at.Add(sessiontest.Minutes(20 + lateMin))
		return b
	}
	baths := []lookback.Bath{bath("North", "rinse", math.NaN(), 1), bath("North", "first hot wash", 4, 0), bath("South", "hot wash", 2, 0), bath("North", "hot wash", 6, 9), {}}
	for name, c := range map[string]struct {
		is       lookback.Advice
		bath     int
		ofTheDay bool
	}{
		"to reach a tub":         {lookback.Advice{Change: lookback.ReachTub}, 3, false},
		"of a step":              {lookback.Advice{Change: lookback.HotterStart, Step: "hot wash"}, 2, false},
		"of a tub":               {lookback.Advice{Change: lookback.PutCover, TubName: "North"}, 1, false},
		"of the tap":             {lookback.Advice{Change: lookback.TapAsRead}, 2, false},
		"of a step that is none": {lookback.Advice{Change: lookback.EarlyReading, Step: "scour"}, -1, false},
		"of deeds":               {lookback.Advice{Change: lookback.HandsMinutes}, -1, true},
	} {
		if i, ofTheDay := c.is.About(baths); i != c.bath || ofTheDay != c.ofTheDay {
			t.Errorf("%s: it is about %d, of the day %v; want %d, %v", name, i, ofTheDay, c.bath, c.ofTheDay)
		}
	}
}
