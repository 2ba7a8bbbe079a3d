package cooling

import "math"

// AirPressurePa is the pressure of the standard atmosphere, Pa, at a height
// above the sea, m. Source: the barometric formula of the ICAO standard
// atmosphere (constants from memory), good to 11 km; heights outside -500 to
// 9000 m count as the nearer end.
func AirPressurePa(altitudeM float64) float64 {
	h := min(max(altitudeM, -500), 9000)
	return 101325 * math.Pow(1-2.25577e-5*h, 5.25588)
}

// BoilingC is the temperature at which water boils at a height above the sea,
// °C: where its saturation pressure is that of the standard atmosphere. Weather
// moves it by about half a degree. Below sea level it counts as 100 °C.
func BoilingC(altitudeM float64) float64 {
	pressure := AirPressurePa(altitudeM)
	low, high := 50.0, 100.0
	if SaturationPressurePa(high) <= pressure || math.IsNaN(altitudeM) {
		return high
	}
	for range 50 { // halving 50 K to below a rounding error
		mid := (low + high) / 2
		if SaturationPressurePa(mid) < pressure {
			low = mid
		} else {
			high = mid
		}
	}
	return (low + high) / 2
}

// KettleCoolsC is what water from a kettle that has just boiled has lost when it
// is in the tub, °C; from memory.
const KettleCoolsC = 3.0

// WoolJPerGK is the specific heat of wool fibre, J/(g·K), a handbook figure.
const WoolJPerGK = 1.36
