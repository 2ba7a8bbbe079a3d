package measure

import (
	"strconv"
	"strings"
)

// Percent shows a part of a whole in so many decimals: "49 %", "49%" as it is written in the US.
func (s System) Percent(part float64, decimals int) string {
	if !finite(part) {
		return unknown
	}
	text := noMinusZero(strconv.FormatFloat(100*part, 'f', decimals, 64))
	if s.American() {
		return text + "%"
	}
	return text + " %"
}

// PercentSigns gives a text whose figures have their signs as Percent gives them here.
func (s System) PercentSigns(text string) string {
	if s.American() {
		return strings.ReplaceAll(text, " %", "%")
	}
	return text
}
