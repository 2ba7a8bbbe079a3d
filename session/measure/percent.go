package measure

import "strconv"

// Percent shows a part of a whole in so many decimals: "49 %", "49%" where units are US.
func (s System) Percent(part float64, decimals int) string {
	if !finite(part) {
		return unknown
	}
	text := noMinusZero(strconv.FormatFloat(100*part, 'f', decimals, 64))
	if s == US {
		return text + "%"
	}
	return text + " %"
}
