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
	const most = 100.0
	if SaturationPressurePa(most) <= pressure || math.IsNaN(altitudeM) {
		return most
	}
	// Newton's method on the logarithm, which is all but straight: from 100 °C it is at a
	// rounding error in four steps.
	t := most
	for range 5 {
		const stepC = 0.01
		log := math.Log(SaturationPressurePa(t))
		t -= (log - math.Log(pressure)) * stepC / (log - math.Log(SaturationPressurePa(t-stepC)))
	}
	return t
}

// PourCoolsC is what boiling water loses when it is poured, °C; from memory.
const PourCoolsC = 3.0

// boilingPa is the saturation pressure at 100 °C.
var boilingPa = SaturationPressurePa(100)

// poured is what water comes to that is poured from one vessel into another: most of what
// it loses is vapour, so cooler water loses less.
func poured(water Portion) Portion {
	water.TempC -= PourCoolsC * SaturationPressurePa(water.TempC) / boilingPa
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
	load := poured(Portion{loadJPerK, b.BoilingC})
	// inPail is what is in the pail when so many loads have just been poured there. It is
	// kept, as a fill asks again and again.
	inPail := append(make([]Portion, 0, 4), Portion{}, Portion{loadJPerK, Mix(load, Portion{pailJPerK, b.RoomC})})
	return func(litres float64) float64 {
		lastL, loads := litres, 0
		for ; b.KettleL > 0 && lastL > b.KettleL*(1+1e-9) && loads < mostKept; loads++ {
			lastL -= b.KettleL
		}
		last := poured(stood(Portion{loadJPerK * lastL / sizeL, b.BoilingC}, kettleWPerK, b.StoodMin))
		if loads == 0 {
			return last.TempC
		}
		for n := len(inPail); n <= loads; n++ {
			kept := stood(inPail[n-1], pailWPerK, b.LoadMin(b.KettleL))
			inPail = append(inPail, Portion{kept.HeatJPerK + loadJPerK, Mix(kept, load)})
		}
		loadMin := b.LoadMin(min(lastL, b.KettleL))
		return Mix(last, poured(stood(stood(inPail[loads], pailWPerK, loadMin), pailWPerK, max(b.StoodMin, b.PailMin-loadMin))))
	}
}

const (
	usualKettleL = 1.7
	mostKept     = 20 // loads that are reckoned one by one: nobody keeps more
)

// WoolJPerGK is the specific heat of wool fibre, J/(g·K), a handbook figure.
const WoolJPerGK = 1.36
