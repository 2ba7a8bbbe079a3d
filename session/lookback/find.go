// Package lookback says what a day that was lived tells: what happened at which tub, what it
// may have done to which batch, and what would have helped. It concludes nothing that the
// record does not bear out: a day without a fault gets no advice.
package lookback

import (
	"math"
	"slices"
	"sort"
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
)

// Kind is what a finding is about. They are in order, the worst first.
type Kind int

// The kinds of findings. The last two are no faults.
const (
	CameOut   Kind = iota // somebody said that a batch came out with a fault
	Below                 // the bath came down to its release temperature with the fleece in
	BegunCool             // a wash was cooler than its step takes to begin
	Hung                  // wet fleece hung too long before a bath
	TooFar                // one bath was much cooler or hotter than the one before
	CutShort              // lifted before the shortest soak
	LeftOut               // a bath was skipped
	TooLong               // in the bath past its longest soak
	Unread                // washes without a reading: their temperatures are estimates
	Warm                  // every wash stayed above its release temperature
)

// Finding is one thing that a day tells. What does not belong to its kind is zero.
type Finding struct {
	Kind Kind
	Bath ledger.BathReview // where it happened; none for Unread
	// Min is how long it was too cool, hung, was soaked, or stood and cooled before its fleece, min.
	Min float64

	// Of Below and Warm: the lowest temperature with the fleece in, and whether a
	// thermometer said so; else it is an estimate.
	LowC    float64
	LowRead bool
	// Of Below: when it came down; when the cover was off for OffMin; how
	// long nobody came after which alarm; by how much hotter it would have had to
	// begin (0: that does not help); and whether the batch was washed once more.
	DownAt, OffAt time.Time
	OffMin        float64
	AloneMin      float64       // of Hung too
	Rang          session.Alarm // likewise
	HotterC       float64
	PutOffMin     float64 // of Hung: so much of it its wash waited for a break
	Kept          Wait    // of Hung: what its water waited for, for most of it, where that was not a person who stayed away; none with no minutes
	KeptAt        string  // the tub that was for, or that the person was at
	WashedAgain   bool

	Out   session.Outcome     // of CameOut and Below: how the batch came out
	Baths []ledger.BathReview // of CameOut: its washes

	FromC, ToC float64           // of TooFar; of BegunCool the bath before the fleece, and the least
	Before     ledger.BathReview // of TooFar and Hung: the bath before
	Washes, Of int               // of Unread and Warm: so many of all washes were not read
}

// What the findings go by; our own choices, no source.
const (
	coolMatters = 1.0  // a wash may begin by so much under what its step takes before it counts, °C
	drifted     = 3.0  // a bath may have cooled so far from what was ordered before it counts, °C
	offMatters  = 3.0  // a cover that was off for less is not spoken of, min
	nobodyCame  = 3.0  // nor is it that nobody came for less, min
	atWorkMin   = 10.0 // and between deeds elsewhere hands are at work for so long
	mostHotterC = 6.0  // more than this is no advice
	hottestC    = 70.0 // nor is a hotter start
	near        = 0.5  // a reading that is within so much of the least stands for it, °C
)

// Of are the findings of a day, the worst first.
func Of(d session.Day) []Finding {
	var out []Finding
	warm := Finding{Kind: Warm, LowC: math.Inf(1)}
	margin := math.Inf(1)
	unread := 0
	l := &looked{Day: d}
	for _, b := range ledger.ReviewOf(d).Batches {
		if b.Out.Found&session.FaultsFound != 0 && len(b.Baths) > 0 {
			var washes []ledger.BathReview
			for _, x := range b.Baths {
				if x.Step.HasRelease() && !x.LiftedAt.IsZero() {
					washes = append(washes, x)
				}
			}
			out = append(out, Finding{Kind: CameOut, Bath: b.Baths[0], Baths: washes, Out: b.Out})
		}
		for i, x := range b.Baths {
			out = append(out, l.ofBath(&b, i)...)
			if !x.Step.HasRelease() || x.SunkAt.IsZero() || x.LiftedAt.IsZero() && d.EndedAt.IsZero() {
				continue
			}
			warm.Of++
			if !x.FillRead && !slices.ContainsFunc(x.Readings, func(r session.Reading) bool { return !r.Doubtful }) {
				unread++
			}
			if low := lowest(&d, &x); low.TempC-x.Step.ReleaseC < margin {
				margin = low.TempC - x.Step.ReleaseC
				warm.Bath, warm.LowC, warm.LowRead = x, low.TempC, low.Read
			}
		}
	}
	sort.SliceStable(out, func(i, j int) bool {
		a, b := out[i], out[j]
		switch {
		case a.Kind != b.Kind:
			return a.Kind < b.Kind
		case a.Kind != Below && a.Bath.StepIndex != b.Bath.StepIndex: // that is never told of two at once
			return a.Bath.StepIndex < b.Bath.StepIndex
		case a.Kind == Hung && a.Before.StepIndex != b.Before.StepIndex:
			return a.Before.StepIndex < b.Before.StepIndex
		}
		return a.Min > b.Min
	})
	warm.Washes = unread
	isWarm := warm.Of > 0 && margin > 0 && !slices.ContainsFunc(out, func(f Finding) bool { return f.Kind == Below })
	if unread > 0 && (unread < warm.Of || !isWarm) {
		out = append(out, Finding{Kind: Unread, Washes: unread, Of: warm.Of})
	}
	if isWarm {
		out = append(out, warm)
	}
	return out
}

// ofBath are the findings of a batch's bath.
func (l *looked) ofBath(b *ledger.BatchReview, i int) (out []Finding) {
	d, x := &l.Day, &b.Baths[i]
	if x.LeftOut() {
		return []Finding{{Kind: LeftOut, Bath: *x}}
	}
	if x.SunkAt.IsZero() {
		return nil
	}
	if len(x.Below) > 0 {
		out = append(out, below(d, b, i))
	}
	if beganC, forecastC := beforeFleece(d, x); beganC < x.Step.LowestSinkC-coolMatters {
		f := Finding{Kind: BegunCool, Bath: *x, FromC: beganC, ToC: x.Step.LowestSinkC}
		if x.FillC >= f.ToC && x.FillC-forecastC > (x.FillC-beganC)/2 {
			f.Min = measure.MinutesBetween(x.FilledAt, x.SunkAt)
		}
		out = append(out, f)
	}
	if soaked := inBath(d, &x.Bath).Min(); measure.Finite(soaked) {
		if short := x.Step.ShortestMin - soaked; short > 0.5 && !x.Skipped && !x.LiftedAt.IsZero() {
			out = append(out, Finding{Kind: CutShort, Bath: *x, Min: soaked})
		}
		if over := soaked - x.Step.LongestMin; x.Step.LongestMin > 0 && over >= 1 && len(x.Below) == 0 {
			out = append(out, Finding{Kind: TooLong, Bath: *x, Min: soaked})
		}
	}
	last, ok := lastWet(b.Baths, i)
	if !ok {
		return out
	}
	hung := measure.MinutesBetween(last.LiftedAt, x.SunkAt)
	_, longest := last.Step.HangsMin(&x.Step)
	if longest > 0 && hung >= longest {
		f := Finding{Kind: Hung, Bath: *x, Before: *last, Min: hung}
		l.hung(&f)
		if hung-f.PutOffMin < longest {
			f.AloneMin = 0
		}
		return append(out, f)
	}
	fromC, toC := or(last.LiftReadC, last.LiftForecastC), or(x.SinkReadC, x.SinkForecastC)
	if gapC := math.Abs(fromC - toC); x.Step.MaxGapC > 0 && gapC > x.Step.MaxGapC+drifted {
		out = append(out, Finding{Kind: TooFar, Bath: *x, Before: *last, FromC: fromC, ToC: toC})
	}
	return out
}

// hung is why fleece hung: what kept its water, or that nobody came when the alarm rang.
func (l *looked) hung(f *Finding) {
	w, at := l.walked(), Stretch{f.Before.LiftedAt, f.Bath.SunkAt}
	i := slices.IndexFunc(w.deeds, func(x Deed) bool {
		return x.Act == shed.FillTub && x.Tub == f.Bath.Tub && x.Batch == f.Bath.Batch && x.At.To.Equal(f.Bath.FilledAt)
	})
	if i < 0 {
		return
	}
	off := []Stretch{w.untold(i), w.deeds[i].At}
	for _, k := range w.kept(i, f.Bath.Tub) {
		within, _ := split([]Stretch{at}, k.Stretch)
		if off = append(off, within...); k.by == PutOff {
			for _, s := range within {
				f.PutOffMin += s.Min()
			}
		}
	}
	f.Rang, f.AloneMin = alone(&l.Day, rang(&l.Day, f.Bath.Batch, at.From, at.To, session.WetWaiting), at.To, off...)
	for _, x := range l.everyWait() {
		if y := w.deeds[i]; x.Act == y.Act && x.Tub == y.Tub && x.Batch == y.Batch && x.Step == y.Step && !x.From.Before(at.From) && x.For != ForNobody && x.For < ForBreak && 2*x.ForMin >= f.Min {
			if f.Kept = x; x.AtTub >= 0 {
				f.KeptAt = l.TubName(x.AtTub)
			}
		}
	}
}

// beforeFleece is how warm a bath was before its fleece went in, and was to be, °C: as it was read
// last, else as it was mixed; where water was poured in since, as it is known in the end.
func beforeFleece(d *session.Day, x *ledger.BathReview) (c, forecastC float64) {
	c, forecastC = x.FillC, x.FillC
	at := x.FilledAt
	for i, r := range x.Readings {
		if !r.Doubtful && !r.At.After(x.SunkAt) {
			if c, at = r.TempC, r.At; i == 0 { // of those behind it is of what was read
				forecastC = r.ForecastC
			}
		}
	}
	for _, y := range x.Changes {
		if y.AddL > 0 && !y.At.Before(at) && !y.At.After(x.SunkAt) {
			h := session.BathHeat(&d.Plan, &x.Bath)
			c, _ = h.At(x.SunkAt.Add(-time.Second))
		}
	}
	return c, forecastC
}

// lastWet is the bath that the fleece of the i-th came out of: one that was left out is
// passed over, the fleece hung all the while.
func lastWet(baths []ledger.BathReview, i int) (last *ledger.BathReview, ok bool) {
	for i--; i >= 0; i-- {
		if !baths[i].SunkAt.IsZero() {
			return &baths[i], !baths[i].LiftedAt.IsZero()
		}
	}
	return last, false
}

// below is what there is to know of a bath that came down to its release temperature.
func below(d *session.Day, b *ledger.BatchReview, i int) Finding {
	x := &b.Baths[i]
	f := Finding{Kind: Below, Bath: *x, Out: b.Out}
	low, end := lowest(d, x), inBath(d, &x.Bath).To
	f.LowC, f.LowRead = low.TempC, low.Read
	f.Min, f.DownAt = tooCool(x, end), x.Below[0].From
	for _, later := range b.Baths[i+1:] {
		f.WashedAgain = f.WashedAgain || later.Step.HasRelease() && !later.SunkAt.IsZero()
	}
	f.OffAt, f.OffMin = coverOff(x, end)
	for _, kinds := range coolKinds {
		if a := rang(d, x.Batch, x.SunkAt, end, kinds...); f.AloneMin == 0 {
			f.Rang, f.AloneMin = alone(d, a, end)
		}
	}
	f.HotterC = hotter(d, x, &f)
	return f
}

// tooCool is for how long a bath was below its release temperature with the fleece in, min.
func tooCool(x *ledger.BathReview, end time.Time) (min float64) {
	for _, s := range x.Below {
		to := s.To
		if to.IsZero() || to.After(end) {
			to = end
		}
		min += measure.MinutesBetween(s.From, to)
	}
	return min
}

// coolKinds are the alarms that call for a lift before a bath is too cool, those of the cooling
// before that of a soak that was over.
var coolKinds = [][]session.AlarmKind{{session.NearRelease, session.BelowRelease}, {session.NotLifted}}

// rang is a batch's first alarm of some kinds that was raised between two moments; a zero one if
// none was.
func rang(d *session.Day, batch string, from, to time.Time, kinds ...session.AlarmKind) (first session.Alarm) {
	for _, a := range d.EveryAlarm() {
		if slices.Contains(kinds, a.Kind) && a.Batch == batch && !a.RaisedAt.Before(from) && a.RaisedAt.Before(to) && (first.RaisedAt.IsZero() || a.RaisedAt.Before(first.RaisedAt)) {
			first = a
		}
	}
	return first
}

// alone is for how long after an alarm nobody came, min: the longest time till a deed at its tub
// without one anywhere, a break of theirs not counted, nor what the screen put off. 0 for a moment, or where they were at work
// elsewhere.
func alone(d *session.Day, a session.Alarm, end time.Time, off ...Stretch) (session.Alarm, float64) {
	if a.RaisedAt.IsZero() {
		return a, 0
	}
	from, longest, least := a.RaisedAt, 0.0, nobodyCame
	till := func(at time.Time) {
		min, left := 0.0, []Stretch{{from, at}}
		for _, s := range append(away(d, from, at), off...) {
			_, left = split(left, s)
		}
		for _, s := range left {
			min += s.Min()
		}
		longest, from = max(longest, min), at
	}
	for _, r := range d.Told() {
		if !r.At.After(a.RaisedAt) || !r.At.Before(end) {
			continue
		}
		if till(r.At); session.TubOf(r.Event) == a.Tub {
			end = r.At
			break
		}
		least = atWorkMin
	}
	if till(end); longest >= least {
		return a, longest
	}
	return session.Alarm{}, 0
}

// coverOff is when a bath that had a cover lost it for the longest, with the fleece in.
func coverOff(x *ledger.BathReview, end time.Time) (at time.Time, min float64) {
	covered, off := false, time.Time{}
	close := func(to time.Time) {
		if off.IsZero() {
			return
		}
		if m := measure.MinutesBetween(off, to); m >= offMatters && m > min {
			at, min = off, m
		}
		off = time.Time{}
	}
	for _, c := range x.Changes {
		if c.At.Before(x.SunkAt) || c.At.After(end) {
			continue
		}
		if c.Cover != 0 {
			covered = true
			close(c.At)
		} else if covered && off.IsZero() {
			off = c.At
		}
	}
	close(end)
	return at, min
}

// hotter is by how much hotter a bath would have had to begin to end at its release
// temperature, °C, by Newton's law: what lies over the room shrinks alike whatever it
// begins with. 0 where the record does not bear that out, or where it is no advice.
func hotter(d *session.Day, x *ledger.BathReview, f *Finding) float64 {
	if f.OffMin > 0 || slices.ContainsFunc(x.Changes, func(c session.HeatChange) bool { return c.AddL > 0 && c.At.After(x.SunkAt) }) {
		return 0
	}
	sinkC, roomC := or(x.SinkReadC, x.SinkForecastC), d.Plan.Kit.RoomC
	if n := len(x.Rooms); n > 0 {
		roomC = x.Rooms[n-1].RoomC
	}
	more := (x.Step.ReleaseC - f.LowC) * (sinkC - roomC) / (f.LowC - roomC)
	if !(more > 0 && more <= mostHotterC && sinkC+more <= hottestC) {
		return 0
	}
	return more
}

// within are the readings with the fleece in that are not doubtful.
func within(x *ledger.BathReview) (out []session.Reading) {
	for _, r := range x.Readings {
		if !r.Doubtful && !r.At.Before(x.SunkAt) && (x.LiftedAt.IsZero() || !r.At.After(x.LiftedAt)) {
			out = append(out, r)
		}
	}
	return out
}

// Known is a temperature, °C, and whether a thermometer said so. At is zero where nobody knows when.
type Known struct {
	TempC float64
	Read  bool
	At    time.Time
}

var unknown = Known{TempC: math.NaN()}

// temperatures are a bath's with the fleece in: at the sink-in, the lowest, at the lift.
func temperatures(d *session.Day, x *ledger.BathReview) (in, low, lift Known) {
	if x.SunkAt.IsZero() {
		return unknown, unknown, unknown
	}
	known := func(readC, estimateC float64, at time.Time) Known {
		if measure.Finite(readC) {
			return Known{readC, true, at}
		}
		return Known{estimateC, false, at}
	}
	return known(x.SinkReadC, x.SinkForecastC, x.SunkAt), lowest(d, x), known(x.LiftReadC, x.LiftForecastC, x.LiftedAt)
}

// lowest is the lowest temperature of a bath with the fleece in: read, where the thermometer said
// the least, or as the readings make it. A bath that cools is at its lowest before a pour or at
// its end.
func lowest(d *session.Day, x *ledger.BathReview) Known {
	end := inBath(d, &x.Bath).To
	out := Known{TempC: x.SinkForecastC, At: x.SunkAt}
	colder := func(c float64, at time.Time) {
		if measure.Finite(c) && !(c >= out.TempC) {
			out.TempC, out.At = c, at
		}
	}
	h := session.BathHeat(&d.Plan, &x.Bath)
	for _, c := range x.Changes {
		if c.At.After(x.SunkAt) && c.At.Before(end) {
			at := c.At.Add(-time.Second)
			tempC, _ := h.At(at)
			colder(tempC, at)
		}
	}
	if x.LiftedAt.IsZero() {
		tempC, _ := h.At(end)
		colder(tempC, end)
	}
	colder(x.LiftForecastC, x.LiftedAt)
	for _, r := range within(x) {
		if r.TempC <= out.TempC+near { // what was read goes before what is reckoned from it
			out = Known{r.TempC, true, r.At}
		}
	}
	return out
}

// or is a figure, or another where it is none.
func or(c, other float64) float64 {
	if measure.Finite(c) {
		return c
	}
	return other
}
