package cooling_test

import (
	"math"
	"testing"

	"fleece.example/tubside/cooling"
	"fleece.example/tubside/session/long"
)

// No reading of a real series is accused, however much of it there is; a slip of the
// hand among them is found, and what was meant by it.
func TestSuspectReadingsOfRealSeries(t *testing.T) {
	t.Parallel()
	good, slips, found, meant, besides := 0, 0, 0, 0, 0
	for _, s := range realSeriesAll(t) {
		asks := append(s.asks(), realAsk{readings: s.readings})
		for i, a := range asks {
			if i > 0 && len(a.readings) == len(asks[i-1].readings) {
				continue
			}
			o := cooling.SeriesOptions{RoomC: s.roomC, RoomFree: !s.roomKnown, StartFree: true}
			good += len(a.readings)
			for _, x := range cooling.SuspectReadings(a.readings, o) {
				t.Errorf("%s, %d readings to %.0f min: %v °C at %.1f min accused, %.1f expected", s.name, len(a.readings), a.readings[len(a.readings)-1].AtMin,
					a.readings[x.Index].TempC, a.readings[x.Index].AtMin, x.ExpectedC)
			}
			for k := range a.readings {
				if !long.Turn(k+i, 61) || len(a.readings) < 6 {
					continue
				}
				right := a.readings[k].TempC
				tens, ones := math.Floor(right/10), math.Mod(math.Floor(right), 10)
				for _, typed := range []float64{right + 9*(ones-tens), right - 10, right + 10} {
					if math.Abs(typed-right) < 9 || typed < 0 || typed > 100 {
						continue
					}
					slips++
					wrong := append([]cooling.Reading(nil), a.readings...)
					wrong[k].TempC = typed
					for _, x := range cooling.SuspectReadings(wrong, o) {
						if x.Index != k {
							besides++
							continue
						}
						found++
						if math.Abs(x.MeantC-right) < 1e-9 {
							meant++
						}
					}
				}
			}
		}
	}
	t.Logf("%d good readings; of %d slips of 9 °C and more %d found, what was meant of %d, %d good ones accused beside them", good, slips, found, meant, besides)
	if float64(found) < 0.97*float64(slips) || besides > slips/20 {
		t.Error("too many slips are believed, or good readings accused")
	}
}
