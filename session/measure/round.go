package measure

import "math"

// Figures that the program proposes and nobody has measured are round in the
// person's own units. In metric units they are so as they stand.

// RoundTempC is a temperature, in °C, to 5 °F.
func (s System) RoundTempC(c float64) float64 {
	if s != US {
		return c
	}
	return FToC(nearest(CToF(c), 5))
}

// RoundVolumeL is a volume, in L, to a quarter of a US gallon, below one to a cup.
func (s System) RoundVolumeL(l float64) float64 {
	switch {
	case s != US:
		return l
	case l < LPerUSGal:
		return nearest(l, LPerUSCup)
	}
	return nearest(l, LPerUSGal/4)
}

// RoundMassG is a mass, in g, to whole ounces, below one as it is.
func (s System) RoundMassG(g float64) float64 {
	if s != US || g < GPerOz {
		return g
	}
	return nearest(g, GPerOz)
}

// MassStepG is what Mass shows a batch to, g: a gram, or a tenth of an ounce.
func (s System) MassStepG() float64 {
	if s == US {
		return GPerOz / 10
	}
	return 1
}

func nearest(v, step float64) float64 { return math.Round(v/step) * step }
