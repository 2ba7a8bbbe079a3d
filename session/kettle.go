package session

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"time"
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
	BoilMin  float64 // as reckoned when it was put on
}

// ReadyAt is when it has boiled: as told, or as reckoned.
func (k KettleRun) ReadyAt() time.Time {
	if !k.BoiledAt.IsZero() {
		return k.BoiledAt
	}
	return k.OnAt.Add(minutes(k.BoilMin))
}

// kettleCools: water that has boiled and stood so long counts as cold again; our
// own choice.
const kettleCools = 30 * time.Minute

// KettleOn is the kettle that is on, or that has boiled and waits to be poured; ok
// is false for a cold one, and for one whose bath will not come any more.
func (d Day) KettleOn(now time.Time) (k KettleRun, ok bool) {
	k = d.Kettle
	if k.OnAt.IsZero() || now.Sub(k.ReadyAt()) >= kettleCools {
		return k, false
	}
	for i, t := range d.Tubs {
		if t.Batch == k.Batch {
			k.Tub = i // it may have gone into another than was thought
			return k, t.At < k.Step || t.At == k.Step && t.Phase == ToFill
		}
	}
	return k, slices.ContainsFunc(d.Waiting(), func(b Batch) bool { return b.ID == k.Batch })
}

// SayPour is where the water of a kettle that has boiled goes: into its tub, or
// nowhere yet.
func (d Day) SayPour(k KettleRun) string {
	if d.Tubs[k.Tub].Phase != ToFill {
		return fmt.Sprintf("the kettle has boiled: keep it for %s's %s", d.tubName(k.Tub), k.StepName)
	}
	return "the kettle has boiled: pour it into " + d.tubName(k.Tub)
}

// kettleWish is kettle water that a bath wants.
type kettleWish struct {
	tub     int
	batch   string
	step    int
	name    string
	pourL   float64
	loads   int
	boilMin float64
}

// wantsKettle is the kettle water for the next bath of a tub: the one it waits
// for, or the one after the bath it is in; h is that bath's heat, if it is known.
func (d Day) wantsKettle(tub int, load string, h heatModel) (kettleWish, bool) {
	t, k := d.Tubs[tub], d.Plan.Kit
	w := kettleWish{tub: tub, batch: t.Batch, step: t.At + 1}
	next := d
	next.Tubs = slices.Clone(d.Tubs)
	n := &next.Tubs[tub]
	switch t.Phase {
	case ToFill:
		w.step = t.At
	case Soaking:
		n.LastWet, n.LastLiftC = true, t.Bath.SinkC
	case Draining:
	case Idle:
		waiting := d.Waiting()
		i := max(0, slices.IndexFunc(waiting, func(b Batch) bool { return b.ID == load }))
		if i >= len(waiting) {
			return w, false
		}
		w.batch, w.step = waiting[i].ID, 0
		*n = TubRun{Batch: w.batch, Steps: loadFor(d.Plan, tub, waiting[i]).Steps}
	case ToSink, ToSpin, ToRack:
		return w, false
	}
	// Asked for every second: no kettle, no reckoning.
	if k.Kettle.CapacityL <= 0 || k.Kettle.PowerW <= 0 || w.step >= len(n.Steps) || n.Steps[w.step].Water == FromCold || !n.Steps[w.step].Kind.IsBath() {
		return w, false
	}
	n.At = w.step
	f := next.Fill(tub)
	if t.Phase == Soaking && n.Steps[w.step].Water == FromHot && f.Pour.KettleL > 0 { // it depends on the lift, which comes cooler
		if !h.ok {
			h = d.heat(tub)
		}
		if c, _ := h.at(t.SoakEndAt(t.HeldAt)); finite(c) {
			n.LastLiftC = c
			f = next.Fill(tub)
		}
	}
	if f.Pour.KettleL < 0.1 {
		return w, false
	}
	w.name, w.pourL, w.loads = n.Steps[w.step].Name, f.Pour.KettleL, f.KettleLoads
	w.boilMin = k.boilMin(w.pourL) + float64(max(0, w.loads-1)) // each refill costs a minute or so of hands
	return w, true
}

// kettleAhead says that the next bath of a tub wants kettle water, and how many
// minutes before the lift to put the kettle on: as long as it takes to boil
// what is needed, and two to see to it. A kettle that is on is not asked for.
func (d Day) kettleAhead(tub int, now time.Time, h heatModel) (text string, aheadMin float64) {
	w, ok := d.wantsKettle(tub, "", h)
	if !ok || d.Tubs[tub].Phase != Soaking {
		return "", 0
	}
	if k, on := d.KettleOn(now); on {
		if k.Batch != w.batch || k.Step != w.step {
			return "", 0
		}
		return d.sayKettle(k, now), math.Inf(1)
	}
	again := ""
	if w.loads > 1 {
		first := "the first one"
		if w.loads > 2 {
			first = "the first ones"
		}
		again = fmt.Sprintf(" in %d boils (keep %s hot under a lid)", w.loads, first)
	}
	return fmt.Sprintf("put the kettle on: the %s wants %s of it, about %s to boil from the hot tap%s", w.name,
		d.Plan.Kit.KettleText(w.pourL), showMin(math.Ceil(w.boilMin)), again), w.boilMin + 2
}

// kettleWanted says that the kettle should go on now for the bath after a soak
// that has so many minutes left.
func (d Day) kettleWanted(tub int, now time.Time, leftMin float64, h heatModel) bool {
	if _, on := d.KettleOn(now); on {
		return false
	}
	_, aheadMin := d.kettleAhead(tub, now, h)
	return aheadMin > 0 && leftMin <= aheadMin
}

// kettleCalls says that the person is called to the kettle for a tub: they have
// nothing else to do, and no other tub's call for it stands, for there is one.
func (d Day) kettleCalls(tub int, now time.Time) bool {
	for i := range d.Tubs {
		if i != tub && d.findAlarm(KettleNow, i) >= 0 {
			return false
		}
	}
	callAt, ok := d.callAt(tub, now, now)
	return ok && !now.Before(callAt)
}

// sayKettle is how the kettle stands.
func (d Day) sayKettle(k KettleRun, now time.Time) string {
	pour := d.Plan.Kit.KettleText(k.VolumeL)
	switch left := minutesBetween(now, k.ReadyAt()); {
	case !k.BoiledAt.IsZero():
		return fmt.Sprintf("the kettle has boiled: %s for the %s", pour, k.StepName)
	case left < 1:
		return fmt.Sprintf("the kettle should be boiling: %s for the %s", pour, k.StepName)
	default:
		return fmt.Sprintf("the kettle is on: %s for the %s, boils in %s", pour, k.StepName, showMin(math.Floor(left)))
	}
}

// KettleKey is what a key for the kettle tells now: that it has boiled, if it is
// on, else that it is on, for the tub in hand if its next bath wants it (-1: none
// is), else for the first of the list that does, else for any. ok is false where
// there is nothing to tell.
func (d Day) KettleKey(now time.Time, acts []NextAct, inHand int) (c TellKettle, ok bool) {
	if !d.Running() {
		return c, false
	}
	if k, on := d.KettleOn(now); on {
		return TellKettle{Tub: k.Tub}, k.BoiledAt.IsZero()
	}
	tries := []TellKettle{{Tub: inHand}}
	for _, a := range acts {
		if a.Boil {
			tries = append(tries, TellKettle{Tub: a.Tub, Batch: a.Batch})
		}
	}
	for i := range d.Tubs {
		tries = append(tries, TellKettle{Tub: i})
	}
	for _, c := range tries {
		if c.Tub < 0 || c.Tub >= len(d.Tubs) {
			continue
		}
		if _, ok := d.wantsKettle(c.Tub, c.Batch, heatModel{}); ok {
			return c, true
		}
	}
	return c, false
}

// ErrBoiledSoon is wrapped by the refusal of a boil that came far sooner than
// reckoned; the same command with Sure set is accepted.
var ErrBoiledSoon = errors.New("boiled soon")

// decideKettle is one key: on, and then boiled.
func decideKettle(d Day, c TellKettle, now time.Time) ([]Event, error) {
	if k, on := d.KettleOn(now); on {
		switch {
		case !k.BoiledAt.IsZero():
			return nil, errors.New(d.SayPour(k))
		case !c.Sure && minutesBetween(k.OnAt, now) < k.BoilMin/2:
			return nil, refusal{fmt.Sprintf("the kettle takes about %s: boiled already", showMin(math.Ceil(k.BoilMin))), ErrBoiledSoon}
		}
		return []Event{KettleBoiled{Tub: k.Tub}}, nil
	}
	w, ok := d.wantsKettle(c.Tub, c.Batch, heatModel{})
	switch {
	case d.Plan.Kit.Kettle.CapacityL <= 0:
		return nil, fmt.Errorf("the kit has no kettle: add one under Kit")
	case !ok:
		return nil, fmt.Errorf("%s's next bath takes no kettle water", d.tubName(c.Tub))
	}
	return []Event{KettlePutOn{Tub: w.tub, Batch: w.batch, Step: w.step, StepName: w.name, VolumeL: w.pourL, BoilMin: w.boilMin}}, nil
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
