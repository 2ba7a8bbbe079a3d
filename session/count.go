package session

import "time"

// Count is the one figure of an act. Every place that shows minutes of it, band,
// list, lane, alarm and far view, counts this.
type Count struct {
	Of CountOf
	At time.Time // what is counted to, or from
}

// CountOf says what a Count counts.
type CountOf int

// Those to SinceX count down to At, the others up from it.
const (
	NoCount      CountOf = iota // hands may come when they can
	ToDue                       // hands are wanted then
	ToRelease                   // the bath may come below its release temperature
	MayBeBelow                  // it may be below it since At, nobody can tell
	SinceBelow                  // it is below it
	SinceLongest                // the longest soak is over
	SinceSoak                   // the soak is over
	SinceWet                    // wet fleece has hung its time
)

// Harm says that what is counted is harm being done: only that is late.
func (c CountOf) Harm() bool { return c == SinceBelow || c == SinceLongest || c == SinceWet }

// release is when a tub's wash bath came or comes down to its release temperature
// with the fleece in it, by the estimate and by what was read: a bath that was
// read below it was below it then, whatever the estimate says.
func (d Day) release(tub int, h heatModel) Crossing {
	t := d.Tubs[tub]
	s := t.Bath.Step
	if !s.HasRelease() {
		return Crossing{}
	}
	c := h.crossing(s.ReleaseC)
	below, above, lowC, next := zeroTime, zeroTime, 0.0, 0
	poured := func(before time.Time) { // what was poured since may have warmed it enough
		for ; next < len(h.pouredMin) && h.clock(h.pouredMin[next]).Before(before); next++ {
			if lowC += h.rise(h.pouredMin[next]); lowC > s.ReleaseC {
				below = zeroTime
			}
		}
	}
	for _, r := range t.Bath.Readings {
		poured(r.At)
		switch lowC = r.TempC; {
		case lowC > s.ReleaseC:
			below, above = zeroTime, r.At
		case below.IsZero():
			below = r.At
		}
	}
	poured(h.filledAt.AddDate(1, 0, 0))
	for _, at := range []*time.Time{&c.Early, &c.Likely, &c.Late} {
		if !below.IsZero() && (at.IsZero() || below.Before(*at)) {
			*at = below
		}
	}
	c = c.notBefore(above)
	if t.Phase == Soaking {
		c = c.notBefore(t.Bath.SunkAt)
	}
	return c
}

// below says that by then a bath is down to the temperature it crosses.
func (c Crossing) below(now time.Time) bool { return !c.Likely.IsZero() && !now.Before(c.Likely) }
