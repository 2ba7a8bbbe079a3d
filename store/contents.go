package store

import (
	"bytes"
	"encoding/json"
	"fmt"
	"slices"
	"unicode"
	"unicode/utf16"
	"unicode/utf8"

	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
)

// Contents is all that a store holds but its days. Values are the JSON that
// lies in the file, so that nothing of them is lost on the way; only the fleeces of
// a day's summary have the names as they are now.
type Contents struct {
	// The highest numbers given so far. Numbers are never given twice, so they
	// may be higher than those in use.
	LastDay, LastFleece, LastMethod uint64

	// Sure takes moments that are still to come: the clock that wrote them was wrong.
	Sure bool

	// Kit is nil if it was not saved yet. How alarms reach the person, kept beside
	// it, is left out: it is the machine's, and holds a command that is run.
	Kit     json.RawMessage
	Fleeces []json.RawMessage
	Methods []json.RawMessage
	Draft   json.RawMessage // the plan of the next day; nil if there is none
}

// DayContents is one day with its whole journal, as JSON.
type DayContents struct {
	ID      shed.DayID
	Summary json.RawMessage
	Events  []json.RawMessage // event 1 first
}

// Read hands out everything, as it stands at one moment: first head, then each
// day in order of its number. What a function is given may not be kept after it
// returns. Until Read returns, a write that has to grow the file waits.
//
// Errors: ErrDamaged (naming what is not whole; nothing is handed out then), ErrUnreadable for a value that cannot be right, ErrClosed, or what a function
// returns, as it is.
func (s *Store) Read(head func(Contents) error, day func(DayContents) error) error {
	names := s.Names()
	return s.view(func(r record) error {
		if err := r.verify(s.path); err != nil {
			return err
		}
		var c Contents
		var err error
		for part, last := range map[string]*uint64{daysPart: &c.LastDay, fleecesPart: &c.LastFleece, methodsPart: &c.LastMethod} {
			t, _, err := r.part(part)
			if err != nil {
				return unreadable(fmt.Sprintf("the part \"%s\"", part), err)
			}
			*last = t.seq
		}
		if c.Kit, err = r.get(kitPart, kitKey, "the kit"); err != nil {
			return err
		}
		if c.Fleeces, err = shelved(r, fleeceShelf); err != nil {
			return err
		}
		if c.Methods, err = shelved(r, methodShelf); err != nil {
			return err
		}
		if v, _ := r.get(metaPart, draftKey, draftName); !emptyDraft(v) {
			c.Draft = v
		}
		if err := head(c); err != nil {
			return err
		}
		var events []json.RawMessage // used again for each day
		return r.each(daysPart, false, func(k, v []byte, err error) error {
			n, ok := number(k)
			if !ok && err == nil {
				err = fmt.Errorf("it has an entry with the key %x", k)
			}
			if err != nil {
				return unreadable("the list of wash days", err)
			}
			id := shed.DayID(n)
			events = events[:0]
			_, err = r.eachEvent(id, func(n uint64, v []byte, err error) error {
				if err != nil {
					return unreadable(eventName(id, n), err)
				}
				events = append(events, v)
				return nil
			})
			if err != nil {
				return unreadableDay(id, err)
			}
			return day(DayContents{ID: id, Summary: renamed(v, names), Events: events})
		})
	})
}

// renamed is a summary with the names as they are now, byte for byte the same where
// none has changed.
func renamed(summary []byte, names shed.Names) json.RawMessage {
	var was ledger.Summary
	if json.Unmarshal(summary, &was) != nil { // what does not read is said by whoever takes it in
		return summary
	}
	now := was.Named(names)
	if slices.Equal(was.Fleeces, now.Fleeces) {
		return summary
	}
	if v, err := json.Marshal(now); err == nil {
		return v
	}
	return summary
}

// shelved lists the values of a shelf in the order of their numbers. A value
// that does not say its own number could not find its place again.
func shelved(r record, f shelf) ([]json.RawMessage, error) {
	var out []json.RawMessage
	err := r.each(f.part, false, func(k, v []byte, err error) error {
		if err == nil {
			err = f.inPlace(k, v)
		}
		if err != nil {
			n, _ := number(k)
			return unreadable(fmt.Sprintf("%s %s", f.what, f.id(n)), err)
		}
		out = append(out, v)
		return nil
	})
	return out, err
}

// inPlace says whether a value has the mark that it is kept under.
func (f shelf) inPlace(k, v []byte) error {
	n, _ := number(k)
	got, err := f.numberIn(v)
	if err == nil && got != n {
		err = fmt.Errorf("it has the mark %s", f.id(got))
	}
	return err
}

// numberIn is the number by the ID that a value has.
func (f shelf) numberIn(value []byte) (uint64, error) {
	var has struct {
		ID string `json:"id"`
	}
	if err := json.Unmarshal(value, &has); err != nil {
		return 0, err
	}
	n, ok := f.number(has.ID)
	if !ok || n == 0 {
		return 0, fmt.Errorf("\"%s\" is not the mark of a %s", measure.CleanText(has.ID, 20), f.what)
	}
	return n, nil
}

// compact is a value as the store writes it: without white space, and with
// nothing in it that a terminal might obey when it is printed as it is.
func compact(v []byte) ([]byte, error) {
	var b bytes.Buffer
	if err := json.Compact(&b, v); err != nil {
		return nil, err
	}
	out := b.Bytes()
	if !bytes.ContainsFunc(out, unprintable) {
		return out, nil
	}
	// Beyond ASCII there are only texts in JSON, and in a text every letter may
	// be written as its number.
	var safe []byte
	for len(out) > 0 {
		r, size := utf8.DecodeRune(out)
		switch {
		case !unprintable(r):
			safe = append(safe, out[:size]...)
		case r > 0xffff:
			high, low := utf16.EncodeRune(r)
			safe = fmt.Appendf(safe, `\u%04x\u%04x`, high, low)
		default:
			safe = fmt.Appendf(safe, `\u%04x`, r)
		}
		out = out[size:]
	}
	return safe, nil
}

// unprintable letters are control codes, invisible ones, and what is not UTF-8.
func unprintable(r rune) bool { return r == utf8.RuneError || !unicode.IsPrint(r) }
