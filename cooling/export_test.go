package cooling

import "math"

// The correlation that a published example checks.
var NusseltVertical = nusseltVertical

// TempAt is Newton's law of cooling (or warming): the temperature in °C after
// so many minutes, room + (start - room)·exp(-rate·minutes). Negative minutes
// look back. A rate that is not above 0 means that nothing changes. A NaN
// temperature or time gives NaN.
func TempAt(startC, roomC, ratePerMin, minutes float64) float64 {
	if !(ratePerMin > 0) {
		return startC
	}
	return roomC + (startC-roomC)*math.Exp(-ratePerMin*minutes)
}

// RateFromReading is the rate per minute that takes water from startC to tempC
// in so many minutes. ok is false if no cooling towards the room does that: no
// time has passed, the reading lies further from the room than the start, or
// at or beyond the room.
//
// A reading error of d °C puts the rate out by about d/((temp-room)·minutes).
func RateFromReading(startC, roomC, tempC, minutes float64) (ratePerMin float64, ok bool) {
	ratio := (startC - roomC) / (tempC - roomC)
	if !(minutes > 0) || math.IsInf(minutes, 1) || !(ratio >= 1) || math.IsInf(ratio, 1) {
		return 0, false
	}
	return math.Log(ratio) / minutes, true
}

// LossSDLog is the standard deviation of ln([Fitted.LossScale]) that is left
// after the readings, for the next bath to start from.
func (f Fitted) LossSDLog() float64 { return math.Sqrt(f.varLog) }

// StartC is the temperature at minute 0 before any change, in °C.
func (f Fitted) StartC() float64 { return f.startC }

// StartSDC is the standard deviation of [Fitted.StartC] after the readings.
func (f Fitted) StartSDC() float64 { return math.Sqrt(f.varStart) }
