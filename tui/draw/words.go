package draw

import (
	"fmt"
	"math"
	"strings"

	"fleece.example/tubside/session/measure"
)

// MinText is a whole number of minutes, as one says it.
func MinText(m float64) string {
	if m < 1 {
		return "under 1 min"
	}
	return measure.Minutes(math.Floor(m))
}

// Listed is "A1", "A1 and A2", "A1, A2 and A3", "A1, A2, A3 and 5 more".
func Listed(ids []string) string {
	const most = 6
	if n := len(ids); n > most {
		ids = append(ids[:most-1:most-1], fmt.Sprintf("%d more", n-most+1))
	}
	last := len(ids) - 1
	if last < 1 {
		return strings.Join(ids, "")
	}
	return strings.Join(ids[:last], ", ") + " and " + ids[last]
}

// RoundTo is the multiple of step that is nearest to v.
func RoundTo(v, step float64) float64 {
	if n := math.Round(1 / step); n > 1 && math.Abs(1/step-n) < 1e-9*n { // 0.07, not 0.07000000000000001
		return math.Round(v*n) / n
	}
	return math.Round(v/step) * step
}

// Verb is the form of a verb that goes with so many.
func Verb(of []string, one, more string) string {
	if len(of) == 1 {
		return one
	}
	return more
}
