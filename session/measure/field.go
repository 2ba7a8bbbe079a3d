package measure

import "math"

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
func (s System) TempUnit() string { return s.pick("°C", "°F") }

// VolumeUnit is the unit of a bare volume: "L" or "gal".
func (s System) VolumeUnit() string { return s.pick("L", "gal") }

// JugUnit is the unit of a bare volume that is poured from a jug: "L" or "cups".
func (s System) JugUnit() string { return s.pick("L", "cups") }

// MassUnit is the unit of a bare mass: "g" or "oz".
func (s System) MassUnit() string { return s.pick("g", "oz") }

// DoseUnit is the unit of a bare dose: "mL" or "tsp".
func (s System) DoseUnit() string { return s.pick("mL", "tsp") }

// TempField is the plain number, in TempUnit, of a temperature in °C.
func (s System) TempField(c float64) string {
	return field(s.Degrees(c), tempDecimals)
}

// VolumeField is the plain number, in VolumeUnit, of a volume in L.
func (s System) VolumeField(l float64) string {
	return field(l/s.bareL(), volumeDecimals)
}

// JugField is the plain number, in JugUnit, of a volume in L as one reads it
// off a jug: to 50 mL or a quarter of a cup, and never none of what there is.
func (s System) JugField(l float64) string {
	if !finite(l) {
		return ""
	}
	step := s.bareJugL()
	if l > 0 {
		l = max(step, math.Round(l/step)*step)
	}
	if s == US {
		return quarterText(l / LPerUSCup)
	}
	return decimal(l, volumeDecimals)
}

func (s System) bareJugL() float64 {
	if s == US {
		return LPerUSCup / 4
	}
	return 0.05
}

// MassField is the plain number, in MassUnit, of a mass in g.
func (s System) MassField(g float64) string {
	return field(g/s.bareG(), s.massDecimals())
}

// RoundMassFieldG is a mass in g as MassField shows it.
func (s System) RoundMassFieldG(g float64) float64 {
	return round(g/s.bareG(), s.massDecimals()) * s.bareG()
}

// DoseField is the plain number, in DoseUnit, of a dose in mL.
func (s System) DoseField(mL float64) string {
	return field(mL/s.bareML(), doseDecimals)
}

func (s System) massDecimals() int {
	if s == US {
		return massDecimalsOz
	}
	return massDecimalsG
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
	if s == US {
		return LPerUSGal
	}
	return 1
}

func (s System) bareG() float64 {
	if s == US {
		return GPerOz
	}
	return 1
}

func (s System) bareML() float64 {
	if s == US {
		return MLPerUSTsp
	}
	return 1
}

func (s System) pick(metric, us string) string {
	if s == US {
		return us
	}
	return metric
}
