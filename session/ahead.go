package session

import (
	"math"
	"slices"
	"time"

	"fleece.example/tubside/cooling"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
)

// BathAhead is a bath still to come as the plan sees it. Times in minutes.
type BathAhead struct {
	_    [0]func() // nobody compares two: no code for it
	Step shed.Step
	Fill FillPlan
	// BoilMin is what the kettle takes for its part; 0: not wanted.
	BoilMin float64
	// SoakMin is the soak as the method has it, or as long as the bath lasts;
	// never under shortMin.
	SoakMin, shortMin float64
	// ReleaseMin is the early bound of its release temperature, counted from
	// the sink-in; LongestMin the longest soak. +Inf for none.
	ReleaseMin, LongestMin float64
	SinkC, LiftC           float64
	From                   shed.Lifted // what it was worked out from
}

// Leaves is how a batch comes from the bath to its next one.
func (a BathAhead) Leaves() shed.Lifted {
	return shed.Lifted{Wet: true, Washed: a.From.Washed || a.Step.Kind.Facts().Release, LiftC: a.LiftC, SankC: a.SinkC}
}

// Lifted is how the tub's batch comes to its next bath.
func (t *TubRun) Lifted() shed.Lifted {
	return shed.Lifted{Wet: t.LastWet, Washed: t.Washed, LiftC: t.LastLiftC, SankC: t.LastSankC}
}

// Comes is how a tub's batch comes to its next bath: as it was lifted, or will be.
func (d Day) Comes(tub int, now time.Time) shed.Lifted {
	t := d.Tubs[tub]
	if t.Phase != shed.ToSink && t.Phase != shed.Soaking {
		return t.Lifted()
	}
	came := BathAhead{From: t.Lifted(), Step: t.Bath.Step, LiftC: t.Bath.SinkC, SinkC: t.Bath.SinkC}.Leaves()
	if end := t.SoakEndAt(now); !end.IsZero() {
		h := d.Heat(tub)
		if c, _ := h.At(d.liftedBy(end)); measure.Finite(c) {
			came.LiftC = c
		}
	}
	return came
}

// bathKey holds all that decides how warm a bath will be. Batches of one fleece often
// share it, and the bath is worked out once.
type bathKey struct {
	tub    int
	step   shed.Step
	fleece string // whose wax and yield
	rawG   float64
	dryG   float64 // before
	form   shed.Form
	raw    bool
	came   shed.Lifted
	from   Supply
}

// LookAhead works out baths to come and keeps them: a day of many batches asks
// for the same ones again and again.
type LookAhead struct {
	Day  Day
	seen map[bathKey]BathAhead
	// Hands are the minutes that each act takes.
	Hands shed.Hands
	From  Supply // what the baths are made from
}

// LookAhead begins to look ahead from the day as it is, with all the hot water of its kit.
func (d Day) LookAhead() *LookAhead {
	look := &LookAhead{Day: d, seen: map[bathKey]BathAhead{}, Hands: d.Plan.HandsMin(), From: asItIs(d.Plan.Kit)}
	look.Day.Tubs = slices.Clone(d.Tubs)
	return look
}

// Baths are those of steps[from:] for a batch in a tub that it comes to so.
func (l *LookAhead) Baths(tub int, b *shed.Batch, steps []shed.Step, from int, came shed.Lifted) []BathAhead {
	out := make([]BathAhead, 0, len(steps))
	for i := from; i < len(steps); i++ {
		if !steps[i].Kind.IsBath() {
			continue
		}
		a := l.Bath(tub, b, steps[i], came)
		out = append(out, a)
		came = a.Leaves()
	}
	return out
}

// Bath is the bath of one step for a batch in a tub (index) that it comes to so. What was
// worked out before is not worked out again.
func (l *LookAhead) Bath(tub int, b *shed.Batch, s shed.Step, came shed.Lifted) BathAhead {
	key := bathKey{tub, s, b.FleeceID, b.RawG, b.WasDryG, b.Form, b.Raw(), came, l.From}
	key.step.Name = ""
	if a, ok := l.seen[key]; ok {
		a.Step = s
		return a
	}
	d, was := l.Day, l.Day.Tubs[tub]
	defer func() { l.Day.Tubs[tub] = was }()
	d.Tubs[tub] = TubRun{Batch: b.ID, Steps: []shed.Step{s}, LastWet: came.Wet, Washed: came.Washed, LastLiftC: came.LiftC, LastSankC: came.SankC, Cover: d.Plan.Kit.Tubs[tub].Cover}
	a := BathAhead{Step: s, From: came, Fill: d.FillWith(tub, l.From), ReleaseMin: math.Inf(1), LongestMin: math.Inf(1)}
	a.BoilMin = FillBoilMin(d.Plan.Kit, a.Fill)
	a.SoakMin, a.shortMin = s.SoakMin, min(s.ShortestMin, s.SoakMin)
	if s.LongestMin > 0 {
		a.LongestMin = s.LongestMin
	}
	// The bath with the fleece in it, from any moment: only minutes count.
	filled := time.Unix(0, 0).UTC()
	sunk := filled.Add(measure.Lasting(l.Hands[shed.SinkIn]))
	bath := Bath{Tub: tub, Batch: b.ID, Step: s, VolumeL: a.Fill.VolumeL, FillC: a.Fill.WaterC, FilledAt: filled, DoseML: a.Fill.DoseML,
		Changes: []HeatChange{{At: filled, Cover: cooling.Open}}}
	jPerK, wetC := d.wetFleece(tub)
	bath.Changes = append(bath.Changes, HeatChange{At: sunk, Cover: d.Plan.Kit.Tubs[tub].Cover, AddJPerK: jPerK, AddC: wetC})
	h := BathHeat(&d.Plan, &bath)
	a.SinkC, _ = h.At(sunk)
	if s.HasRelease() {
		if early := h.Crossing(s.ReleaseC).Early; !early.IsZero() {
			a.ReleaseMin = max(0, measure.MinutesBetween(sunk, early))
		}
	}
	// A bath that does not last the soak is lifted from sooner.
	a.SoakMin = max(a.shortMin, min(a.SoakMin, a.ReleaseMin-l.Hands[shed.Lift], a.LongestMin-l.Hands[shed.Lift]))
	a.LiftC, _ = h.At(sunk.Add(measure.Lasting(a.SoakMin + l.Hands[shed.Lift]))) // out when the lift is done
	l.seen[key] = a
	return a
}

// usefulSoakMin: a wash of fewer minutes than this does nothing, whatever its
// method calls the shortest; our own choice.
const usefulSoakMin = 5.0

// Overstays is how many minutes too long the shortest soak and the lift take for the
// bath to stay above its release temperature; 0 or less where it lasts.
func (a *BathAhead) Overstays(liftMin float64) float64 {
	return max(a.SoakMin, min(usefulSoakMin, a.Step.SoakMin)) + liftMin - a.ReleaseMin
}
