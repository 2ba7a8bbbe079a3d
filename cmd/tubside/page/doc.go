// Package page writes the look back at a day to take along: one HTML file with tables and
// plots, without script or network, or the same as JSON.
package page

import (
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/lookback"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
)

// Look is a look back at a day, finished or not, in a person's units and zone.
type Look struct {
	ID     shed.DayID
	Day    session.Day
	Advice []lookback.Advice // what it and those before it speak for
	Units  measure.System
	Zone   *time.Location
	Now    time.Time // up to when it goes, of a day that runs
}

func (l Look) words() lookback.Words {
	return lookback.Words{Units: l.Units, Zone: l.Zone, Began: &l.Day.StartedAt}
}

func (l *Look) review() ledger.Review { return ledger.ReviewOf(l.Day) }
