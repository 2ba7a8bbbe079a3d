package session

import (
	"fmt"
	"math"
	"time"
)

// tooFar says that a bath which is gapC cooler than the one before (hotter if below 0)
// is outside its step.
func (s Step) tooFar(gapC float64) bool {
	return s.MaxGapC > 0 && math.Abs(gapC) > s.MaxGapC+gapSlackC
}

// How wet fleece cools that hangs in its basket. From memory and on the slow side:
// the middle of a basket stays warm longest.
const (
	hangHalfMin  = 15.0 // comes halfway to the room's temperature
	hangTakenMin = 10.0 // of emptying and filling, which the limit of a step reckons with
)

// gapC is how much cooler (positive) or hotter (negative) a bath of bathC is than
// the last one. Fleece that has hung longer than the hands take has cooled by itself.
func (d Day) gapC(tub int, bathC float64, now time.Time) float64 {
	t, roomC := d.Tubs[tub], d.Plan.Kit.RoomC
	gapC := t.LastLiftC - bathC
	if hung := minutesBetween(t.WetSince, now) - hangTakenMin; gapC > 0 && !t.WetSince.IsZero() && hung > 0 && roomC < t.LastLiftC {
		gapC = max(0, gapC-(t.LastLiftC-roomC)*(1-math.Exp2(-hung/hangHalfMin)))
	}
	return gapC
}

// hangMin is for how many minutes more the fleece of a tub hangs until a bath of
// bathC is within its step; ok is false if it would hang too long.
func (d Day) hangMin(tub int, bathC float64, now time.Time) (min float64, ok bool) {
	t, roomC := d.Tubs[tub], d.Plan.Kit.RoomC
	wantC := bathC + t.Step().MaxGapC
	if t.WetSince.IsZero() || !finite(bathC) || wantC <= roomC || wantC >= t.LastLiftC {
		return 0, false
	}
	all := hangTakenMin + hangHalfMin*math.Log2((t.LastLiftC-roomC)/(wantC-roomC))
	min = math.Ceil(all - minutesBetween(t.WetSince, now))
	return min, min > 0 && all <= wetWaitMin
}

// mayHangMin is for how many minutes a tub's bath may be waited for: wet fleece hangs
// no longer than its limit.
func (d Day) mayHangMin(tub int, now time.Time) float64 {
	if by := d.Tubs[tub].wetBy(); !by.IsZero() {
		return minutesBetween(now, by)
	}
	return wetWaitMin
}

// farFromLast says that a filled bath has drifted further from the last one than its
// step allows, and further than it was ordered.
func (d Day) farFromLast(tub int, tempC float64, now time.Time) bool {
	t := d.Tubs[tub]
	gapC := d.gapC(tub, tempC, now)
	if !t.LastWet || !t.Step().tooFar(gapC) {
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

// askFar says that the fleece had better not go into the bath that its tub holds: it is
// further from the last bath than its step allows. A bath that was ordered within the
// step may cool by cooledC before it is asked about.
func (d Day) askFar(tub int, tempC float64, now time.Time) bool {
	t := d.Tubs[tub]
	if !t.LastWet || !finite(tempC) || !t.Step().tooFar(d.gapC(tub, tempC, now)) {
		return false
	}
	return t.Step().tooFar(t.LastLiftC-d.orderedC(tub)) || d.farFromLast(tub, tempC, now)
}

// orderedC is what the bath of a filled tub should have come to with the fleece in, °C.
func (d Day) orderedC(tub int) float64 {
	t := d.Tubs[tub]
	jPerK, wetC := d.wetFleece(tub)
	b := t.Bath
	b.Readings, b.Changes = nil, []HeatChange{{At: b.FilledAt, Cover: t.Cover, AddJPerK: jPerK, AddC: wetC}}
	tempC, _ := bathHeat(d.Plan, b).at(b.FilledAt)
	return tempC
}

// sayFarFill says first of all that the bath to be filled is outside its step, and
// what would do.
func (d Day) sayFarFill(p *Prompt, f FillPlan, now time.Time) {
	t, u := d.Tubs[p.Tub], d.Plan.Kit.Units
	gapC := d.gapC(p.Tub, f.AfterC, now)
	if !t.LastWet || t.LastLiftC == 0 || !t.Step().tooFar(gapC) {
		return
	}
	apart := u.TempApart(t.LastLiftC, f.AfterC)
	far := Line{Text: apart + " below the last bath", Must: true}
	if gapC < 0 {
		far.Text, far.Ways = apart+" above the last bath", []Way{{Text: "let the fleece warm slowly"}}
	} else if far.Ways = plainWays(d.closerWays(p.Tub, f, now)); len(far.Ways) == 0 {
		far.Ways = []Way{lowerSlowly}
	}
	p.first(far)
}

var lowerSlowly = Way{Text: "lower it in slowly"}

func farther(apart string, gapC float64) string {
	if gapC < 0 {
		return apart + " hotter"
	}
	return apart + " cooler"
}

// closerWays are what brings a bath to be filled within its step, or the fleece
// nearer to it, each by itself. Each has been tried.
func (d Day) closerWays(tub int, f FillPlan, now time.Time) []string {
	k := d.Plan.Kit
	near := func(from supply) (FillPlan, bool) {
		f := d.fillWith(tub, from)
		return f, finite(f.AfterC) && !d.Tubs[tub].Step().tooFar(d.gapC(tub, f.AfterC, now))
	}
	left := d.hotLeftL(now)
	var out []string
	if n, ok := d.tankMin(left, func(storedL float64) bool { _, ok := near(d.fromTank(tub, storedL)); return ok }); ok && float64(n) <= d.mayHangMin(tub, now) {
		out = append(out, fmt.Sprintf("wait %s for the tank", showMin(float64(n))))
	}
	from, own := d.fromTank(tub, left), k.KettleMarkL()
	if own <= 0 {
		own = JugFor(k.Units)
	}
	boil := func(n int) supply { s := from; s.boiledL = float64(n) * own; return s }
	if n, ok := least(1, int(f.VolumeL/own+1e-9), func(n int) bool { _, ok := near(boil(n)); return ok }); ok {
		f, _ := near(boil(n))
		out = append(out, fmt.Sprintf("boil %s", k.KettleText(f.Pour.KettleL)))
	}
	if min, ok := d.hangMin(tub, f.AfterC, now); ok {
		out = append(out, fmt.Sprintf("hang the fleece %s", showMin(min)))
	}
	return out
}

// sayFarSink says that the bath a tub holds is outside its step, and what would do.
func (d Day) sayFarSink(p *Prompt, tempC float64, now time.Time) {
	t, k := d.Tubs[p.Tub], d.Plan.Kit
	s, gapC := t.Step(), d.gapC(p.Tub, tempC, now)
	far := fmt.Sprintf("about %s, %s than the last one", k.Units.Temp(tempC), farther(k.Units.TempApart(t.LastLiftC, tempC), gapC))
	p.Doubt = fmt.Sprintf("%s's bath is %s", d.tubName(p.Tub), far)
	var ways []Way
	wantC := t.LastLiftC - s.MaxGapC
	switch r, ok := d.remedy(p.Tub, tempC, wantC); {
	case gapC < 0:
		ways = append(ways, Way{Text: "add cold water"})
	case ok && r.TempC >= wantC-gapSlackC:
		pour, short := pourText(k, r)
		ways = append(ways, Way{Text: pour + short})
	default:
		if f := d.FillAt(p.Tub, now); !s.tooFar(d.gapC(p.Tub, f.AfterC, now)) {
			ways = append(ways, freshFill)
		}
	}
	if min, ok := d.hangMin(p.Tub, tempC, now); ok && gapC > 0 {
		ways = append(ways, Way{Text: "hang the fleece " + showMin(min)})
	}
	if len(ways) == 0 {
		ways = append(ways, lowerSlowly)
	}
	p.first(Line{Text: far, Ways: ways, Must: true})
}
