package store

import (
	"errors"
	"fmt"
	"io/fs"
	"os"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/shed"
)

// Kinds of error, for errors.Is. The text of each error that has one of these
// kinds is a sentence for the person.
var (
	// ErrInUse: another window has the file open.
	ErrInUse = errors.New("in use")
	// ErrNotWritable: file or folder may not be written, or not be reached.
	ErrNotWritable = errors.New("not writable")
	// ErrDamaged: not a tubside file, or one that has come to harm. It is
	// never written to.
	ErrDamaged = errors.New("damaged or not a tubside file")
	// ErrNewer: written by a later version of the program.
	ErrNewer = errors.New("written by a newer version")
	// ErrClosed: used after Close.
	ErrClosed = errors.New("closed")
	// ErrSave: the disk did not take a write; nothing half written is in the
	// file, and the same write may be tried again.
	ErrSave = errors.New("not saved")
	// ErrDayOpen: another day has not ended.
	ErrDayOpen = errors.New("a day is open")
	// ErrOrder: events do not go on where the journal ends.
	ErrOrder = errors.New("events out of order")
	// ErrUnknown: no such day, fleece or method.
	ErrUnknown = errors.New("unknown")
	// ErrBuiltIn: the built-in method is neither saved nor deleted.
	ErrBuiltIn = errors.New("built-in method")
	// ErrWashed: a fleece that a wash day uses is not deleted.
	ErrWashed = errors.New("part of a wash day")
	// ErrUnreadable: a single value does not read; the rest may be sound.
	ErrUnreadable = errors.New("unreadable value")
)

// Error is an error with a sentence for the person. errors.Is finds its Kind
// and what caused it.
type Error struct {
	Kind error  // one of the Err… values above
	Why  string // of ErrDamaged: what is wrong, a clause about the file

	text  string
	cause error
}

// Error is the sentence for the person, with what to do next.
func (e *Error) Error() string { return e.text }

// Unwrap returns the kind and, if there is one, the cause.
func (e *Error) Unwrap() []error {
	if e.cause == nil {
		return []error{e.Kind}
	}
	return []error{e.Kind, e.cause}
}

func inUse(path string, cause error) error {
	return &Error{Kind: ErrInUse, cause: cause,
		text: fmt.Sprintf("tubside already runs in another window with %s: go on there, or close it first", path)}
}

func notWritable(path string, cause error) error {
	return &Error{Kind: ErrNotWritable, cause: cause,
		text: fmt.Sprintf("%s cannot be opened for writing (%s): check who owns it and whether the disk takes writes, or choose another place", path, reason(cause))}
}

func notReadable(path string, cause error) error {
	return &Error{Kind: ErrNotWritable, cause: cause,
		text: fmt.Sprintf("%s cannot be read (%s)", path, reason(cause))}
}

// damaged says what is wrong in why, a clause about the file.
func damaged(path, why string, cause error) error {
	return &Error{Kind: ErrDamaged, Why: why, cause: cause,
		text: fmt.Sprintf("%s is damaged or is not a tubside file: %s. It was left as it is: `tubside restore` shows the copies and puts one in its place, or move it away to begin anew", path, why)}
}

func newer(path string, has, known uint64) error {
	return &Error{Kind: ErrNewer,
		text: fmt.Sprintf("%s was written by a newer tubside (its layout is number %d, this program knows up to %d): start the newer one. The file was left as it is", path, has, known)}
}

func saveError(path string, cause error) error {
	return &Error{Kind: ErrSave, cause: cause,
		text: fmt.Sprintf("can't write %s (%s): make room on the disk or check that it takes writes, then it is tried again. What was saved before is safe", path, reason(cause))}
}

func dayOpen(id shed.DayID) error {
	return &Error{Kind: ErrDayOpen,
		text: fmt.Sprintf("wash day %d has not ended: end it first", id)}
}

func outOfOrder(id shed.DayID, want, got uint64) error {
	return &Error{Kind: ErrOrder,
		text: fmt.Sprintf("the journal of wash day %d goes on with event %d, but event %d came: nothing was saved", id, want, got)}
}

func (s *Store) unknown(what string) error {
	return &Error{Kind: ErrUnknown, text: fmt.Sprintf("there is no %s in %s", what, s.path)}
}

// unreadable names the value that does not read, or says that a newer version wrote it.
func unreadable(what string, cause error) error {
	if errors.Is(cause, session.ErrUnknown) {
		return &Error{Kind: ErrUnreadable, cause: errors.Join(ErrNewer, cause), text: fmt.Sprintf("%s was written by a newer tubside (%v): use that one, or a newer", what, cause)}
	}
	return &Error{Kind: ErrUnreadable, cause: cause, text: fmt.Sprintf("%s cannot be read: %v", what, cause)}
}

// reason is the innermost cause in the system's words, without the call and
// the path that the sentence around it already has.
func reason(err error) string {
	var p *fs.PathError
	if errors.As(err, &p) {
		return p.Err.Error()
	}
	var l *os.LinkError
	if errors.As(err, &l) {
		return l.Err.Error()
	}
	return err.Error()
}
