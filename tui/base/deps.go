package base

import (
	"io"
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/tui/keep"
	"fleece.example/tubside/tui/theme"
)

// Deps is all the screens need from outside.
type Deps struct {
	Journal ledger.Journal
	Ledger  ledger.Ledger
	Bell    keep.Bell
	// Outside, if not nil, brings alarms to a person who is not looking.
	Outside keep.Outside
	// Elapsed, if not nil, is time that nobody can set and that goes on while the
	// machine sleeps: it tells a clock that was set from time that has passed.
	Elapsed func() time.Duration
	Clock   keep.Clock
	Theme   theme.Theme
	// TickEvery is how often the clock is looked at; 0 is every second.
	TickEvery time.Duration
	// Pace is how many times faster than real time Clock runs; 0 is 1. What the
	// person's hand needs time for is measured in real time.
	Pace float64
	// Local is the zone times are shown in; nil is time.Local.
	Local *time.Location
	// FirstUnits are proposed at the first start.
	FirstUnits measure.System
	// Where says where the day is kept, for the screens' words.
	Where string
	// Exposed says in a sentence that others may change the record; "" if not.
	Exposed string
	// Copies says in a sentence where copies of the record are made; "" if none are.
	Copies string
	// Told, if not nil, says what happened to the file of the record or its copies since it was
	// last asked, "" if nothing did, and where it is now.
	Told func() (told, where string)
	// Along, if not nil, writes what is taken along.
	Along Along
	// Rehearsal, if not nil, starts this plan at once in a throw-away store;
	// Hands acts in it, nil leaves the keys to the person. Every screen says
	// that the day is invented.
	Rehearsal *shed.Plan
	Hands     keep.Hands
	// Rescue, if not nil, is deferred in every goroutine of the day's keeper.
	Rescue func()
}

// Warning is the error of what was written all the same, but not quite as it was given.
type Warning string

func (w Warning) Error() string { return string(w) }

// Along writes what a person takes along, into new files or on the system's printer. Its
// methods are called from several goroutines; their errors are sentences.
type Along interface {
	// Place proposes where a file of that name goes.
	Place(name string) string
	// Ready is the path meant by what was typed; its error says what would be right.
	Ready(typed string) (path string, err error)
	// File makes a new file of what write writes, whole or not at all; one that is there
	// already is refused.
	File(path string, write func(io.Writer) error) error
	// Printer says that the system has a print service; Print gives it text or PDF.
	Printer() bool
	Print(name string, write func(io.Writer) error) error
	// Page writes the look back at a day as one page of HTML, DayTags the tags of its bags:
	// printed is called once they are on paper or in their file.
	Page(w io.Writer, id shed.DayID, d session.Day, u measure.System) error
	DayTags(w io.Writer, id shed.DayID, d session.Day, u measure.System) (printed func() error, err error)
	// Card writes one page about a fleece, by its mark, and FleeceTags the tags of its bags of
	// all days, both as PDF.
	Card(w io.Writer, fleece string, u measure.System) error
	FleeceTags(w io.Writer, fleece string, u measure.System) (printed func() error, err error)
}
