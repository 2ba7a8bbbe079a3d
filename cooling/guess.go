package cooling

import (
	"errors"
	"math"
	"slices"
)

// A Tub is what a series of readings was taken in.
type Tub struct {
	Vessel Vessel
	FillL  float64
	Cover  Cover
}

const (
	// KitchenReadingSDC is by how much a kitchen thermometer, read to the degree,
	// errs, °C; common practice, no source.
	KitchenReadingSDC = 0.7

	// LossTakenBelowFillC: a bath's loss is taken so much below its fill, half the
	// fall from a wash bath to its release temperature.
	LossTakenBelowFillC = 8.0
)

// What is tried where nobody knows it.
const (
	middlingRoomC, roomSDC = 20.0, 4.5 // common, no source
	triedRoomStepC         = 2.0
	leastRoomBelowC        = 1.0 // a room is so much cooler than what cools in it

	coolestRoomC, warmestRoomC = 0.0, 40.0 // in which anybody washes

	// The rooms that are tried go from CoolestTriedC to WarmestTriedC.
	CoolestTriedC float64 = 8
	WarmestTriedC float64 = 32

	bendHoldsAboveRoomC = 30.0
	leastWeight         = 0.002 // against the likeliest guess; less makes no difference
	tellingReadings     = 12.0  // more of them err together, and tell the law no better
	mostTriedReadings   = 120   // more are taken together, some at a time
	finestMissC         = 0.2   // no series keeps to a law better than that
	worstMissC          = 1.0   // what is more is said, and counted where it is the law's
)

// triedBends are how much more a bath may lose for each degree above the room, as a
// share of what it loses near the room's temperature: nothing for Newton's own law,
// 0.007 under a film, 0.03 and more in open mugs, the most where the mug itself still
// warms. The weights are how usual they are; an estimate.
var triedBends = [...]struct{ perC, weight float64 }{{0, 0.3}, {0.007, 1}, {0.015, 1}, {0.03, 1}, {0.06, 0.6}, {0.12, 0.1}}

// A guess is one way in which a series may have come about, and how likely it is
// once its readings are seen; all together are 1.
type guess struct {
	bath     Bath
	readings []Reading // minutes since the series' origin
	lnWeight float64
	weight   float64
	fitted   Fitted
	missC    float64 // how far the readings lie from it, as a standard deviation
	crossing Crossing
}

// ways are all there are before the readings are weighed: each room, if nobody knows it,
// and each bend, if nobody knows the tub.
func (s *series) ways() (out []guess) {
	points := s.together()
	first, last := points[0], points[len(points)-1]
	start := Bath{StartC: first.TempC, StartSDC: widestStartSDC, HeatJPerK: 1}
	if !s.o.StartFree {
		start.StartC, start.StartSDC = s.o.StartC, 0
	}
	in := func(roomC, lnPrior float64) {
		b := start
		b.RoomC = roomC
		if t := s.o.Tub; t != nil {
			readings := points
			if s.o.StartFree { // the first is that of the fill
				b.StartSDC, readings = s.readingSDC(), points[1:]
			}
			midC := b.StartC - LossTakenBelowFillC
			b.HeatJPerK = WaterPortion(t.FillL, b.StartC).HeatJPerK + VesselHeatJPerK(t.Vessel, t.FillL)
			b.LossWPerK, b.LossSDLog = LossWPerK(t.Vessel, t.FillL, t.Cover, midC, roomC)
			b.LossAtC, b.LossTilt = midC, LossTilt(t.Vessel, t.FillL, t.Cover, midC, roomC)
			out = append(out, guess{bath: b, readings: readings, lnWeight: lnPrior})
			return
		}
		fell := math.Log((first.TempC - roomC) / max(last.TempC-roomC, leastRoomBelowC/2))
		b.LossWPerK, b.LossSDLog = max(fell, 0.01)/s.lastMin/secondsPerMinute, widestLossSDLog
		for _, bend := range triedBends {
			b.LossAtC, b.LossTilt = roomC+bendHoldsAboveRoomC, bend.perC/(1+bend.perC*bendHoldsAboveRoomC)
			out = append(out, guess{bath: b, readings: points, lnWeight: lnPrior + math.Log(bend.weight)})
		}
	}
	if !s.o.RoomFree {
		in(s.o.RoomC, 0)
	}
	for roomC := CoolestTriedC; s.o.RoomFree && (roomC == CoolestTriedC || roomC <= s.warmestRoomC()); roomC += triedRoomStepC {
		off := (roomC - middlingRoomC) / roomSDC
		in(roomC, -off*off/2)
	}
	return out
}

// warmestRoomC is no warmer than what cools down to it.
func (s *series) warmestRoomC() float64 {
	warmest := WarmestTriedC
	for _, p := range s.points {
		warmest = min(warmest, p.TempC-leastRoomBelowC)
	}
	return warmest
}

// readingSDC is what a reading in a tub that is known errs by.
func (s *series) readingSDC() float64 {
	if s.o.ReadingSDC > 0 {
		return s.o.ReadingSDC
	}
	return KitchenReadingSDC
}

// judgedSDC is what a reading errs by where the readings have to tell: a few may lie on a curve by
// chance, so it is as if one more had told of a kitchen thermometer.
func (s *series) judgedSDC(plain SeriesFit) float64 {
	if s.o.ReadingSDC > 0 {
		return s.o.ReadingSDC
	}
	sdC := math.Sqrt((plain.RSS + KitchenReadingSDC*KitchenReadingSDC) / float64(plain.DF+1))
	return min(max(sdC, finestMissC), worstMissC)
}

// together are the readings in order, in minutes since the series' origin; of very
// many, some at a time are taken as one.
func (s *series) together() []Reading {
	points := slices.Clone(s.points)
	for i := range points {
		points[i].AtMin -= s.originM
	}
	points = orderedReadings(points)
	if len(points) <= mostTriedReadings {
		return points
	}
	out := make([]Reading, 0, mostTriedReadings)
	for i := range mostTriedReadings {
		some := points[i*len(points)/mostTriedReadings : (i+1)*len(points)/mostTriedReadings]
		mean := Reading{}
		for _, p := range some {
			mean.AtMin += p.AtMin / float64(len(some))
			mean.TempC += p.TempC / float64(len(some))
		}
		out = append(out, mean)
	}
	return out
}

// weigh fits each guess to its readings, which err by sdC, and gives what they make
// likely of it. Nothing is left where nothing can be told. misfills: the fill may be off, which is
// asked where tub and room are known: rooms nobody knows leave as much open.
func weigh(gs []guess, floorC, sdC float64, misfills bool) []guess {
	best := math.Inf(-1)
	for i := range gs {
		g := &gs[i]
		fitted, missC, lnWeight := g.bath.settle(g.readings, sdC, misfills)
		g.fitted, g.missC = fitted, missC
		g.lnWeight += lnWeight
		if math.IsNaN(g.lnWeight) {
			g.lnWeight = math.Inf(-1)
		}
		best = max(best, g.lnWeight)
	}
	if math.IsInf(best, 0) {
		return nil
	}
	sum, kept := 0.0, gs[:0]
	for _, g := range gs {
		if g.weight = math.Exp(g.lnWeight - best); g.weight < leastWeight {
			continue
		}
		g.crossing = g.fitted.Through(g.readings[len(g.readings)-1], sdC).Crossing(floorC, 0)
		if !math.IsNaN(g.crossing.LikelyMin) {
			sum += g.weight
			kept = append(kept, g)
		}
	}
	for i := range kept {
		kept[i].weight /= sum
	}
	return kept
}

// likeliest is the one with the most weight.
func likeliest(gs []guess) guess {
	return slices.MaxFunc(gs, func(a, b guess) int {
		if a.weight < b.weight {
			return -1
		}
		return 1
	})
}

// by is the probability that the floor is crossed by a minute: two halves of normal
// distributions. Where an end is open, what is left of a half comes in by and by.
func (c Crossing) by(minute float64) float64 {
	soon := func(from float64) float64 { return 0.45 * -math.Expm1(-(minute-from)/(math.Abs(from-c.EarlyMin)+1)) }
	half := func(endMin float64) float64 {
		if endMin == c.LikelyMin {
			return math.Inf(1)
		}
		return ninetyFive / math.Abs(endMin-c.LikelyMin)
	}
	switch {
	case minute < c.EarlyMin && math.IsInf(c.LikelyMin, 1):
		return 0
	case math.IsInf(c.LikelyMin, 1):
		return 0.05 + soon(c.EarlyMin)
	case minute == c.LikelyMin:
		return 0.5
	case minute < c.LikelyMin:
		return math.Erfc((c.LikelyMin-minute)*half(c.EarlyMin)/math.Sqrt2) / 2
	case math.IsInf(c.LateMin, 1):
		return 0.5 + soon(c.LikelyMin)
	default:
		return 1 - math.Erfc((minute-c.LikelyMin)*half(c.LateMin)/math.Sqrt2)/2
	}
}

// blend is when the floor is crossed by all guesses together.
func blend(gs []guess) Crossing {
	if len(gs) == 1 {
		return gs[0].crossing
	}
	by := func(minute float64) (sum float64) {
		for _, g := range gs {
			sum += g.weight * g.crossing.by(minute)
		}
		return sum
	}
	quantile := func(p float64) float64 {
		if by(0) >= p {
			return 0
		}
		low, high := 0.0, 1.0
		for ; by(high) < p; high *= 2 {
			if low = high; high > wildestMin {
				return math.Inf(1)
			}
		}
		for range 50 {
			if middle := low + (high-low)/2; by(middle) < p {
				low = middle
			} else {
				high = middle
			}
		}
		return high
	}
	return Crossing{quantile(0.05), quantile(0.5), quantile(0.95)}
}

// weighed are the guesses once the readings are seen, and the likeliest of them. Where
// the readings lie further from all of them than they err, they err by that much.
func (s *series) weighed(sdC float64) (gs []guess, best guess, ok bool) {
	for range 2 {
		if gs = weigh(s.ways(), s.o.FloorC, sdC, s.o.Tub != nil && !s.o.RoomFree); len(gs) == 0 {
			return nil, best, false
		}
		if best = likeliest(gs); !(best.missC > max(sdC, worstMissC)) {
			break
		}
		sdC = best.missC
	}
	return gs, best, true
}

// blended is when the bath comes down to the floor, by all that may be: the law is
// that of a bath ([LossTilt]), with what it leaves open ([LawSDLog]).
func (s *series) blended(gs []guess) Crossing {
	if !s.o.StartFree && s.o.StartC <= s.o.FloorC {
		return Crossing{0, 0, 0}
	}
	c := blend(gs)
	return Crossing{c.EarlyMin + s.originM, c.LikelyMin + s.originM, c.LateMin + s.originM}
}

// crossing adds to a plain fit when it comes down to the floor. The likely minute is
// the plain curve's own, as long as that comes there.
func (s *series) crossing(out *SeriesFit, p projected) {
	if !s.cools() {
		likely := s.passes(p)
		out.Crossing = Crossing{likely, likely, likely}
		return
	}
	gs, best, ok := s.weighed(s.judgedSDC(*out))
	if !ok {
		return
	}
	out.LawMissC = best.missC
	c := s.blended(gs)
	if likely := s.passes(p); !math.IsInf(likely, 1) {
		c.LikelyMin = likely
	}
	out.Crossing = Crossing{min(c.EarlyMin, c.LikelyMin), c.LikelyMin, max(c.LateMin, c.LikelyMin)}
}

// inSomeRoom is a plain fit whose room the readings cannot tell: it would be where
// nobody is, or may lie above the floor, or there is none. The curve is then that for
// the nearest room there is; early and late are for all of them in any case.
func (s *series) inSomeRoom(free SeriesFit, err error) (SeriesFit, error) {
	warmest := s.warmestRoomC()
	told := err == nil && free.RoomC >= coolestRoomC && free.RoomC <= warmestRoomC && !math.IsInf(free.Crossing.LateMin, 1)
	if told || warmest < CoolestTriedC || !s.cools() {
		return free, err
	}
	o := s.o
	o.RoomFree, o.RoomC = false, min(middlingRoomC, warmest)
	if err == nil {
		o.RoomC = min(max(free.RoomC, CoolestTriedC), warmest)
	}
	near, nearErr := FitSeries(s.points, o)
	if nearErr != nil {
		return free, err
	}
	gs, _, ok := s.weighed(s.judgedSDC(near))
	if !ok {
		return free, err
	}
	c := s.blended(gs)
	if !math.IsInf(near.Crossing.LikelyMin, 1) {
		c.LikelyMin = min(max(near.Crossing.LikelyMin, c.EarlyMin), c.LateMin)
	}
	near.Crossing, near.RoomUntold, near.FreeRoomC = c, true, math.NaN()
	if err == nil {
		near.FreeRoomC = free.RoomC
	}
	return near, nil
}

// inTub is the fit of a bath in a tub that is known. It has no one rate.
func (s *series) inTub() (SeriesFit, error) {
	sdC := s.readingSDC()
	gs, best, ok := s.weighed(sdC)
	if !ok {
		return SeriesFit{}, errors.New("the readings do not follow a cooling curve")
	}
	nan := math.NaN()
	out := SeriesFit{
		StartC: best.fitted.startC, StartSDC: math.Sqrt(best.fitted.varStart), RatePerMin: nan, RateSDPerMin: nan,
		RSS: best.missC * best.missC * float64(len(best.readings)), ReadingSDC: sdC, Points: len(s.points),
		Crossing: Crossing{nan, nan, nan}, LawMissC: best.missC, LossScale: best.fitted.LossScale(),
	}
	square := 0.0
	for _, g := range gs {
		out.RoomC += g.weight * g.bath.RoomC
		square += g.weight * g.bath.RoomC * g.bath.RoomC
	}
	out.RoomSDC = math.Sqrt(max(square-out.RoomC*out.RoomC, 0))
	if s.o.HasFloor {
		out.Crossing = s.blended(gs)
	}
	return out, nil
}

// passes is the first minute, not before 0, at which the plain curve is at or below
// the floor; +Inf if it never is.
func (s *series) passes(p projected) float64 {
	floor := s.o.FloorC
	atZero := p.roomC + (p.startC-p.roomC)*math.Exp(p.rate*s.originM)
	if atZero <= floor {
		return 0
	}
	if !(floor > p.roomC) {
		return math.Inf(1)
	}
	return max(s.originM+math.Log((p.startC-p.roomC)/(floor-p.roomC))/p.rate, 0)
}
