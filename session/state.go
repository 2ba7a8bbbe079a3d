package session

import (
	"time"

	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
)

// WetWaitMin is how long wet fleece may hang between two baths before the plan calls it
// late, min. Our own choice, no source.
const WetWaitMin = 45.0

// WetWaitLongest is the same as a duration: the plan lets fleece hang as long, and does not
// ring at itself.
const WetWaitLongest = WetWaitMin * time.Minute

// worked is what one act took.
type worked struct {
	act shed.Action
	min float64
}

// KettleRun is the kettle as the person has told of it; the zero one is cold, or
// nobody says.
type KettleRun struct {
	OnAt     time.Time
	BoiledAt time.Time // zero: not told
	Tub      int       // whose bath it is for
	Batch    string
	Step     int // index into the batch's steps
	StepName string
	VolumeL  float64
	BoilMin  float64 // as reckoned when it was put on
}

// ReadyAt is when it has boiled: as told, or as reckoned.
func (k KettleRun) ReadyAt() time.Time {
	if !k.BoiledAt.IsZero() {
		return k.BoiledAt
	}
	return k.OnAt.Add(measure.Lasting(k.BoilMin))
}

// NextBoil is when the list has the kettle put on next, and for which bath; the zero
// one is a list without a boil.
type NextBoil struct {
	Batch string
	Step  int
	At    time.Time
}

// SoundProof is what is known of the alarms' sound on this day.
type SoundProof struct {
	At    time.Time // zero: nobody has tried
	Heard bool      // the person heard it
	Path  string    // what played it
}
