package session

import (
	"slices"
	"time"

	"fleece.example/tubside/cooling"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
)

// ReadyLeadMin is how long before the lift a rinse bath is made ready at the soonest, its fill
// with it, min: later it has cooled by more than a jug puts right. Our own choice.
const ReadyLeadMin = 8.0

// Coming is the day with the batch that is next to go on in a rinse tub there already, waiting
// for its bath, and when it is due; ok is false where none comes.
func (d Day) Coming(rinse int, now time.Time) (there Day, due time.Time, ok bool) {
	if rinse < 0 || rinse >= len(d.Tubs) {
		return d, due, false
	}
	from, ok := d.comes(rinse)
	if !ok {
		return d, due, false
	}
	run := d.Tubs[from]
	due = now
	if run.Phase == shed.Soaking {
		if end := run.SoakEndAt(now); end.After(now) {
			due = end
		}
		run.LastWet, run.LastSankC = true, run.Bath.SinkC
		run.LastLiftC = run.Bath.SinkC
		if c, _ := d.Heat(from).At(due); measure.Finite(c) {
			run.LastLiftC = c
		}
	}
	_, step, _ := d.Onward(from)
	s := run.Steps[step]
	run.At, run.Phase, run.PhaseAt, run.HeldAt, run.Used, run.Cover = step, shed.ToFill, now, time.Time{}, d.Tubs[rinse].Used, cooling.Open
	run.Bath = Bath{Tub: rinse, Batch: run.Batch, StepIndex: step, Step: s, PlanMin: s.SoakMin, SoakMin: s.SoakMin}
	run.standMin = max(0, min(ReadyLeadMin, measure.MinutesBetween(now, due))-d.Plan.HandsMin()[shed.FillTub])
	there = d
	there.Tubs = slices.Clone(d.Tubs)
	there.Tubs[from], there.Tubs[rinse] = TubRun{PhaseAt: now}, run
	return there, due, true
}

// standsC is by how much a bath cools that is made ready and stands covered, °C.
func (d Day) standsC(tub int, volumeL, fillC, standMin float64) float64 {
	if !(standMin > 0) || !measure.Finite(fillC) {
		return 0
	}
	filled := time.Unix(0, 0).UTC()
	h := BathHeat(d.Plan, Bath{Tub: tub, VolumeL: volumeL, FillC: fillC, FilledAt: filled, Changes: []HeatChange{{At: filled, Cover: d.Plan.Kit.Tubs[tub].Cover}}})
	c, _ := h.At(filled.Add(measure.Lasting(standMin)))
	return max(0, fillC-c)
}
