package cooling

import "math"

// Learned is what finished baths taught about one tub under one cover:
// ln(loss/handbook loss) of its middle day, with the standard deviation of what
// is known of that. The zero value has learned nothing.
//
// The model is that of random effects. A tub has its own middle, drawn from
// what handbooks leave open; each day's loss is drawn around it; a bath measures
// that day's:
//
//	middle ~ N(0, tub²)   day ~ N(middle, between²)   measured ~ N(day, sd²)
//
// The handbook's spread is that of one bath of one tub, so tub² is what is left
// of its square without between². Of measurements yᵢ of different days, each
// with the weight wᵢ = 1/(sdᵢ² + between²), the middle is
//
//	(Σ wᵢ·yᵢ) / (1/tub² + Σ wᵢ)  ±  1/√(1/tub² + Σ wᵢ)
//
// and the next day is that ± √(SDLog² + between²): never surer than days are alike.
//
// By how much days differ is learned too, see [BetweenDays].
type Learned struct {
	LogScale, SDLog float64
	Baths           int
	BetweenSDLog    float64 // 0: as much as is usual, of a record that was written before it was learned
}

// A Lesson is what the readings of one bath say by themselves of
// ln(loss/handbook loss), apart from what was taken for granted before them.
type Lesson struct {
	LogScale, SDLog float64
}

// Prior is what a bath of a new day starts from: multiply the handbook's loss
// by scale, and take sdLog as [Bath.LossSDLog]. Without a bath learned that is
// the handbook's own.
func Prior(l Learned, handbookSDLog float64) (scale, sdLog float64) {
	if l.Baths <= 0 || !allFinite(l.LogScale, l.SDLog, l.BetweenSDLog) {
		return 1, handbookSDLog
	}
	if !(l.BetweenSDLog > 0) {
		l.BetweenSDLog = middlingDaysSDLog
	}
	return math.Exp(l.LogScale), math.Hypot(l.SDLog, l.BetweenSDLog)
}

// Lesson takes from a fitted bath what its readings alone say: the prior is
// divided out of the posterior, as normal distributions in ln(loss). usedScale
// is what the handbook's loss had been multiplied by. ok is false if the
// readings said nothing, or the loss was taken as certain.
func (f Fitted) Lesson(usedScale float64) (l Lesson, ok bool) {
	prior := deviation(f.bath.LossSDLog, widestLossSDLog)
	priorWeight, weight := 1/(prior*prior), 1/f.varLog
	own := weight - priorWeight // the prior had a mean of 0
	if !(usedScale > 0) || math.IsInf(usedScale, 1) || !(own > priorWeight*leastLessonShare) || math.IsInf(own, 1) {
		return Lesson{}, false
	}
	return Lesson{LogScale: weight*f.logScale/own + math.Log(usedScale), SDLog: 1 / math.Sqrt(own)}, true
}

// leastLessonShare is how much readings have to add to what was known; less is
// rounding.
const leastLessonShare = 1e-6

// Learn is what the days of a tub taught, of which so many baths say something, if days
// differ by betweenSDLog.
func (t TubDays) Learn(betweenSDLog float64, baths int) Learned {
	if len(t.Days) == 0 || !(t.HandbookSDLog > 0) || !finite(betweenSDLog) {
		return Learned{}
	}
	weight, sum := 1/tubVariance(t.HandbookSDLog, betweenSDLog), 0.0
	for _, d := range t.Days {
		w := 1 / (d.SDLog*d.SDLog + betweenSDLog*betweenSDLog)
		weight, sum = weight+w, sum+w*d.LogScale
	}
	return Learned{sum / weight, 1 / math.Sqrt(weight), baths, betweenSDLog}
}

// MinutesBetween is how long a tub filled with water of fromC takes to come
// down to toC under a cover, as handbook and learned baths have it: what the
// person can expect of it before any reading. It does not count a fleece, nor
// any doubt of fromC.
func MinutesBetween(v Vessel, fillL float64, c Cover, roomC, fromC, toC float64, l Learned) Crossing {
	midC := (fromC + toC) / 2
	handbook, handbookSD := LossWPerK(v, fillL, c, midC, roomC)
	scale, sdLog := Prior(l, handbookSD)
	return Bath{
		RoomC: roomC, StartC: fromC,
		HeatJPerK: WaterPortion(fillL, fromC).HeatJPerK + VesselHeatJPerK(v, fillL),
		LossWPerK: handbook * scale, LossSDLog: sdLog,
		LossAtC: midC, LossTilt: LossTilt(v, fillL, c, midC, roomC),
	}.Fit(nil, 0).Crossing(toC, 0)
}
