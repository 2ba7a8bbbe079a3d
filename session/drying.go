package session

import (
	"fmt"
	"slices"
	"time"

	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/session/yield"
)

// DryingBatch is a batch that is spun or lies on the rack, with what its
// weights say.
type DryingBatch struct {
	Batch  shed.Batch
	Fleece shed.Fleece
	Tray   string    // its name, and the layers there; "" where none is known
	Since  time.Time // on the rack; zero while it is spun and not racked yet
	Washed time.Time // Fate.WashedAt
	Wet    []shed.WetWeight
	// Forecast is of the weights so far; without one, of such batches.
	Forecast yield.DryForecast
	// WeighAt is when to weigh next: first on the morning on which it may be dry. DryAt
	// is when it will be dry: likely and the 90 % interval; zero where nothing follows
	// from the weights.
	WeighAt                       time.Time
	DryAt, DryEarliest, DryLatest time.Time
	// LastG is what it weighed last, 0 if not at all.
	LastG float64
	Dry   bool // the rule holds: LastG is its dry weight
	// Moved are the batches weighed since its own last weight: its times go by theirs too,
	// whether it is dry does not.
	Moved []string
}

// Drying looks at a batch on its way to dry, as the others of its day dry. The forecast
// costs some milliseconds: keep it until the weights change.
//
// Errors: a batch that is not drying, a sentence.
func (d Day) Drying(batch string) (DryingBatch, error) {
	b, err := d.toWeigh(batch)
	if err != nil {
		return DryingBatch{}, err
	}
	fate := d.Fate[b.ID]
	switch {
	case fate.DryG > 0:
		return DryingBatch{}, fmt.Errorf("%s is bagged: it's no longer drying", b.ID)
	case fate.RackedAt.IsZero() && len(fate.Wet) == 0:
		return DryingBatch{}, fmt.Errorf("%s is not on the rack yet", b.ID)
	}
	out := DryingBatch{Batch: b, Fleece: *d.FleeceOf(b.ID), Tray: d.Plan.Kit.Lies(fate.Tray, fate.Spots, b.Form), Since: fate.RackedAt, Washed: fate.WashedAt(d.EndedAt), Wet: fate.Wet, WeighAt: fate.RackedAt}
	out.LastG = fate.lastWetG()
	from, own := d.ownAndBeside(&b)
	for _, o := range d.Plan.Batches {
		if wet := d.Fate[o.ID].Wet; o.ID != b.ID && len(wet) > 0 && out.LastG > 0 && wet[len(wet)-1].At.After(fate.Wet[len(fate.Wet)-1].At) {
			out.Moved = append(out.Moved, o.ID)
		}
	}
	if out.Forecast, err = yield.ForecastDrying(own.Weighings, own.Rack, d.Plan.Kit.Units.Mass); err != nil {
		return out, err
	}
	f := out.Forecast
	out.Dry, out.WeighAt = f.Dry, from.Add(measure.Lasting(f.WeighNextAt))
	if len(fate.Wet) == 0 {
		out.WeighAt = d.Plan.Kit.Rises(d.Plan.OnTheWall(out.WeighAt))
	}
	out.DryEarliest, out.DryAt, out.DryLatest = from.Add(measure.Lasting(f.DryAtMin.Low)), from.Add(measure.Lasting(f.DryAtMin.Likely)), from.Add(measure.Lasting(f.DryAtMin.High))
	return out, nil
}

// gives is the yield that a batch should have by its own dry weight before, else by what its fleece's other batches gave, on
// this day and before it; zero if none was weighed dry.
func (d *Day) gives(b *shed.Batch) yield.Interval {
	if b.WasDryG > 0 {
		return yield.WashedAgain(b.RawG, b.WasDryG)
	}
	var told []yield.Batch
	for _, g := range d.Plan.Gave {
		if g.Fleece == b.FleeceID {
			told = append(told, yield.Batch{RawG: g.RawG, DryG: g.DryG, Part: g.Part, Sure: true})
		}
	}
	for _, o := range d.Plan.Batches {
		f := d.Fate[o.ID]
		if n := len(d.Fate[b.ID].Wet); n > 0 && f.DryAt.After(d.Fate[b.ID].Wet[n-1].At) {
			continue // what others gave since its last weight makes it no drier
		}
		if o.FleeceID == b.FleeceID && o.ID != b.ID && f.DryG > 0 {
			weighed := o.YieldBatch(f.DryG, f.DryScale)
			weighed.Sure = true
			told = append(told, weighed)
		}
	}
	if len(told) == 0 {
		return yield.Interval{}
	}
	f, err := yield.ForecastRest(told, []yield.Part{{Name: shed.PartKey(b.Part), RawG: b.RawG}}, d.FleeceOf(b.ID).Type.String(), nil)
	if err != nil { // what its type gives stands
		return yield.Interval{}
	}
	return f.YieldPart
}

// rests is where the weights of a drying batch settle, g; ok is false without a weight.
func (d *Day) rests(b *shed.Batch) (restsG yield.Interval, ok bool) {
	if fate := d.Fate[b.ID]; len(fate.Wet) == 0 || fate.DryG > 0 {
		return restsG, false
	}
	_, own := d.ownAndBeside(b)
	restsG, err := yield.RestsAt(own.Weighings, own.Rack, nil)
	return restsG, err == nil
}

// ownAndBeside are weighings of a batch with all else that its forecast goes by.
func (d *Day) ownAndBeside(b *shed.Batch) (from time.Time, own yield.Beside) {
	from, own = d.weighings(b)
	for _, o := range d.Plan.Batches {
		if o.ID != b.ID && len(d.Fate[o.ID].Wet) > 0 {
			_, beside := d.weighings(&o)
			own.Rack.Beside = append(own.Rack.Beside, beside)
		}
	}
	own.Rack.Yield = d.gives(b)
	return from, own
}

// weighings are those of a batch on its way to dry, for the forecast, from its first one
// or, without one, from when it was racked.
func (d *Day) weighings(b *shed.Batch) (from time.Time, out yield.Beside) {
	fate := d.Fate[b.ID]
	from = fate.RackedAt
	out.DryG = fate.DryG
	out.Rack = yield.Rack{RawG: b.RawG, Type: d.FleeceOf(b.ID).Type.String()}
	moments := make([]yield.Moment, len(fate.Wet))
	for i, w := range fate.Wet {
		moments[i] = yield.Moment{At: w.At, MassG: w.MassG}
		out.Rack.StepG = max(out.Rack.StepG, w.Scale.ReadToG())
	}
	if len(fate.Wet) > 0 {
		if from = fate.Wet[0].At; !fate.RackedAt.IsZero() {
			out.Rack.LainMin = max(0, measure.MinutesBetween(fate.RackedAt, from))
		}
	}
	out.Weighings = yield.Since(from, moments)
	return from, out
}

// Quarter is a forecast moment as near as it is worth, to the quarter of an hour, and
// to come where t is.
func Quarter(t, now time.Time) time.Time {
	const quarter = 15 * time.Minute
	if q := t.Round(quarter); q.After(now) || !t.After(now) {
		return q
	}
	return now.Truncate(quarter).Add(quarter)
}

// Overdue says that a batch should be dry by now, whatever its weights promise.
func (b *DryingBatch) Overdue(now time.Time) bool {
	return !b.DryLatest.IsZero() && !b.Dry && now.After(b.DryLatest)
}

// soonOnRack is how long after racking a first weight still says how wet a batch
// was laid there: it loses a few grams in this time.
const soonOnRack = 30 * time.Minute

// Retention is the water a batch held when it was first weighed: as it was spun where
// that was before racking, else lain minutes later; ok is false without a weight from
// then, or without a dry one.
func (d Day) Retention(batch string) (r yield.Retention, lain time.Duration, ok bool) {
	f := d.Fate[batch]
	if f.DryG <= 0 || len(f.Wet) == 0 {
		return r, 0, false
	}
	first := f.Wet[0]
	if !f.RackedAt.IsZero() {
		lain = max(0, first.At.Sub(f.RackedAt))
	}
	if lain > soonOnRack {
		return r, lain, false
	}
	regain := 0.0
	if f.DryRH > 0 {
		regain, _, _ = yield.Regain(f.DryRH, yield.Drying) // an impossible humidity counts as not known
	}
	r, err := yield.Retained(first.MassG, f.DryG, regain, d.Plan.Kit.Units.Mass)
	r.Text, r.Held = d.Plan.Kit.Units.Spell(d.Plan.Kit.Units.PercentSigns(r.Text)), d.Plan.Kit.Units.PercentSigns(r.Held)
	return r, lain, err == nil
}

// longDry is how long a batch is taken to dry.
const longDry = 21 * 24 * time.Hour

// LongDry says that a batch racked at since is dry long since, weighed or not.
func LongDry(since, now time.Time) bool { return !since.IsZero() && now.Sub(since) > longDry }

// unbagged is a batch back on the rack: what it was bagged with was a weight on the way to dry.
func (f Fate) unbagged() Fate {
	if f.DryG > 0 {
		f.Wet = append(slices.Clip(f.Wet), shed.WetWeight{At: f.DryAt, MassG: f.DryG, Scale: f.DryScale})
		f.DryG, f.DryAt, f.DryScale, f.DryRH = 0, time.Time{}, shed.Scale{}, 0
	}
	return f
}
