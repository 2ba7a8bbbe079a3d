package session

import (
	"errors"
	"math"
	"slices"
	"time"

	"fleece.example/tubside/cooling"
)

// bathAhead is a bath still to come as the plan sees it. Times in minutes.
type bathAhead struct {
	step Step
	fill FillPlan
	// boilMin is what the kettle takes for its part; 0: not wanted.
	boilMin float64
	// soakMin is the soak as the method has it, or as long as the bath lasts;
	// never under shortMin.
	soakMin, shortMin float64
	// releaseMin is the early bound of its release temperature, counted from
	// the sink-in; longestMin the longest soak. +Inf for none.
	releaseMin, longestMin float64
	sinkC, liftC           float64
	from                   lifted // what it was worked out from
}

// lifted is how a batch comes to its next bath: dry, or wet from a bath that it went
// into at sankC and left at liftC, °C; 0 where that is not known.
type lifted struct {
	wet          bool
	liftC, sankC float64
}

func (t TubRun) lifted() lifted { return lifted{t.LastWet, t.LastLiftC, t.LastSankC} }

// bathKey holds all that decides how warm a bath will be. Batches of one fleece often
// share it, and the bath is worked out once.
type bathKey struct {
	tub  int
	step Step
	rawG float64
	form Form
	came lifted
	from supply
}

// lookAhead works out baths to come and keeps them: a day of many batches asks
// for the same ones again and again.
type lookAhead struct {
	day  Day
	seen map[bathKey]bathAhead
	// hands are the minutes that each act takes.
	hands Hands
	from  supply // what the baths are made from
}

func (d Day) lookAhead() *lookAhead {
	look := &lookAhead{day: d, seen: map[bathKey]bathAhead{}, hands: d.Plan.HandsMin(), from: d.Plan.Kit.asItIs()}
	look.day.Tubs = slices.Clone(d.Tubs)
	return look
}

// baths are those of steps[from:] for a batch in a tub that it comes to so.
func (l *lookAhead) baths(tub int, b Batch, steps []Step, from int, came lifted) []bathAhead {
	out := make([]bathAhead, 0, len(steps))
	for i := from; i < len(steps); i++ {
		if !steps[i].Kind.IsBath() {
			continue
		}
		a := l.bath(tub, b, steps[i], came)
		out = append(out, a)
		came = lifted{true, a.liftC, a.sinkC}
	}
	return out
}

func (l *lookAhead) bath(tub int, b Batch, s Step, came lifted) bathAhead {
	key := bathKey{tub, s, b.RawG, b.Form, came, l.from}
	key.step.Name = ""
	if a, ok := l.seen[key]; ok {
		a.step = s
		return a
	}
	d, was := l.day, l.day.Tubs[tub]
	defer func() { l.day.Tubs[tub] = was }()
	d.Tubs[tub] = TubRun{Batch: b.ID, Steps: []Step{s}, LastWet: came.wet, LastLiftC: came.liftC, LastSankC: came.sankC, Cover: d.Plan.Kit.Tubs[tub].Cover}
	a := bathAhead{step: s, from: came, fill: d.fillWith(tub, l.from), releaseMin: math.Inf(1), longestMin: math.Inf(1)}
	a.boilMin = d.Plan.Kit.boilsMin(a.fill)
	a.soakMin, a.shortMin = s.SoakMin, min(s.ShortestMin, s.SoakMin)
	if s.LongestMin > 0 {
		a.longestMin = s.LongestMin
	}
	// The bath with the fleece in it, from any moment: only minutes count.
	filled := time.Unix(0, 0).UTC()
	sunk := filled.Add(minutes(l.hands[SinkIn]))
	bath := Bath{Tub: tub, Batch: b.ID, Step: s, VolumeL: a.fill.VolumeL, FillC: a.fill.WaterC, FilledAt: filled, DoseML: a.fill.DoseML,
		Changes: []HeatChange{{At: filled, Cover: cooling.Open}}}
	jPerK, wetC := d.wetFleece(tub)
	bath.Changes = append(bath.Changes, HeatChange{At: sunk, Cover: d.Plan.Kit.Tubs[tub].Cover, AddJPerK: jPerK, AddC: wetC})
	h := bathHeat(d.Plan, bath)
	a.sinkC, _ = h.at(sunk)
	if s.HasRelease() {
		if early := h.crossing(s.ReleaseC).Early; !early.IsZero() {
			a.releaseMin = max(0, minutesBetween(sunk, early))
		}
	}
	// A bath that does not last the soak is lifted from sooner.
	a.soakMin = max(a.shortMin, min(a.soakMin, a.releaseMin-l.hands[Lift], a.longestMin-l.hands[Lift]))
	a.liftC, _ = h.at(sunk.Add(minutes(a.soakMin)))
	l.seen[key] = a
	return a
}

// boilMin is how long the kettle takes to boil so many litres from the hot
// tap, min: t = m c dT/(efficiency P).
func (k Kit) boilMin(litres float64) float64 {
	if !(litres > 0) || k.Kettle.PowerW <= 0 {
		return 0
	}
	return cooling.WaterPortion(litres, k.HotTapC).HeatJPerK * max(0, k.BoilingC()-k.HotTapC) / (kettleEfficiency * k.Kettle.PowerW) / 60
}

// boilsMin is boilMin for a fill: each boil after the first costs a minute or so of
// hands.
func (k Kit) boilsMin(f FillPlan) float64 {
	return k.boilMin(f.Pour.KettleL) + float64(max(0, f.KettleLoads-1))
}

// unfit says why a batch cannot be washed in a tub: a bath that is too cool, or
// does not last the shortest soak. The sentence names what would do.
func (l *lookAhead) unfit(tub int, batch Batch, ahead []bathAhead) error {
	for _, a := range ahead {
		if a.overstays(l.hands[Lift]) <= 0 {
			continue
		}
		return errors.New(l.sayUnfit(tub, batch, a))
	}
	return nil
}

// usefulSoakMin: a wash of fewer minutes than this does nothing, whatever its
// method calls the shortest; our own choice.
const usefulSoakMin = 5.0

// overstays is how many minutes too long the shortest soak and the lift take for the
// bath to stay above its release temperature; 0 or less where it lasts.
func (a bathAhead) overstays(liftMin float64) float64 {
	return max(a.soakMin, min(usefulSoakMin, a.step.SoakMin)) + liftMin - a.releaseMin
}
