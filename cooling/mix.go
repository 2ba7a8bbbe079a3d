package cooling

import "math"

// A Portion is anything that brings heat to a mixture: so much heat capacity
// at a temperature. Water, a wet fleece, the wall of a tub.
type Portion struct {
	HeatJPerK float64 // heat capacity, J/K
	TempC     float64
}

// WaterPortion is a volume of water as measured at its own temperature.
func WaterPortion(volumeL, tempC float64) Portion {
	return Portion{HeatJPerK: WaterMassKg(volumeL, tempC) * SpecificHeatJPerKgK(tempC), TempC: tempC}
}

// Mix is the temperature in °C that portions come to when no heat is lost on
// the way. Each portion keeps the heat capacity that it came with; for water
// between 10 and 95 °C that is within 0.1 °C of mixing by enthalpy.
//
// A portion whose heat capacity is not above 0 brings nothing and is left out.
// With nothing left to mix, or a temperature that is not a number, there is no
// answer and the result is NaN.
func Mix(portions ...Portion) (tempC float64) {
	heat, mean := 0.0, math.NaN()
	for _, p := range portions {
		if !(p.HeatJPerK > 0) {
			continue
		}
		if heat == 0 {
			heat, mean = p.HeatJPerK, p.TempC
			continue
		}
		// A running mean never leaves the range of what was mixed, as a
		// quotient of two large sums could.
		heat += p.HeatJPerK
		mean += (p.TempC - mean) * (p.HeatJPerK / heat)
	}
	return mean
}

// A Pour says how to fill a tub. The volumes are as measured at the tap or in
// the kettle, each at its own temperature.
type Pour struct {
	HotL, ColdL, KettleL float64
	TempC                float64 // what results; NaN if nothing can be poured
	ShortC               float64 // above 0: how far below the target the best mix stays
}

// PourFor is how to make volumeL litres of water (at the temperature that
// results) of targetC from a hot tap, a cold tap and a kettle, with the least
// water from the kettle: hot and cold while the tap is hot enough, hot and
// kettle above that. Tub walls and the sink-in of the fleece are not counted;
// ask for a higher target to allow for them.
//
// If even the hottest water is too cool the pour is all of that and ShortC
// says by how much it misses; if the target is below the coldest water the
// pour is all of that and TempC is above the target. A kettleC of NaN means no
// kettle. A volume that is not above 0, or any other number that is not finite,
// gives no litres and a TempC of NaN.
func PourFor(volumeL, targetC, hotC, coldC, kettleC float64) Pour {
	if !(volumeL > 0) || !allFinite(volumeL, targetC, hotC, coldC) {
		return Pour{TempC: math.NaN()}
	}
	var pour Pour
	warm, cool, warmL, coolL := hotC, coldC, &pour.HotL, &pour.ColdL
	if cool > warm { // a boiler that is off, a cold tank in the sun
		warm, cool, warmL, coolL = cool, warm, coolL, warmL
	}
	if targetC > warm && kettleC > warm && finite(kettleC) {
		warm, cool, warmL, coolL = kettleC, warm, &pour.KettleL, warmL
	}
	pour.TempC = min(max(targetC, cool), warm)
	pour.ShortC = max(targetC-warm, 0)

	// The lever rule on heat: the warm part gives what the cool part takes.
	takes := SpecificHeatJPerKgK(cool) * (pour.TempC - cool)
	gives := SpecificHeatJPerKgK(warm) * (warm - pour.TempC)
	share := 1.0 // by mass; both waters alike: either will do
	if gives+takes > 0 {
		share = takes / (gives + takes)
	}
	massKg := WaterMassKg(volumeL, pour.TempC)
	*warmL = share * massKg / DensityKgPerM3(warm) * 1000
	*coolL = (1 - share) * massKg / DensityKgPerM3(cool) * 1000
	return pour
}
