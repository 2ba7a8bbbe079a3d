package session

import "time"

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
