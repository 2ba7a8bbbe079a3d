package ledger

import (
	"math"
	"slices"
	"sort"
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
)

// Review is the look back at a day.
type Review struct {
	Day     session.Day
	Batches []BatchReview
	Alarms  []AlarmReview
	Clocks  []session.Alarm // that the machine's clock was set: nothing that anybody had to come for
	Notes   []shed.Note
	// RawG and DryG are of the batches that have a dry weight; YieldPart is
	// their quotient, 0 if none was weighed.
	RawG, DryG, YieldPart float64
}

// BatchReview is one batch step by step.
type BatchReview struct {
	Batch    shed.Batch
	Fleece   shed.Fleece
	Baths    []BathReview
	RackedAt time.Time
	Out      session.Outcome
	DryG     float64 // 0: not weighed
	WetG     float64 // what it weighed last on the rack, before it is dry
}

// BathReview is one bath as planned and as it was. Temperatures are °C, NaN
// where nothing is known.
type BathReview struct {
	session.Bath
	TubName               string
	PlannedMin, ActualMin float64
	SinkForecastC         float64 // as the readings make it; without one, as it was forecast then
	SinkReadC             float64 // the reading nearest the sink-in, within readNear of it
	LiftForecastC         float64 // likewise
	LiftReadC             float64 // likewise at the lift
	// Below is when a wash was below its release temperature with the fleece in.
	Below []BelowSpan
}

// BelowSpan is a time below the release temperature, and the deed that ended it,
// "" where none did.
type BelowSpan struct {
	From, To time.Time
	By       string
}

// LeftOut says that the step was skipped, and no bath was filled for it.
func (b *BathReview) LeftOut() bool { return b.Skipped && b.FilledAt.IsZero() }

// AlarmReview is one alarm and how long it took to be answered: heard, and done.
type AlarmReview struct {
	session.Alarm
	TubName  string
	Answered bool
	Seconds  float64 // until answered; until cleared if nobody answered
	// Heard and Done with the seconds from when it was raised; StoodS until it had gone.
	Heard, Done           bool
	HeardS, DoneS, StoodS float64
}

// readNear is how near a reading must be to stand for the sink-in or the lift: a hot bath
// in a small tub cools by half a degree in two minutes.
const readNear = time.Minute

// ReviewOf looks back at a day, finished or not.
func ReviewOf(d session.Day) Review {
	r := Review{Day: d, Notes: d.Notes}
	for _, b := range d.Plan.Batches {
		fate := d.Fate[b.ID]
		br := BatchReview{Batch: b, Fleece: *d.FleeceOf(b.ID), RackedAt: fate.RackedAt, DryG: fate.DryG, Out: fate.Out}
		if n := len(fate.Wet); n > 0 && fate.DryG == 0 && !fate.RackedAt.IsZero() && fate.Wet[n-1].At.After(fate.RackedAt) {
			br.WetG = fate.Wet[n-1].MassG
		}
		if fate.DryG > 0 {
			r.RawG += b.RawG
			r.DryG += fate.DryG
		}
		for _, bath := range d.Baths {
			if bath.Batch == b.ID {
				br.Baths = append(br.Baths, reviewBath(d, bath))
			}
		}
		// A bath cut off by the end of the day is part of the record too.
		for _, t := range d.Tubs {
			if t.Batch == b.ID && !t.Bath.FilledAt.IsZero() {
				br.Baths = append(br.Baths, reviewBath(d, t.Bath))
			}
		}
		br.Baths = withSkipped(d, &b, br.Baths)
		r.Batches = append(r.Batches, br)
	}
	if r.RawG > 0 {
		r.YieldPart = r.DryG / r.RawG
	}
	for _, a := range d.EveryAlarm() {
		if a.Kind == session.ClockJumped {
			r.Clocks = append(r.Clocks, a)
		} else if !a.Call() || a.Rings > 1 { // before there were calls a soak's end was an alarm
			r.Alarms = append(r.Alarms, reviewAlarm(d, a))
		}
	}
	sort.SliceStable(r.Clocks, func(i, j int) bool { return r.Clocks[i].RaisedAt.Before(r.Clocks[j].RaisedAt) })
	sort.SliceStable(r.Alarms, func(i, j int) bool { return r.Alarms[i].RaisedAt.Before(r.Alarms[j].RaisedAt) })
	return r
}

// withSkipped puts in the steps that a batch went by without a bath.
func withSkipped(d session.Day, b *shed.Batch, baths []BathReview) []BathReview {
	if d.Plan.FromCards() { // no bath of it was written down
		return nil
	}
	last := -1
	for _, x := range baths {
		last = max(last, x.StepIndex)
	}
	steps := d.Plan.StepsOf(b)
	if !d.Fate[b.ID].RackedAt.IsZero() {
		last = len(steps)
	}
	for i, s := range steps[:min(max(last, 0), len(steps))] {
		at := slices.IndexFunc(baths, func(x BathReview) bool { return x.StepIndex >= i })
		if !s.Kind.IsBath() || at >= 0 && baths[at].StepIndex == i {
			continue
		}
		if at < 0 {
			at = len(baths)
		}
		out := reviewBath(d, session.Bath{Tub: -1, Batch: b.ID, StepIndex: i, Step: s, PlanMin: s.SoakMin, Skipped: true})
		out.TubName = ""
		baths = append(baths[:at:at], append([]BathReview{out}, baths[at:]...)...)
	}
	return baths
}

// shownC: less than this is no difference on a thermometer, °C.
const shownC = 0.5

// below is when a bath was below its release temperature, by the alarms of it; not what a
// reading raised that was taken back, or that later ones have shown to be too cool a guess.
func below(d session.Day, b session.Bath) []BelowSpan {
	var out []BelowSpan
	h := session.BathHeat(&d.Plan, &b)
	truly := func(from, to time.Time) bool {
		if to.IsZero() {
			to = b.LiftedAt
		}
		for _, r := range b.Readings {
			if !r.Doubtful && r.TempC <= b.Step.ReleaseC && !r.At.Before(from) && (to.IsZero() || !r.At.After(to)) {
				return true
			}
		}
		down := func(at time.Time) bool {
			tempC, _ := h.At(at)
			return !(tempC > b.Step.ReleaseC+shownC)
		}
		if down(from) {
			return true
		}
		if far := to.Add(-24 * time.Hour); from.Before(far) { // a clock that was set
			from = far
		}
		for at := to.Add(-time.Second); at.After(from); at = at.Add(-time.Minute) { // at its end a pour has warmed it
			if down(at) {
				return true
			}
		}
		return false
	}
	for _, a := range d.EveryAlarm() {
		if a.Kind != session.BelowRelease || a.Batch != b.Batch || a.Step != b.Step.Name || a.RaisedAt.Before(b.SunkAt) || !b.DrainedAt.IsZero() && a.RaisedAt.After(b.DrainedAt) {
			continue
		}
		if !truly(a.RaisedAt, a.ClearedAt) {
			continue
		}
		out = append(out, BelowSpan{cameDown(h, b, a.RaisedAt), a.ClearedAt, a.DoneBy})
	}
	return out
}

// cameDown is when a bath that is below its release temperature at a moment came down to it,
// by what is known of it in the end: no alarm rings for what a later reading tells. Between two
// changes a bath only cools, so that a day of years is looked through in no time.
func cameDown(h session.HeatModel, b session.Bath, at time.Time) time.Time {
	const step = 15 * time.Second
	warm := func(back int) bool {
		c, _ := h.At(at.Add(-time.Duration(back) * step))
		return !(c < b.Step.ReleaseC)
	}
	in := int((at.Sub(b.SunkAt) - 1) / step)
	from := 0
	for _, c := range slices.Backward(b.Changes) {
		if c.At.After(at) || c.At.Before(b.SunkAt) {
			continue
		}
		to := min(in, int(at.Sub(c.At)/step)) // the last moment behind the change
		if n := from + sort.Search(max(0, to-from), func(n int) bool { return warm(from + n + 1) }); n < to {
			return at.Add(-time.Duration(n) * step)
		}
		from = max(from, to)
	}
	n := from + sort.Search(max(0, in-from), func(n int) bool { return warm(from + n + 1) })
	return at.Add(-time.Duration(n) * step)
}

func reviewBath(d session.Day, b session.Bath) BathReview {
	out := BathReview{
		Bath: b, TubName: d.TubName(b.Tub), PlannedMin: b.PlanMin,
		SinkForecastC: math.NaN(), SinkReadC: math.NaN(), LiftForecastC: math.NaN(), LiftReadC: math.NaN(), ActualMin: math.NaN(),
	}
	if b.SunkAt.IsZero() {
		return out
	}
	out.Below = below(d, b)
	h := session.HeatModel{}
	if len(b.Readings) > 0 {
		h = session.BathHeat(&d.Plan, &b)
	}
	was := func(at time.Time, forecastC float64) float64 {
		if tempC, _ := h.At(at); measure.Finite(tempC) {
			return tempC
		}
		return forecastC
	}
	out.SinkForecastC, out.SinkReadC = was(b.SunkAt, b.SinkC), readingNear(b, b.SunkAt, b.SunkAt)
	if !b.LiftedAt.IsZero() {
		out.ActualMin = measure.MinutesBetween(b.SunkAt, b.LiftedAt)
		out.LiftForecastC, out.LiftReadC = was(b.LiftedAt, b.LiftC), readingNear(b, b.LiftedAt, b.SunkAt)
	}
	return out
}

// readingNear is the reading nearest to at, not taken before the fleece was in.
func readingNear(b session.Bath, at, notBefore time.Time) float64 {
	best, bestGap := math.NaN(), time.Duration(math.MaxInt64)
	for _, r := range b.Readings {
		gap := r.At.Sub(at).Abs()
		if !r.Doubtful && gap <= readNear && gap < bestGap && !r.At.Before(notBefore) {
			best, bestGap = r.TempC, gap
		}
	}
	return best
}

func reviewAlarm(d session.Day, a session.Alarm) AlarmReview {
	out := AlarmReview{Alarm: a, TubName: d.TubName(a.Tub), Answered: !a.AnsweredAt.IsZero()}
	until := a.AnsweredAt
	if until.IsZero() {
		until = a.ClearedAt
	}
	if until.IsZero() {
		until = d.LastAt
	}
	since := func(at time.Time) float64 { return max(0, at.Sub(a.RaisedAt).Seconds()) }
	gone := a.ClearedAt
	if gone.IsZero() {
		gone = d.LastAt
	}
	out.Seconds, out.StoodS = since(until), since(gone)
	if out.Heard = !a.HeardAt.IsZero(); out.Heard {
		out.HeardS = since(a.HeardAt)
	}
	if out.Done = !a.DoneAt.IsZero(); out.Done {
		out.DoneS = since(a.DoneAt)
	}
	return out
}
