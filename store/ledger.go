package store

import (
	"encoding/json"
	"fmt"
	"slices"
	"strconv"
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/shed"
)

// shelf is a bucket of the ledger whose values have IDs made of a letter and
// the number they are kept under: "f1", "f2", "m1".
type shelf struct {
	part   string
	letter string
	what   string // for sentences
}

var (
	fleeceShelf = shelf{fleecesPart, "f", "fleece"}
	methodShelf = shelf{methodsPart, "m", "method"}
)

func (f shelf) id(n uint64) string { return f.letter + strconv.FormatUint(n, 10) }

// number reads an ID that the shelf has given; ok is false for any other.
func (f shelf) number(id string) (n uint64, ok bool) {
	if len(id) < 2 || id[:1] != f.letter {
		return 0, false
	}
	n, err := strconv.ParseUint(id[1:], 10, 64)
	return n, err == nil && f.id(n) == id // f01 is not f1
}

// Kit returns the saved kit; ok is false before the first SaveKit. One that does not
// read is set aside, for that of the newest day.
//
// Errors: ErrClosed, ErrDamaged.
func (s *Store) Kit() (k shed.Kit, ok bool, err error) {
	err = s.view(func(r record) error {
		if k, ok, err = r.kit(); err == nil {
			return nil
		}
		var of shed.DayID
		if k, of = r.lastKit(); of == 0 {
			s.setAside("the kit")
			return nil
		}
		ok = true
		s.setAside(fmt.Sprintf("the kit (that of wash day %d is in its place)", of))
		return nil
	})
	if err != nil {
		return shed.Kit{}, false, err
	}
	return k, ok, nil
}

func (r record) kit() (k shed.Kit, ok bool, err error) {
	v, err := r.get(kitPart, kitKey, "the kit")
	if err != nil || v == nil {
		return k, false, err
	}
	if err := json.Unmarshal(v, &k); err != nil {
		return shed.Kit{}, false, unreadable("the kit", err)
	}
	return k.Clean(), true, nil
}

// SaveKit stores the kit, with its texts cleaned, in place of the last one.
//
// Errors: ErrSave, ErrClosed, ErrDamaged, or a figure that cannot be written.
func (s *Store) SaveKit(k shed.Kit) error {
	v, err := json.Marshal(k.Clean())
	if err != nil {
		return fmt.Errorf("write kit: %w", err)
	}
	return s.putIn(kitPart, kitKey, v)
}

// AlarmSettings returns how alarms reach the person; the zero value before the
// first SaveAlarmSettings. Those that do not read are set aside.
//
// Errors: ErrClosed, ErrDamaged.
func (s *Store) AlarmSettings() (a session.AlarmSettings, err error) {
	err = s.view(func(r record) error {
		var err error
		if a, err = r.alarms(); err != nil {
			s.setAside("how alarms reach you")
		}
		return nil
	})
	return a, err
}

func (r record) alarms() (a session.AlarmSettings, err error) {
	v, err := r.get(kitPart, alarmsKey, "how alarms reach you")
	if err == nil && v != nil {
		err = json.Unmarshal(v, &a)
	}
	if err != nil || a.Validate() != nil { // what no screen wrote is not run
		return session.AlarmSettings{}, err
	}
	return a, nil
}

// SaveAlarmSettings stores them in place of the last ones.
//
// Errors: ErrSave, ErrClosed, ErrDamaged, or settings that cannot be right.
func (s *Store) SaveAlarmSettings(a session.AlarmSettings) error {
	if err := a.Validate(); err != nil {
		return err
	}
	v, err := json.Marshal(a)
	if err != nil {
		return fmt.Errorf("write alarm settings: %w", err)
	}
	return s.putIn(kitPart, alarmsKey, v)
}

// putIn stores one value.
func (s *Store) putIn(part string, k, v []byte) error {
	return s.update(func(c *change) error {
		p, err := c.part(part)
		if err != nil {
			return err
		}
		return p.put(k, v)
	})
}

// Fleeces lists all fleeces, the one entered last first, but for those that were joined to
// another. One that does not read is set aside.
//
// Errors: ErrClosed, ErrDamaged.
func (s *Store) Fleeces() ([]shed.Fleece, error) {
	out, err := list[shed.Fleece](s, fleeceShelf)
	slices.Reverse(out)
	return shed.Unjoined(out), err
}

// SaveFleece stores a fleece and returns it with its texts cleaned and with its
// ID; an empty ID makes a new one.
//
// Errors: ErrUnknown for an ID that is not in the ledger, ErrSave, ErrClosed,
// ErrDamaged, or a figure that cannot be written.
func (s *Store) SaveFleece(f shed.Fleece) (shed.Fleece, error) {
	f = f.Clean()
	err := s.put(fleeceShelf, &f.ID, &f.ChangedAt, &f)
	return f, err
}

// Methods lists the person's own methods, the oldest first, so that a menu
// keeps its order when one is added. One that does not read is set aside.
//
// Errors: ErrClosed, ErrDamaged.
func (s *Store) Methods() ([]shed.Method, error) {
	return list[shed.Method](s, methodShelf)
}

// SaveMethod stores a method and returns it with its texts cleaned and with its
// ID; an empty ID makes a new one.
//
// Errors: ErrBuiltIn, ErrUnknown for an ID that is not in the ledger, ErrSave,
// ErrClosed, ErrDamaged, or a figure that cannot be written.
func (s *Store) SaveMethod(m shed.Method) (shed.Method, error) {
	m = m.Clean()
	if m.ID == shed.BuiltInMethodID {
		return m, &Error{Kind: ErrBuiltIn,
			text: "the built-in method stays as it is: save a copy under a name of your own"}
	}
	err := s.put(methodShelf, &m.ID, &m.ChangedAt, &m)
	return m, err
}

// DeleteMethod removes one of the person's own methods.
//
// Errors: ErrBuiltIn, ErrUnknown, ErrSave, ErrClosed, ErrDamaged.
func (s *Store) DeleteMethod(id string) error {
	if id == shed.BuiltInMethodID {
		return &Error{Kind: ErrBuiltIn, text: "the built-in method cannot be deleted: only your own can"}
	}
	return s.update(func(c *change) error {
		b, err := c.part(methodsPart)
		if err != nil {
			return err
		}
		n, ok := methodShelf.number(id)
		if !ok || !b.has(key(n)) {
			return s.unknown(fmt.Sprintf("method \"%s\"", id))
		}
		return b.delete(key(n))
	})
}

// put stores value, whose ID field is id, on the shelf. An empty ID is set to
// the shelf's next one; on an error it is as it was before. The moment changed is made
// later than that of what stood there: where the clock was set back in between, an
// old copy that is merged would be taken for the newer.
func (s *Store) put(f shelf, id *string, changed *time.Time, value any) error {
	before := *id
	err := s.update(func(c *change) error {
		b, err := c.part(f.part)
		if err != nil {
			return err
		}
		n, ok := f.number(before)
		switch {
		case before == "":
			if n, err = b.next(); err != nil {
				return fmt.Errorf("number of the %s: %w", f.what, err)
			}
			if n == 0 || b.has(key(n)) {
				return s.notFree(f.what, f.id(n))
			}
			*id = f.id(n)
		case !ok || !b.has(key(n)):
			return s.unknown(fmt.Sprintf("%s \"%s\"", f.what, before))
		}
		var was struct {
			ChangedAt time.Time `json:"changed_at"`
		}
		// What stood there and does not read is no reason not to replace it.
		stood, _ := b.get(key(n))
		if json.Unmarshal(stood, &was) == nil && !changed.IsZero() && !changed.After(was.ChangedAt) {
			*changed = was.ChangedAt.Add(time.Millisecond)
		}
		v, err := json.Marshal(value)
		if err != nil {
			return fmt.Errorf("write %s \"%s\": %w", f.what, *id, err)
		}
		return b.put(key(n), v)
	})
	if err != nil {
		*id = before
	}
	return err
}

// notFree refuses to write over what has that mark already: the count of a file
// that was changed from outside may have gone wrong.
func (s *Store) notFree(what, mark string) error {
	return &Error{Kind: ErrUnreadable,
		text: fmt.Sprintf("no new %s can be kept: by the count in %s its mark would be %s, which is not free: `tubside restore` shows the copies and puts one in its place", what, s.path, mark)}
}

// list reads all values of a shelf in the order of their numbers. Texts are
// cleaned: a file that was restored or carried over may hold what a terminal
// would obey.
func list[T interface{ Clean() T }](s *Store, f shelf) ([]T, error) {
	var out []T
	err := s.view(func(r record) error {
		return r.each(f.part, false, func(k, v []byte, err error) error {
			var value T
			if err == nil {
				err = json.Unmarshal(v, &value)
			}
			if n, ok := number(k); err == nil {
				out = append(out, value.Clean())
			} else if ok {
				s.setAside(fmt.Sprintf("%s %s", f.what, f.id(n)))
			} else {
				s.setAside(fmt.Sprintf("one %s or more", f.what))
			}
			return nil
		})
	})
	if err != nil {
		return nil, err
	}
	return out, nil
}
