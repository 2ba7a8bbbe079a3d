package store

import (
	"encoding/json"
	"fmt"
	"time"

	"fleece.example/tubside/session/compare"
	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/shed"
)

// TakeCards takes earlier washes in from their cards, with the fleeces that are new, in one
// transaction or not at all: of cards with a bad one nothing is kept. Wrong is what is known to
// be wrong with them, usual the kit where none is saved yet. Dry, nothing is written.
//
// Errors: those of Merge; Taken has the bad cards.
func (s *Store) TakeCards(cards []ledger.Card, wrong []ledger.CardError, usual shed.Kit, zone *time.Location, now time.Time, sure, dry bool) (ledger.Taken, error) {
	shelf := ledger.Shelf{Kit: usual, Zone: zone}
	kit, ok, err := s.Kit()
	if err != nil {
		return ledger.Taken{}, err
	}
	if ok {
		shelf.Kit = kit
	}
	if shelf.Fleeces, err = s.Fleeces(); err == nil {
		shelf.Methods, err = s.Methods()
	}
	if err == nil {
		shelf.Days, err = s.Days(0)
	}
	if err == nil {
		err = ledger.FillRows(s, shelf.Days)
	}
	if err == nil {
		err = s.view(func(r record) error {
			for part, last := range map[string]*uint64{daysPart: &shelf.LastDay, fleecesPart: &shelf.LastFleece} {
				t, _, err := r.part(part)
				if err != nil {
					return unreadable(fmt.Sprintf("the part \"%s\"", part), err)
				}
				*last = t.seq
			}
			return nil
		})
	}
	if err != nil {
		return ledger.Taken{}, err
	}
	taken := shelf.Take(cards, wrong, now, sure)
	if len(taken.Bad) > 0 || len(taken.Days) == 0 {
		return taken, nil
	}
	var c Contents
	for _, f := range taken.Fleeces {
		f.MadeAt, f.ChangedAt = now, now
		v, err := json.Marshal(f.Clean())
		if err != nil {
			return taken, fmt.Errorf("write fleece %s: %w", f.ID, err)
		}
		c.Fleeces = append(c.Fleeces, v)
	}
	var days []DayContents
	for _, d := range taken.Days {
		values, line, err := encode(d.ID, d.Events, compare.Summarise(d.ID, d.Day))
		if err != nil {
			return taken, err
		}
		day := DayContents{ID: d.ID, Summary: line}
		for _, v := range values {
			day.Events = append(day.Events, v)
		}
		days = append(days, day)
	}
	_, err = s.Merge(c, days, dry)
	return taken, err
}
