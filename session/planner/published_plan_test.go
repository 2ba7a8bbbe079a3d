package planner_test

import (
	"testing"

	"fleece.example/tubside/session/sessiontest"
	"fleece.example/tubside/session/shed"
)

// Kettle: t = m c dT/(eta P), a worked example: 1.7 L from 15 to 100 °C at 3 kW
// and an efficiency of 0.85 take 237 s (computed; efficiencies of 0.8-0.9 from
// memory, a worked example of the trade has 84.6 %).
func TestPublishedKettleTime(t *testing.T) {
	k := shed.Kit{HotTapC: 15, Kettle: shed.Kettle{CapacityL: 1.7, PowerW: 3000}}
	sessiontest.Near(t, "1.7 L to the boil", 60*k.BoilMin(1.7), 237, 2)
	// OpenStax, College Physics 2e, 20.4, exercise: 350 g of water and 100 g of
	// aluminium from 20 to 95 °C in 2.00 min take 972 W. Without the pan's 6.75
	// kJ it is 916 W, all of it into the water.
	k = shed.Kit{HotTapC: 20, AltitudeM: 1500, Kettle: shed.Kettle{CapacityL: 1, PowerW: (972*120 - 6750) / 120.0 / 0.85}}
	sessiontest.Near(t, "boils at 95 °C", k.BoilingC(), 95, 0.05)
	sessiontest.Near(t, "350 g to 95 °C", k.BoilMin(0.350/0.9982), 2.00, 0.01)
}
