package store

import (
	"errors"
	"fmt"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/shed"
)

// namesRead are the names as one transaction found them.
type namesRead struct {
	txid  int
	names shed.Names
}

// Names are the names that the ledger has now. They are read once for each change of
// the file: a table of all days asks for them a thousand times.
func (s *Store) Names() shed.Names {
	txid := 0
	if err := s.view(func(r record) error { txid = r.txid; return nil }); err != nil {
		return shed.Names{}
	}
	if last := s.names.Load(); last != nil && last.txid == txid {
		return last.names
	}
	n := ledger.NamesIn(s)
	s.names.Store(&namesRead{txid, n})
	return n
}

// Day is the day that its journal tells, with the names as they are now: the one
// place where a day that was washed under an older name learns of it.
//
// Errors: those of Events, and ErrUnreadable for a day without one.
func (s *Store) Day(id shed.DayID) (session.Day, error) {
	recs, err := s.Events(id)
	if err != nil {
		return session.Day{}, err
	}
	if len(recs) == 0 {
		return session.Day{}, unreadable(fmt.Sprintf("wash day %d", id), errors.New("it has no events"))
	}
	return session.Replay(recs).Named(s.Names()), nil
}
