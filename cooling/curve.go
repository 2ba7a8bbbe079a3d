package cooling

import "math"

// MinutesUntil is when the curve of Newton's law of cooling (or warming), room + (start
// - room)·exp(-rate·minutes), passes targetC. ok is false if it never does: the target
// does not lie between start and room, or is the room's own temperature, which is
// approached but not reached. A target equal to the start is reached at once.
func MinutesUntil(startC, roomC, ratePerMin, targetC float64) (minutes float64, ok bool) {
	if startC == targetC && finite(startC) {
		return 0, true
	}
	ratio := (startC - roomC) / (targetC - roomC)
	if !(ratePerMin > 0) || !(ratio >= 1) || math.IsInf(ratio, 1) {
		return 0, false
	}
	return math.Log(ratio) / ratePerMin, true
}

// finite reports whether x is an ordinary number.
func finite(x float64) bool { return !math.IsNaN(x) && !math.IsInf(x, 0) }

// allFinite reports whether every value is an ordinary number.
func allFinite(xs ...float64) bool {
	for _, x := range xs {
		if !finite(x) {
			return false
		}
	}
	return true
}
