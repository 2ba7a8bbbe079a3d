package cooling

import "math"

// A Tank is a storage water heater. The zero Tank is none: a heater that never
// runs out.
type Tank struct {
	VolumeL float64 // of the tank
	SetC    float64 // what it is set to
	ColdC   float64 // what flows in at the bottom
	HeaterW float64
}

// sagShare is the part of a tank that comes out after its outlet has begun to
// sag: about 70 % of the volume comes before (a rule of the trade, from a
// manufacturer's bulletin).
const sagShare = 0.3

// Known reports a tank that can run out.
func (t Tank) Known() bool {
	return t.VolumeL > 0 && t.SetC > t.ColdC && allFinite(t.VolumeL, t.SetC, t.ColdC)
}

// Draw is what comes out when drawL litres are taken from a tank that still
// holds storedL litres' worth of heat (litres at SetC; VolumeL when full): the
// mean temperature of what was drawn, °C, and what is stored after it.
//
// While more than 30 % is stored the outlet is at SetC. The rest is a mixed
// zone into which cold water follows: its outlet sags exponentially, and what
// leaves the outlet is what the store loses, so no heat is made or lost.
func (t Tank) Draw(storedL, drawL float64) (meanC, leftL float64) {
	if !t.Known() {
		return t.SetC, storedL
	}
	storedL = min(max(storedL, 0), t.VolumeL)
	if !(drawL > 0) {
		return t.outletC(storedL), storedL
	}
	zone := t.VolumeL * sagShare
	even := min(max(storedL-zone, 0), drawL)
	left := storedL - even
	if rest := drawL - even; rest > 0 {
		left *= math.Exp(-rest / zone)
	}
	return t.ColdC + (t.SetC-t.ColdC)*(storedL-left)/drawL, left
}

// outletC is the temperature at the outlet, °C.
func (t Tank) outletC(storedL float64) float64 {
	return t.ColdC + (t.SetC-t.ColdC)*min(1, storedL/(t.VolumeL*sagShare))
}

// RecoveryLPerMin is how many litres the heater brings from ColdC to SetC in a
// minute.
func (t Tank) RecoveryLPerMin() float64 {
	if !t.Known() || !(t.HeaterW > 0) {
		return 0
	}
	perL := WaterMassKg(1, t.SetC) * SpecificHeatJPerKgK((t.SetC+t.ColdC)/2) * (t.SetC - t.ColdC)
	return t.HeaterW * secondsPerMinute / perL
}

// Recover is what is stored after so many minutes in which nothing is drawn.
func (t Tank) Recover(storedL, minutes float64) (leftL float64) {
	if !t.Known() {
		return storedL
	}
	return min(t.VolumeL, max(storedL, 0)+t.RecoveryLPerMin()*max(minutes, 0))
}

// WaitMin is how long to wait until a draw of drawL comes at a mean of at least
// needC; ok is false if the tank never gives that.
func (t Tank) WaitMin(storedL, drawL, needC float64) (minutes float64, ok bool) {
	if c, _ := t.Draw(storedL, drawL); c >= needC {
		return 0, true
	}
	full, _ := t.Draw(t.VolumeL, drawL)
	rate := t.RecoveryLPerMin()
	if full < needC || rate <= 0 || !finite(needC) {
		return math.Inf(1), false
	}
	low, high := 0.0, (t.VolumeL-max(storedL, 0))/rate
	for range 50 {
		mid := (low + high) / 2
		if c, _ := t.Draw(t.Recover(storedL, mid), drawL); c < needC {
			low = mid
		} else {
			high = mid
		}
	}
	return high, true
}
