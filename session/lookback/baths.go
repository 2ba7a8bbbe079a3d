package lookback

import (
	"cmp"
	"math"
	"sort"
	"time"

	"fleece.example/tubside/cooling"
	"fleece.example/tubside/session"
	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/measure"
)

// Bath is one bath looked back at as a curve. Temperatures are °C, NaN where nothing is known.
type Bath struct {
	ledger.BathReview
	// Span is from the filling until the tub was empty; of a bath that stands, so far.
	Span Stretch
	// Forecasts are what was forecast, in order of time: at the filling, at the sink-in, and anew
	// after each reading, cover, pour and change of the room. Each stood until the next.
	Forecasts []Forecast
	Marks     []Mark // what happened to it, in order of time
	// In, Lowest and Lift: with the fleece in. Where no thermometer said so, by the estimate.
	In, Lowest, Lift Known
	// MarginC is how far the lowest lies above the release temperature, negative below; NaN
	// where the bath has none.
	MarginC float64
}

// Forecast is what the program said of a bath from a moment on.
type Forecast struct {
	Since time.Time
	By    MarkKind // what made it, the last of several at once: Filled, SunkIn, WasRead, Covered, ToppedUp or RoomSet
	Heat  session.HeatModel
	// Release is when the bath would be down to its release temperature; zero moments: never,
	// or it has none.
	Release session.Crossing
}

// MarkKind is what happened to a bath.
type MarkKind int

// What happens to a bath.
const (
	Filled MarkKind = iota
	SunkIn
	WasRead
	Covered
	ToppedUp
	RoomSet
	Held
	Resumed
	SoakSet // the soak was made longer or shorter
	Rang    // an alarm
	Lifted
	Emptied
)

// Mark is one thing that happened to a bath. What does not belong to its kind is zero.
type Mark struct {
	At    time.Time
	Kind  MarkKind
	TempC float64       // Filled, SunkIn, WasRead, Lifted: the bath; ToppedUp: what was poured; RoomSet: the room
	Read  bool          // of Filled: a thermometer said so
	OffC  float64       // of WasRead: how far from the forecast
	Doubt bool          // of WasRead: another reading contradicts it
	Cover cooling.Cover // SunkIn, Covered: what lay on the tub from then on
	AddL  float64       // of ToppedUp
	BailL float64       // of ToppedUp, taken out before
	Min   float64       // of SoakSet: the whole soak
	Alarm session.Alarm
}

// Baths are a day's baths that were filled, batch by batch in their order. Forecasts are as this
// version makes them from what was known then; Bath.SinkC, LiftC and Mark.OffC as they were
// written down, marks but for what a misreading before them made of it.
func Baths(d session.Day) []Bath {
	return bathsWhere(d, func(ledger.BathReview) bool { return true })
}

// HotBaths are those of Baths that have a release temperature and had fleece in them.
func HotBaths(d session.Day) []Bath {
	return bathsWhere(d, func(x ledger.BathReview) bool { return x.Step.HasRelease() && !x.SunkAt.IsZero() })
}

func bathsWhere(d session.Day, is func(ledger.BathReview) bool) []Bath {
	told := d.Told()
	var out []Bath
	for _, b := range ledger.ReviewOf(d).Batches {
		for _, x := range b.Baths {
			if !x.FilledAt.IsZero() && is(x) {
				out = append(out, bathOf(&d, told, &x))
			}
		}
	}
	return out
}

func bathOf(d *session.Day, told []session.Recorded, x *ledger.BathReview) Bath {
	b := Bath{BathReview: *x, Span: Stretch{x.FilledAt, cmp.Or(x.DrainedAt, d.EndedAt, d.LastAt)}, MarginC: math.NaN()}
	b.mark(d, told)
	b.forecast(d)
	b.In, b.Lowest, b.Lift = temperatures(d, x)
	if !x.SunkAt.IsZero() && x.Step.HasRelease() {
		b.MarginC = b.Lowest.TempC - x.Step.ReleaseC
	}
	return b
}

// mark notes what happened to the bath.
func (b *Bath) mark(d *session.Day, told []session.Recorded) {
	add := func(m Mark) {
		if !m.At.IsZero() {
			b.Marks = append(b.Marks, m)
		}
	}
	add(Mark{At: b.FilledAt, Kind: Filled, TempC: b.FillC, Read: b.FillRead})
	for _, r := range b.Readings {
		add(Mark{At: r.At, Kind: WasRead, TempC: r.TempC, OffC: r.TempC - r.ForecastC, Doubt: r.Doubtful})
	}
	sunk := false
	for _, c := range b.Changes {
		switch {
		case !sunk && c.At.Equal(b.SunkAt):
			sunk = true
			add(Mark{At: c.At, Kind: SunkIn, TempC: b.SinkC, Cover: c.Cover})
		case c.AddL > 0:
			add(Mark{At: c.At, Kind: ToppedUp, TempC: c.AddC, AddL: c.AddL, BailL: c.BailL, Cover: c.Cover})
		default:
			add(Mark{At: c.At, Kind: Covered, Cover: c.Cover})
		}
	}
	for _, r := range b.Rooms[min(1, len(b.Rooms)):] {
		add(Mark{At: r.At, Kind: RoomSet, TempC: r.RoomC})
	}
	for _, r := range told {
		if session.TubOf(r.Event) != b.Tub || r.At.Before(b.Span.From) || r.At.After(b.Span.To) {
			continue
		}
		switch e := r.Event.(type) {
		case session.TubHeld:
			add(Mark{At: r.At, Kind: Held})
		case session.TubResumed:
			add(Mark{At: r.At, Kind: Resumed})
		case session.SoakChanged:
			add(Mark{At: r.At, Kind: SoakSet, Min: e.SoakMin})
		}
	}
	for _, a := range d.EveryAlarm() {
		if a.Tub == b.Tub && a.Batch == b.Batch && (!a.Call() || a.Rings > 1) && !a.RaisedAt.Before(b.Span.From) && !a.RaisedAt.After(b.Span.To) {
			add(Mark{At: a.RaisedAt, Kind: Rang, Alarm: a})
		}
	}
	add(Mark{At: b.LiftedAt, Kind: Lifted, TempC: b.LiftC})
	add(Mark{At: b.DrainedAt, Kind: Emptied})
	sort.SliceStable(b.Marks, func(i, j int) bool {
		x, y := b.Marks[i], b.Marks[j]
		return cmp.Or(x.At.Compare(y.At), cmp.Compare(x.Kind, y.Kind)) < 0
	})
}

// forecast makes the forecasts that stood, each from what was known by then.
func (b *Bath) forecast(d *session.Day) {
	misread := false
	for i := range b.Marks {
		m := &b.Marks[i]
		switch m.Kind {
		case Filled, SunkIn, WasRead, Covered, ToppedUp, RoomSet:
		default:
			continue
		}
		if misread = misread || m.Doubt; m.Doubt {
			continue
		}
		n := len(b.Forecasts)
		if misread && n > 0 { // what was written down went by the misreading
			if m.Kind == WasRead {
				tempC, _ := b.Forecasts[n-1].Heat.At(m.At)
				m.OffC = m.TempC - tempC
			} else if m.Kind == SunkIn {
				m.TempC, _ = b.heatAsOf(m.At, d).At(m.At)
			}
		}
		if n > 0 && b.Forecasts[n-1].Since.Equal(m.At) {
			b.Forecasts[n-1].By = m.Kind // with what made that one
			continue
		}
		f := Forecast{Since: m.At, By: m.Kind, Heat: *b.heatAsOf(m.At, d)}
		if b.Step.HasRelease() {
			f.Release = f.Heat.Crossing(b.Step.ReleaseC)
		}
		b.Forecasts = append(b.Forecasts, f)
	}
}

// heatAsOf is the heat of the bath with what was known of it by a moment.
func (b *Bath) heatAsOf(at time.Time, d *session.Day) *session.HeatModel {
	x := b.Bath
	x.Readings = before(x.Readings, at, func(r session.Reading) time.Time { return r.At })
	x.Changes = before(x.Changes, at, func(c session.HeatChange) time.Time { return c.At })
	x.Rooms = before(x.Rooms, at, func(r session.RoomAt) time.Time { return r.At })
	h := session.BathHeat(&d.Plan, &x)
	return &h
}

// before are the first of some things in order of time, up to a moment.
func before[T any](all []T, at time.Time, when func(T) time.Time) []T {
	n := 0
	for n < len(all) && !when(all[n]).After(at) {
		n++
	}
	return all[:n:n]
}

// AtSinkIn is the forecast that was made when the fleece went in; ok is false if it never did.
func (b *Bath) AtSinkIn() (f Forecast, ok bool) {
	if b.SunkAt.IsZero() {
		return f, false
	}
	return b.Stood(b.SunkAt)
}

// Stood is the forecast that stood at a moment; ok is false before the filling.
func (b *Bath) Stood(at time.Time) (f Forecast, ok bool) {
	for _, x := range b.Forecasts {
		if x.Since.After(at) {
			break
		}
		f, ok = x, true
	}
	return f, ok
}

// Until is until when the bath is drawn with the fleece in it, or waiting for it: its lift, else
// its end.
func (b *Bath) Until() time.Time { return cmp.Or(b.LiftedAt, b.Span.To) }

// SoakEnd is when its soak was over, as it was planned then; zero if it never began.
func (b *Bath) SoakEnd() time.Time {
	if b.SunkAt.IsZero() {
		return time.Time{}
	}
	return b.SunkAt.Add(measure.Lasting(b.SoakMin) + b.HeldFor)
}

// Class is of which sort a bath is, 0 a cold one, 1 warm, 2 a wash: what is alike is drawn on one axis,
// on which a presoak beside rinses would lie flat.
func (b *Bath) Class() int {
	switch {
	case b.Step.HasRelease():
		return 2
	case b.Step.Kind.Facts().Teaches:
		return 1
	}
	return 0
}

// Reach is from the lowest to the highest of a day's baths of a class, °C, as they were forecast, read
// and drawn.
func Reach(all []Bath, class int) (lowC, highC float64) {
	const points = 40
	lowC, highC = math.Inf(1), math.Inf(-1)
	see := func(low, high float64) {
		if measure.Finite(low) && measure.Finite(high) {
			lowC, highC = min(lowC, low), max(highC, high)
		}
	}
	for _, b := range all {
		if b.Class() != class {
			continue
		}
		for _, p := range b.Curve(points) {
			see(p.LowC, p.HighC)
		}
		if first, ok := b.AtSinkIn(); ok {
			for _, p := range first.Heat.Curve(b.SunkAt, b.Until(), points) {
				see(p.TempC, p.TempC)
			}
		}
		for _, r := range b.Readings {
			if !r.Doubtful {
				see(r.TempC, r.TempC)
			}
		}
	}
	return lowC, highC
}

// Curve is the bath at n moments until its lift, each as the forecast had it that stood then.
func (b *Bath) Curve(n int) []session.CurvePoint {
	from, to := b.FilledAt, b.Until()
	if n < 2 || !to.After(from) {
		return nil
	}
	out := make([]session.CurvePoint, 0, n)
	for i := range n {
		at := from.Add(time.Duration(float64(to.Sub(from)) * float64(i) / float64(n-1)))
		if f, ok := b.Stood(at); ok {
			out = append(out, f.Heat.Point(at))
		}
	}
	return out
}
