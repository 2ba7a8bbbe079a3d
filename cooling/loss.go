package cooling

import "math"

// Vessel is a tub: how much it holds brim-full and its rough form.
type Vessel struct {
	CapacityL float64
	Shape     Shape
}

// The make of a household tub. It is taken to be round and straight-sided;
// real tubs taper, and the spread of the estimate allows for it.
const (
	wallThicknessM        = 0.002  // common, no source
	wallConductivity      = 0.22   // W/(m·K), polypropylene, EN ISO 10456
	wallDensityKgPerM3    = 910.0  // polypropylene; from memory
	wallHeatJPerKgK       = 1800.0 // polypropylene, EN ISO 10456
	shallowWidthToDepth   = 3.0    // a tray; common, no source
	bottomWPerM2K         = 3.0    // through the tub's foot into a bench; from memory
	filmM2KPerW           = 0.125  // one layer of bubble film, middle of 0.10-0.15; from memory
	filmGap               = 0.05   // share of the surface open along a film's edge; estimate
	vapourBelowLid        = 0.4    // share of open evaporation that still moves heat to a lid; estimate
	leastDifferenceC      = 10.0   // see LossWPerK
	tiltReachC            = 16.0   // see LossTilt; the fall from 65 to 49 °C
	wallDropShare         = 0.9    // share of water-room difference left at the outer wall; estimate
	handbookSDLog         = 0.5    // see LossWPerK
	hottestRoomC          = 60.0
	coldestRoomC          = -30.0
	cubicMetresPerLitre   = 1e-3
	wallResistanceM2KPerW = wallThicknessM / wallConductivity
)

// tub is a vessel with water in it, as the heat sees it.
type tub struct {
	diameterM, fillM, dryM float64 // width, depth of water, height of wall above it
	surfaceM2              float64
}

// geometry works out the areas of a filling; ok is false if there is no water.
// A tub filled beyond its stated capacity is taken to be that much larger.
func geometry(v Vessel, fillL float64) (t tub, ok bool) {
	if !(fillL > 0) || math.IsInf(fillL, 1) || math.IsNaN(v.CapacityL) || math.IsInf(v.CapacityL, 0) {
		return tub{}, false
	}
	capacityL := max(v.CapacityL, fillL)
	widthToDepth := 1.0
	if v.Shape == Shallow {
		widthToDepth = shallowWidthToDepth
	}
	// volume = pi/4·d²·depth and depth = d/widthToDepth
	t.diameterM = math.Cbrt(4 * capacityL * cubicMetresPerLitre * widthToDepth / math.Pi)
	t.surfaceM2 = math.Pi / 4 * t.diameterM * t.diameterM
	t.fillM = fillL * cubicMetresPerLitre / t.surfaceM2
	t.dryM = max(t.diameterM/widthToDepth-t.fillM, 0)
	return t, t.surfaceM2 > 0 && t.fillM > 0
}

func (t tub) wettedWallM2() float64 { return math.Pi * t.diameterM * t.fillM }
func (t tub) dryWallM2() float64    { return math.Pi * t.diameterM * t.dryM }

// LossWPerK estimates how much heat a standing tub loses for each degree that
// its water is above the room, in W/K, from its size and cover alone: side and
// bottom through the wall, and the surface by convection, radiation and, where
// the cover lets it, evaporation. It is what a new tub starts from until its
// own readings say better.
//
// sdLog is the standard deviation of ln(loss) that such an estimate deserves, 0.5: two
// times out of three the truth lies between 0.6 and 1.65 times it. The vessels of
// testdata/published lie 0.42 off as the root of the mean square, from 0.5 to 2.2
// times it, and a tub 1.8 times off has to lie in its band on its first day, whatever
// the day is like.
//
// The loss of open water grows with its temperature: ask at the temperature in
// the middle of the fall, and use [LossTilt] for what lies to either side. Below
// 10 °C above the room the loss is that at 10 °C above, since evaporation does
// not die away with the difference and a quotient would run off to infinity.
// More cover never gives a greater loss, nor does a greater fill cool faster.
//
// Temperatures outside what water or a room can have count as the nearest such.
// No water, or a number that is not finite, gives a loss of NaN. A cover or
// shape outside the named ones counts as Open or Deep.
func LossWPerK(v Vessel, fillL float64, c Cover, waterC, roomC float64) (wPerK float64, sdLog float64) {
	t, ok := geometry(v, fillL)
	if !ok || math.IsNaN(waterC) || math.IsNaN(roomC) {
		return math.NaN(), handbookSDLog
	}
	roomC = min(max(roomC, coldestRoomC), hottestRoomC)
	waterC = max(liquid(waterC), roomC+leastDifferenceC)
	return t.wallLossWPerK(waterC, roomC) + t.topLossWPerK(c, waterC, roomC), handbookSDLog
}

// LossTilt estimates how the loss of a standing tub grows with its water's
// temperature: d ln([LossWPerK])/dT at waterC, 1/°C, from the same handbook
// relations, as the secant over tiltReachC to either side. For tubs at 57 °C in
// a 20 °C room it is 0.013-0.016 open, where evaporation rules, and about 0.005
// under a cover.
//
// Near the room's temperature, and where [LossWPerK] has no answer, it is 0.
func LossTilt(v Vessel, fillL float64, c Cover, waterC, roomC float64) (perC float64) {
	reachC := min(tiltReachC, waterC-roomC-leastDifferenceC)
	if !(reachC > 0) {
		return 0
	}
	below, _ := LossWPerK(v, fillL, c, waterC-reachC, roomC)
	above, _ := LossWPerK(v, fillL, c, waterC+reachC, roomC)
	at, _ := LossWPerK(v, fillL, c, waterC, roomC)
	if perC = (above - below) / (2 * reachC * at); !(perC > 0) || math.IsInf(perC, 1) {
		return 0
	}
	return perC
}

// wallLossWPerK is what goes through the wetted wall and the bottom, the same
// under every cover. The water's own side of the wall resists hardly at all
// and is left out.
func (t tub) wallLossWPerK(waterC, roomC float64) float64 {
	outerC := roomC + wallDropShare*(waterC-roomC)
	wall := 1 / (wallResistanceM2KPerW + 1/wallWPerM2K(outerC, roomC, t.fillM))
	return wall*t.wettedWallM2() + bottomWPerM2K*t.surfaceM2
}

// topLossWPerK is what goes through the surface and its cover. Each cover is
// built from the coefficients of the barer one with something in its way, so
// that it cannot lose more.
func (t tub) topLossWPerK(c Cover, waterC, roomC float64) float64 {
	dry := topWPerM2K(waterC, roomC, t.diameterM)
	vapour := evaporationWPerM2(waterC, roomC) / (waterC - roomC)
	filmed := (1 - filmGap) / (filmM2KPerW + 1/dry)
	switch c {
	case Lid:
		return t.throughLid(dry+vapourBelowLid*vapour, roomC, waterC)
	case Film:
		return t.surfaceM2 * (filmed + filmGap*(dry+vapour))
	case LidAndFilm:
		return t.throughLid(filmed+filmGap*(dry+vapourBelowLid*vapour), roomC, waterC)
	default:
		return t.surfaceM2 * (dry + vapour)
	}
}

// throughLid is the way from the surface (belowWPerM2K) into the air under the
// lid and out through the lid and the dry part of the wall, one after the
// other. Under a lid the air is warm and damp, so the dry wall counts.
func (t tub) throughLid(belowWPerM2K, roomC, waterC float64) float64 {
	lidC := (waterC + roomC) / 2
	outer := 1 / (wallResistanceM2KPerW + 1/topWPerM2K(lidC, roomC, t.diameterM))
	return 1 / (1/(belowWPerM2K*t.surfaceM2) + 1/(outer*(t.surfaceM2+t.dryWallM2())))
}

// VesselHeatJPerK is the heat capacity of the part of the tub that follows the
// water's temperature: wetted wall and bottom, polypropylene 2 mm thick, in
// J/K. For 8 L in a bucket it is about 600 J/K, the worth of 0.15 L of water. No
// water, or a number that is not finite, gives 0.
func VesselHeatJPerK(v Vessel, fillL float64) float64 {
	t, ok := geometry(v, fillL)
	if !ok {
		return 0
	}
	return (t.wettedWallM2() + t.surfaceM2) * wallThicknessM * wallDensityKgPerM3 * wallHeatJPerKgK
}
