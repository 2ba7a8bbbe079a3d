package session

import (
	"iter"
)

// FindAlarm is the index of the standing alarm of that kind and tub, or -1.
func (d *Day) FindAlarm(k AlarmKind, tub int) int {
	for i, a := range d.Alarms {
		if a.Kind == k && a.Tub == tub {
			return i
		}
	}
	return -1
}

// EveryAlarm are the alarms of a day, past and standing, in no order. What only a reading raised
// that was taken back is left out: it never was.
func (d *Day) EveryAlarm() iter.Seq2[int, Alarm] {
	return func(yield func(int, Alarm) bool) {
		n := 0
		for _, all := range [][]Alarm{d.AlarmLog, d.Alarms} {
			for i := range all {
				if all[i].TakenBack {
					continue
				}
				if !yield(n, all[i]) {
					return
				}
				n++
			}
		}
	}
}

// Loudest is the most urgent standing alarm: unanswered before answered, then
// by priority, then by kind, then the oldest.
func (d Day) Loudest() (Alarm, bool) { return d.loudest(func(Alarm) bool { return true }) }

// Pressing is Loudest of those that are not aside: what takes the screen over.
func (d Day) Pressing() (Alarm, bool) { return d.loudest(func(a Alarm) bool { return !a.Aside() }) }

func (d *Day) loudest(of func(Alarm) bool) (best Alarm, ok bool) {
	for _, a := range d.Alarms {
		if a.Stands() && of(a) && (!ok || Louder(a, best)) {
			best, ok = a, true
		}
	}
	return best, ok
}

// Standing is how many alarms stand, calls left out.
func (d *Day) Standing() (n int) {
	for _, a := range d.Alarms {
		if a.Stands() && !a.Call() {
			n++
		}
	}
	return n
}
