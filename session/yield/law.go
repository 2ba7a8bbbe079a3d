package yield

import "math"

// law is how the water goes: steadily down to some part, then exponentially with the time
// constant; the core of a thick batch, which holds some of the water, exponentially over
// coreTaus of these. How large a part, and how slow a core, nobody knows beforehand (our
// judgement, no source).
type law struct{ part, core, coreTaus, weight float64 }

var laws = []law{
	{part: 1, weight: 0.21}, {part: 0.75, weight: 0.09}, {part: 0.5, weight: 0.12}, {part: 0.35, weight: 0.09}, {part: 0.2, weight: 0.09},
	{0.6, 0.08, 3.5, 0.11}, {0.6, 0.08, 6, 0.09}, {0.6, 0.18, 3.5, 0.11}, {0.6, 0.18, 6, 0.09},
}

// left is h: the part of the water that is left after some time constants.
func (l law) left(taus float64) float64 {
	h := l.outer(taus)
	if l.core > 0 {
		h += l.core * (math.Exp(-taus/l.coreTaus) - h)
	}
	return h
}

// leftAt is left at each weighing.
func (l law) leftAt(ws []Weighing, tauMin float64) []float64 {
	out := make([]float64, len(ws))
	for i, w := range ws {
		out[i] = l.left(w.AtMin / tauMin)
	}
	return out
}

func (l law) outer(taus float64) float64 {
	if steady := (1 - l.part) / l.part; taus > steady {
		return l.part * math.Exp(steady-taus)
	}
	return 1 - taus*l.part
}

// when is in how many time constants a part of the water is left.
func (l law) when(h float64) float64 {
	if h >= 1 {
		return 0
	}
	taus := (1 - l.part) / l.part
	if h >= l.part {
		taus = (1 - h) / l.part
	} else {
		taus += math.Log(l.part / h)
	}
	if l.core == 0 {
		return taus
	}
	// The core is behind. By the core alone it is before that; Newton's steps go on from the
	// later of the two, in logarithms, where what is left is all but straight.
	taus = max(taus, l.coreTaus*math.Log(l.core/h))
	const near = 1e-3
	for range 8 {
		is := l.left(taus)
		slope := l.core * math.Exp(-taus/l.coreTaus) / l.coreTaus
		slope += (1 - l.core) * min(l.outer(taus), l.part)
		step := math.Log(is/h) * is / slope
		taus = max(taus+step, 0)
		if math.Abs(step) < near {
			break
		}
	}
	return taus
}
