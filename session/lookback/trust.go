package lookback

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"sort"
	"time"

	"fleece.example/tubside/cooling"
	"fleece.example/tubside/session"
	"fleece.example/tubside/session/measure"
)

// Trust is how far the forecasts of a tub under a cover were to be trusted: each reading
// beside what had been forecast for its moment, with the fleece in.
type Trust struct {
	TubName string
	Cover   cooling.Cover
	Days    int
	OffC    []float64    // reading less forecast, °C, in order of time
	RangeC  [][2]float64 // the range that was given for each, likewise
	Inside  int          // of them in it: nine in ten should be
	BiasC   float64      // their mean
	SpreadC float64      // their standard deviation; NaN of one
}

// fewestReadings is how many readings say something of a forecast; our own choice.
const fewestReadings = 5

// TrustOf looks at all readings of some days, given in any order. One at the
// very moment of the filling is what the forecast begins with, and counts for nothing.
func TrustOf(days []session.Day) []Trust {
	type tub struct {
		name  string
		cover cooling.Cover
	}
	at := map[tub]*Trust{}
	days = slices.Clone(days)
	sort.Slice(days, func(i, j int) bool { return days[i].StartedAt.Before(days[j].StartedAt) })
	for _, d := range days {
		seen := map[tub]bool{}
		for _, b := range Baths(d) {
			for _, m := range b.Marks {
				if m.Kind != WasRead || m.Doubt || b.SunkAt.IsZero() || m.At.Before(b.SunkAt) || m.At.After(b.Until()) {
					continue
				}
				f, ok := b.Stood(m.At.Add(-time.Nanosecond))
				if !ok {
					continue
				}
				p := f.Heat.Point(m.At)
				if !measure.Finite(p.TempC) {
					continue
				}
				k := tub{b.TubName, b.coverAt(m.At)}
				t := at[k]
				if t == nil {
					t = &Trust{TubName: k.name, Cover: k.cover}
					at[k] = t
				}
				if !seen[k] {
					seen[k] = true
					t.Days++
				}
				t.OffC = append(t.OffC, m.TempC-p.TempC)
				t.RangeC = append(t.RangeC, [2]float64{p.LowC - p.TempC, p.HighC - p.TempC})
				if m.TempC >= p.LowC && m.TempC <= p.HighC {
					t.Inside++
				}
			}
		}
	}
	var out []Trust
	for _, t := range at {
		n := float64(len(t.OffC))
		for _, c := range t.OffC {
			t.BiasC += c / n
		}
		square := 0.0
		for _, c := range t.OffC {
			square += (c - t.BiasC) * (c - t.BiasC)
		}
		t.SpreadC = math.Sqrt(square / (n - 1))
		out = append(out, *t)
	}
	sort.SliceStable(out, func(i, j int) bool {
		return cmp.Or(cmp.Compare(out[i].TubName, out[j].TubName), cmp.Compare(out[i].Cover, out[j].Cover)) < 0
	})
	return out
}

// coverAt is what lay on the tub until a moment.
func (b Bath) coverAt(at time.Time) cooling.Cover {
	c := cooling.Cover(0)
	for _, x := range b.Changes {
		if x.At.Before(at) {
			c = x.Cover
		}
	}
	return c
}

// Trusted says how far to trust a tub's forecasts.
func (w Words) Trusted(t Trust) string {
	u, n := w.Units, len(t.OffC)
	text := fmt.Sprintf("%d of %s in the forecast range", t.Inside, measure.Counted(n, "reading", "readings"))
	switch {
	case n < fewestReadings:
		return text + ": too few to say."
	case math.Abs(t.BiasC) > 2*t.SpreadC/math.Sqrt(float64(n)) && math.Abs(t.BiasC) >= 1: // hardly by chance
		word := "hotter"
		if t.BiasC < 0 {
			word = "cooler"
		}
		text += fmt.Sprintf("; on average %s %s than forecast", u.TempApart(0, math.Abs(t.BiasC)), word)
	}
	if !insideEnough(t.Inside, n) {
		return text + ": its range is too narrow. Read this tub at least once in each wash."
	}
	return text + ": trust it."
}

// insideEnough says that so few inside could be chance where nine in ten should be: at
// least one time in twenty it is as few (the binomial distribution).
func insideEnough(inside, n int) bool {
	few, term := 0.0, math.Pow(0.1, float64(n)) // none of n
	for k := 0; k <= inside; k++ {
		few += term
		term *= float64(n-k) / float64(k+1) * 9
	}
	return few >= 0.05
}
