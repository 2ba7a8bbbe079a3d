package store

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"strconv"
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
)

// MostCounted is the highest number of a day, a fleece or a method that Merge
// takes: a damaged file must not use up the numbers of those to come.
const MostCounted = 1 << 40

// incoming is what Merge was given, checked and compacted.
type incoming struct {
	last    map[string]uint64 // highest number by part
	kit     []byte
	draft   []byte
	noDraft error // why the one that came is left out
	shelves []shelfIn
	days    []dayIn
}

type shelfIn struct {
	shelf
	values []numbered
	alike  func(a, b []byte) bool
	newer  func(here, in []byte) ruling // of two that are not alike
	name   func(value []byte) string    // for a sentence
}

type numbered struct {
	n     uint64
	value []byte
}

type dayIn struct {
	id      uint64
	ended   bool
	summary []byte
	events  [][]byte
}

// check reads every value once, as this program would read it back. What is of a
// moment after latest, or has a figure that no form takes, is refused.
func check(c Contents, days []DayContents, latest time.Time) (in incoming, err error) {
	if most := max(c.LastDay, c.LastFleece, c.LastMethod); most > MostCounted {
		return in, unreadable("what was counted so far", fmt.Errorf("%d is too high: days, fleeces and methods count up from 1, by one each", most))
	}
	in.last = map[string]uint64{daysPart: c.LastDay, fleecesPart: c.LastFleece, methodsPart: c.LastMethod}
	if c.Kit != nil {
		if in.kit, err = readable[shed.Kit]("the kit", c.Kit, latest); err != nil {
			return in, err
		}
	}
	if c.Draft != nil { // the days do not depend on it
		in.draft, in.noDraft = readable[draftIn](draftName, c.Draft, latest.AddDate(mostAhead, 0, 0))
		if emptyDraft(in.draft) {
			in.draft = nil
		}
	}
	fleeces, err := checkShelf[shed.Fleece](fleeceShelf, c.Fleeces, in.last, latest)
	if err != nil {
		return in, err
	}
	methods, err := checkShelf[shed.Method](methodShelf, c.Methods, in.last, latest)
	if err != nil {
		return in, err
	}
	fleeces.name = func(v []byte) string {
		var f shed.Fleece
		_ = json.Unmarshal(v, &f) // a name for a sentence: none is one as well
		f = f.Clean()
		return strconv.Quote(f.Title())
	}
	methods.name = func(v []byte) string {
		var m shed.Method
		_ = json.Unmarshal(v, &m)
		return strconv.Quote(m.Clean().Name)
	}
	in.shelves = []shelfIn{fleeces, methods}
	last, open := shed.DayID(0), shed.DayID(0)
	for _, d := range days {
		if d.ID <= last || d.ID > MostCounted {
			return in, unreadable(fmt.Sprintf("wash day %d", d.ID), errors.New("days count up from 1, and each comes once, in order"))
		}
		last = d.ID
		checked, err := checkDay(d, latest)
		if err != nil {
			return in, err
		}
		if !checked.ended {
			if open != 0 {
				return in, &Error{Kind: ErrDayOpen, text: fmt.Sprintf("the wash days %d and %d have both not ended: only one can be", open, d.ID)}
			}
			open = d.ID
		}
		in.days = append(in.days, checked)
		in.raise(daysPart, uint64(d.ID))
	}
	return in, nil
}

// raise keeps the highest number given no lower than those in use.
func (in incoming) raise(part string, n uint64) {
	in.last[part] = max(in.last[part], n)
}

// mostAhead is how many years ahead a day may be planned.
const mostAhead = 1

// draftIn is a plan of the next day that came in.
type draftIn struct{ ledger.Draft }

// Validate takes whatever plan it is: whether the one that is here can be washed is not asked either.
func (draftIn) Validate() error { return nil }

// readable compacts a value that reads as a T, with nothing left out, and has no figure
// that no form takes.
func readable[T interface{ Validate() error }](what string, v []byte, latest time.Time) ([]byte, error) {
	var t T
	if err := session.Strictly(v, &t); err != nil {
		return nil, unreadable(what, cleanError{err})
	}
	if string(bytes.TrimSpace(v)) == "null" {
		return nil, unreadable(what, errors.New("there is nothing in its place"))
	}
	if err := shed.Limits.Check(t, latest); err != nil {
		return nil, unreadable(what, cleanError{err})
	}
	if err := t.Validate(); err != nil {
		return nil, unreadable(what, err)
	}
	out, err := compact(v)
	if err != nil {
		return nil, unreadable(what, cleanError{err})
	}
	return out, nil
}

// cleanError takes out of a decoder's words what they quote of a file from
// outside.
type cleanError struct{ error }

func (e cleanError) Error() string { return measure.CleanText(e.error.Error(), 200) }

func (e cleanError) Unwrap() error { return e.error }

func checkShelf[T interface{ Validate() error }](f shelf, values []json.RawMessage, last map[string]uint64, latest time.Time) (shelfIn, error) {
	out := shelfIn{shelf: f, alike: alike[T], newer: newerOf}
	seen := map[uint64]bool{}
	for i, v := range values {
		what := fmt.Sprintf("%s number %d of the list", f.what, i+1)
		value, err := readable[T](what, v, latest)
		if err != nil {
			return out, err
		}
		n, err := f.numberIn(value)
		if err != nil {
			return out, unreadable(what, err)
		}
		if n > MostCounted {
			return out, unreadable(what, fmt.Errorf("the mark %s is too high: they count up from %s, by one each", f.id(n), f.id(1)))
		}
		if seen[n] {
			return out, unreadable(what, fmt.Errorf("the mark %s comes twice", f.id(n)))
		}
		seen[n] = true
		last[f.part] = max(last[f.part], n)
		out.values = append(out.values, numbered{n, value})
	}
	return out, nil
}
