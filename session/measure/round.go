package measure

import "math"

// Figures that the program proposes and nobody has measured are round in the
// person's own units. In metric units they are so as they stand.

// RoundTempC is a temperature, in °C, to 5 °F.
func (s System) RoundTempC(c float64) float64 {
	if !s.Fahrenheit() {
		return c
	}
	return FToC(nearest(CToF(c), 5))
}

// RoundVolumeL is a volume, in L, to a quarter of a gallon, below one to a cup or pint.
func (s System) RoundVolumeL(l float64) float64 {
	m, ok := s.measures()
	switch {
	case !ok:
		return l
	case l < m.smallL*m.perGal:
		return nearest(l, m.smallL)
	}
	return nearest(l, m.smallL*m.perGal/4)
}

// RoundKettleL is a kettle's size, in L, to a cup, or a quarter of a pint.
func (s System) RoundKettleL(l float64) float64 {
	switch {
	case s.USVolume():
		return nearest(l, LPerUSCup)
	case s.Inches():
		return nearest(l, LPerImpPint/4)
	}
	return l
}

// RoundMassG is a mass, in g, to whole ounces, below one as it is.
func (s System) RoundMassG(g float64) float64 {
	if !s.Ounces() || g < GPerOz {
		return g
	}
	return nearest(g, GPerOz)
}

// MassStepG is what a batch that is proposed is rounded to, g: a gram, or half an ounce.
func (s System) MassStepG() float64 { return pick(s.Ounces(), 1, GPerOz/2) }

// VolumeSum shows a sum of volumes in L as Volume does, litres from 20 of them whole: nobody
// measures a day's water to the tenth.
func (s System) VolumeSum(l float64) string {
	if _, ok := s.measures(); !ok && l >= 20 {
		l = round(l, 0)
	}
	return s.Volume(l)
}

// DoseSum shows a sum of doses in mL as Dose does, in metric units to 5 mL, below 20 to 1.
func (s System) DoseSum(mL float64) string {
	switch {
	case s.USVolume():
	case mL < 20:
		mL = round(mL, 0)
	default:
		mL = nearest(mL, 5)
	}
	return s.Dose(mL)
}

func nearest(v, step float64) float64 { return math.Round(v/step) * step }
