package session

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"fleece.example/tubside/cooling"
	"fleece.example/tubside/session/measure"
)

// Limits of what is offered where a bath would be too cool; our own choices.
const (
	hottestTankC  = 65.0 // nobody sets a household tank higher
	LeastBathPart = 0.5  // of the usual bath, or the fleece does not open out
)

// tooCoolToBegin says that a bath of tempC is below the coolest start of a step.
func (s Step) tooCoolToBegin(tempC float64) bool {
	return s.LowestSinkC > 0 && finite(tempC) && tempC < s.LowestSinkC-0.5 // less would read as no difference
}

// idle says that a bath is not worth its water: too cool to begin, or below its
// release temperature before the shortest soak is over.
func (l *lookAhead) idle(a bathAhead) bool {
	return a.step.tooCoolToBegin(a.fill.WaterC) || a.overstays(l.hands[Lift]) > 0
}

// sayUnfit says what is wrong with a bath that is not worth its water, and what
// would do.
func (l *lookAhead) sayUnfit(tub int, batch Batch, a bathAhead) string {
	k := l.day.Plan.Kit
	t := k.Tubs[tub]
	ways := l.ways(tub, batch, a)
	if !l.tooCool(a) {
		return fmt.Sprintf("%s's %s in %s cools too fast to wash, %s: %s", batch.ID, a.step.Name, t.Name, l.why(a), strings.Join(ways, ", or "))
	}
	return fmt.Sprintf("%s's %s in %s is too cool to wash, %s: %s", batch.ID, a.step.Name, t.Name, l.why(a), strings.Join(ways, ", or "))
}

// tooCool says that a bath fails for want of hot water, and not because its tub keeps
// no heat.
func (l *lookAhead) tooCool(a bathAhead) bool {
	return a.fill.ShortC > 0.5 || a.step.Water != Mixed || a.step.tooCoolToBegin(a.fill.WaterC)
}

// why is what is wrong with a bath, in figures.
func (l *lookAhead) why(a bathAhead) string {
	u, s := l.day.Plan.Kit.Units, a.step
	switch {
	case s.Kind.Facts().Release && (a.fill.AfterC < s.ReleaseC+0.5 || a.releaseMin < 1):
		return fmt.Sprintf("%s with the fleece in, and wax sets below %s", u.Temp(a.fill.AfterC), u.Temp(s.ReleaseC))
	case a.overstays(l.hands[Lift]) > 0:
		return fmt.Sprintf("%s with the fleece in, and perhaps %s after %s, before soak and lift are over (%s)", u.Temp(a.fill.AfterC), u.Temp(s.ReleaseC), showMin(math.Floor(a.releaseMin)), showMin(math.Ceil(a.releaseMin+a.overstays(l.hands[Lift]))))
	}
	return fmt.Sprintf("%s before the fleece, and it takes %s to begin", u.Temp(a.fill.WaterC), u.Temp(s.LowestSinkC))
}

// ways are what would make a bath worth its water, each by itself. Each has been
// tried: the bath made so begins warm enough and lasts the shortest soak.
func (l *lookAhead) ways(tub int, batch Batch, a bathAhead) []string {
	k := l.day.Plan.Kit
	u, from := k.Units, l.from
	made := func(s supply) bathAhead {
		with := *l
		with.from = s
		return with.bath(tub, batch, a.step, a.from)
	}
	does := func(s supply) bool {
		with := made(s)
		return with.fill.WaterC >= a.step.LowestSinkC && !l.idle(with)
	}
	var out []string
	if !l.tooCool(a) {
		if c, ok := betterCover(k.Tubs[tub].Cover, k.Tubs[tub].Cover); ok {
			covered := l.day
			covered.Plan.Kit.Tubs = append([]Tub(nil), k.Tubs...)
			covered.Plan.Kit.Tubs[tub].Cover = c
			look := covered.lookAhead()
			look.from = from
			if with := look.bath(tub, batch, a.step, a.from); !look.idle(with) {
				return []string{fmt.Sprintf("%s it lasts %s", coverPhrase(c), showMin(math.Floor(with.releaseMin)))}
			}
		}
		return []string{"take a larger tub, or leave this one out"}
	}
	if a.step.Water != FromCold {
		degrees := func(n int) float64 { return float64(n) }
		low, high := int(math.Ceil(from.hotC)), int(hottestTankC)
		if u == measure.US {
			degrees = func(n int) float64 { return measure.FToC(float64(n)) }
			low, high = int(math.Ceil(measure.CToF(from.hotC))), int(measure.CToF(hottestTankC))
		}
		if n, ok := least(low, high, func(n int) bool { s := from; s.hotC = degrees(n); return does(s) }); ok {
			out = append(out, "raise the tank to "+u.Temp(degrees(n)))
		}
	}
	mark, own := k.JugL, k.KettleMarkL()
	if mark <= 0 {
		mark, own = JugFor(u), JugFor(u)
	}
	marks := int(a.fill.VolumeL/mark + 1e-9)
	if a.step.Water == Mixed {
		boil := func(n int) supply { s := from; s.boiledL = float64(n) * own; return s }
		if n, ok := least(1, int(a.fill.VolumeL/own+1e-9), func(n int) bool { return does(boil(n)) }); ok {
			pour, where := made(boil(n)).fill.Pour, "pans"
			if k.Kettle.CapacityL > 0 {
				where = "kettle and pans"
			}
			out = append(out, fmt.Sprintf("boil %s in %s, with %s from the hot tap", k.KettleText(pour.KettleL), where, u.Pour(pour.HotL, k.JugL)))
		}
		for n := marks - 1; float64(n)*mark >= max(LeastBathPart*a.fill.VolumeL, batch.RawG/l.day.Plan.mostGPerL(batch)); n-- {
			less := from
			if less.fillL = float64(n) * mark; does(less) {
				out = append(out, fmt.Sprintf("fill no more than %s", u.Pour(less.fillL, mark)))
				break
			}
		}
	}
	if len(out) == 0 {
		out = append(out, "nothing in this kit makes it hot enough, so leave it out today")
	}
	return out
}

// least is the smallest n from low to high that does, if the larger ones do too.
func least(low, high int, does func(int) bool) (int, bool) {
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

// idleFill is a bath to be filled that is not worth its water.
type idleFill struct {
	look  *lookAhead // with the water that there is now
	batch Batch
	bath  bathAhead
	// waitMin is how long the tank takes until it is worth it; +Inf if no wait does.
	waitMin float64
}

// idleFill looks at the bath that a tub waits for: ok is false if nothing speaks
// against it. It is what keeps anyone from pouring a bath that cannot wash.
func (d Day) idleFill(tub int, now time.Time) (out idleFill, ok bool) {
	t := d.Tubs[tub]
	s := t.Step()
	if t.Phase != ToFill || !s.Kind.Facts().Release && s.LowestSinkC <= 0 {
		return out, false
	}
	if t.Bath.SoakMin > 0 { // as the person has set it
		s.SoakMin = t.Bath.SoakMin
		s.ShortestMin = min(s.ShortestMin, s.SoakMin)
	}
	out.batch, _ = d.Batch(t.Batch)
	look, left := d.lookAhead(), d.hotLeftL(now)
	at := func(storedL float64) bathAhead {
		look.from = d.fromTank(tub, storedL)
		return look.bath(tub, out.batch, s, t.lifted())
	}
	out.look, out.bath, out.waitMin = look, at(left), math.Inf(1)
	if !look.idle(out.bath) {
		return out, false
	}
	from := look.from
	if look.tooCool(out.bath) {
		if n, can := d.tankMin(left, func(storedL float64) bool { return !look.idle(at(storedL)) }); can {
			out.waitMin = float64(n)
		}
	}
	look.from = from
	return out, true
}

// fillStop is why a bath had better not be filled yet, and what would do.
type fillStop struct {
	title, why, doubt string
	ways              []string
	waitMin           float64 // as of idleFill
}

// fillStop is idleFill in words.
func (d Day) fillStop(tub int, now time.Time) (out fillStop, ok bool) {
	f, ok := d.idleFill(tub, now)
	if !ok {
		return out, false
	}
	out = fillStop{title: "do not fill, too cool", why: f.look.why(f.bath), waitMin: f.waitMin, doubt: d.tubName(tub) + "'s bath would be too cool to wash"}
	if !f.look.tooCool(f.bath) {
		out.title, out.doubt = "do not fill, cools too fast", d.tubName(tub)+"'s bath would not last the soak"
	}
	if finite(f.waitMin) {
		out.ways = append(out.ways, fmt.Sprintf("wait %s for the tank", showMin(f.waitMin)))
	}
	out.ways = append(out.ways, f.look.ways(tub, f.batch, f.bath)...)
	return out, true
}

// tankMin is the least whole minutes after which the tank, which holds so much, does;
// ok is false if no wait does.
func (d Day) tankMin(storedL float64, does func(storedL float64) bool) (min int, ok bool) {
	tank := d.Plan.Kit.HotWater()
	rate := tank.RecoveryLPerMin()
	if !tank.Known() || !(rate > 0) {
		return 0, false
	}
	full := int(math.Ceil((tank.VolumeL - storedL) / rate))
	return least(1, full, func(n int) bool { return does(tank.Recover(storedL, float64(n))) })
}

// freshStop is fillStop for the bath of a filled tub, emptied and filled again.
func (d Day) freshStop(tub int, now time.Time) (fillStop, bool) {
	d.Tubs = slices.Clone(d.Tubs)
	d.Tubs[tub].Phase = ToFill
	return d.fillStop(tub, now)
}

// hotLeftL is the hot water's worth in the tank at now, litres, after all that
// the day has drawn; a tank nobody knows is always full.
func (d Day) hotLeftL(now time.Time) float64 {
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
	slices.SortStableFunc(draws, func(a, b draw) int { return a.at.Compare(b.at) })
	run := tankRun{tank, tank.VolumeL, d.StartedAt}
	for _, x := range draws {
		run.draw(x.at, x.l)
	}
	run.draw(now, 0)
	return run.storedL
}

// fromTapL is what a bath took from the hot tap, litres. An older record does not say;
// there it follows from the bath's temperature as a mix of hot and cold water.
func (b Bath) fromTapL(tank cooling.Tank) float64 {
	if b.HotL > 0 || b.Step.Water == FromCold {
		return b.HotL
	}
	return b.VolumeL * min(1, max(0, (b.FillC-tank.ColdC)/(tank.SetC-tank.ColdC)))
}

// fromTank is the supply of a tub's next bath from a tank that holds so much.
func (d Day) fromTank(tub int, storedL float64) supply {
	from := d.Plan.Kit.asItIs()
	from.hotC = tapFor(d.Plan.Kit.HotWater(), storedL, func(hotC float64) FillPlan { s := from; s.hotC = hotC; return d.fillWith(tub, s) })
	return from
}
