package session

import (
	"math"
	"time"

	"fleece.example/tubside/cooling"
)

// What the heat estimate takes for granted. All from memory or common
// practice, no published source; each is meant to err on the cool side.
const (
	readingSdC   = 0.7 // a kitchen thermometer, read to the degree
	fillReadSdC  = 0.7 // fill temperature, taken with it
	fillGuessSdC = 2.5 // fill temperature, nobody looked
	// Water a drained fleece carries along, for each gram raw: pressed loose
	// fleece, and locks, which are only let drip (by hand 100-200 % of dry mass).
	carriedLoose = 1.3
	carriedLocks = 1.8
	waterJPerGK  = 4.186 // OpenStax, College Physics 2e, 14.2
	// hottestFillC is as warm as a bath is ever asked for.
	hottestFillC = 75.0
	// lossTakenBelowFillC: half the fall from a wash bath to its release temperature.
	lossTakenBelowFillC = 8.0
)

// heatModel is a bath with its readings, fitted.
type heatModel struct {
	fit       cooling.Fitted
	filledAt  time.Time
	pouredMin []float64 // when water or fleece came into it, minutes since filled
	ok        bool
}

// Crossing is when a bath comes down to a temperature: with 5, 50 and 95 %
// probability it has by then. A zero time means never, as far as can be told.
type Crossing struct{ Early, Likely, Late time.Time }

// heat fits the current bath of a tub; not ok before it is filled.
func (d Day) heat(tub int) heatModel {
	t := d.Tubs[tub]
	if t.Phase < ToSink || t.Phase > Draining {
		return heatModel{}
	}
	return bathHeat(d.Plan, t.Bath)
}

// bathHeat fits one bath of a plan to its readings.
func bathHeat(p Plan, b Bath) heatModel {
	cb, readings, ok := BathModel(p, b)
	if !ok {
		return heatModel{}
	}
	m := heatModel{fit: cb.Fit(readings, readingSdC), filledAt: b.FilledAt, ok: true}
	if n := len(readings); n > 0 {
		m.fit = m.fit.Through(readings[n-1], readingSdC)
	}
	for _, c := range cb.Changes {
		if c.AddJPerK > 0 {
			m.pouredMin = append(m.pouredMin, max(0, c.AtMin))
		}
	}
	return m
}

// BathModel is a bath as the heat estimate sees it, before its readings, and
// the readings; not ok before it is filled.
func BathModel(p Plan, b Bath) (cb cooling.Bath, readings []cooling.Reading, ok bool) {
	k := p.Kit
	if b.FilledAt.IsZero() || b.Tub < 0 || b.Tub >= len(k.Tubs) {
		return cb, nil, false
	}
	tub := k.Tubs[b.Tub]
	// Loss depends on temperature, open water most: take it where the bath
	// spends its time, some way down from the fill.
	midC := b.FillC - lossTakenBelowFillC
	roomC, rooms := k.RoomC, b.Rooms
	if len(rooms) > 0 {
		roomC, rooms = rooms[0].RoomC, rooms[1:]
	}
	first := p.lossUnder(tub, b.VolumeL, cooling.Open, midC, roomC)
	cb = cooling.Bath{
		RoomC: roomC, StartC: b.FillC, StartSDC: fillGuessSdC,
		HeatJPerK: cooling.WaterPortion(b.VolumeL, b.FillC).HeatJPerK + cooling.VesselHeatJPerK(tub.Vessel(), b.VolumeL),
		LossWPerK: first.wPerK, LossSDLog: first.sdLog, LossAtC: midC, LossTilt: first.tilt,
	}
	if b.FillRead {
		cb.StartSDC = fillReadSdC
	}
	cb.Changes = make([]cooling.Change, 0, len(b.Changes)+len(rooms))
	volumeL, cover := b.VolumeL, cooling.Open
	add := func(ch cooling.Change) {
		// The spread is that of the cover the bath has now: the one its forecast
		// is made under.
		l := p.lossUnder(tub, volumeL, cover, midC, roomC)
		ch.LossWPerK, ch.LossAtC, ch.LossTilt, cb.LossSDLog = l.wPerK, midC, l.tilt, l.sdLog
		cb.Changes = append(cb.Changes, ch)
	}
	roomsUntil := func(at time.Time) {
		for len(rooms) > 0 && (at.IsZero() || !rooms[0].At.After(at)) {
			roomC = rooms[0].RoomC
			add(cooling.Change{AtMin: minutesBetween(b.FilledAt, rooms[0].At), Room: true, RoomC: roomC})
			rooms = rooms[1:]
		}
	}
	for _, c := range b.Changes {
		roomsUntil(c.At)
		ch := cooling.Change{AtMin: minutesBetween(b.FilledAt, c.At), AddJPerK: c.AddJPerK, AddC: c.AddC}
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
		readings = append(readings, cooling.Reading{AtMin: minutesBetween(b.FilledAt, r.At), TempC: r.TempC})
	}
	return cb, readings, true
}

// loss is what a tub loses under a cover, as handbook and learned baths have it.
type loss struct{ wPerK, sdLog, tilt float64 }

func (p Plan) lossUnder(tub Tub, volumeL float64, c cooling.Cover, midC, roomC float64) loss {
	v := tub.Vessel()
	wPerK, handbookSD := cooling.LossWPerK(v, volumeL, c, midC, roomC)
	scale, sdLog := cooling.Prior(p.heatOf(tub.ID, c), handbookSD, cooling.BetweenDaySDLog)
	return loss{wPerK * scale, sdLog, cooling.LossTilt(v, volumeL, c, midC, roomC)}
}

// at is the bath's temperature and its standard deviation, °C; NaN if unknown.
func (h heatModel) at(now time.Time) (tempC, sdC float64) {
	if !h.ok {
		return math.NaN(), math.NaN()
	}
	return h.fit.At(max(0, minutesBetween(h.filledAt, now)))
}

// crossing is when the bath came or comes down to targetC. It looks from the last
// pour that left the bath above it, not from now, so that the same bath gives the
// same answer at any time and lateness can be counted from it: neither a cover nor
// hot water that is not enough sets it back.
func (h heatModel) crossing(targetC float64) Crossing {
	if !h.ok {
		return Crossing{}
	}
	fromMin := 0.0
	for _, at := range h.pouredMin {
		if tempC, _ := h.fit.At(at); tempC > targetC {
			fromMin = at
		}
	}
	c := h.fit.Crossing(targetC, fromMin)
	return Crossing{h.clock(c.EarlyMin), h.clock(c.LikelyMin), h.clock(c.LateMin)}
}

// rise is by how much what came into the bath then has warmed it, °C.
func (h heatModel) rise(atMin float64) float64 {
	const before = 1e-6
	was, _ := h.fit.At(atMin - before)
	is, _ := h.fit.At(atMin)
	return is - was
}

// notBefore is the crossing as it lies ahead: what has passed is now.
func (c Crossing) notBefore(now time.Time) Crossing {
	for _, at := range []*time.Time{&c.Early, &c.Likely, &c.Late} {
		if !at.IsZero() && at.Before(now) {
			*at = now
		}
	}
	return c
}

func (h heatModel) clock(atMin float64) time.Time {
	const month = 31 * 24 * 60 // past that is never, and no overflow
	if !finite(atMin) || atMin > month {
		return time.Time{}
	}
	return h.filledAt.Add(minutes(atMin))
}

// TempNow is the estimated temperature of a tub's bath and its standard
// deviation, °C; ok is false when there is no water in it.
func (d Day) TempNow(tub int, now time.Time) (tempC, sdC float64, ok bool) {
	c, sd := d.heat(tub).at(now)
	return c, sd, finite(c)
}
