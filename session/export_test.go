package session

import (
	"strings"
	"time"
)

// WithoutUndo is the day without what undo could take back.
func (d Day) WithoutUndo() Day {
	d.undo = nil
	return d
}

// UndoDepth is how many of the person's events could be taken back in a row.
func (d Day) UndoDepth() int {
	n := 0
	for u := d.undo; u != nil; u = u.before.undo {
		n++
	}
	return n
}

// Numbers the tests hold the program to.
const (
	UndoDepthKept = undoDepth
	MaxNameRunes  = maxName
	MaxNoteRunes  = maxNote
)

// BoilMin shows how long a kit's kettle takes, min.
func (k Kit) BoilMin(litres float64) float64 { return k.boilMin(litres) }

// Causes are all causes of alarms that hold at a tub.
func Causes(d Day, tub int, now time.Time) []AlarmKind { return alarmCauses(d, tub, now) }

// PourLitres is the volume that a text gives after some words, L.
func PourLitres(text, words string, k Kit) float64 {
	_, text, _ = strings.Cut(text, words)
	for l := 0.05; l < 40; l += 0.05 / 64 {
		if rest, ok := strings.CutPrefix(text, k.Units.Pour(l, k.JugL)); ok && strings.ContainsAny(rest[:1], " ;,") {
			return l
		}
	}
	return 0
}

// Release is when the bath of a tub comes down to its release temperature.
func Release(d Day, tub int) Crossing { return d.release(tub, d.heat(tub)) }

// HotLeftL is the hot water's worth in the tank, L.
func HotLeftL(d Day, now time.Time) float64 { return d.hotLeftL(now) }
