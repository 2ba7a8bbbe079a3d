package shed

import (
	"fleece.example/tubside/cooling"
)

// BoilMin is how long the kettle takes to boil so many litres from the hot
// tap, min: t = m c dT/(efficiency P).
func (k Kit) BoilMin(litres float64) float64 {
	if !(litres > 0) || k.Kettle.PowerW <= 0 {
		return 0
	}
	return cooling.WaterPortion(litres, k.HotTapC).HeatJPerK * max(0, k.BoilingC()-k.HotTapC) / (KettleEfficiency * k.Kettle.PowerW) / 60
}

// KettleEfficiency of a kettle half full or more; from memory 0.8-0.9.
const KettleEfficiency = 0.85
