package session

import (
	"math"
	"time"

	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
)

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
	BoilMin  float64 // as reckoned when it was put on, for all of it
	// Where it takes several boils: what each is but the last, which is on now, counted
	// from 0, and since when.
	LoadL  float64
	Load   int
	LoadAt time.Time
	KeptAt time.Time // when what is in the pail boiled
}

// KettleFreshMin is how long boiled water may stand until its fill begins, min: later it
// has lost degrees which a bath of much kettle water would miss. Our own choice.
const KettleFreshMin = 8.0

// MostStoodMin is the longest that anybody pours what has stood without boiling it again, min.
// Our own choice.
const MostStoodMin = 30.0

// refill puts the next boil on. What stood for long before it had to boil again, but not
// what was in the pail already.
func (k *KettleRun) refill(at time.Time) {
	if boiled := k.RefillAt(); k.StoodMin(at) <= KettleFreshMin {
		if k.KeptAt = at; boiled.Before(at) {
			k.KeptAt = boiled
		}
	} else if k.Load == 0 {
		k.KeptAt = at
	}
	k.Load, k.LoadAt = k.Load+1, at
}

// StoodMin is for how long a boil that is through waits for its refill, min; below 0 if none does.
func (k KettleRun) StoodMin(now time.Time) float64 {
	if !k.Follows() {
		return -1
	}
	return measure.MinutesBetween(k.RefillAt(), now)
}

// PailMin is for how long what is in the pail has been boiled, min; 0 with none.
func (k KettleRun) PailMin(now time.Time) float64 {
	if k.Load == 0 {
		return 0
	}
	return measure.MinutesBetween(k.KeptAt, now)
}

// Loads is how many boils it takes, 1 at the least.
func (k KettleRun) Loads() int {
	if n := math.Ceil(k.VolumeL/k.LoadL - 1e-9); k.LoadL > 0 && n >= 1 && n <= 99 { // a record from elsewhere
		return int(n)
	}
	return 1
}

// LeftL is what is still to boil, the boil that is on with it, L.
func (k KettleRun) LeftL() float64 { return max(0, k.VolumeL-float64(k.Load)*k.LoadL) }

// OnL is the boil that is on, L.
func (k KettleRun) OnL() float64 {
	if k.Load+1 < k.Loads() {
		return k.LoadL
	}
	return k.LeftL()
}

// loadMin is how long a part of it boils, without the hands between two boils, min.
func (k KettleRun) loadMin(litres float64) float64 {
	if !(k.VolumeL > 0) {
		return k.BoilMin
	}
	return (k.BoilMin - shed.RefillMin*float64(k.Loads()-1)) * litres / k.VolumeL
}

// ReadyAt is when it has boiled: as told, or as reckoned.
func (k KettleRun) ReadyAt() time.Time {
	if !k.BoiledAt.IsZero() {
		return k.BoiledAt
	}
	return k.LoadAt.Add(measure.Lasting(k.loadMin(k.LeftL()) + shed.RefillMin*float64(k.Loads()-1-k.Load)))
}

// RefillAt is when the boil that is on is through and the next goes on; zero if it is
// the last.
func (k KettleRun) RefillAt() time.Time {
	if !k.BoiledAt.IsZero() || k.Load+1 >= k.Loads() {
		return time.Time{}
	}
	return k.LoadAt.Add(measure.Lasting(k.loadMin(k.OnL())))
}

// Follows says that another boil follows the one that is on.
func (k KettleRun) Follows() bool { return !k.RefillAt().IsZero() }

// ReadyBy is ReadyAt as it looks at now: a boil that nobody has put on yet begins now at
// the soonest.
func (k KettleRun) ReadyBy(now time.Time) time.Time {
	if !k.Refills(now) {
		return k.ReadyAt()
	}
	return now.Add(measure.Lasting(k.loadMin(k.LeftL()-k.OnL()) + shed.RefillMin*float64(k.Loads()-1-k.Load)))
}

// Refills says that the kettle wants refilling: one boil of several is through, and
// nobody has told of the next.
func (k KettleRun) Refills(now time.Time) bool {
	return k.Follows() && !now.Before(k.RefillAt())
}

// tooSoon says that the boil that is on cannot well be through.
func (k KettleRun) tooSoon(now time.Time) bool {
	takes := k.loadMin(k.OnL())
	return measure.MinutesBetween(k.LoadAt, now) < takes/2 && takes > 2
}
