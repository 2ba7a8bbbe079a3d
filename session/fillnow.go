package session

import (
	"time"
)

// FillAt is Fill with the hot tap as the tank gives it at now.
func (d Day) FillAt(tub int, now time.Time) FillPlan {
	from := d.FromTank(tub, d.HotLeftL(now))
	if k, on := d.KettleOn(now); on && k.IsFor(d.Tubs[tub]) {
		from.BoiledL = k.VolumeL // as it was put on, whatever has changed since
	}
	return d.FillWith(tub, from)
}

// fillFromTap is FillAt with nothing boiled.
func (d Day) fillFromTap(tub int, now time.Time) FillPlan {
	from := d.FromTank(tub, d.HotLeftL(now))
	from.tapOnly = true
	return d.FillWith(tub, from)
}
