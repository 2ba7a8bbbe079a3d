package session

import (
	"time"

	"fleece.example/tubside/session/shed"
)

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
	MaxNameRunes  = shed.MaxName
	MaxNoteRunes  = shed.MaxNote
)

// Causes are all causes of alarms that hold at a tub.
func Causes(d Day, tub int, now time.Time) []AlarmKind { return alarmCauses(d, tub, now) }
