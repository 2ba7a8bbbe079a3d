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

// isFor says that it is for the bath that a tub waits for.
func (k KettleRun) isFor(t TubRun) bool { return k.Batch == t.Batch && k.Step == t.At }

// kettleFreshMin: water that has stood longer since its boil has lost some degrees
// (from memory about one a minute), which a bath of much kettle water would miss.
const kettleFreshMin = 5.0

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
	fill    FillPlan
	boilMin float64
}

// wantsKettle is the kettle water for the next bath of a tub: the one it waits
// for, or the one after the bath it is in, or the first of a batch that is to be
// loaded; h is the heat of the bath it is in, if it is known.
func (d Day) wantsKettle(tub int, load string, h heatModel, now time.Time) (kettleWish, bool) {
	t, k := d.Tubs[tub], d.Plan.Kit
	w := kettleWish{tub: tub, batch: t.Batch, step: t.At + 1}
	next := d
	next.Tubs = slices.Clone(d.Tubs)
	n := &next.Tubs[tub]
	phase := t.Phase
	if load != "" && load != t.Batch { // it comes once the tub is free
		phase = Idle
	}
	switch phase {
	case ToFill:
		w.step = t.At
	case Soaking:
		n.LastWet, n.LastLiftC, n.LastSankC = true, t.Bath.SinkC, t.Bath.SinkC
	case ToSink:
		n.LastWet, n.LastLiftC, n.LastSankC = true, t.Bath.FillC, t.Bath.FillC
	case Draining:
	case Idle:
		waiting := d.Waiting()
		i := max(0, slices.IndexFunc(waiting, func(b Batch) bool { return b.ID == load }))
		if i >= len(waiting) {
			return w, false
		}
		w.batch, w.step = waiting[i].ID, 0
		*n = TubRun{Batch: w.batch, Steps: loadFor(d.Plan, tub, waiting[i]).Steps}
	case ToSpin, ToRack:
		return w, false
	}
	// Asked for every second: no kettle, no reckoning.
	if k.Kettle.CapacityL <= 0 || k.Kettle.PowerW <= 0 || w.step >= len(n.Steps) || n.Steps[w.step].Water == FromCold || !n.Steps[w.step].Kind.IsBath() {
		return w, false
	}
	n.At = w.step
	tapNow := func() FillPlan { return next.fillWith(tub, next.fromTank(tub, d.hotLeftL(now))) }
	f := tapNow()
	if phase == ToSink && n.Steps[w.step].Water == FromHot { // nobody knows how cool the lift comes
		return w, false
	}
	if phase == Soaking && n.Steps[w.step].Water == FromHot && f.Pour.KettleL > 0 { // it depends on the lift, which comes cooler
		if !h.ok {
			h = d.heat(tub)
		}
		if c, _ := h.at(t.SoakEndAt(t.HeldAt)); finite(c) {
			n.LastLiftC = c
			f = tapNow()
		}
	}
	if f.Pour.KettleL < leastKettleL {
		return w, false
	}
	w.name, w.fill, w.boilMin = n.Steps[w.step].Name, f, k.boilsMin(f)
	return w, true
}

// KettleWait is how a fill waits for kettle water.
type KettleWait int

// The waits: it takes none or has it, nobody has told of a kettle for it, or one is
// on for it and cannot have boiled yet.
const (
	KettleReady KettleWait = iota
	KettleFirst
	KettleBoils
)

// Boiled is the day for a person who tells of no kettle: no fill waits for one.
func (d Day) Boiled() Day {
	d.boiled = true
	return d
}

// TellsKettle says that the person tells of the kettle, so that fills wait for it.
func (d Day) TellsKettle() bool { return !d.boiled }

// waitForKettle puts a fill off until its kettle water has boiled, and says how that
// stands.
func (d Day) waitForKettle(p *Prompt, f FillPlan, now time.Time) {
	t, kit := d.Tubs[p.Tub], d.Plan.Kit
	k, on := d.KettleOn(now)
	if on && k.isFor(t) && f.Pour.KettleL < leastKettleL {
		p.add("no kettle water after all: the tap is warm enough")
	}
	if !d.TellsKettle() || f.Pour.KettleL < leastKettleL || kit.Kettle.PowerW <= 0 {
		return
	}
	stood := on && minutesBetween(k.ReadyAt(), now) > kettleFreshMin
	switch {
	case on && k.isFor(t):
		said := d.sayKettle(k, now)
		if had, pour := kit.KettleText(k.VolumeL), kit.KettleText(f.Pour.KettleL); !k.BoiledAt.IsZero() && pour != had && !stood {
			said = fmt.Sprintf("the kettle has boiled: pour %s of its %s", pour, had)
		}
		if more := d.fillWith(p.Tub, d.fromTank(p.Tub, d.hotLeftL(now))); f.short() && more.Pour.KettleL > k.VolumeL+leastKettleL/2 {
			said += fmt.Sprintf("; boil %s more for %s", kit.KettleText(more.Pour.KettleL-k.VolumeL), kit.Units.Temp(more.WaterC))
		}
		if stood { // what is poured lukewarm misses the bath by degrees
			p.first(Line{Text: said, Must: true})
		} else {
			p.add(said)
		}
		if !k.BoiledAt.IsZero() || !k.ReadyAt().After(now) {
			return
		}
		p.Kettle, p.DueAt = KettleBoils, k.ReadyAt()
		p.Title = "wait for the kettle until " + d.Plan.local(k.ReadyAt()).Format("15:04") + ", then fill"
		p.Doubt = d.tubName(p.Tub) + "'s kettle has not boiled"
	case on:
		p.Kettle, p.DueAt = KettleFirst, k.ReadyAt()
		if !k.BoiledAt.IsZero() {
			p.DueAt = now
			p.add(d.SayPour(k))
		} else {
			p.add("the kettle is on for " + d.tubName(k.Tub))
		}
	default:
		p.Kettle, p.DueAt = KettleFirst, now
		p.add(kit.sayBoil(f))
	}
	if p.Kettle == KettleFirst {
		if p.DueAt.Before(now) {
			p.DueAt = now
		}
		p.DueAt = p.DueAt.Add(minutes(kit.boilsMin(f)))
		p.Title = "kettle first, then fill"
		p.Doubt = d.tubName(p.Tub) + "'s kettle has not boiled"
	}
	if p.Rank = Coming; !p.Held {
		p.Count = Count{ToDue, p.DueAt}
	}
}

// leastKettleL: less kettle water than this is not worth a boil.
const leastKettleL = 0.1

// sayBoil says how to boil what a fill takes.
func (k Kit) sayBoil(f FillPlan) string {
	return fmt.Sprintf("put the kettle on: %s, %s", k.KettleText(f.Pour.KettleL), k.sayHowToBoil(f))
}

func (k Kit) sayHowToBoil(f FillPlan) string {
	text := "about " + showMin(math.Ceil(k.boilsMin(f))) + " from the hot tap"
	switch {
	case f.KettleLoads == 2:
		text += " in 2 boils (keep the first hot under a lid)"
	case f.KettleLoads > 2:
		text += fmt.Sprintf(" in %d boils (keep the first ones hot under a lid)", f.KettleLoads)
	}
	return text
}

// kettleAhead says that the next bath of a tub wants kettle water, and how many
// minutes before the lift to put the kettle on: as long as it takes to boil
// what is needed, and two to see to it. A kettle that is on is not asked for.
func (d Day) kettleAhead(tub int, now time.Time, h heatModel) (text string, aheadMin float64) {
	w, ok := d.wantsKettle(tub, "", h, now)
	if !ok || d.Tubs[tub].Phase != Soaking {
		return "", 0
	}
	if k, on := d.KettleOn(now); on {
		if k.Batch != w.batch || k.Step != w.step {
			return "", 0
		}
		return d.sayKettle(k, now), math.Inf(1)
	}
	return d.Plan.Kit.sayBoil(w.fill) + ", for the " + w.name, w.boilMin + 2
}

// NextBoil is when the list has the kettle put on next, and for which bath; the zero
// one is a list without a boil.
type NextBoil struct {
	Batch string
	Step  int
	At    time.Time
}

// WithBoil is the day whose list has this boil next: the kettle is called for then.
func (d Day) WithBoil(b NextBoil) Day {
	d.boil = &b
	return d
}

// Planned is the day with a timetable. The call for the kettle then follows the list:
// its time and its tub.
func (d Day) Planned(t Timetable) Day {
	for _, p := range t.Pieces {
		if p.Boil() && !p.On {
			return d.WithBoil(NextBoil{p.Batch, p.Step, p.Start})
		}
	}
	return d.WithBoil(NextBoil{})
}

// kettleStays: a call for the kettle is not taken back when the list moves its boil by
// less than this; our own choice.
const kettleStays = 5 * time.Minute

// kettleWanted says that the kettle should go on now for the next bath of a tub: when
// the list has it, or without a list in time for the end of the soak.
func (d Day) kettleWanted(tub int, now time.Time, h heatModel) bool {
	if _, on := d.KettleOn(now); on {
		return false
	}
	w, ok := d.wantsKettle(tub, "", h, now)
	if !ok {
		return false
	}
	at := now
	if t := d.Tubs[tub]; t.Phase == Soaking {
		at = t.SoakEndAt(now).Add(-minutes(w.boilMin + 2))
	}
	if d.boil != nil {
		if d.boil.Batch != w.batch || d.boil.Step != w.step {
			return false
		}
		at = d.boil.At
		if d.findAlarm(KettleNow, tub) >= 0 {
			at = at.Add(-kettleStays)
		}
	}
	return !now.Before(at)
}

// kettleCalls says that the person is called to the kettle for a tub. They are not
// while they have something else to do, or while another tub's call stands: there is
// one kettle.
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
	case left < -kettleFreshMin && !k.BoiledAt.IsZero():
		return fmt.Sprintf("bring the kettle back to the boil, it has stood for %s: %s for the %s", showMin(math.Floor(-left)), pour, k.StepName)
	case left < -kettleFreshMin: // nobody has told of it: slow, or off long since
		return fmt.Sprintf("see that the kettle boils before you pour, it was due at %s: %s for the %s", d.Plan.local(k.ReadyAt()).Format("15:04"), pour, k.StepName)
	case !k.BoiledAt.IsZero():
		return fmt.Sprintf("the kettle has boiled: %s for the %s", pour, k.StepName)
	case left <= 0:
		return fmt.Sprintf("the kettle should be boiling: %s for the %s", pour, k.StepName)
	case left < 1:
		return fmt.Sprintf("the kettle is on: %s for the %s, boils in under 1 min", pour, k.StepName)
	default:
		return fmt.Sprintf("the kettle is on: %s for the %s, boils in %s", pour, k.StepName, showMin(math.Floor(left)))
	}
}

// KettleKey is what one key tells of the kettle now; ok is false where there is nothing
// to tell. Of a kettle that is on it tells that it has boiled. Else it tells that it
// goes on, for the first bath that wants it: that of the tub in hand (inHand; -1 for
// none), then in the order of the list, then any.
func (d Day) KettleKey(now time.Time, acts []NextAct, inHand int) (c TellKettle, ok bool) {
	if !d.Running() {
		return c, false
	}
	if k, on := d.KettleOn(now); on {
		return TellKettle{Tub: k.Tub}, k.BoiledAt.IsZero()
	}
	if !d.TellsKettle() {
		return c, false
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
		if _, ok := d.wantsKettle(c.Tub, c.Batch, heatModel{}, now); ok {
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
		case !c.Sure && minutesBetween(k.OnAt, now) < k.BoilMin/2 && k.BoilMin > 2:
			return nil, refusal{fmt.Sprintf("the kettle takes about %s: boiled already", showMin(math.Ceil(k.BoilMin))), ErrBoiledSoon}
		}
		return []Event{KettleBoiled{Tub: k.Tub}}, nil
	}
	w, ok := d.wantsKettle(c.Tub, c.Batch, heatModel{}, now)
	switch {
	case d.Plan.Kit.Kettle.CapacityL <= 0:
		return nil, fmt.Errorf("the kit has no kettle: add one under Kit")
	case !ok:
		return nil, fmt.Errorf("%s's next bath takes no kettle water", d.tubName(c.Tub))
	}
	return []Event{KettlePutOn{Tub: w.tub, Batch: w.batch, Step: w.step, StepName: w.name, VolumeL: w.fill.Pour.KettleL, BoilMin: w.boilMin}}, nil
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
