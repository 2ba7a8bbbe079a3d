// Package lifecycle is the life of one alarm, as the standard for alarm
// management has it (ISA-18.2, IEC 62682): a state machine without a clock. It
// knows nothing of what the alarm is about.
package lifecycle

import (
	"fmt"
	"time"
)

// State is where an alarm is in its life.
type State int

// The states of the standard. Suppressed by design is left out: nothing here
// is suppressed but by a person.
const (
	Normal         State = iota
	Unacknowledged       // the cause holds, nobody has answered
	Acknowledged         // the cause holds, somebody has answered
	Returned             // the cause is gone, and nobody had answered
	Shelved              // a person has put it off for a limited time, with a reason
	OutOfService         // a person has taken it out for the day
)

var stateWords = [...]string{"normal", "unacknowledged", "acknowledged", "returned unacknowledged", "shelved", "out of service"}

func (s State) String() string {
	if s < 0 || int(s) >= len(stateWords) {
		return fmt.Sprintf("state %d", int(s))
	}
	return stateWords[s]
}

// Input is what happens to an alarm.
type Input int

// The inputs.
const (
	Arise       Input = iota // the cause begins to hold
	Clear                    // the cause has gone
	Acknowledge              // somebody answers
	ComeBack                 // answered and not acted on for too long
	Shelve                   // put off; needs a time and a reason
	Unshelve                 // taken back, or its time is over
	Withdraw                 // taken out of service
	Restore                  // put back into service
)

var inputWords = [...]string{"arise", "clear", "acknowledge", "come back", "shelve", "unshelve", "withdraw", "restore"}

func (in Input) String() string {
	if in < 0 || int(in) >= len(inputWords) {
		return fmt.Sprintf("input %d", int(in))
	}
	return inputWords[in]
}

// Reason says what a transition means, or why there is none.
type Reason int

// The reasons.
const (
	Raised         Reason = iota // it rings
	Heard                        // it is answered
	RangAgain                    // it rings again: nobody has acted
	WentAway                     // the cause went after the answer
	WentUnheard                  // the cause went before anybody answered
	HeardAfterward               // answered when the cause had gone
	PutOff                       // shelved
	PutOffOver                   // the shelf time is over, and the cause holds: it rings
	PutOffQuiet                  // the shelf time is over, and nothing holds
	TakenOut                     // out of service
	PutBack                      // back in service, and the cause holds: it rings
	PutBackQuiet                 // back in service, and nothing holds
	Noted                        // the cause changed while it may not ring
	Refused                      // nothing to do here
)

var reasonWords = [...]string{"raised", "heard", "rang again", "went away", "went unheard", "heard afterwards", "put off", "put off no longer",
	"put off, and gone", "taken out of service", "back in service", "back in service, and gone", "noted", "refused"}

func (r Reason) String() string {
	if r < 0 || int(r) >= len(reasonWords) {
		return fmt.Sprintf("reason %d", int(r))
	}
	return reasonWords[r]
}

// Alarm is one alarm's place in its life. The zero Alarm is normal.
type Alarm struct {
	State State
	// Holds says that the cause holds; it is kept while shelved and out of service.
	Holds bool
	// Until and Why are of a shelved one.
	Until time.Time
	Why   string
}

// Rings says that it calls for the person.
func (a Alarm) Rings() bool { return a.State == Unacknowledged }

// Listed says that the person has something to see: it stands, or it stood and
// nobody answered, or it is put off.
func (a Alarm) Listed() bool { return a.State != Normal }

// ShelfOver says that a shelved alarm's time is over at now.
func (a Alarm) ShelfOver(now time.Time) bool {
	return a.State == Shelved && !now.Before(a.Until)
}

// Next is what an input makes of an alarm. An input that means nothing in a
// state is Refused and changes nothing; a shelving needs a time and a reason.
func (a Alarm) Next(in Input, until time.Time, why string) (Alarm, Reason) {
	switch in {
	case Arise:
		return a.arise()
	case Clear:
		return a.clear()
	case Acknowledge:
		return a.acknowledge()
	case ComeBack:
		if a.State == Acknowledged {
			a.State = Unacknowledged
			return a, RangAgain
		}
	case Shelve:
		if a.State != Shelved && a.State != OutOfService && !until.IsZero() && why != "" {
			a.State, a.Until, a.Why = Shelved, until, why
			return a, PutOff
		}
	case Unshelve:
		if a.State == Shelved {
			return a.released(PutOffOver, PutOffQuiet)
		}
	case Withdraw:
		if a.State != OutOfService {
			a.State, a.Until, a.Why = OutOfService, time.Time{}, ""
			return a, TakenOut
		}
	case Restore:
		if a.State == OutOfService {
			return a.released(PutBack, PutBackQuiet)
		}
	}
	return a, Refused
}

func (a Alarm) arise() (Alarm, Reason) {
	if a.Holds {
		return a, Refused
	}
	a.Holds = true
	switch a.State {
	case Shelved, OutOfService:
		return a, Noted
	case Normal, Returned, Unacknowledged, Acknowledged:
	}
	a.State = Unacknowledged
	return a, Raised
}

func (a Alarm) clear() (Alarm, Reason) {
	if !a.Holds {
		return a, Refused
	}
	a.Holds = false
	switch a.State {
	case Unacknowledged:
		a.State = Returned
		return a, WentUnheard
	case Acknowledged:
		a.State = Normal
		return a, WentAway
	case Normal, Returned, Shelved, OutOfService:
	}
	return a, Noted
}

func (a Alarm) acknowledge() (Alarm, Reason) {
	switch a.State {
	case Unacknowledged:
		a.State = Acknowledged
		return a, Heard
	case Returned:
		a.State = Normal
		return a, HeardAfterward
	case Normal, Acknowledged, Shelved, OutOfService:
	}
	return a, Refused
}

// released is an alarm that may ring again.
func (a Alarm) released(holds, gone Reason) (Alarm, Reason) {
	a.Until, a.Why = time.Time{}, ""
	if a.Holds {
		a.State = Unacknowledged
		return a, holds
	}
	a.State = Normal
	return a, gone
}
