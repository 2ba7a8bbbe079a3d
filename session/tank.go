package session

import (
	"math"
	"sort"
	"time"

	"fleece.example/tubside/cooling"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
)

// SagMattersC is by how much the tap has to be cooler, °C, to be spoken of: less changes a
// bath by less than a thermometer shows.
const SagMattersC = 1.0

// TankRun follows the tank through what is drawn from it, in the plan and in the day.
type TankRun struct {
	Tank    cooling.Tank
	StoredL float64 // hot water's worth in it
	At      time.Time
}

// Draw is the mean temperature at which so many litres come at a moment, °C.
func (r *TankRun) Draw(at time.Time, litres float64) (meanC float64) {
	r.StoredL, r.At = r.Tank.Recover(r.StoredL, measure.MinutesBetween(r.At, at)), at
	meanC, r.StoredL = r.Tank.Draw(r.StoredL, litres)
	return meanC
}

// FillTapC is the mean temperature of the hot tap during a fill, °C, from a tank that
// holds StoredL. A cooler tap asks for more hot water, and more hot water cools the
// tap: two rounds settle it to within a mark of the jug.
func FillTapC(tank cooling.Tank, storedL float64, fill func(hotC float64) FillPlan) float64 {
	tapC := tank.SetC
	if !tank.Known() {
		return tapC
	}
	for range 2 {
		tapC, _ = tank.Draw(storedL, FillTapL(fill(tapC)))
	}
	if tank.SetC-tapC <= SagMattersC {
		return tank.SetC
	}
	return tapC
}

// FillTapL is what a fill takes from the hot tap, L: the kettle is filled there too.
func FillTapL(f FillPlan) float64 { return f.Pour.HotL + f.Pour.KettleL }

// HottestTankC is the most that a tank is offered to be raised to, °C: nobody sets a
// household tank higher. Our own choice.
const HottestTankC = 65.0

// SmallestThat is the smallest n from low to high that does, if the larger ones do too.
func SmallestThat(low, high int, does func(int) bool) (int, bool) {
	if low > high || !does(high) {
		return 0, false
	}
	for low < high {
		if mid := (low + high) / 2; does(mid) {
			high = mid
		} else {
			low = mid + 1
		}
	}
	return low, true
}

// TankMin is the least whole minutes after which the tank, which holds so much, does;
// ok is false if no wait does.
func (d *Day) TankMin(storedL float64, does func(storedL float64) bool) (min int, ok bool) {
	tank := d.Plan.Kit.HotWater()
	rate := tank.RecoveryLPerMin()
	if !tank.Known() || !(rate > 0) {
		return 0, false
	}
	full := int(math.Ceil((tank.VolumeL - storedL) / rate))
	return SmallestThat(1, full, func(n int) bool { return does(tank.Recover(storedL, float64(n))) })
}

// HotLeftL is the hot water's worth in the tank at now, litres, after all that
// the day has drawn; a tank nobody knows is always full.
func (d *Day) HotLeftL(now time.Time) float64 {
	tank := d.Plan.Kit.HotWater()
	if !tank.Known() {
		return 0
	}
	type draw struct {
		at time.Time
		l  float64
	}
	var draws []draw
	add := func(b Bath) {
		if b.FilledAt.IsZero() {
			return
		}
		draws = append(draws, draw{b.FilledAt, b.fromTapL(tank)})
		for _, c := range b.Changes {
			if c.AddL > 0 { // the kettle is filled from the hot tap
				draws = append(draws, draw{c.At, c.AddL})
			}
		}
	}
	for _, b := range d.Baths {
		add(b)
	}
	for _, t := range d.Tubs {
		add(t.Bath)
	}
	sort.SliceStable(draws, func(i, j int) bool { return draws[i].at.Before(draws[j].at) })
	run := TankRun{tank, tank.VolumeL, d.StartedAt}
	for _, x := range draws {
		run.Draw(x.at, x.l)
	}
	run.Draw(now, 0)
	return run.StoredL
}

// fromTapL is what a bath took from the hot tap, litres. An older record does not say;
// there it follows from the bath's temperature as a mix of hot and cold water.
func (b Bath) fromTapL(tank cooling.Tank) float64 {
	if b.HotL > 0 || b.Step.Water == shed.FromCold {
		return b.HotL
	}
	return b.VolumeL * min(1, max(0, (b.FillC-tank.ColdC)/(tank.SetC-tank.ColdC)))
}

// FromTank is the supply of a tub's next bath from a tank that holds so much.
func (d *Day) FromTank(tub int, storedL float64) Supply {
	from := asItIs(d.Plan.Kit)
	from.HotC = FillTapC(d.Plan.Kit.HotWater(), storedL, func(hotC float64) FillPlan { s := from; s.HotC = hotC; return d.FillWith(tub, s) })
	return from
}
