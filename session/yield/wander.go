package yield

import "math"

// wander is how the weight of dry wool strays from its resting weight, in standard
// deviations by it: from one weighing to the next (the scale, the hand, a draught), by day
// and night (of the sine and of the cosine of a wave), and with the weather, alike for
// weighings near in time. One per cent of humidity takes 0.23 % of wool's weight along
// (isotherm at 55 %, drying). How restless a room is nobody knows beforehand: a heated
// room, a house, a shed, a house and a poor scale (our judgement, no source).
type wander struct{ each, wave, weather, weight float64 }

var wanders = []wander{
	{0.001, 0.0015, 0.004, 0.25}, {0.002, 0.006, 0.009, 0.35}, {0.003, 0.014, 0.014, 0.2}, {0.03, 0.01, 0.012, 0.2},
}

const (
	dayMin     = 24 * 60
	weatherMin = 2 * dayMin // in which the weather is mostly another
)

// shakyPart is how far a scale's last place is off from one weighing to the next, besides
// its rounding: a standard deviation by its step (from memory).
const shakyPart = 0.3

// roundedPart is what rounding to the step takes away, a standard deviation by it: 1/√12.
const roundedPart = 0.288675134594813

// between is the covariance of what two weighings stray by, so many minutes apart.
func (w wander) between(apartMin float64) float64 {
	return w.wave*w.wave*math.Cos(2*math.Pi*apartMin/dayMin) + w.weather*w.weather*math.Exp(-math.Abs(apartMin)/weatherMin)
}

// alone is what one weighing strays by, a standard deviation.
func (w wander) alone() float64 { return math.Sqrt(w.each*w.each + w.between(0)) }

// straying is the weighings under one wander, counted in its standard deviations, with
// what is common to them taken off: each tells something of its own.
type straying struct {
	chol             [][]float64 // lower triangle
	ones, mass       []float64
	one2, onG, mass2 float64 // products of ones and masses
	logDet           float64
}

// through is the same with a law: the products of its h.
type through struct {
	*straying
	hh, h1, hm, last float64 // with itself, ones and masses; last is h itself
}

// under is the weighings d under a wander; masses are counted from fromG.
func (d *drying) under(w wander, fromG float64) straying {
	n := len(d.ws)
	s := straying{chol: make([][]float64, n), ones: make([]float64, n), mass: make([]float64, n)}
	byG2 := d.likelyG * d.likelyG
	rounding := roundedPart * d.stepG * roundedPart * d.stepG
	shaky := shakyPart * d.stepG * shakyPart * d.stepG
	// Weighings that read the same while nothing shakes the last place are
	// rounded alike: together they say no more than one. alike is the first
	// harmonic of the rounding error's correlation under normal drift.
	alike := math.Exp(-4 * math.Pi * math.Pi * (shaky + byG2*(w.each*w.each+w.between(0))) / (d.stepG * d.stepG))
	for i, a := range d.ws {
		row := make([]float64, i+1)
		s.chol[i] = row
		for j, b := range d.ws[:i+1] {
			v := byG2 * w.between(a.AtMin-b.AtMin)
			switch {
			case i == j:
				v += byG2*w.each*w.each + shaky + rounding
			case math.Abs(a.MassG-b.MassG) < d.stepG/2:
				v += rounding * alike
			}
			for k := range j {
				v -= row[k] * s.chol[j][k]
			}
			if i == j {
				row[j] = math.Sqrt(max(v, 1e-9*(byG2*w.each*w.each+shaky+rounding)))
				s.logDet += 2 * math.Log(row[j])
			} else {
				row[j] = v / s.chol[j][j]
			}
		}
		one, m := 1.0, a.MassG-fromG
		for k := range i {
			one -= row[k] * s.ones[k]
			m -= row[k] * s.mass[k]
		}
		s.ones[i], s.mass[i] = one/row[i], m/row[i]
		s.one2 += s.ones[i] * s.ones[i]
		s.onG += s.ones[i] * s.mass[i]
		s.mass2 += s.mass[i] * s.mass[i]
	}
	return s
}

// through is the weighings seen through a law by which so much is left at each; h has room for
// one figure for each.
func (s *straying) through(left, h []float64) through {
	t := through{straying: s}
	for i, row := range s.chol {
		t.last = left[i]
		v := t.last
		for k, by := range row[:i] {
			v -= by * h[k]
		}
		v /= row[i]
		h[i] = v
		t.hh += v * v
		t.h1 += v * s.ones[i]
		t.hm += v * s.mass[i]
	}
	return t
}
