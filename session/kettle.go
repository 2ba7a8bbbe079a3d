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
func (k *KettleRun) IsFor(t *TubRun) bool { return k.Batch == t.Batch && k.Step == t.At }

// KettleOn is the kettle that is on, or that has boiled and waits to be poured, however
// long: what has stood is brought back to the boil, and is not forgotten. ok is false where
// none is, and for one whose bath will not come any more.
func (d *Day) KettleOn() (*KettleRun, bool) {
	k := d.Kettle
	if k.OnAt.IsZero() {
		return &offKettle, false
	}
	for i := range d.Tubs {
		if t := &d.Tubs[i]; t.Batch == k.Batch {
			k.Tub = i // it may have gone into another than was thought
			return &k, t.At < k.Step || t.At == k.Step && t.Phase == shed.ToFill
		}
	}
	return &k, slices.ContainsFunc(d.Waiting(), func(b shed.Batch) bool { return b.ID == k.Batch })
}

var offKettle KettleRun

// SayPour is where the water of a kettle that has boiled goes: into its tub, or
// nowhere yet.
func (d *Day) SayPour(k *KettleRun) string {
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

// toNextBath makes a tub as it will be when its next bath is filled, which wants the kettle if any
// does: the bath it waits for, or the one after that it is in, or the first of a batch that is to
// be loaded. Until then it is in phase; at is when the water runs, as far as can be told.
func (d *Day) toNextBath(tub int, load string, now time.Time) (phase shed.Phase, at time.Time, ok bool) {
	d.Tubs = slices.Clone(d.Tubs)
	t := &d.Tubs[tub]
	phase, at = t.Phase, now
	step := t.At + 1
	if load != "" && load != t.Batch { // it comes once the tub is free
		phase = shed.Idle
	}
	switch phase {
	case shed.ToFill:
		step = t.At
	case shed.Soaking:
		t.leave(t.Bath.SinkC, t.Bath.SinkC)
		if end := t.SoakEndAt(now); end.After(now) {
			at = end
		}
	case shed.ToSink:
		t.leave(t.Bath.FillC, t.Bath.FillC)
		at = now.Add(measure.Lasting(t.Bath.SoakMin))
	case shed.Draining:
	case shed.Idle:
		waiting := d.Waiting()
		i := max(0, slices.IndexFunc(waiting, func(b shed.Batch) bool { return b.ID == load }))
		if i >= len(waiting) {
			return phase, at, false
		}
		*t, step = TubRun{Batch: waiting[i].ID, Steps: loadFor(d.Plan, tub, &waiting[i]).Steps}, 0
	case shed.ToSpin, shed.ToRack:
		return phase, at, false
	}
	t.At = step
	k, s := &d.Plan.Kit.Kettle, t.Step() // asked for every second: no kettle, no reckoning
	return phase, at, k.CapacityL > 0 && k.PowerW > 0 && step < len(t.Steps) && s.Water != shed.FromCold && s.Kind.IsBath()
}

// WantsKettle is the kettle water for the next bath of a tub; h is the heat of the bath it is in,
// if it is known.
func (d Day) WantsKettle(tub int, load string, h HeatModel, now time.Time) (w KettleWish, ok bool) {
	next, t := d, d.Tubs[tub]
	phase, at, ok := next.toNextBath(tub, load, now)
	n := &next.Tubs[tub]
	s := n.Step()
	if !ok || phase == shed.ToSink && s.Water == shed.FromHot { // nobody knows how cool the lift comes
		return w, false
	}
	f := next.FillWith(tub, next.FromTank(tub, d.HotLeftL(at)))
	if phase == shed.Soaking && f.Pour.KettleL > 0 { // it depends on the lift, which comes cooler
		if !h.Ok {
			h = d.Heat(tub)
		}
		if c, _ := h.At(d.liftedBy(t.SoakEndAt(t.HeldAt))); measure.Finite(c) {
			n.LastLiftC = c
			f = next.FillWith(tub, next.FromTank(tub, d.HotLeftL(at)))
		}
	}
	if f.Pour.KettleL < LeastKettleL || (phase == shed.ToFill || phase == shed.Draining) && next.tapWillDo(tub, f, now) {
		return w, false
	}
	return KettleWish{tub: tub, Batch: n.Batch, Step: n.At, Name: d.StepName(n.Batch, n.At, s.Name), Fill: f, BoilMin: FillBoilMin(d.Plan.Kit, f), AsItComes: s.Water == shed.FromHot}, true
}

// liftedBy is when fleece is out that is lifted once its soak is over at end.
func (d *Day) liftedBy(end time.Time) time.Time {
	return end.Add(measure.Lasting(d.Plan.HandsMin()[shed.Lift]))
}

// FarUnderC is how far under its aim a wash may come and no more is said of it, hot enough to
// begin as it may be. Our own choice.
const FarUnderC = 2.0

// KettleDue is KettleOn with all that its bath wants by now: where the tap has come so much cooler
// since that the bath would be far under its aim, and there is something to be gained, one more boil follows.
func (d Day) KettleDue(now time.Time) (*KettleRun, bool) {
	k, ok := d.KettleOn()
	if !ok || k.Stale(now) {
		return k, ok
	}
	_, at, wants := d.toNextBath(k.Tub, k.Batch, now)
	if t := &d.Tubs[k.Tub]; !wants || !k.IsFor(t) || t.Step().Water != shed.Mixed {
		return k, true
	}
	from := d.FromTank(k.Tub, d.HotLeftL(at))
	if f := d.FillWith(k.Tub, k.supply(from, now)); f.ShortC > FarUnderC || f.Short() {
		if more := d.FillWith(k.Tub, from).Pour.KettleL - k.VolumeL; more >= LeastKettleL/2 {
			k.withMore(more, d.Plan.Kit.Kettle.CapacityL)
		}
	}
	return k, true
}

// boilAgain puts what has boiled and stood on again: all of it where what is in the pail has cooled too.
func (d *Day) boilAgain(k *KettleRun, now time.Time) KettleAgain {
	e, litres := KettleAgain{Tub: k.Tub, All: k.PailMin(now) > MostStoodMin}, k.InL
	if e.All {
		litres += k.PailL
		e.BoilMin = k.loadMin(d.Kettle.VolumeL-litres) + shed.RefillMin*float64(d.Kettle.Loads()-1)
	}
	kit := &d.Plan.Kit
	stoodC := kit.Boil(false, measure.MinutesBetween(k.ThroughAt(), now), k.PailMin(now)).PouredC()
	e.BoilMin += kit.BoilFromMin(litres, stoodC(litres))
	return e
}

// Boiled is the day for somebody who never says that the kettle is on: no fill waits for it.
func (d Day) Boiled() Day {
	d.boiled = true
	return d
}

// TellsKettle says that the person says when the kettle is on, so that fills wait for it.
func (d *Day) TellsKettle() bool { return !d.boiled }

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

// decideKettle is one key: on, and then boiled, and so with each boil of several, and again where
// what has boiled has stood.
func decideKettle(d Day, c TellKettle, now time.Time) ([]Event, error) {
	w, wants := KettleWish{}, false
	k, on := d.KettleDue(now)
	turns := c.Turn && on && c.Tub != k.Tub
	if turns || !on {
		w, wants = d.WantsKettle(c.Tub, c.Batch, HeatModel{}, now)
	}
	if on && !turns {
		switch {
		case k.Cools(now):
			return []Event{d.boilAgain(k, now)}, nil
		case !k.BoiledAt.IsZero():
			return nil, errors.New(d.SayPour(k))
		case !c.Sure && k.tooSoon(now):
			return nil, refusal{fmt.Sprintf("the kettle takes about %s: boiled already", measure.Minutes(math.Ceil(k.onMin()))), ErrBoiledSoon}
		case k.Follows():
			return []Event{KettleRefilled{Tub: k.Tub, MoreL: k.VolumeL - d.Kettle.VolumeL}}, nil
		}
		return []Event{KettleBoiled{Tub: k.Tub}}, nil
	}
	switch {
	case d.Plan.Kit.Kettle.AsideL > 0:
		return nil, fmt.Errorf("the kettle is off for now: say it's back first")
	case d.Plan.Kit.Kettle.CapacityL <= 0:
		return nil, fmt.Errorf("the kit has no kettle: add one under Kit")
	case !wants:
		return nil, fmt.Errorf("%s's next bath takes no kettle water", d.TubName(c.Tub))
	}
	return []Event{KettlePutOn{Tub: w.tub, Batch: w.Batch, Step: w.Step, StepName: w.Name, VolumeL: w.Fill.Pour.KettleL, BoilMin: w.BoilMin, LoadL: w.loadL(d.Plan.Kit), Turned: turns}}, nil
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
	return on && k.IsFor(&d.Tubs[tub]) && k.stoodFor(MostStoodMin, now)
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
	if k, on := d.KettleDue(now); on && k.IsFor(&d.Tubs[tub]) {
		from = k.supply(from, now)
	}
	f := d.FillWith(tub, from)
	if from.BoiledL == 0 && d.tapWillDo(tub, f, now) {
		return d.FillFromTap(tub, now)
	}
	return f
}

// tapWillDo says that the tap alone gives a rinse within its step by the time its kettle has
// boiled: meanwhile the tank fills, and the fleece cools as it hangs.
func (d *Day) tapWillDo(tub int, f FillPlan, now time.Time) bool {
	s := d.Tubs[tub].Step()
	if d.boiled || s.Water != shed.FromHot || f.Pour.KettleL <= 0 {
		return false
	}
	at := now.Add(measure.Lasting(FillBoilMin(d.Plan.Kit, f)))
	return !TooFar(s, d.GapC(tub, d.FillFromTap(tub, at).AfterC, at))
}

// supply is what a bath is made from with all that the kettle is on for, as it has cooled since
// it boiled.
func (k *KettleRun) supply(from Supply, now time.Time) Supply {
	from.BoiledL, from.PailMin = k.VolumeL, k.PailMin(now)
	if stands, boiled := k.StandsMin(now); boiled {
		from.StoodMin = min(MostStoodMin, stands)
	}
	return from
}

// HasBoiledL is what has boiled for the bath of a tub and is hot still, L, while more is to boil.
func (d *Day) HasBoiledL(tub int, now time.Time) float64 {
	switch k := &d.Kettle; {
	case k.OnAt.IsZero() || !k.IsFor(&d.Tubs[tub]) || d.Cooled(tub, now):
		return 0
	case k.BoiledAt.IsZero():
		return k.PailL
	default:
		return k.VolumeL
	}
}

// FillFromTap is FillAt without what has not boiled yet.
func (d *Day) FillFromTap(tub int, now time.Time) FillPlan {
	from := d.FromTank(tub, d.HotLeftL(now))
	if hasL := d.HasBoiledL(tub, now); hasL > 0 {
		if from = d.Kettle.supply(from, now); d.Kettle.BoiledAt.IsZero() {
			from.BoiledL, from.StoodMin = hasL, from.PailMin
		}
	}
	from.tapOnly = from.BoiledL == 0
	return d.FillWith(tub, from)
}

// stopKettle ends a boil that has not come to its end: what has boiled before it waits to be
// poured, and no more comes.
func (d *Day) stopKettle() {
	switch k := &d.Kettle; {
	case k.OnAt.IsZero() || !k.BoiledAt.IsZero():
	case k.PailL > 0:
		k.VolumeL, k.InL, k.PailL, k.Load, k.BoiledAt = k.PailL, k.PailL, 0, 0, k.KeptAt
	default:
		*k = KettleRun{}
	}
}
