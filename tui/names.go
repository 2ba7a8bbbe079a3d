package tui

import (
	"fmt"

	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/session/tag"
)

// putRight is called when a name or what else describes a fleece may have changed:
// the running day and whatever has been read of others follow. No screen has to know.
func (e *env) putRight() {
	if !e.live.day.StartedAt.IsZero() && e.record.ready {
		e.keeper.Rename(shed.NamesOf(e.kit, e.record.fleeces, e.record.methods))
		e.look()
	}
	e.record.rows.forget()
	e.record.changes++
}

// tagHow says how the tags of some bags are printed. The record is open in this window,
// and the command cannot have it until it is closed.
func (e *env) tagHow(which string) string {
	if e.Rehearsal != nil {
		return "Tie a tag to its bag"
	}
	return "For tags to tie to the bags close tubside, then type: tubside tags " + which
}

// oldTags says of a fleece's tags, behind their name, that they were printed before it
// was put right; "" if none were.
func (e *env) oldTags(name string, f shed.Fleece) string {
	if err := e.record.noPrinted; err != nil {
		return fmt.Sprintf("the printed tags could not be read: %v", err)
	}
	n, of := tag.OutOfDate(f, e.record.printed)
	if n == 0 {
		return ""
	}
	return fmt.Sprintf("%sprinted with the old %s: %d", name, of, n)
}
