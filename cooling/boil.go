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

// PourCoolsC is what boiling water loses when it is poured, °C; from memory.
const PourCoolsC = 3.0

// poured is what water comes to that is poured from one vessel into another: most of what
// it loses is vapour, so cooler water loses less.
func poured(water Portion) Portion {
	water.TempC -= PourCoolsC * SaturationPressurePa(water.TempC) / SaturationPressurePa(100)
	return water
}

// A Boil is water that is boiled in one kettle load after the other: all but the last
// wait in a lidded pail, then all of it is poured.
type Boil struct {
	BoilingC, RoomC float64
	KettleL         float64                      // what the kettle holds, 0: one load of any size
	LoadMin         func(litres float64) float64 // from one load's end to the next's
	StoodMin        float64                      // from the last load's end until it is poured
	PailMin         float64                      // and of the loads before, where they waited longer than that load took
}

// pail is what boiled water waits in: a household bucket of the usual size (common
// practice), cold before the first load.
var pail = Vessel{CapacityL: 10, Shape: Deep}

// PouredC says how hot so many litres come into the tub, °C. Kettle and pail lose heat as
// any closed vessel of their size does at the boil ([LossWPerK], handbook relations:
// within 0.6 to 1.65 times it, two times out of three), a full kettle of 1.7 L 0.6 °C a
// minute. From memory a kettle loses about one, which lies in that band.
func (b Boil) PouredC() func(litres float64) float64 {
	sizeL := b.KettleL
	if !(sizeL > 0) {
		sizeL = usualKettleL
	}
	kettleWPerK, _ := LossWPerK(Vessel{CapacityL: sizeL, Shape: Deep}, sizeL, Lid, b.BoilingC, b.RoomC)
	pailWPerK, _ := LossWPerK(pail, min(sizeL, pail.CapacityL), Lid, b.BoilingC, b.RoomC)
	pailJPerK := VesselHeatJPerK(pail, min(sizeL, pail.CapacityL))
	stood := func(water Portion, wPerK, minutes float64) Portion {
		water.TempC = b.RoomC + (water.TempC-b.RoomC)*math.Exp(-wPerK*secondsPerMinute*minutes/water.HeatJPerK)
		return water
	}
	loadJPerK := WaterPortion(sizeL, b.BoilingC).HeatJPerK
	return func(litres float64) float64 {
		lastL, kept, loadMin := litres, Portion{}, 0.0
		for b.KettleL > 0 && lastL > b.KettleL*(1+1e-9) && kept.HeatJPerK < mostKept*loadJPerK {
			load := poured(Portion{loadJPerK, b.BoilingC})
			if kept.HeatJPerK == 0 {
				load.TempC = Mix(load, Portion{pailJPerK, b.RoomC}) // the cold pail
			}
			kept = Portion{kept.HeatJPerK + loadJPerK, Mix(kept, load)}
			lastL -= b.KettleL
			loadMin = b.LoadMin(min(lastL, b.KettleL))
			kept = stood(kept, pailWPerK, loadMin)
		}
		last := poured(stood(Portion{loadJPerK * lastL / sizeL, b.BoilingC}, kettleWPerK, b.StoodMin))
		if kept.HeatJPerK == 0 {
			return last.TempC
		}
		return Mix(last, poured(stood(kept, pailWPerK, max(b.StoodMin, b.PailMin-loadMin))))
	}
}

const (
	usualKettleL = 1.7
	mostKept     = 20 // loads that are reckoned one by one: nobody keeps more
)

// WoolJPerGK is the specific heat of wool fibre, J/(g·K), a handbook figure.
const WoolJPerGK = 1.36
