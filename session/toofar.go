package session

import (
	"math"
	"time"

	"fleece.example/tubside/session/measure"
)

// How wet fleece cools that hangs in its basket. From memory and on the slow side:
// the middle of a basket stays warm longest.
const (
	hangHalfMin  = 15.0 // comes halfway to the room's temperature
	hangTakenMin = 10.0 // of emptying and filling, which the limit of a step reckons with
)

// GapC is how much cooler (positive) or hotter (negative) a bath of bathC is than
// the last one. Fleece that has hung longer than the hands take has cooled by itself.
func (d *Day) GapC(tub int, bathC float64, now time.Time) float64 {
	t, roomC := d.Tubs[tub], d.Plan.Kit.RoomC
	gapC := t.LastLiftC - bathC
	if hung := measure.MinutesBetween(t.WetSince, now) - hangTakenMin; gapC > 0 && !t.WetSince.IsZero() && hung > 0 && roomC < t.LastLiftC {
		gapC = max(0, gapC-(t.LastLiftC-roomC)*(1-math.Exp2(-hung/hangHalfMin)))
	}
	return gapC
}

// HangMin is for how many minutes more the fleece of a tub hangs until a bath of
// bathC is within its step; ok is false if it would hang too long.
func (d *Day) HangMin(tub int, bathC float64, now time.Time) (min float64, ok bool) {
	t, roomC := d.Tubs[tub], d.Plan.Kit.RoomC
	wantC := bathC + t.Step().MaxGapC
	if t.WetSince.IsZero() || !measure.Finite(bathC) || wantC <= roomC || wantC >= t.LastLiftC {
		return 0, false
	}
	all := hangTakenMin + hangHalfMin*math.Log2((t.LastLiftC-roomC)/(wantC-roomC))
	min = math.Ceil(all - measure.MinutesBetween(t.WetSince, now))
	return min, min > 0 && min <= d.MayHangMin(tub, now)
}

// MayHangMin is for how many minutes a tub's bath may be waited for: wet fleece hangs
// no longer than its limit.
func (d *Day) MayHangMin(tub int, now time.Time) float64 {
	if by := d.Tubs[tub].WetBy(); !by.IsZero() {
		return measure.MinutesBetween(now, by)
	}
	return waitedForMin
}

// waitedForMin is the same where no wet fleece hangs. Our own choice, no source.
const waitedForMin = 45.0

// farFromLast says that a filled bath has drifted further from the last one than its
// step allows, and further than it was ordered.
func (d *Day) farFromLast(tub int, tempC float64, now time.Time) bool {
	t := d.Tubs[tub]
	gapC := d.GapC(tub, tempC, now)
	if !t.LastWet || !TooFar(t.Step(), gapC) {
		return false
	}
	orderedC := math.Abs(d.Fill(tub).GapC)
	if !t.Bath.FillRead { // from a tank that had sagged, it may be
		orderedC = max(orderedC, math.Abs(t.LastLiftC-t.Bath.FillC))
	}
	return math.Abs(gapC) > orderedC+cooledC
}

// cooledC is how far a filled bath must have drifted beyond what was ordered before
// that rings, °C.
const cooledC = 3.0

// AskFar says that the fleece had better not go into the bath that its tub holds: it is
// further from the last bath than its step allows. A bath that was ordered within the
// step may cool by cooledC before it is asked about.
func (d Day) AskFar(tub int, tempC float64, now time.Time) bool {
	t := d.Tubs[tub]
	if !t.LastWet || !measure.Finite(tempC) || !TooFar(t.Step(), d.GapC(tub, tempC, now)) {
		return false
	}
	return TooFar(t.Step(), t.LastLiftC-d.orderedC(tub)) || d.farFromLast(tub, tempC, now)
}

// orderedC is what the bath of a filled tub should have come to with the fleece in, °C.
func (d *Day) orderedC(tub int) float64 {
	t := d.Tubs[tub]
	jPerK, wetC := d.wetFleece(tub)
	b := t.Bath
	b.Readings, b.Changes = nil, []HeatChange{{At: b.FilledAt, Cover: t.Cover, AddJPerK: jPerK, AddC: wetC}}
	h := BathHeat(&d.Plan, &b)
	tempC, _ := h.At(b.FilledAt)
	return tempC
}
