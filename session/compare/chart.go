package compare

import "math"

// Chart is one row of figures in order of time, with what is usual of it.
type Chart struct {
	V []float64
	// Mean is the centre line. StepMean is the mean step from one figure to the next, the
	// moving range of two.
	Mean, StepMean float64
	// Low and High are the limits, Mean ± 2.66 StepMean; NaN where HasLimits is false.
	Low, High float64
	HasLimits bool
	Unusual   []bool // beyond the limits, for each figure
	// Shift is how many of the latest figures lie on one side of the centre line, where
	// those are runOf or more; 0: no such run. ShiftBy is by how much their mean lies over
	// that of those before.
	Shift   int
	ShiftBy float64
}

// The chart of individuals: NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.2; the run
// of eight is the last of the rules of its 6.3.2.
const (
	rangeOfTwo = 1.128 // d2: the mean range of two figures in standard deviations
	sigmas     = 3.0
	runOf      = 8
	// FewestForLimits: of fewer figures a chart draws no limits; our own choice.
	FewestForLimits = 8
	// perFigure is how often one figure of a chart in which nothing changes lies beyond its
	// limits, by the table in the package comment (three sigmas that are known: 0.0027).
	perFigure = 0.0026
)

// ByChance is in which part of the charts with so many figures, in which nothing changes, at
// least one is called unusual.
func (c Chart) ByChance() float64 { return 1 - math.Pow(1-perFigure, float64(len(c.V))) }

// afterEachOther is the same in hundredths where each figure takes after the last by 0.6, by the
// table in the package comment.
var afterEachOther = [...]struct{ n, in100 float64 }{{8, 9.2}, {12, 21.9}, {20, 46.2}, {50, 87.1}, {100, 98.5}}

// ByDrift is ByChance where the figures take after each other, as over a season, by 0.6.
func (c Chart) ByDrift() float64 {
	n, last := float64(len(c.V)), afterEachOther[0]
	for _, next := range afterEachOther {
		if n <= next.n {
			part := 1.0
			if next.n > last.n {
				part = (n - last.n) / (next.n - last.n)
			}
			return (last.in100 + part*(next.in100-last.in100)) / 100
		}
		last = next
	}
	return last.in100 / 100
}

// ChartOf works a row of figures out. Without limits, as of a measure that is not about as
// often so far above its mean as below, it is mean and figures alone.
func ChartOf(v []float64, limits bool) Chart {
	c := Chart{V: v, Mean: mean(v), Low: math.NaN(), High: math.NaN(), Unusual: make([]bool, len(v))}
	for i := range v[min(1, len(v)):] {
		c.StepMean += math.Abs(v[i+1]-v[i]) / float64(len(v)-1)
	}
	if !limits || len(v) < FewestForLimits || c.StepMean == 0 {
		return c
	}
	half := sigmas / rangeOfTwo * c.StepMean
	c.Low, c.High, c.HasLimits = c.Mean-half, c.Mean+half, true
	for i, x := range v {
		c.Unusual[i] = x < c.Low || x > c.High
	}
	n, last := 0, len(v)-1
	for n <= last && (v[last-n]-c.Mean)*(v[last]-c.Mean) > 0 {
		n++
	}
	if n >= runOf && n < len(v) {
		c.Shift, c.ShiftBy = n, mean(v[len(v)-n:])-mean(v[:len(v)-n])
	}
	return c
}
