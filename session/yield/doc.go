// Package yield is the arithmetic of the weights of a fleece: moisture, clean
// yield with what its figure may be off by, a forecast of what the rest of a
// fleece will give, where the loss went, and when a batch on the rack is dry.
//
// Masses are grams, yields and moistures parts of one (0.52 is 52 %), times
// minutes. Every Interval is a 90 % one unless its comment says otherwise. Bad
// input gives an error whose text is a sentence for the person; one that the
// person may confirm is a Question. Nothing here returns NaN without an error.
//
// Published figures carry their source beside them. "From memory" and "common
// practice, no source" mark the others.
package yield

import (
	"cmp"
	"math"
	"slices"
	"strconv"
)

// Interval holds the 5 %, the likely (median or best) and the 95 % value.
type Interval struct {
	Low    float64 `json:"low"`
	Likely float64 `json:"likely"`
	High   float64 `json:"high"`
}

// times scales all three; by must not be negative.
func (i Interval) times(by float64) Interval { return Interval{i.Low * by, i.Likely * by, i.High * by} }

// within keeps all three between low and high, and in order.
func (i Interval) within(low, high float64) Interval {
	i.Likely = min(max(i.Likely, low), high)
	i.Low = min(max(i.Low, low), i.Likely)
	i.High = max(min(i.High, high), i.Likely)
	return i
}

// Show writes a mass in grams in the person's own unit; nil writes grams.
type Show func(massG float64) string

func (s Show) mass(massG float64) string {
	if s != nil {
		return s(massG)
	}
	if math.Abs(massG) < 10 {
		massG = math.Round(10*massG) / 10
	} else {
		massG = math.Round(massG)
	}
	return strconv.FormatFloat(massG, 'f', -1, 64) + " g"
}

func percent(part float64) string { return strconv.FormatFloat(100*part, 'f', 1, 64) + " %" }

func wholePercent(part float64) string { return strconv.FormatFloat(100*part, 'f', 0, 64) + " %" }

func finite(vs ...float64) bool {
	for _, v := range vs {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return false
		}
	}
	return true
}

// z90 is the normal quantile that leaves 5 % on either side.
const z90 = 1.6448536269514722

// sample is a value with a weight.
type sample struct{ value, weight float64 }

// quantiles sorts the samples and returns the values below which the given
// parts of their weight lie.
func quantiles(s []sample, parts ...float64) []float64 {
	slices.SortFunc(s, func(a, b sample) int { return cmp.Compare(a.value, b.value) })
	total := 0.0
	for _, x := range s {
		total += x.weight
	}
	out := make([]float64, len(parts))
	for i, p := range parts {
		sum := 0.0
		for _, x := range s {
			out[i] = x.value
			if sum += x.weight; sum >= p*total {
				break
			}
		}
	}
	return out
}

// normals is a mixture of normal distributions.
type normals []struct{ weight, mean, sd float64 }

func (m *normals) add(weight, mean, sd float64) {
	*m = append(*m, struct{ weight, mean, sd float64 }{weight, mean, sd})
}

func (m normals) below(x float64) float64 {
	const far = 6 // deviations, beyond which nothing is left
	sum, total := 0.0, 0.0
	for _, c := range m {
		total += c.weight
		switch z := (x - c.mean) / c.sd; {
		case z > far:
			sum += c.weight
		case z > -far:
			sum += c.weight * 0.5 * math.Erfc(-z/math.Sqrt2)
		}
	}
	return sum / total
}

// between is the part of the mixture from low to high.
func (m normals) between(low, high float64) float64 { return max(m.below(high)-m.below(low), 0) }

// interval is the 90 % interval of the mixture given that the value lies
// between low and high.
func (m normals) interval(low, high float64) Interval {
	under, over := m.below(low), m.below(high)
	at := func(p float64) float64 {
		p = under + p*(over-under)
		a, b := low, high
		for range 26 { // one part in 10^7 of the whole stretch
			if mid := a + (b-a)/2; m.below(mid) < p {
				a = mid
			} else {
				b = mid
			}
		}
		return a + (b-a)/2
	}
	return Interval{at(0.05), at(0.5), at(0.95)}.within(low, high)
}

// expAll turns log weights into weights whose largest is one.
func expAll(logs []float64) []float64 {
	top := math.Inf(-1)
	for _, l := range logs {
		top = max(top, l)
	}
	out := make([]float64, len(logs))
	for i, l := range logs {
		out[i] = math.Exp(l - top)
	}
	return out
}
