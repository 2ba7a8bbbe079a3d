package session

import (
	"math"
	"time"

	"fleece.example/tubside/cooling"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
)

// Release is when a tub's wash bath came or comes down to its release temperature
// with the fleece in it, by the estimate and by what was read: a bath that was
// read below it was below it then, whatever the estimate says.
func (d *Day) Release(tub int, h HeatModel) Crossing {
	t := d.Tubs[tub]
	s := t.Bath.Step
	if !s.HasRelease() {
		return Crossing{}
	}
	c := h.Crossing(s.ReleaseC)
	below, above, lowC, next := time.Time{}, time.Time{}, 0.0, 0
	poured := func(before time.Time) { // what was poured since may have warmed it enough
		for ; next < len(h.pouredMin) && h.Clock(h.pouredMin[next]).Before(before); next++ {
			if lowC += h.rise(h.pouredMin[next]); lowC > s.ReleaseC {
				below = time.Time{}
			}
		}
	}
	for _, r := range t.Bath.Readings {
		if r.Doubtful {
			continue
		}
		poured(r.At)
		switch lowC = r.TempC; {
		case lowC > s.ReleaseC:
			below, above = time.Time{}, r.At
		case below.IsZero():
			below = r.At
		}
	}
	poured(h.FilledAt.AddDate(1, 0, 0))
	for _, at := range []*time.Time{&c.Early, &c.Likely, &c.Late} {
		if !below.IsZero() && (at.IsZero() || below.Before(*at)) {
			*at = below
		}
	}
	c = c.NotBefore(above)
	return c.NotBefore(t.Bath.SunkAt) // what the bath did before does the fleece no harm
}

// Below says that by then a bath is down to the temperature it crosses.
func (c Crossing) Below(now time.Time) bool { return !c.Likely.IsZero() && !now.Before(c.Likely) }

// What the heat estimate takes for granted. All from memory or common
// practice, no published source; each is meant to err on the cool side.
const (
	readingSdC   = cooling.KitchenReadingSDC
	fillReadSdC  = cooling.KitchenReadingSDC // fill temperature, taken with it
	fillGuessSdC = 2.5                       // fill temperature, nobody looked
	// Water a drained fleece carries along, for each gram that it would be without: pressed loose
	// fleece, and locks, which are only let drip (by hand 100-200 % of dry mass).
	carriedLoose = 1.3
	carriedLocks = 1.8
	waterJPerGK  = 4.186 // OpenStax, College Physics 2e, 14.2
	// hottestFillC is as warm as a bath is ever asked for.
	hottestFillC = 75.0
)

// HeatModel is a bath with its readings, fitted.
type HeatModel struct {
	Fit       cooling.Fitted
	FilledAt  time.Time
	pouredMin []float64 // when water or fleece came into it, minutes since filled
	Ok        bool
}

// Crossing is when a bath comes down to a temperature: with 5, 50 and 95 %
// probability it has by then. A zero time means never, as far as can be told.
type Crossing struct{ Early, Likely, Late time.Time }

// Heat fits the current bath of a tub; not ok before it is filled.
func (d *Day) Heat(tub int) HeatModel {
	t := d.Tubs[tub]
	if t.Phase < shed.ToSink || t.Phase > shed.Draining {
		return HeatModel{}
	}
	return BathHeat(&d.Plan, &t.Bath)
}

// BathHeat fits one bath of a plan to its readings.
func BathHeat(p *shed.Plan, b *Bath) HeatModel {
	cb, readings, ok := BathModel(p, b)
	if !ok {
		return HeatModel{}
	}
	m := HeatModel{Fit: cb.Forecast(readings, readingSdC), FilledAt: b.FilledAt, Ok: true}
	for _, c := range cb.Changes {
		if c.AddJPerK > 0 {
			m.pouredMin = append(m.pouredMin, max(0, c.AtMin))
		}
	}
	return m
}

// BathModel is a bath as the heat estimate sees it, before its readings, and
// the readings that are not doubtful; not ok before it is filled.
func BathModel(p *shed.Plan, b *Bath) (cb cooling.Bath, readings []cooling.Reading, ok bool) {
	k := p.Kit
	if b.FilledAt.IsZero() || b.Tub < 0 || b.Tub >= len(k.Tubs) {
		return cb, nil, false
	}
	tub := k.Tubs[b.Tub]
	// Loss depends on temperature, open water most: take it where the bath
	// spends its time, some way down from the fill.
	midC := b.FillC - cooling.LossTakenBelowFillC
	roomC, rooms := k.RoomC, b.Rooms
	if len(rooms) > 0 {
		roomC, rooms = rooms[0].RoomC, rooms[1:]
	}
	first := p.LossUnder(tub, b.VolumeL, cooling.Open, midC, roomC)
	cb = cooling.Bath{
		RoomC: roomC, StartC: b.FillC, StartSDC: fillGuessSdC,
		HeatJPerK: cooling.WaterPortion(b.VolumeL, b.FillC).HeatJPerK + cooling.VesselHeatJPerK(tub.Vessel(), b.VolumeL),
		LossWPerK: first.WPerK, LossSDLog: first.SdLog, LossAtC: midC, LossTilt: first.Tilt,
	}
	if b.FillRead {
		cb.StartSDC = fillReadSdC
	}
	cb.Changes = make([]cooling.Change, 0, len(b.Changes)+len(rooms))
	volumeL, cover := b.VolumeL, cooling.Open
	add := func(ch cooling.Change) {
		// The spread is that of the cover the bath has now: the one its forecast
		// is made under.
		l := p.LossUnder(tub, volumeL, cover, midC, roomC)
		ch.LossWPerK, ch.LossAtC, ch.LossTilt, cb.LossSDLog = l.WPerK, midC, l.Tilt, l.SdLog
		cb.Changes = append(cb.Changes, ch)
	}
	roomsUntil := func(at time.Time) {
		for len(rooms) > 0 && (at.IsZero() || !rooms[0].At.After(at)) {
			roomC = rooms[0].RoomC
			add(cooling.Change{AtMin: measure.MinutesBetween(b.FilledAt, rooms[0].At), Room: true, RoomC: roomC})
			rooms = rooms[1:]
		}
	}
	for _, c := range b.Changes {
		roomsUntil(c.At)
		ch := cooling.Change{AtMin: measure.MinutesBetween(b.FilledAt, c.At), AddJPerK: c.AddJPerK, AddC: c.AddC}
		if c.BailL > 0 {
			volumeL -= c.BailL
			ch.RemoveJPerK = cooling.WaterPortion(c.BailL, b.FillC).HeatJPerK
		}
		if c.AddL > 0 {
			volumeL += c.AddL
			ch.AddJPerK = cooling.WaterPortion(c.AddL, c.AddC).HeatJPerK
		}
		cover = c.Cover
		add(ch)
	}
	roomsUntil(time.Time{})
	readings = make([]cooling.Reading, 0, len(b.Readings))
	for _, r := range b.Readings {
		if r.Doubtful {
			continue
		}
		readings = append(readings, cooling.Reading{AtMin: measure.MinutesBetween(b.FilledAt, r.At), TempC: r.TempC})
	}
	return cb, readings, true
}

// At is the bath's temperature and its standard deviation, °C; NaN if unknown.
func (h *HeatModel) At(now time.Time) (tempC, sdC float64) {
	if !h.Ok {
		return math.NaN(), math.NaN()
	}
	return h.Fit.At(max(0, measure.MinutesBetween(h.FilledAt, now)))
}

// z90 is half the width of a 90 % interval in standard deviations.
const z90 = 1.645

// CurvePoint is a point of a bath's cooling curve with its 90 % interval, °C.
type CurvePoint struct {
	At                 time.Time
	TempC, LowC, HighC float64
}

// Point is the bath at a moment; NaN if unknown.
func (h *HeatModel) Point(at time.Time) CurvePoint {
	c, sd := h.At(at)
	return CurvePoint{at, c, c - z90*sd, c + z90*sd}
}

// Curve is the bath at n moments from one time to another, as the readings so far make it; nil
// if unknown.
func (h *HeatModel) Curve(from, to time.Time, n int) []CurvePoint {
	if !h.Ok || n < 2 || !to.After(from) {
		return nil
	}
	out := make([]CurvePoint, n)
	for i := range out {
		out[i] = h.Point(from.Add(time.Duration(float64(to.Sub(from)) * float64(i) / float64(n-1))))
	}
	return out
}

// Crossing is when the bath came or comes down to targetC. It looks from the last
// pour that left the bath above it, not from now, so that the same bath gives the
// same answer at any time and lateness can be counted from it: neither a cover nor
// hot water that is not enough sets it back.
func (h *HeatModel) Crossing(targetC float64) Crossing {
	if !h.Ok {
		return Crossing{}
	}
	fromMin := 0.0
	for _, at := range h.pouredMin {
		if tempC, _ := h.Fit.At(at); tempC > targetC {
			fromMin = at
		}
	}
	c := h.Fit.Crossing(targetC, fromMin)
	return Crossing{h.Clock(c.EarlyMin), h.Clock(c.LikelyMin), h.Clock(c.LateMin)}
}

// rise is by how much what came into the bath then has warmed it, °C.
func (h *HeatModel) rise(atMin float64) float64 {
	const before = 1e-6
	was, _ := h.Fit.At(atMin - before)
	is, _ := h.Fit.At(atMin)
	return is - was
}

// NotBefore is the crossing as it lies ahead: what has passed is now.
func (c Crossing) NotBefore(now time.Time) Crossing {
	for _, at := range []*time.Time{&c.Early, &c.Likely, &c.Late} {
		if !at.IsZero() && at.Before(now) {
			*at = now
		}
	}
	return c
}

// Clock is the moment so many minutes after the fill; zero for never, or past a month.
func (h *HeatModel) Clock(atMin float64) time.Time {
	const month = 31 * 24 * 60 // past that is never, and no overflow
	if !measure.Finite(atMin) || atMin > month {
		return time.Time{}
	}
	return h.FilledAt.Add(measure.Lasting(atMin))
}

// TempNow is the estimated temperature of a tub's bath and its standard
// deviation, °C; ok is false when there is no water in it.
func (d Day) TempNow(tub int, now time.Time) (tempC, sdC float64, ok bool) {
	h := d.Heat(tub)
	c, sd := h.At(now)
	return c, sd, measure.Finite(c)
}
