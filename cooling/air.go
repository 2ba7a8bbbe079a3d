package cooling

import "math"

// Constants of nature and of rooms.
const (
	zeroCelsiusK      = 273.15
	gravityMPerS2     = 9.81
	stefanBoltzmann   = 5.670374419e-8 // W/(m²·K⁴), CODATA 2018
	emissivity        = 0.95           // water and plastics alike; from memory
	roomHumidity      = 0.5            // share of saturation; a middling room
	evaporationPerKPa = 89.0           // W/(m²·kPa), see evaporationWPerM2
)

// air holds the properties of dry air at 1 atm that natural convection needs.
type air struct {
	conductivityWPerMK float64
	viscosityM2PerS    float64 // kinematic
	prandtl            float64
}

// airAt gives them at the mean of the surface's and the room's temperature.
// Straight lines through handbook values at 20 and 60 °C, from memory; within
// 2 % between 0 and 80 °C.
func airAt(tempC float64) air {
	return air{
		conductivityWPerMK: 0.0257 + 7.5e-5*(tempC-20),
		viscosityM2PerS:    1.51e-5 + 9.5e-8*(tempC-20),
		prandtl:            0.71,
	}
}

// rayleigh is the Rayleigh number of air of the mean temperature beside a
// surface that is differenceC warmer and lengthM long.
func (a air) rayleigh(meanC, differenceC, lengthM float64) float64 {
	grashof := gravityMPerS2 * math.Abs(differenceC) * lengthM * lengthM * lengthM /
		((meanC + zeroCelsiusK) * a.viscosityM2PerS * a.viscosityM2PerS)
	return grashof * a.prandtl
}

// nusseltVertical is the mean Nusselt number of natural convection on a
// vertical plate: S. W. Churchill and H. H. S. Chu, Int. J. Heat Mass Transfer
// 18:1323, 1975, the form for all Rayleigh numbers.
func nusseltVertical(rayleigh, prandtl float64) float64 {
	root := 0.825 + 0.387*math.Pow(rayleigh, 1.0/6)/
		math.Pow(1+math.Pow(0.492/prandtl, 9.0/16), 8.0/27)
	return root * root
}

// nusseltUpward is the mean Nusselt number of natural convection on a warm
// horizontal surface that faces up, of length area/perimeter: W. H. McAdams,
// Heat Transmission, 1954; from memory. The larger of the laminar and the
// turbulent form, so that it has no step where one takes over.
func nusseltUpward(rayleigh float64) float64 {
	return max(0.54*math.Pow(rayleigh, 0.25), 0.15*math.Cbrt(rayleigh))
}

// radiationWPerM2K is the radiation coefficient between a surface and a room:
// eps·sigma·(T1²+T2²)(T1+T2).
func radiationWPerM2K(surfaceC, roomC float64) float64 {
	t1, t2 := surfaceC+zeroCelsiusK, roomC+zeroCelsiusK
	return emissivity * stefanBoltzmann * (t1*t1 + t2*t2) * (t1 + t2)
}

// wallWPerM2K is what an upright wall at surfaceC gives to still air and the
// room, convection and radiation together: 8-11 W/m²K for a tub.
func wallWPerM2K(surfaceC, roomC, heightM float64) float64 {
	mean := (surfaceC + roomC) / 2
	a := airAt(mean)
	nusselt := nusseltVertical(a.rayleigh(mean, surfaceC-roomC, heightM), a.prandtl)
	return nusselt*a.conductivityWPerMK/heightM + radiationWPerM2K(surfaceC, roomC)
}

// topWPerM2K is the same for a level surface that faces up and is diameterM
// wide.
func topWPerM2K(surfaceC, roomC, diameterM float64) float64 {
	length := diameterM / 4 // area/perimeter of a disc
	mean := (surfaceC + roomC) / 2
	a := airAt(mean)
	nusselt := nusseltUpward(a.rayleigh(mean, surfaceC-roomC, length))
	return nusselt*a.conductivityWPerMK/length + radiationWPerM2K(surfaceC, roomC)
}

// evaporationWPerM2 is the heat that an open still surface loses by
// evaporation: w = A·(pw - pa)·0.089/Y kg/s with kPa and kJ/kg (ASHRAE, HVAC
// Applications, natatoriums; from memory), times the latent heat Y, which
// cancels. A quiet pool was measured at 74 % of it (Smith, Löf and Jones,
// ASHRAE Trans. 104(1A), 1998). The two differ; the larger is used because it
// brings the alarm sooner, and because water at 60 °C stirs the air above it
// more than a pool does.
func evaporationWPerM2(waterC, roomC float64) float64 {
	differencePa := SaturationPressurePa(waterC) - roomHumidity*SaturationPressurePa(roomC)
	return max(differencePa, 0) / 1000 * evaporationPerKPa
}
