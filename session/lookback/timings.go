package lookback

import (
	"cmp"
	"math"
	"slices"
	"sort"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/planner"
	"fleece.example/tubside/session/shed"
)

// Timings are a day as it was planned when it began, and as it was.
type Timings struct {
	// NoPlan says why there is no plan to compare with, a sentence; "" where there is one.
	NoPlan string
	// Day is from its beginning to the last deed at a tub, or the end of fleece in the water; planned, to the last batch on the rack.
	Day    Both
	Steps  []StepTiming // batch by batch, in order
	Tubs   []Bars       // one for each of the kit's tubs
	Hands  Bars
	Kettle Bars
	ByDeed []HandsTiming // in the order of a batch's way
	Waits  []Wait        // the longest first
	// RestMin is for how long nothing waited for the person, who was not at work either.
	RestMin float64
	Deeds   []Deed // in order of their end
}

// Both is a stretch as planned and as it was; either may not be known.
type Both struct{ Planned, Was Stretch }

// StepTiming is one step of a batch: of a bath from in to lifted, else the work itself.
type StepTiming struct {
	_     [0]func() // nobody compares two: no code for it
	Batch string
	Index int // into the batch's steps
	Step  shed.Step
	Both
	Tub     int  // index into the kit's tubs, -1 where it came to none
	Again   bool // it was done before: nothing is planned for it
	LeftOut bool // skipped without a bath
	Cut     bool // a bath that a skip or another beginning cut off
	// In, Lowest and Lift are the bath's with the fleece in; no number where there was none.
	In, Lowest, Lift Known
}

// WasMin is how long it was, min; NaN where nobody knows: it was told with the deed before it.
func (s *StepTiming) WasMin() float64 {
	if !s.Step.Kind.IsBath() && s.Was.From.Equal(s.Was.To) {
		return math.NaN()
	}
	return s.Was.Min()
}

// Bars are what is drawn of one tub, the kettle or the person, in order of time.
type Bars struct{ Planned, Was []Bar }

// BarKind is what a bar stands for.
type BarKind int

// The kinds of bars.
const (
	AtWork BarKind = iota // hands at the tub
	Soaks
	Washes // a soak in a bath that has a release temperature
	Boils
)

// Bar is a stretch of a tub, the kettle or the person.
type Bar struct {
	Stretch
	Kind  BarKind
	Tub   int
	Batch string
}

// HandsTiming is one kind of deed: how often, and the minutes it took the hands in all.
type HandsTiming struct {
	Act                 shed.Action
	PlannedTimes, Times int
	PlannedMin, WasMin  float64
}

// HandsMin are all minutes of hands together, planned and as they were.
func (t Timings) HandsMin() (plannedMin, wasMin float64) {
	for _, h := range t.ByDeed {
		plannedMin += h.PlannedMin
		wasMin += h.WasMin
	}
	return plannedMin, wasMin
}

// Planned is the timetable of a day as it was when it began, worked out again: the same plan
// gives the same one. It takes some tens of milliseconds, which the rest of a look back does not.
func Planned(d session.Day) (planner.Timetable, error) {
	if d.Plan.FromCards() {
		return planner.Timetable{}, nil
	}
	begun := session.Replay(d.Told()[:min(1, len(d.Told()))])
	return planner.Schedule(begun, begun.StartedAt, planner.Thorough)
}

// TimingsOf are the timings of a day, finished or not, beside its plan.
func TimingsOf(d session.Day) Timings {
	plan, err := Planned(d)
	t := TimingsBeside(d, plan)
	if err != nil {
		t.NoPlan = err.Error()
	}
	return t
}

// TimingsBeside are the timings of a day beside a plan of it; an empty one plans nothing.
func TimingsBeside(d session.Day, plan planner.Timetable) Timings {
	w := walked(d)
	t := Timings{Tubs: make([]Bars, len(d.Tubs)), Deeds: w.deeds, Day: Both{Planned: Stretch{plan.From, plan.Finish}}}
	if d.StartedAt.IsZero() || d.Plan.FromCards() {
		return t
	}
	t.Day.Was = Stretch{d.StartedAt, d.StartedAt}
	for _, f := range w.deeds {
		t.Day.Was.To = later(t.Day.Was.To, f.At.To)
	}
	for _, b := range EveryBath(d) {
		if !b.SunkAt.IsZero() {
			t.Day.Was.To = later(t.Day.Was.To, inBath(&d, &b).To)
		}
	}
	t.planned(plan)
	t.was(&d, w)
	t.steps(&d, w, &plan)
	t.byDeed(w, plan)
	t.Waits, t.RestMin = w.allWaits(t.Day.Was)
	return t
}

// WaitsOf are the waits of a day, the longest first, as TimingsBeside has them.
func WaitsOf(d session.Day) []Wait {
	if d.StartedAt.IsZero() {
		return nil
	}
	waits, _ := walked(d).allWaits(Stretch{})
	return waits
}

// planned draws a timetable.
func (t *Timings) planned(plan planner.Timetable) {
	for _, p := range plan.Pieces {
		at := Stretch{p.Start, p.End}
		if p.Boil() {
			t.Kettle.Planned = append(t.Kettle.Planned, Bar{at, Boils, p.Tub, p.Batch})
			continue
		}
		b := Bar{at, AtWork, p.Tub, p.Batch}
		t.Hands.Planned = append(t.Hands.Planned, b)
		t.Tubs[p.Tub].Planned = append(t.Tubs[p.Tub].Planned, b)
	}
	for _, s := range plan.Soaks {
		t.Tubs[s.Tub].Planned = append(t.Tubs[s.Tub].Planned, Bar{Stretch{s.Start, s.End}, soakKind(&s.Step), s.Tub, s.Batch})
	}
	for i := range t.Tubs {
		byTime(t.Tubs[i].Planned)
	}
}

func soakKind(s *shed.Step) BarKind {
	if s.HasRelease() {
		return Washes
	}
	return Soaks
}

func byTime(bars []Bar) {
	sort.SliceStable(bars, func(i, j int) bool { return bars[i].From.Before(bars[j].From) })
}

// was draws what was.
func (t *Timings) was(d *session.Day, w *walk) {
	for _, f := range w.deeds {
		b := Bar{f.At, AtWork, f.Tub, f.Batch}
		t.Hands.Was = append(t.Hands.Was, b)
		t.Tubs[f.Tub].Was = append(t.Tubs[f.Tub].Was, b)
	}
	for _, b := range w.boils {
		t.Kettle.Was = append(t.Kettle.Was, Bar{b.Stretch, Boils, -1, b.Batch})
	}
	for _, b := range EveryBath(*d) {
		if b.SunkAt.IsZero() || b.Tub < 0 || b.Tub >= len(t.Tubs) {
			continue
		}
		t.Tubs[b.Tub].Was = append(t.Tubs[b.Tub].Was, Bar{inBath(d, &b), soakKind(&b.Step), b.Tub, b.Batch})
	}
	for i := range t.Tubs {
		byTime(t.Tubs[i].Was)
	}
	byTime(t.Hands.Was)
}

// EveryBath are all baths of a day that were filled, those that stand with them.
func EveryBath(d session.Day) []session.Bath {
	out := slices.Clone(d.Baths)
	for _, t := range d.Tubs {
		if !t.Bath.FilledAt.IsZero() {
			out = append(out, t.Bath)
		}
	}
	return out
}

// inBath is from the sink-in to the lift; of what was cut off or runs, to its end or so far.
func inBath(d *session.Day, b *session.Bath) Stretch {
	to := b.LiftedAt
	if to.IsZero() {
		to = cmp.Or(b.DrainedAt, d.EndedAt, d.LastAt)
	}
	return Stretch{b.SunkAt, to}
}

// stepOf is one step of one batch.
type stepOf struct {
	batch string
	index int
}

// asPlanned is when and in which tub a timetable has each step.
func asPlanned(plan planner.Timetable) map[stepOf]Bar {
	out := map[stepOf]Bar{}
	for _, s := range plan.Soaks {
		out[stepOf{s.Batch, s.StepIndex}] = Bar{Stretch{s.Start, s.End}, soakKind(&s.Step), s.Tub, s.Batch}
	}
	for _, p := range plan.Pieces {
		at := p.Start
		for i, act := range p.Acts {
			from := at
			if at = at.Add(measure.Lasting(p.ActMin[i])); handsAlone(act) { // the piece has the step of its last act
				out[stepOf{p.Batch, p.Step - (len(p.Acts) - 1 - i)}] = Bar{Stretch{from, at}, AtWork, p.Tub, p.Batch}
			}
		}
	}
	return out
}

// handsAlone says that an act is all there is to its step.
func handsAlone(a shed.Action) bool { return a == shed.SpinFibre || a == shed.RackFibre }

// steps are those of each batch: each bath that it was in, each step that was left out, and
// those that were planned and not come to.
func (t *Timings) steps(d *session.Day, w *walk, plan *planner.Timetable) {
	planned, worked := asPlanned(*plan), map[stepOf]Bar{}
	for _, f := range w.deeds {
		if handsAlone(f.Act) {
			worked[stepOf{f.Batch, f.Step}] = Bar{f.At, AtWork, f.Tub, f.Batch}
		}
	}
	for _, b := range ledger.ReviewOf(*d).Batches {
		baths := b.Baths
		for i, s := range d.Plan.StepsOf(&b.Batch) {
			x := StepTiming{Batch: b.Batch.ID, Index: i, Step: s, Tub: -1, In: unknown, Lowest: unknown, Lift: unknown}
			if p, ok := planned[stepOf{x.Batch, i}]; ok {
				x.Planned = p.Stretch
			}
			if p, ok := worked[stepOf{x.Batch, i}]; ok {
				x.Was, x.Tub = p.Stretch, p.Tub
			}
			if len(baths) == 0 || baths[0].StepIndex > i {
				t.Steps = append(t.Steps, x)
			}
			for ; len(baths) > 0 && baths[0].StepIndex <= i; baths = baths[1:] {
				bath := baths[0]
				x.Step, x.Tub, x.LeftOut, x.Cut, x.Was = bath.Step, bath.Tub, bath.LeftOut(), bath.Skipped && !bath.LeftOut(), Stretch{}
				x.In, x.Lowest, x.Lift = temperatures(d, &bath)
				if !bath.SunkAt.IsZero() {
					x.Was = inBath(d, &bath.Bath)
				}
				t.Steps = append(t.Steps, x)
				x.Again, x.Planned = true, Stretch{}
			}
		}
	}
}

// byDeed adds the hands' minutes up.
func (t *Timings) byDeed(w *walk, plan planner.Timetable) {
	for act := shed.LoadNext; act < shed.FinishDay; act++ {
		h := HandsTiming{Act: act}
		for _, p := range plan.Pieces {
			for i, a := range p.Acts {
				if a == act {
					h.PlannedTimes, h.PlannedMin = h.PlannedTimes+1, h.PlannedMin+p.ActMin[i]
				}
			}
		}
		for _, f := range w.deeds {
			if f.Act == act {
				h.Times, h.WasMin = h.Times+1, h.WasMin+f.At.Min()
			}
		}
		if h.Times+h.PlannedTimes > 0 {
			t.ByDeed = append(t.ByDeed, h)
		}
	}
}
