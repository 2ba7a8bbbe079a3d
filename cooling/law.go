package cooling

// LawSDLog is by how much a real bath leaves the law on the way that is left after
// its last reading, as a standard deviation of ln(loss from there on / loss up to
// there). The time still to go is off by as much, so that what it makes in minutes
// grows with the way. Measured on the series of testdata/published that estimate
// (go test ./cooling -run LawError -v): 0.12 as the root of the mean square, 0.09 about
// their mean, which is that they all cool a little more slowly than the handbook's tilt
// has it. It lies between.
const LawSDLog = 0.11

// lawVariance is the variance of ln(loss past the last reading / loss up to it): all
// of the law's own where the readings have taken the place of the handbook, none
// where they said nothing, since the handbook's spread has it in it.
func lawVariance(varLog, priorVar float64) float64 {
	if !(priorVar > 0) {
		return 0
	}
	return LawSDLog * LawSDLog * max(1-varLog/priorVar, 0)
}
