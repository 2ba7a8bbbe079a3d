package shed

import (
	"fleece.example/tubside/cooling"
)

// BoilMin is how long the kettle takes to boil so many litres from the hot
// tap, min: t = m c dT/(efficiency P).
func (k *Kit) BoilMin(litres float64) float64 { return k.BoilFromMin(litres, k.HotTapC) }

// BoilFromMin is BoilMin of water that has so many °C.
func (k *Kit) BoilFromMin(litres, fromC float64) float64 {
	if !(litres > 0) || k.Kettle.PowerW <= 0 {
		return 0
	}
	return cooling.WaterPortion(litres, fromC).HeatJPerK * max(0, k.BoilingC()-fromC) / (KettleEfficiency * k.Kettle.PowerW) / 60
}

// RefillMin is the hands between two boils, min: into the pail, and full again; our own
// choice.
const RefillMin = 1.0

// PouringMin is how long a kettle stands while the tap water runs in, min: 8 to 10 L a
// minute, from memory.
const PouringMin = 1.0

// Boil is water for a fill that is boiled in loads of this kettle (in one, with whole),
// the last of which has stood for so many minutes when the fill begins; pailMin is since when
// that one was put on, min: what had boiled before is in the pail and is not boiled again. 0 as
// reckoned.
func (k *Kit) Boil(whole bool, stoodMin, pailMin float64) cooling.Boil {
	b := cooling.Boil{BoilingC: k.BoilingC(), RoomC: k.RoomC, StoodMin: max(0, stoodMin) + PouringMin, PailMin: pailMin + RefillMin + PouringMin,
		LoadMin: func(litres float64) float64 { return RefillMin + k.BoilMin(litres) }}
	if !whole {
		b.KettleL = k.Kettle.CapacityL
	}
	return b
}

// KettleEfficiency of a kettle half full or more; from memory 0.8-0.9.
const KettleEfficiency = 0.85
