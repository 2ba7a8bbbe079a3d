// Package tui is the face: screens, keys, layout. It takes a journal, a
// ledger, a bell and a clock as interfaces and never reads the time, a file or
// a sound device by itself.
package tui

import (
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/tui/theme"
)

// Clock says what time it is; the only source of time of the screens.
type Clock interface{ Now() time.Time }

// Bell makes an alarm heard. Ring must not block.
type Bell interface{ Ring(session.Priority) }

// Hands is an invented person who acts in a rehearsal: what they do at now.
// The commands go the way of the keys.
type Hands interface {
	Act(d session.Day, now time.Time) []session.Command
}

// Deps is all the screens need from outside.
type Deps struct {
	Journal session.Journal
	Ledger  session.Ledger
	Bell    Bell
	// Outside, if not nil, brings alarms to a person who is not looking.
	Outside Outside
	// Elapsed, if not nil, is time that nobody can set and that goes on while the
	// machine sleeps: it tells a clock that was set from time that has passed.
	Elapsed func() time.Duration
	Clock   Clock
	Theme   theme.Theme
	// TickEvery is how often the screen looks at the clock; 0 is every second.
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
	// Told, if not nil, says what happened to the file of the record since it was
	// last asked, "" if nothing did, and where it is now.
	Told func() (told, where string)
	// Rehearsal, if not nil, starts this plan at once in a throw-away store;
	// Hands acts in it, nil leaves the keys to the person. Every screen says
	// that the day is invented.
	Rehearsal *session.Plan
	Hands     Hands
}
