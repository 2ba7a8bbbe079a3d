package session

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"time"

	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
)

// IsFor says that it is for the bath that a tub waits for.
func (k KettleRun) IsFor(t TubRun) bool { return k.Batch == t.Batch && k.Step == t.At }

// KettleOn is the kettle that is on, or that has boiled and waits to be poured, however
// long: what has stood is brought back to the boil, and is not forgotten. ok is false where
// none is, and for one whose bath will not come any more.
func (d Day) KettleOn() (k KettleRun, ok bool) {
	k = d.Kettle
	if k.OnAt.IsZero() {
		return k, false
	}
	for i, t := range d.Tubs {
		if t.Batch == k.Batch {
			k.Tub = i // it may have gone into another than was thought
			return k, t.At < k.Step || t.At == k.Step && t.Phase == shed.ToFill
		}
	}
	return k, slices.ContainsFunc(d.Waiting(), func(b shed.Batch) bool { return b.ID == k.Batch })
}

// Stale says that it, or what is in the pail, has boiled and stood too long to be poured.
func (k KettleRun) Stale(now time.Time) bool {
	return !k.BoiledAt.IsZero() && (measure.MinutesBetween(k.BoiledAt, now) > KettleFreshMin || k.PailMin(now) > MostStoodMin)
}

// BoiledL is what stands in the kettle, boiled and hot, whichever bath it is for, L.
func (d Day) BoiledL(now time.Time) float64 {
	if k, on := d.KettleOn(); on && !k.BoiledAt.IsZero() && !k.Stale(now) {
		return k.VolumeL
	}
	return 0
}

// SayPour is where the water of a kettle that has boiled goes: into its tub, or
// nowhere yet.
func (d Day) SayPour(k KettleRun) string {
	if d.Tubs[k.Tub].Phase != shed.ToFill {
		return fmt.Sprintf("the kettle has boiled: keep it for %s's %s", d.TubName(k.Tub), k.StepName)
	}
	return "the kettle has boiled: pour it into " + d.TubName(k.Tub)
}

// KettleWish is kettle water that a bath wants.
type KettleWish struct {
	tub     int
	Batch   string
	Step    int
	Name    string
	Fill    FillPlan
	BoilMin float64
	// AsItComes: the tap alone would do but for the bath before, from which it is too far.
	AsItComes bool
}

// WantsKettle is the kettle water for the next bath of a tub: the one it waits
// for, or the one after the bath it is in, or the first of a batch that is to be
// loaded; h is the heat of the bath it is in, if it is known.
func (d Day) WantsKettle(tub int, load string, h HeatModel, now time.Time) (KettleWish, bool) {
	t, k := d.Tubs[tub], d.Plan.Kit
	w := KettleWish{tub: tub, Batch: t.Batch, Step: t.At + 1}
	n, phase, at := t, t.Phase, now    // at: when its water runs, as far as can be told
	if load != "" && load != t.Batch { // it comes once the tub is free
		phase = shed.Idle
	}
	switch phase {
	case shed.ToFill:
		w.Step = t.At
	case shed.Soaking:
		n.LastWet, n.LastLiftC, n.LastSankC = true, t.Bath.SinkC, t.Bath.SinkC
		if end := t.SoakEndAt(now); end.After(now) {
			at = end
		}
	case shed.ToSink:
		n.LastWet, n.LastLiftC, n.LastSankC = true, t.Bath.FillC, t.Bath.FillC
		at = now.Add(measure.Lasting(t.Bath.SoakMin))
	case shed.Draining:
	case shed.Idle:
		waiting := d.Waiting()
		i := max(0, slices.IndexFunc(waiting, func(b shed.Batch) bool { return b.ID == load }))
		if i >= len(waiting) {
			return w, false
		}
		w.Batch, w.Step = waiting[i].ID, 0
		n = TubRun{Batch: w.Batch, Steps: loadFor(d.Plan, tub, waiting[i]).Steps}
	case shed.ToSpin, shed.ToRack:
		return w, false
	}
	// Asked for every second: no kettle, no reckoning.
	if k.Kettle.CapacityL <= 0 || k.Kettle.PowerW <= 0 || w.Step >= len(n.Steps) || n.Steps[w.Step].Water == shed.FromCold || !n.Steps[w.Step].Kind.IsBath() {
		return w, false
	}
	n.At = w.Step
	next := d
	next.Tubs = slices.Clone(d.Tubs)
	fill := func() FillPlan {
		next.Tubs[tub] = n
		return next.FillWith(tub, next.FromTank(tub, d.HotLeftL(at)))
	}
	f := fill()
	if phase == shed.ToSink && n.Steps[w.Step].Water == shed.FromHot { // nobody knows how cool the lift comes
		return w, false
	}
	if phase == shed.Soaking && f.Pour.KettleL > 0 { // it depends on the lift, which comes cooler
		if !h.Ok {
			h = d.Heat(tub)
		}
		if c, _ := h.At(t.SoakEndAt(t.HeldAt)); measure.Finite(c) {
			n.LastLiftC = c
			f = fill()
		}
	}
	if f.Pour.KettleL < LeastKettleL || (phase == shed.ToFill || phase == shed.Draining) && next.tapWillDo(tub, f, now) {
		return w, false
	}
	w.Name, w.Fill, w.BoilMin, w.AsItComes = d.StepName(w.Batch, w.Step, n.Steps[w.Step].Name), f, FillBoilMin(k, f), n.Steps[w.Step].Water == shed.FromHot
	return w, true
}

// Boiled is the day for somebody who never says that the kettle is on: no fill waits for it.
func (d Day) Boiled() Day {
	d.boiled = true
	return d
}

// TellsKettle says that the person says when the kettle is on, so that fills wait for it.
func (d Day) TellsKettle() bool { return !d.boiled }

// LeastKettleL is the least kettle water that is worth a boil, L.
const LeastKettleL = 0.1

// SayHowToBoil is how long a fill's kettle water takes to boil, and in how many boils: "about 12
// min from the hot tap in 2 boils (keep the first in a lidded pail)".
func SayHowToBoil(k shed.Kit, f FillPlan) string {
	text := "about " + measure.Minutes(math.Ceil(FillBoilMin(k, f))) + " from the hot tap"
	switch {
	case f.KettleLoads == 2:
		text += " in 2 boils (keep the first in a lidded pail)"
	case f.KettleLoads > 2:
		text += fmt.Sprintf(" in %d boils (keep the first ones in a lidded pail)", f.KettleLoads)
	}
	return text
}

// WithBoil is the day whose list has this boil next: the kettle is called for then.
func (d Day) WithBoil(b NextBoil) Day {
	d.boil = &b
	return d
}

// BoilDue says whether the list has the boil of a bath, the next of a tub, due at now; listed
// is false where nobody has made a list. One that was called for is due until it is told of.
func (d Day) BoilDue(tub int, batch string, step int, now time.Time) (due, listed bool) {
	if d.boil == nil {
		return false, false
	}
	due = d.boil.Batch == batch && d.boil.Step == step
	return due && (!now.Before(d.boil.At) || d.FindAlarm(KettleNow, tub) >= 0), true
}

// ErrBoiledSoon is wrapped by the refusal of a boil that came far sooner than
// reckoned; the same command with Sure set is accepted.
var ErrBoiledSoon = errors.New("boiled soon")

// decideKettle is one key: on, and then boiled.
func decideKettle(d Day, c TellKettle, now time.Time) ([]Event, error) {
	if k, on := d.KettleOn(); on {
		switch {
		case k.Stale(now): // it was brought back to the boil
			return []Event{KettleBoiled{Tub: k.Tub}}, nil
		case !k.BoiledAt.IsZero():
			return nil, errors.New(d.SayPour(k))
		case !c.Sure && k.tooSoon(now):
			return nil, refusal{fmt.Sprintf("the kettle takes about %s: boiled already", measure.Minutes(math.Ceil(k.loadMin(k.OnL())))), ErrBoiledSoon}
		case k.Follows():
			return []Event{KettleRefilled{Tub: k.Tub}}, nil
		}
		return []Event{KettleBoiled{Tub: k.Tub}}, nil
	}
	w, ok := d.WantsKettle(c.Tub, c.Batch, HeatModel{}, now)
	switch {
	case d.Plan.Kit.Kettle.AsideL > 0:
		return nil, fmt.Errorf("the kettle is off for now: say it's back first")
	case d.Plan.Kit.Kettle.CapacityL <= 0:
		return nil, fmt.Errorf("the kit has no kettle: add one under Kit")
	case !ok:
		return nil, fmt.Errorf("%s's next bath takes no kettle water", d.TubName(c.Tub))
	}
	return []Event{KettlePutOn{Tub: w.tub, Batch: w.Batch, Step: w.Step, StepName: w.Name, VolumeL: w.Fill.Pour.KettleL, BoilMin: w.BoilMin, LoadL: w.loadL(d.Plan.Kit)}}, nil
}

// loadL is what the kettle holds, where it takes more than one boil; else 0.
func (w KettleWish) loadL(k shed.Kit) float64 {
	if w.Fill.KettleLoads < 2 {
		return 0
	}
	return k.Kettle.CapacityL
}

// poursKettle says that an event pours the kettle out, whichever tub it was for.
func poursKettle(e Event) bool {
	switch e := e.(type) {
	case BathFilled:
		return e.KettleL > 0
	case ToppedUp:
		return e.TempC >= kettlePourC
	}
	return false
}

// kettlePourC: a top-up this hot came from the kettle.
const kettlePourC = 75.0

// FillBoilMin is BoilMin for a fill, the hands between its boils with it.
func FillBoilMin(k shed.Kit, f FillPlan) float64 {
	return k.BoilMin(f.Pour.KettleL) + shed.RefillMin*float64(max(0, f.KettleLoads-1))
}

// Cooled says that what has boiled for the bath of a tub has stood for longer than anybody pours it.
func (d Day) Cooled(tub int, now time.Time) bool {
	k, on := d.KettleOn()
	return on && k.IsFor(d.Tubs[tub]) && !k.BoiledAt.IsZero() && (measure.MinutesBetween(k.BoiledAt, now) > MostStoodMin || k.PailMin(now) > MostStoodMin)
}

// FillAgain is FillAt with what has cooled boiled again.
func (d Day) FillAgain(tub int, now time.Time) FillPlan {
	if d.Cooled(tub, now) {
		d.Kettle.Load, d.Kettle.BoiledAt = 0, now
	}
	return d.FillAt(tub, now)
}

// FillAt is Fill with the hot tap as the tank gives it at now, and with what has boiled as it has
// cooled since.
func (d Day) FillAt(tub int, now time.Time) FillPlan {
	from := d.FromTank(tub, d.HotLeftL(now))
	if k, on := d.KettleOn(); on && k.IsFor(d.Tubs[tub]) {
		from.BoiledL = k.VolumeL // as it was put on, whatever has changed since
		if !k.BoiledAt.IsZero() {
			from.StoodMin = min(MostStoodMin, measure.MinutesBetween(k.BoiledAt, now))
		}
		from.PailMin = k.PailMin(now)
	}
	f := d.FillWith(tub, from)
	if from.BoiledL == 0 && d.tapWillDo(tub, f, now) {
		return d.fillFromTap(tub, now)
	}
	return f
}

// tapWillDo says that the tap alone gives a rinse within its step by the time its kettle has
// boiled: meanwhile the tank fills, and the fleece cools as it hangs.
func (d Day) tapWillDo(tub int, f FillPlan, now time.Time) bool {
	s := d.Tubs[tub].Step()
	if d.boiled || s.Water != shed.FromHot || f.Pour.KettleL <= 0 {
		return false
	}
	at := now.Add(measure.Lasting(FillBoilMin(d.Plan.Kit, f)))
	return !TooFar(s, d.GapC(tub, d.fillFromTap(tub, at).AfterC, at))
}

// InPailL is what of a tub's kettle has boiled and waits in the pail, while the next boils, L.
func (d Day) InPailL(tub int) float64 {
	if k, on := d.KettleOn(); on && k.IsFor(d.Tubs[tub]) && k.BoiledAt.IsZero() {
		return float64(k.Load) * k.LoadL
	}
	return 0
}

// fillFromTap is FillAt without what has not boiled yet.
func (d Day) fillFromTap(tub int, now time.Time) FillPlan {
	from := d.FromTank(tub, d.HotLeftL(now))
	if from.BoiledL = d.InPailL(tub); from.BoiledL > 0 {
		from.StoodMin = d.Kettle.PailMin(now)
	}
	from.tapOnly = from.BoiledL == 0
	return d.FillWith(tub, from)
}

// stopKettle ends a boil that has not come to its end: what has boiled before it waits to be
// poured, and no more comes.
func (d *Day) stopKettle(at time.Time) {
	k := &d.Kettle
	switch boiled := float64(k.Load) * k.LoadL; {
	case k.OnAt.IsZero() || !k.BoiledAt.IsZero():
	case boiled > 0:
		k.VolumeL, k.BoiledAt = boiled, at
	default:
		*k = KettleRun{}
	}
}
