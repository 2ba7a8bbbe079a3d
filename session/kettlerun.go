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
	OnAt     time.Time // since when what is in it is on
	BoiledAt time.Time // zero: not told
	Tub      int       // whose bath it is for
	Batch    string
	Step     int // index into the batch's steps
	StepName string
	VolumeL  float64 // all of it: in the pail, in the kettle, and still to go on
	BoilMin  float64 // for all of it, as reckoned when it was put on
	InL      float64 // what is in the kettle
	AgainMin float64 // where that has boiled and stood, and is on again: how long that takes
	// Where it takes several boils: the most for one, how many are in the pail, how much
	// that is, and when the last of it boiled.
	LoadL  float64
	Load   int
	PailL  float64
	KeptAt time.Time
}

// KettleFreshMin is how long boiled water may stand until its fill begins, min: later it
// has lost degrees which a bath of much kettle water would miss. Our own choice.
const KettleFreshMin = 8.0

// LeastKettleL is the least kettle water that is worth a boil, L.
const LeastKettleL = 0.1

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
	k.Load, k.PailL, k.OnAt, k.AgainMin = k.Load+1, k.PailL+k.InL, at, 0
	k.InL = min(k.LoadL, k.VolumeL-k.PailL)
}

// again puts back on what has boiled and stood: that in the kettle, or all of it, from the
// first boil. boilMin is how long that takes.
func (k *KettleRun) again(all bool, boilMin float64, at time.Time) {
	k.OnAt, k.BoiledAt, k.AgainMin = at, time.Time{}, boilMin
	if all {
		k.Load, k.PailL, k.AgainMin, k.BoilMin = 0, 0, 0, boilMin
		if k.InL = k.VolumeL; k.LoadL > 0 {
			k.InL = min(k.InL, k.LoadL)
		}
	}
}

// withMore has so much more boiled for its bath, in a kettle of so many litres: what boils now, or
// has boiled, is not the last any more.
func (k *KettleRun) withMore(moreL, kettleL float64) {
	perL := k.loadMin(1)
	k.OnAt, k.BoiledAt = k.ThroughAt().Add(-measure.Lasting(k.onMin())), time.Time{}
	k.VolumeL, k.LoadL = k.VolumeL+moreL, kettleL
	k.BoilMin = perL*k.VolumeL + shed.RefillMin*float64(k.Loads()-1)
}

// putOn is the kettle on for a bath. One that is turned to it boils on, for no less than is in it and
// in the pail.
func (k *KettleRun) putOn(e KettlePutOn, kettleL float64, at time.Time) {
	if !e.Turned || k.OnAt.IsZero() {
		*k = KettleRun{OnAt: at, VolumeL: e.VolumeL, BoilMin: e.BoilMin, LoadL: e.LoadL, InL: e.VolumeL}
		if e.LoadL > 0 {
			k.InL = min(e.LoadL, e.VolumeL)
		}
	} else if more := e.VolumeL - k.VolumeL; more >= LeastKettleL {
		k.withMore(more, kettleL)
	} else {
		perL := k.loadMin(1)
		k.VolumeL = max(e.VolumeL, k.PailL+k.InL)
		k.BoilMin = perL*k.VolumeL + shed.RefillMin*float64(k.Loads()-1)
	}
	k.Tub, k.Batch, k.Step, k.StepName = e.Tub, e.Batch, e.Step, e.StepName
}

// StoodMin is for how long a boil that is through waits for its refill, min; below 0 if none does.
func (k *KettleRun) StoodMin(now time.Time) float64 {
	if !k.Follows() {
		return -1
	}
	return measure.MinutesBetween(k.RefillAt(), now)
}

// PailMin is for how long what is in the pail has been boiled, min; 0 with none.
func (k *KettleRun) PailMin(now time.Time) float64 {
	if k.Load == 0 {
		return 0
	}
	return measure.MinutesBetween(k.KeptAt, now)
}

// Loads is how many boils it takes, 1 at the least.
func (k *KettleRun) Loads() int {
	if n := math.Ceil(k.restL()/k.LoadL - 1e-9); k.LoadL > 0 && n >= 1 && n <= 99 { // a record from elsewhere
		return k.Load + 1 + int(n)
	}
	return k.Load + 1
}

// restL is what has not been in the kettle yet, L.
func (k *KettleRun) restL() float64 { return k.VolumeL - k.PailL - k.InL }

// NextL is the boil after the one that is on, L; 0 if that is the last.
func (k *KettleRun) NextL() float64 {
	if !k.Follows() {
		return 0
	}
	return min(k.LoadL, k.restL())
}

// loadMin is how long a part of it boils, without the hands between two boils, min.
func (k *KettleRun) loadMin(litres float64) float64 {
	if !(k.VolumeL > 0) {
		return k.BoilMin
	}
	return (k.BoilMin - shed.RefillMin*float64(k.Loads()-1)) * litres / k.VolumeL
}

// ReadyAt is when it has boiled: as told, or as reckoned.
func (k *KettleRun) ReadyAt() time.Time {
	if !k.BoiledAt.IsZero() {
		return k.BoiledAt
	}
	return k.ThroughAt().Add(measure.Lasting(k.restMin()))
}

// ThroughAt is when what is in it has boiled: as told, or as reckoned.
func (k *KettleRun) ThroughAt() time.Time {
	if !k.BoiledAt.IsZero() {
		return k.BoiledAt
	}
	return k.OnAt.Add(measure.Lasting(k.onMin()))
}

// HotAt is when so much of it is hot for whoever needs it first: what is in the pail is, and with what the kettle holds
// once that has boiled. ok is false where it is less.
func (k *KettleRun) HotAt(litres float64, now time.Time) (at time.Time, ok bool) {
	if at = k.ThroughAt(); at.Before(now) || litres <= k.PailL {
		at = now
	}
	return at, litres <= k.PailL+k.InL
}

// RefillAt is when the boil that is on is through and the next goes on; zero if it is
// the last.
func (k *KettleRun) RefillAt() time.Time {
	if !k.BoiledAt.IsZero() || k.Load+1 >= k.Loads() {
		return time.Time{}
	}
	return k.ThroughAt()
}

// Follows says that another boil follows the one that is on.
func (k *KettleRun) Follows() bool { return !k.RefillAt().IsZero() }

// ReadyBy is ReadyAt as it looks at now: a boil that nobody has put on yet begins now at
// the soonest.
func (k *KettleRun) ReadyBy(now time.Time) time.Time {
	if !k.Refills(now) {
		return k.ReadyAt()
	}
	return now.Add(measure.Lasting(k.restMin()))
}

// onMin is how long what is on takes to boil, min.
func (k *KettleRun) onMin() float64 {
	if k.AgainMin > 0 {
		return k.AgainMin
	}
	return k.loadMin(k.InL)
}

// restMin is how long the boils after that take, the hands between them with them, min.
func (k *KettleRun) restMin() float64 {
	return k.loadMin(max(0, k.restL())) + shed.RefillMin*float64(k.Loads()-1-k.Load)
}

// StandsMin is for how long all of it stands boiled, min, below 0 before that: since it was told, or,
// as far as can be reckoned, since it should have boiled. boiled says that it has: as told, or where
// nobody has told for so long that nobody would pour it.
func (k *KettleRun) StandsMin(now time.Time) (stands float64, boiled bool) {
	stands = measure.MinutesBetween(k.ReadyBy(now), now)
	return stands, !k.BoiledAt.IsZero() || stands > MostStoodMin
}

// stoodFor says that all of it has boiled and stood for more than so many minutes, or the pail for
// longer than anybody pours it.
func (k *KettleRun) stoodFor(min float64, now time.Time) bool {
	stands, boiled := k.StandsMin(now)
	return boiled && (stands > min || k.PailMin(now) > MostStoodMin)
}

// Stale says that it, or what is in the pail, has boiled and stood too long to be poured.
func (k *KettleRun) Stale(now time.Time) bool { return k.stoodFor(KettleFreshMin, now) }

// Cools says that what has boiled has stood too long: it goes on again before it is poured, or
// kept while the next boils.
func (k *KettleRun) Cools(now time.Time) bool {
	return k.Stale(now) || k.StoodMin(now) > KettleFreshMin
}

// Refills says that the kettle wants refilling: one boil of several is through, and
// nobody has told of the next.
func (k *KettleRun) Refills(now time.Time) bool {
	return k.Follows() && !now.Before(k.RefillAt())
}

// tooSoon says that the boil that is on cannot well be through.
func (k *KettleRun) tooSoon(now time.Time) bool {
	takes := k.onMin()
	return measure.MinutesBetween(k.OnAt, now) < takes/2 && takes > 2
}
