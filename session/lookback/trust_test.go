package lookback_test

import (
	"cmp"
	"math"
	"slices"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"

	"fleece.example/tubside/cooling"
	"fleece.example/tubside/session"
	"fleece.example/tubside/session/lookback"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/sessiontest"
	"fleece.example/tubside/session/shed"
)

// Each reading is held against the forecast that stood before it, under the cover that lay
// on the tub.
func TestTrustOfADay(t *testing.T) {
	r := washed(t, 65)
	var forecastC []float64
	read := func(offC float64) {
		h := r.Day.Heat(0)
		c, _ := h.At(r.Now)
		forecastC = append(forecastC, c)
		r.Do(session.TakeReading{TempC: math.Round(10*(c+offC)) / 10, Sure: true})
	}
	r.Wait(6)
	read(0.5)
	r.Wait(6)
	read(-0.5)
	r.Do(session.SetCover{Cover: cooling.Open}).Wait(4)
	read(-9) // far outside
	r.Next(0)
	got := lookback.TrustOf([]session.Day{finished(r).Day})
	if len(got) != 2 {
		t.Fatalf("%+v", got)
	}
	lid, open := got[0], got[1]
	if open.Cover != cooling.Open {
		lid, open = open, lid
	}
	// The reading of 65 °C at the filling is none of the two under the lid.
	if lid.TubName != "North" || len(lid.OffC) != 2 || lid.Inside != 2 || lid.Days != 1 || math.Abs(lid.OffC[0]-0.5) > 0.06 || math.Abs(lid.OffC[1]+0.5) > 0.06 {
		t.Errorf("under the lid: %+v", lid)
	}
	if len(open.OffC) != 1 || open.Inside != 0 || math.Abs(open.OffC[0]+9) > 0.06 || !math.IsNaN(open.SpreadC) {
		t.Errorf("open: %+v", open)
	}
	for _, x := range got { // each beside its own range
		in := 0
		for i, c := range x.OffC {
			if c >= x.RangeC[i][0] && c <= x.RangeC[i][1] {
				in++
			}
		}
		if in != x.Inside || len(x.RangeC) != len(x.OffC) {
			t.Errorf("%d of %+v in their ranges", in, x)
		}
	}
	mean := (lid.OffC[0] + lid.OffC[1]) / 2
	if math.Abs(lid.BiasC-mean) > 1e-9 {
		t.Errorf("bias %g, want %g", lid.BiasC, mean)
	}
}

func TestTrustIsSaidPlainly(t *testing.T) {
	w := lookback.Words{Units: measure.Metric}
	of := func(inside int, off ...float64) lookback.Trust {
		x := lookback.Trust{OffC: off, Inside: inside}
		for _, c := range off {
			x.BiasC += c / float64(len(off))
		}
		for _, c := range off {
			x.SpreadC += (c - x.BiasC) * (c - x.BiasC) / float64(len(off)-1)
		}
		x.SpreadC = math.Sqrt(x.SpreadC)
		return x
	}
	for name, c := range map[string]struct {
		is   lookback.Trust
		want string
	}{
		"few":  {of(2, 0.5, -0.5), "2 of 2 readings in the forecast range: too few to say."},
		"good": {of(6, 0.5, -0.5, 1, -1, 0.2, -0.2), "6 of 6 readings in the forecast range: trust it."},
		// Mean -2 °C, sd 0.25: 2 sd/sqrt(6) = 0.2.
		"cooler": {of(6, -2, -2.3, -1.7, -2, -2.2, -1.8), "6 of 6 readings in the forecast range; on average 2 °C cooler than forecast: trust it."},
		"wide":   {of(2, 4, -4, 5, -5, 0.2, -0.2), "2 of 6 readings in the forecast range: its range is too narrow. Read this tub at least once in each wash."},
	} {
		t.Run(name, func(t *testing.T) { sessiontest.Same(t, "it says", w.Trusted(c.is), c.want) })
	}
}

// How few inside is too few, against a library's binomial distribution.
func TestTooFewInside(t *testing.T) {
	for n := 5; n <= 60; n++ {
		b := distuv.Binomial{N: float64(n), P: 0.9}
		for inside := range n + 1 {
			if got, want := lookback.InsideEnough(inside, n), b.CDF(float64(inside)) >= 0.05; got != want {
				t.Fatalf("%d of %d: %v, want %v", inside, n, got, want)
			}
		}
	}
}

// Readings stand in order of time, however the days come.
func TestTrustIsInOrderOfTime(t *testing.T) {
	day := func(hour float64, offC float64) session.Day {
		r := sessiontest.StartAt(t, sessiontest.OneTub(), sessiontest.Dawn.Add(sessiontest.Minutes(60*hour))).Until(0, shed.Soaking).Wait(6)
		c, _, _ := r.Day.TempNow(0, r.Now)
		r.Do(session.TakeReading{TempC: c + offC, Sure: true}).Next(0)
		return finished(r).Day
	}
	got := lookback.TrustOf([]session.Day{day(48, -1), day(0, 1), day(24, 0.3)})
	if len(got) != 1 || !slices.IsSortedFunc(got[0].OffC, func(a, b float64) int { return cmp.Compare(b, a) }) {
		t.Errorf("%+v", got)
	}
}
