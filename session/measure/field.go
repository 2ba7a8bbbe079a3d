package measure

import (
	"math"
	"strings"
)

// Decimals of the figures that pre-fill a form field. They are one finer than
// the shown figures, so that saving a form nobody edited moves a value by less
// than a person could measure, and saving it again moves nothing.
const (
	tempDecimals   = 1
	volumeDecimals = 2
	massDecimalsG  = 1
	massDecimalsOz = 2
	doseDecimals   = 2
)

// TempUnit is the unit of a bare temperature: "°C" or "°F".
func (s System) TempUnit() string { return pick(s.Fahrenheit(), "°C", "°F") }

// VolumeUnit is the unit of a bare volume: "L" or "gal".
func (s System) VolumeUnit() string { return pick(s.Inches(), "L", "gal") }

// JugUnit is the unit of a bare volume that is poured from a jug: "L", "cups" or
// "pints".
func (s System) JugUnit() string {
	if m, ok := s.measures(); ok {
		return m.many
	}
	return "L"
}

// MassUnit is the unit of a bare mass: "g" or "oz".
func (s System) MassUnit() string { return pick(s.Ounces(), "g", "oz") }

// DoseUnit is the unit of a bare dose: "mL" or "tsp".
func (s System) DoseUnit() string { return pick(s.USVolume(), "mL", "tsp") }

// TempField is the plain number, in TempUnit, of a temperature in °C.
func (s System) TempField(c float64) string {
	return field(s.Degrees(c), tempDecimals)
}

// VolumeField is a volume in L as one types it: the plain number of litres, or gallons
// and what is left of them, to a quarter of a cup or pint: "2 gal 1 qt", "3 1/4 cups".
func (s System) VolumeField(l float64) string {
	m, ok := s.measures()
	switch {
	case !finite(l):
		return ""
	case !ok:
		return decimal(l, volumeDecimals)
	case round(l*1000/m.mLPerFlOz, 1) == 0:
		return "0" // in no unit
	}
	return m.exact(l)
}

// JugField is the plain number, in JugUnit, of a volume in L as one reads it
// off a jug: to 50 mL or a quarter of a cup or pint, and never none of what there is.
func (s System) JugField(l float64) string {
	if !finite(l) {
		return ""
	}
	step := max(s.FinestL(), 0.05)
	if l > 0 {
		l = max(step, math.Round(l/step)*step)
	}
	if m, ok := s.measures(); ok {
		return quarterText(l / m.smallL)
	}
	return decimal(l, volumeDecimals)
}

// MarkField is the plain number, in JugUnit, of the mark of a jug or the size of a kettle in L.
func (s System) MarkField(l float64) string { return field(l/s.jugL(), 3) }

// jugL is the size of JugUnit.
func (s System) jugL() float64 {
	if m, ok := s.measures(); ok {
		return m.smallL
	}
	return 1
}

// MassField is a mass in g as one types it: the plain number, in MassUnit, and from a
// pound "5 lb 6 oz".
func (s System) MassField(g float64) string {
	switch {
	case !finite(g):
		return ""
	case s.Ounces() && math.Round(math.Abs(g)/GPerOz*100) >= 1600:
		return pounds(g, s.massDecimals(g)-1)
	}
	return decimal(g/s.bareG(), s.massDecimals(g))
}

// MassTyped is MassField with its unit.
func (s System) MassTyped(g float64) string {
	text := s.MassField(g)
	if text == "" {
		return unknown
	}
	if strings.HasSuffix(text, "z") || strings.HasSuffix(text, "b") {
		return text
	}
	return text + " " + s.MassUnit()
}

// RoundMassFieldG is a mass in g as MassField shows it.
func (s System) RoundMassFieldG(g float64) float64 {
	return round(g/s.bareG(), s.massDecimals(g)) * s.bareG()
}

// DoseField is the number, in DoseUnit, of a dose in mL; teaspoons to the quarter, but
// for less than one.
func (s System) DoseField(mL float64) string {
	if tsp := mL / MLPerUSTsp; s.USVolume() && finite(mL) && tsp >= 1.0/8 {
		return quarterText(tsp)
	}
	return field(mL/s.bareML(), doseDecimals)
}

// StapleField is the number, in mm or in, of a lock's length in mm: to a millimetre, or
// an eighth of an inch.
func (s System) StapleField(mm float64) string {
	if s.Inches() {
		return fraction(mm/1000/MPerInch, 8)
	}
	return decimal(mm, 0)
}

func (s System) massDecimals(g float64) int {
	switch {
	case !s.Ounces():
		return massDecimalsG
	case wholeSteps(g, 8): // an eighth as a scale has it
		return massDecimalsOz + 1
	}
	return massDecimalsOz
}

// field leaves a field empty rather than fill it with what no parser takes.
func field(v float64, decimals int) string {
	if !finite(v) {
		return ""
	}
	return decimal(v, decimals)
}

// bareL, bareG and bareML are the sizes of the units of bare numbers.
func (s System) bareL() float64 {
	if m, ok := s.measures(); ok {
		return m.smallL * m.perGal
	}
	return 1
}

func (s System) bareG() float64 { return pick(s.Ounces(), 1, GPerOz) }

func (s System) bareML() float64 { return pick(s.USVolume(), 1, MLPerUSTsp) }

func pick[T any](other bool, metric, us T) T {
	if other {
		return us
	}
	return metric
}
