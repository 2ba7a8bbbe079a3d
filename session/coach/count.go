package coach

import (
	"time"
)

// Count is the one figure of an act. Every place that shows minutes of it, band,
// list, lane, alarm and big view, counts this.
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
