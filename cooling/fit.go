package cooling

import "math"

// Fitted is what is known of a bath after its readings: the most likely start
// temperature and loss scale with their joint uncertainty. The zero value
// knows nothing: its At and Crossing are NaN.
type Fitted struct {
	bath Bath // Changes are the fit's own ordered copy

	startC, logScale float64

	// Posterior covariance of (startC, logScale).
	varStart, varLog, covStartLog float64

	// The last reading, and the variance of ln(loss past it / loss up to it).
	turnMin, varAhead float64

	misfillC float64 // see MisfillC
}

// normal is a Gauss-Newton step's normal equations and the cost they were
// taken at.
type normal struct {
	cost             float64 // half the sum of squares
	gStart, gLog     float64 // gradient of the cost
	hSS, hLL, hSL    float64 // JᵀJ
	freeStart, freeL bool    // false: known for certain
}

// Fit finds the most likely start temperature and loss scale, given the prior
// (StartC ± StartSDC, LossWPerK with LossSDLog) and readings that each err by
// readingSDC: the maximum a posteriori, by damped Gauss-Newton, with the
// covariance of the linearised posterior. Without readings it is the prior.
//
// A reading at the same minute as a change counts as taken after it. Readings
// may come in any order; those that are not finite or lie before minute 0 are
// left out. A readingSDC of NaN, or not above 0, counts as 0.5 °C, a kitchen
// thermometer. One mistyped reading pulls the fit along: screen readings before.
//
// A bath whose room, start or heat is not finite, or whose heat is not above
// 0, gives a Fitted that answers NaN.
func (b Bath) Fit(readings []Reading, readingSDC float64) Fitted {
	f := Fitted{bath: b, startC: b.StartC}
	f.bath.Changes = orderedChanges(b.Changes)
	if !allFinite(b.RoomC, b.StartC, b.HeatJPerK) || b.HeatJPerK <= 0 {
		f.startC, f.logScale = math.NaN(), math.NaN()
		return f
	}
	if !(f.bath.LossWPerK > 0) || math.IsInf(f.bath.LossWPerK, 1) {
		f.bath.LossWPerK = 0
	}
	readings, readingSDC = orderedReadings(readings), tidyReadingSDC(readingSDC)
	startSD := deviation(b.StartSDC, widestStartSDC)
	logSD := deviation(b.LossSDLog, widestLossSDLog)

	f.climb(readings, readingSDC, startSD, logSD)
	if n := len(readings); n > 0 {
		f.turnMin = readings[n-1].AtMin
		f.varAhead = lawVariance(f.turnMin, f.varLog, logSD)
	}
	return f
}

// tidyReadingSDC is what a reading errs by.
func tidyReadingSDC(sdC float64) float64 {
	if !(sdC > 0) {
		return plainReadingSDC
	}
	return max(sdC, leastReadingSDC)
}

// deviation tidies a prior standard deviation: 0 is certain, NaN and too much
// are the widest.
func deviation(sd, widest float64) float64 {
	if math.IsNaN(sd) || sd > widest {
		return widest
	}
	return max(sd, 0)
}

// climb runs the damped Gauss-Newton iteration and leaves optimum and
// covariance in f. Two parameters and closed-form solutions: nothing is
// allocated.
func (f *Fitted) climb(readings []Reading, readingSD, startSD, logSD float64) {
	damping := 0.0
	at := f.equations(readings, readingSD, startSD, logSD)
	for range 60 {
		if len(readings) == 0 {
			break // the prior is its own optimum
		}
		dStart, dLog := at.solve(damping)
		trial := *f
		trial.startC += dStart
		trial.logScale = min(max(f.logScale+dLog, -mostLogLossScale), mostLogLossScale)
		next := trial.equations(readings, readingSD, startSD, logSD)
		if !(next.cost <= at.cost) {
			if smallStep(dStart, dLog) {
				break // as low as rounding lets it go
			}
			damping = max(damping*8, 1e-3)
			continue
		}
		*f, at = trial, next
		damping /= 8
		if damping < 1e-6 {
			damping = 0
		}
		if smallStep(dStart, dLog) {
			break
		}
	}
	f.varStart, f.varLog, f.covStartLog = at.covariance()
}

// smallStep reports a step after which there is nothing left to gain: a
// millionth of a degree. Gauss-Newton is so close by then that the next one
// would be many times smaller still.
func smallStep(dStart, dLog float64) bool {
	return math.Abs(dStart) < 1e-6 && math.Abs(dLog) < 1e-8
}

// equations walks the history once and gathers cost, gradient and JᵀJ over the
// prior and the readings.
func (f *Fitted) equations(readings []Reading, readingSD, startSD, logSD float64) normal {
	n := normal{freeStart: startSD > 0, freeL: logSD > 0}
	if n.freeStart {
		d := (f.startC - f.bath.StartC) / startSD
		n.cost += d * d / 2
		n.gStart += d / startSD
		n.hSS += 1 / (startSD * startSD)
	}
	if n.freeL {
		d := f.logScale / logSD
		n.cost += d * d / 2
		n.gLog += d / logSD
		n.hLL += 1 / (logSD * logSD)
	}
	weight := 1 / (readingSD * readingSD)
	scale := math.Exp(f.logScale)
	s := f.bath.start(f.startC)
	changes := f.bath.Changes
	for _, r := range readings {
		for len(changes) > 0 && changes[0].AtMin <= r.AtMin {
			s.coolTo(changes[0].AtMin, scale)
			s.apply(changes[0])
			changes = changes[1:]
		}
		s.coolTo(r.AtMin, scale)
		miss := s.tempC - r.TempC
		n.cost += miss * miss * weight / 2
		n.gStart += miss * s.byStart * weight
		n.gLog += miss * s.byLog * weight
		n.hSS += s.byStart * s.byStart * weight
		n.hLL += s.byLog * s.byLog * weight
		n.hSL += s.byStart * s.byLog * weight
	}
	return n
}

// solve gives the step that the normal equations ask for, with their diagonal
// raised by the damping; a parameter known for certain stays where it is.
func (n normal) solve(damping float64) (dStart, dLog float64) {
	a, c := n.hSS*(1+damping), n.hLL*(1+damping)
	switch {
	case n.freeStart && n.freeL:
		det := a*c - n.hSL*n.hSL
		return (n.hSL*n.gLog - c*n.gStart) / det, (n.hSL*n.gStart - a*n.gLog) / det
	case n.freeStart:
		return -n.gStart / a, 0
	case n.freeL:
		return 0, -n.gLog / c
	default:
		return 0, 0
	}
}

// covariance is the inverse of the normal matrix.
func (n normal) covariance() (varStart, varLog, covStartLog float64) {
	switch {
	case n.freeStart && n.freeL:
		det := n.hSS*n.hLL - n.hSL*n.hSL
		return n.hLL / det, n.hSS / det, -n.hSL / det
	case n.freeStart:
		return 1 / n.hSS, 0, 0
	case n.freeL:
		return 0, 1 / n.hLL, 0
	default:
		return 0, 0, 0
	}
}

// leastByStart: a reading moves the start only where a degree of the start still makes
// this much of a degree at the reading.
const leastByStart = 0.1

// Through moves the fit so that it passes through a reading. To the person who has just
// read it the bath has that temperature, and an average with older readings would
// contradict them. The start moves; the loss scale and its uncertainty stay. At the
// reading the result is as sure as the fit was, widened by the distance moved, up to
// the thermometer's own readingSDC in °C.
//
// A reading that is not finite, or so late that the start no longer tells anything,
// leaves the fit as it is.
func (f Fitted) Through(r Reading, readingSDC float64) Fitted {
	s := f.bath.stateAt(max(r.AtMin, 0), f.course(0, 0, 0))
	if !allFinite(r.AtMin, r.TempC, s.tempC) || !(readingSDC > 0) || !(s.byStart >= leastByStart) {
		return f
	}
	miss, own := r.TempC-s.tempC, readingSDC*readingSDC
	want := min(f.deviationOf(s)*f.deviationOf(s)+miss*miss, own)
	for range 8 { // the loss bends the law a little
		f.startC += (r.TempC - s.tempC) / s.byStart
		s = f.bath.stateAt(max(r.AtMin, 0), f.course(0, 0, 0))
	}
	// Measured where the bath now is: moved far, start and loss count otherwise than before.
	if now := f.deviationOf(s) * f.deviationOf(s); now > want {
		part := (now - want) / (now * now)
		start, log := f.varStart*s.byStart+f.covStartLog*s.byLog, f.covStartLog*s.byStart+f.varLog*s.byLog
		f.varStart, f.varLog, f.covStartLog = f.varStart-part*start*start, f.varLog-part*log*log, f.covStartLog-part*start*log
	} else {
		f.varStart += (want - now) / (s.byStart * s.byStart)
	}
	return f
}

// LossScale is how many times the estimated loss the bath really loses: 1
// without readings. Multiply the tub's estimate in W/K by it to learn.
func (f Fitted) LossScale() float64 { return math.Exp(f.logScale) }

// At is the temperature at a minute, past or to come, in °C, with its standard
// deviation: what is not known of start and loss. It does not include the
// error of a thermometer that would be read then, nor the law's own error of a
// few tenths of a degree under a cover and more without one. Minutes before 0 count as 0.
func (f Fitted) At(atMin float64) (tempC, sdC float64) {
	if math.IsNaN(atMin) || !(f.bath.HeatJPerK > 0) {
		return math.NaN(), math.NaN()
	}
	s := f.bath.stateAt(max(atMin, 0), f.course(0, 0, 0))
	return s.tempC, f.deviationOf(s)
}

// deviationOf is the standard deviation of a state's temperature.
func (f *Fitted) deviationOf(s state) float64 {
	v := s.byStart*s.byStart*f.varStart + s.byLog*s.byLog*f.varLog + 2*s.byStart*s.byLog*f.covStartLog + s.byAhead*s.byAhead*f.varAhead
	return math.Sqrt(max(v, 0))
}
