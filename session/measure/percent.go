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
	if s.American() {
		return PercentFigure(part, decimals) + "%"
	}
	return PercentFigure(part, decimals) + " %"
}

// PercentTyped is Percent as it was typed: "170 %", "57.5 %".
func (s System) PercentTyped(part float64) string { return s.PercentSigns(figure(100*part, 1, "%")) }

// PercentFigure is Percent without its sign. A half goes up, also one that lacks a little of
// it only in binary, as 57.5 %.
func PercentFigure(part float64, decimals int) string {
	const inBinary = 1e-12
	return noMinusZero(strconv.FormatFloat(round(100*part*(1+inBinary), decimals), 'f', decimals, 64))
}

// PercentSigns gives a text whose figures have their signs as Percent gives them here.
func (s System) PercentSigns(text string) string {
	if s.American() {
		return strings.ReplaceAll(text, " %", "%")
	}
	return text
}
