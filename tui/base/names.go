package base

import (
	"fmt"

	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/session/tag"
)

// PutRight is called when a name or what else describes a fleece may have changed:
// the running day and whatever has been read of others follow. No screen has to know.
func (e *Env) PutRight() {
	if !e.Live.Day.StartedAt.IsZero() && e.Record.Ready {
		e.Keeper.Rename(shed.NamesOf(e.Kit, e.Record.Fleeces, e.Record.Methods))
		e.Look()
	}
	e.Record.Rows.forget()
	e.Record.Changes++
}

// TagHow says how a tag comes to its bag: key prints it, in a place.
func (e *Env) TagHow(key, place string) string {
	if e.Rehearsal != nil {
		return "Tie a tag to its bag"
	}
	return key + place + " saves or prints tags to tie to the bags"
}

// OldTags says of a fleece's tags, behind their name, that they were printed before it
// was put right; "" if none were.
func (e *Env) OldTags(name string, f shed.Fleece) string {
	if err := e.Record.noPrinted; err != nil {
		return fmt.Sprintf("the printed tags couldn't be read: %v", err)
	}
	n, of := tag.OutOfDate(f, e.Record.printed)
	if n == 0 {
		return ""
	}
	return fmt.Sprintf("%sprinted with the old %s: %d", name, of, n)
}
