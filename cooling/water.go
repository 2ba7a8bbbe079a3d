package cooling

import "math"

// polynomial evaluates c[0] + c[1]·x + c[2]·x² … by Horner's rule.
func polynomial(x float64, c ...float64) float64 {
	sum := 0.0
	for i := len(c) - 1; i >= 0; i-- {
		sum = sum*x + c[i]
	}
	return sum
}

// liquid clamps a temperature to the range in which water is liquid at
// sea level, 0-100 °C. The formulas of this file are fitted there and run away
// outside. NaN stays NaN.
func liquid(tempC float64) float64 { return min(max(tempC, 0), 100) }

// DensityKgPerM3 is the density of water at 1 atm, in kg/m³.
//
// Source: G. S. Kell, J. Chem. Eng. Data 20(1):97, 1975; the constants are from
// memory and a test holds them against IAPWS-IF97: within 0.013 kg/m³ between 5
// and 95 °C. Temperatures outside 0-100 °C count as the nearer end; NaN gives NaN.
func DensityKgPerM3(tempC float64) float64 {
	t := liquid(tempC)
	return polynomial(t, 999.83952, 16.945176, -7.9870401e-3,
		-46.170461e-6, 105.56302e-9, -280.54253e-12) / (1 + 16.879850e-3*t)
}

// SpecificHeatJPerKgK is the specific heat of liquid water at constant
// pressure, in J/(kg·K).
//
// Source: least-squares polynomial through the IAPWS-IF97 (2007) table, within
// 0.2 J/(kg·K) of it. Temperatures outside 0-100 °C count as the nearer end;
// NaN gives NaN.
func SpecificHeatJPerKgK(tempC float64) float64 {
	return polynomial(liquid(tempC)/100,
		4219.847, -342.623, 1269.937, -2776.631, 3633.837, -2455.976, 668.272)
}

// SaturationPressurePa is the pressure of water vapour over liquid water, in Pa.
//
// Source: A. L. Buck, 1996 revision of his 1981 equation, constants from
// memory; within 0.11 % of IAPWS-IF97. Temperatures outside 0-100 °C count as
// the nearer end; NaN gives NaN.
func SaturationPressurePa(tempC float64) float64 {
	t := liquid(tempC)
	return 611.21 * math.Exp((18.678-t/234.5)*t/(257.14+t))
}

// WaterMassKg is what a volume of water weighs, in kg. A litre at 60 °C is
// 0.983 kg and at 15 °C 0.999 kg, so waters are mixed by mass and poured by
// volume. A volume that is negative or NaN weighs 0.
func WaterMassKg(volumeL, tempC float64) float64 {
	if !(volumeL > 0) {
		return 0
	}
	return volumeL / 1000 * DensityKgPerM3(tempC)
}
