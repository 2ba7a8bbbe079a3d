package session

import (
	"errors"
	"fmt"
	"math"
	"reflect"
	"time"
)

// ErrNoNumber is wrapped where a command is refused because its event has a figure that
// is not finite.
var ErrNoNumber = errors.New("no number")

// Do carries out a person's command: Decide, then what that does to the
// alarms, applied in order. The records are what has to be saved; the day is
// the state with them. On a refusal the day is unchanged and nothing is to save.
// now is kept in UTC without a monotonic part.
func Do(d Day, c Command, now time.Time) (Day, []Recorded, error) {
	if _, set := c.(SetClock); set {
		now = now.Round(0).UTC() // it may well be earlier than what came before
	} else {
		now = d.settle(now)
	}
	events, err := Decide(d, c, now)
	if err != nil {
		return d, nil, err
	}
	for _, e := range events {
		if !finiteAll(reflect.ValueOf(e)) { // cannot be written down, and would hold up all after it
			return d, nil, refusal{fmt.Sprintf("%s can't be saved: one of its figures isn't a number. Check the kit's and the method's figures", KindOf(e)), ErrNoNumber}
		}
	}
	if _, back := c.(ResumeWatch); back && now.Equal(d.LastAt) { // its clock is behind: what was told before is before all the same
		now = now.Add(1)
	}
	d, recs := record(d, events, now)
	_, away := c.(TakeBreak) // puts calls off, which is no deed
	d, more := record(d, evaluate(d, now, !away), now)
	return d, append(recs, more...), nil
}

// After is the day as it would be after a deed, its alarms aside.
func (d Day) After(c DoNext, now time.Time) (Day, error) {
	events, err := decideNext(d, c, now)
	if err != nil {
		return d, err
	}
	d, _ = record(d, events, now)
	return d, nil
}

// Tick lets time pass: what Evaluate finds at now, applied in order.
func Tick(d Day, now time.Time) (Day, []Recorded) {
	now = d.settle(now)
	return record(d, Evaluate(d, now), now)
}

// settle keeps the journal in order when the clock has been set back: an event
// is never earlier than the one before it.
func (d *Day) settle(now time.Time) time.Time {
	now = now.Round(0).UTC()
	if now.Before(d.LastAt) {
		return d.LastAt
	}
	return now
}

func record(d Day, events []Event, now time.Time) (Day, []Recorded) {
	var recs []Recorded
	for _, e := range events {
		r := Recorded{Seq: d.LastSeq + 1, At: now, Event: e}
		d = Apply(d, r)
		recs = append(recs, r)
	}
	return d, recs
}

// finiteAll says that every figure in v is a number.
func finiteAll(v reflect.Value) bool {
	switch v.Kind() {
	case reflect.Float64:
		return !math.IsNaN(v.Float()) && !math.IsInf(v.Float(), 0)
	case reflect.Struct:
		for i := range v.NumField() {
			if !finiteAll(v.Field(i)) {
				return false
			}
		}
	case reflect.Slice:
		for i := range v.Len() {
			if !finiteAll(v.Index(i)) {
				return false
			}
		}
	default: // no other kind holds a figure here
	}
	return true
}
