package cooling

import (
	"math"
	"slices"
	"sort"
)

// A Change is something done to a bath after it was filled. Its parts happen
// in the order: RemoveJPerK is taken out, AddJPerK is mixed in, the room changes,
// then the loss. Parts that are 0 (or negative, or not finite) do nothing.
type Change struct {
	AtMin float64 // before 0 counts as 0

	// LossWPerK, if above 0, is the loss from here on: the estimate for the new
	// cover or fill, which the fitted scale multiplies like the first one.
	// LossAtC and LossTilt go with it, as in [Bath].
	LossWPerK, LossAtC, LossTilt float64

	// AddJPerK is heat capacity that comes in at AddC: the sink-in of wet
	// fleece, a top-up.
	AddJPerK, AddC float64

	// RemoveJPerK is heat capacity taken out at the bath's own temperature:
	// water bailed out, a basket lifted.
	RemoveJPerK float64

	// Room says that the room is at RoomC from here on. The loss is set with it
	// where it should follow: it was estimated for the room it was given in.
	Room  bool
	RoomC float64
}

// A Reading is what a thermometer showed. Readings that are not finite, or
// from before the filling, are left out of a fit.
type Reading struct {
	AtMin, TempC float64
}

// A Bath is one filling of a tub as it was meant: what it began with, how
// surely, and what happened to it since.
type Bath struct {
	RoomC float64 // at minute 0

	// The temperature at minute 0 and the standard deviation of what is known
	// of it. A deviation of 0 or less says that it is certain; one that is NaN
	// or above 50 °C counts as 50 °C, which says nothing.
	StartC, StartSDC float64

	HeatJPerK float64 // water, wetted wall and whatever is in it at minute 0
	LossWPerK float64 // estimate or what the tub taught before; not above 0: no loss

	// LossTilt says that the loss is not the same at all temperatures: LossWPerK
	// holds at LossAtC and grows by this share of itself for each °C above,
	// as [LossTilt] estimates. 0 or less, or not finite: one loss throughout,
	// Newton's plain law, and LossAtC does not matter.
	LossAtC, LossTilt float64

	// LossSDLog is the standard deviation of ln(true loss/LossWPerK), the same
	// for all losses of the bath. 0 or less says that they are certain; NaN or
	// above 3 counts as 3.
	LossSDLog float64

	Changes []Change // in any order; those at one minute in the order given
}

const (
	widestStartSDC   = 50.0
	widestLossSDLog  = 3.0
	plainReadingSDC  = 0.5   // a kitchen thermometer; common, no source
	leastReadingSDC  = 0.001 // finer than any thermometer, coarser than rounding
	mostLogLossScale = 8.0   // a tub 3000 times off its estimate is no tub
	leastLossAtRoom  = 0.1   // see setLoss
	secondsPerMinute = 60
)

// state is where a bath is at a minute, with the derivatives of its
// temperature that fitting and error bars need.
//
// With u degrees above the room the loss is lossWPK·(1 + bend·u), so that
// u' = -rate·(u + bend·u²). That is Newton's law for w = u/(1 + bend·u), which
// keeps every step exact and as cheap as the plain one. At or below the room's
// temperature there is no bend.
type state struct {
	atMin, tempC  float64
	roomC         float64
	byStart       float64 // d temp / d start temperature
	byLog         float64 // d temp / d ln(loss scale)
	byAhead       float64 // d temp / d ln(loss scale past the course's turn)
	heat, lossWPK float64 // lossWPK at the room's temperature, before scaling
	perMin        float64 // the rate that these two make, kept because it is asked for at each step
	bend          float64 // 1/°C, not negative
}

// rate is the cooling rate per minute under a loss scale, at the room's
// temperature.
func (s *state) rate(scale float64) float64 { return max(scale*s.perMin, 0) }

// setRate keeps up with heat and loss.
func (s *state) setRate() { s.perMin = s.lossWPK / s.heat * secondsPerMinute }

// setLoss takes over a loss that holds at atC and grows by tilt for each °C.
// At the room's temperature a tenth of it is left in any case: the straight
// line stands for a curve that flattens there.
func (s *state) setLoss(wPerK, atC, tilt float64) {
	s.lossWPK, s.bend = wPerK, 0
	if aboveC := atC - s.roomC; tilt > 0 && aboveC > 0 && allFinite(tilt, aboveC) {
		atRoom := max(1-tilt*aboveC, leastLossAtRoom)
		s.lossWPK = wPerK * atRoom
		s.bend = (1 - atRoom) / aboveC / atRoom
	}
	s.setRate()
}

// A course is how a bath may go: where it began and how many times its estimated
// loss it loses, up to a turn and past it.
type course struct {
	startC, scale float64
	turnMin       float64
	beyond        float64 // the scale past the turn
}

// follow lets the bath stand until atMin on a course.
func (s *state) follow(atMin float64, c course) {
	s.coolTo(min(atMin, c.turnMin), c.scale)
	if atMin > c.turnMin {
		lost := s.byLog
		left := s.coolTo(atMin, c.beyond)
		s.byAhead = s.byAhead*left + s.byLog - lost*left
	}
}

// coolTo lets the bath stand until atMin. It gives what is left of a small difference.
func (s *state) coolTo(atMin, scale float64) (kept float64) {
	if !(atMin > s.atMin) {
		return 1
	}
	rate, minutes := s.rate(scale), atMin-s.atMin
	s.atMin = atMin
	if rate == 0 { // also keeps 0 times an endless wait from becoming NaN
		return 1
	}
	decay := rate * minutes
	left := math.Exp(-decay)
	if left == 0 { // long cold; decay may be infinite
		decay = 0
	}
	above := s.tempC - s.roomC
	if s.bend > 0 && above > 0 {
		bend := s.bend * above
		kept := 1 / (1 + bend*(1-left))
		s.tempC = s.roomC + above*left*kept
		left *= kept * kept
		decay *= 1 + bend
	} else {
		s.tempC = s.roomC + above*left
	}
	s.byStart *= left
	s.byLog = s.byLog*left - decay*above*left
	return left
}

// minutesUntil is when a bath left standing comes down to targetC; ok is false
// if it never does.
func (s *state) minutesUntil(targetC, scale float64) (minutes float64, ok bool) {
	above, target := s.tempC-s.roomC, targetC-s.roomC
	if s.bend > 0 && above > 0 && target > 0 {
		above /= 1 + s.bend*above
		target /= 1 + s.bend*target
	}
	return MinutesUntil(above, 0, s.rate(scale), target)
}

// apply does what a change does, at the minute the state is at.
func (s *state) apply(c Change) {
	if c.RemoveJPerK > 0 && finite(c.RemoveJPerK) {
		// A bath cannot be emptied by a change: what is left keeps a trace so
		// that the quotient loss/heat stays a number.
		s.heat = max(s.heat-c.RemoveJPerK, s.heat*1e-6)
	}
	if c.AddJPerK > 0 && allFinite(c.AddJPerK, c.AddC) {
		kept := s.heat / (s.heat + c.AddJPerK)
		s.tempC = c.AddC + (s.tempC-c.AddC)*kept
		s.byStart *= kept
		s.byLog *= kept
		s.byAhead *= kept
		s.heat += c.AddJPerK
	}
	if c.Room && finite(c.RoomC) {
		s.roomC = c.RoomC
	}
	if c.LossWPerK > 0 && finite(c.LossWPerK) {
		s.setLoss(c.LossWPerK, c.LossAtC, c.LossTilt)
	}
	s.setRate()
}

// start is the state at minute 0 before any change.
func (b *Bath) start(startC float64) state {
	s := state{tempC: startC, roomC: b.RoomC, byStart: 1, heat: b.HeatJPerK}
	s.setLoss(b.LossWPerK, b.LossAtC, b.LossTilt)
	return s
}

// orderedChanges is a copy of the changes in time order, without those whose
// time is not a number and with none before minute 0.
func orderedChanges(changes []Change) []Change {
	if len(changes) == 0 {
		return nil
	}
	ordered, inOrder := make([]Change, 0, len(changes)), true
	for _, c := range changes {
		if finite(c.AtMin) {
			c.AtMin = max(c.AtMin, 0)
			inOrder = inOrder && (len(ordered) == 0 || ordered[len(ordered)-1].AtMin <= c.AtMin)
			ordered = append(ordered, c)
		}
	}
	if !inOrder { // hardly ever
		sort.SliceStable(ordered, func(i, j int) bool { return ordered[i].AtMin < ordered[j].AtMin })
	}
	return ordered
}

// usable reports a reading that a fit can take.
func usable(r Reading) bool { return allFinite(r.AtMin, r.TempC) && r.AtMin >= 0 }

// orderedReadings gives the usable readings in time order; the slice itself if
// they already are that, which is the rule.
func orderedReadings(readings []Reading) []Reading {
	good := true
	for i, r := range readings {
		good = good && usable(r) && (i == 0 || readings[i-1].AtMin <= r.AtMin)
	}
	if good {
		return readings
	}
	ordered := make([]Reading, 0, len(readings))
	for _, r := range readings {
		if usable(r) {
			ordered = append(ordered, r)
		}
	}
	sort.SliceStable(ordered, func(i, j int) bool { return ordered[i].AtMin < ordered[j].AtMin })
	return ordered
}

// stateAt runs the history up to atMin. A change at that very minute has
// happened.
func (b *Bath) stateAt(atMin float64, on course) state {
	s := b.start(on.startC)
	for _, c := range b.Changes {
		if c.AtMin > atMin {
			break
		}
		s.follow(c.AtMin, on)
		s.apply(c)
	}
	s.follow(atMin, on)
	return s
}

// firstAtOrBelow is the first minute at or after fromMin at which the bath is
// at or below targetC; +Inf if it never is, NaN if there is no telling.
func (b *Bath) firstAtOrBelow(targetC, fromMin float64, on course) float64 {
	s := b.stateAt(fromMin, on)
	s.atMin = fromMin
	if !allFinite(s.tempC, targetC, fromMin) {
		return math.NaN()
	}
	next, _ := slices.BinarySearchFunc(b.Changes, fromMin, func(c Change, at float64) int {
		if c.AtMin > at {
			return 1
		}
		return -1
	})
	for {
		if s.tempC <= targetC {
			return s.atMin
		}
		if math.IsNaN(s.tempC) { // which passes no change
			return s.tempC
		}
		scale, until := on.beyond, math.Inf(1)
		if s.atMin < on.turnMin {
			scale, until = on.scale, on.turnMin
		}
		if next < len(b.Changes) {
			until = min(until, b.Changes[next].AtMin)
		}
		at := math.Inf(1)
		if minutes, ok := s.minutesUntil(targetC, scale); ok {
			at = s.atMin + minutes
		}
		if math.IsInf(until, 1) || at <= until {
			return at
		}
		s.coolTo(until, scale)
		for next < len(b.Changes) && b.Changes[next].AtMin <= until && s.tempC > targetC {
			s.apply(b.Changes[next])
			next++
		}
	}
}
