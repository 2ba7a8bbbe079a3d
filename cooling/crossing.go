package cooling

import "math"

// A Crossing is when a bath comes down to a temperature, in minutes since it
// was filled: with 5, 50 and 95 % probability it has by then. +Inf: it never
// does. NaN: there is no telling.
type Crossing struct {
	EarlyMin, LikelyMin, LateMin float64
}

// ninetyFive is the 95 % point of the standard normal distribution.
const ninetyFive = 1.6448536269514722

// Crossing is when the bath is first at or below targetC, at or after fromMin
// (before 0 counts as 0). A bath that is there already answers fromMin. Changes
// that lie ahead, such as a planned sink-in, are counted.
//
// Early and late are the exact crossings of the bath with start and loss moved
// 1.645 standard deviations together, in the direction that matters most for
// the temperature at that very moment. So the interval is lopsided, as the
// truth is: a loss known to a factor leaves more time open after than before.
func (f Fitted) Crossing(targetC, fromMin float64) Crossing {
	fromMin = max(fromMin, 0)
	likely := math.NaN()
	if f.bath.HeatJPerK > 0 {
		likely = f.bath.firstAtOrBelow(targetC, fromMin, f.course(0, 0, 0))
	}
	if math.IsNaN(likely) {
		return Crossing{likely, likely, likely}
	}
	return Crossing{
		EarlyMin:  min(f.quantile(targetC, fromMin, likely, -ninetyFive), likely),
		LikelyMin: likely,
		LateMin:   max(f.quantile(targetC, fromMin, likely, ninetyFive), likely),
	}
}

// quantile is the crossing with the parameters moved by so many standard
// deviations towards a warmer (positive) or cooler bath. The direction depends
// on the moment it is taken at and the moment on the direction; a few rounds
// settle it.
func (f *Fitted) quantile(targetC, fromMin, likely, deviations float64) float64 {
	at, on := likely, f.course(0, 0, 0)
	for range 4 {
		if math.IsInf(at, 1) {
			at = fromMin
		}
		s := f.bath.stateAt(at, on)
		sd := f.deviationOf(s)
		if !(sd > 0) {
			return f.bath.firstAtOrBelow(targetC, fromMin, on)
		}
		on = f.moved(s, deviations/sd)
		at = f.bath.firstAtOrBelow(targetC, fromMin, on)
	}
	return at
}

// course is the fitted course with its start, its loss and the loss past the last
// reading moved.
func (f *Fitted) course(byC, byLog, byAhead float64) course {
	return course{f.startC + byC, math.Exp(f.logScale + byLog), f.turnMin, math.Exp(f.logScale + byLog + byAhead)}
}

// moved is the course moved the way that matters most for the temperature of a
// state, by so many times what each parameter moves it.
func (f *Fitted) moved(s state, by float64) course {
	return f.course(
		by*(f.varStart*s.byStart+f.covStartLog*s.byLog),
		by*(f.covStartLog*s.byStart+f.varLog*s.byLog),
		by*f.varAhead*s.byAhead)
}
