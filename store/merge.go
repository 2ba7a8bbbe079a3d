package store

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/shed"
)

// ErrConflict is what came in when it says something else than what is here.
var ErrConflict = errors.New("two records differ")

// Tally counts what a merge found of one kind.
type Tally struct {
	New    int // not here: to be added
	Longer int // a day here, with more events in what came in: to be gone on with
	Newer  int // put right in what came in, later than here: to be taken over
	Same   int // here already
	Stays  int // another than came in, and it stays
}

// Merged says what a merge has done, or would do.
type Merged struct {
	Kit, Fleeces, Methods, Days Tally
	Draft                       Tally // the plan of the next day; Stays: another one that is here
	NoDraft                     error // why the plan that came in is left out
	Events                      int   // added
	// Conflicts are sentences, one for each record that differs. With any of
	// them nothing is changed.
	Conflicts  []string
	KitDiffers bool // one of them is about the kit
}

// Changes says whether anything is to be added.
func (m Merged) Changes() bool {
	for _, t := range []Tally{m.Kit, m.Fleeces, m.Methods, m.Days, m.Draft} {
		if t.New+t.Longer+t.Newer > 0 {
			return true
		}
	}
	return false
}

// Merge adds what another store had, in one transaction or not at all. What is
// here already is left alone; a day of which this store has only the beginning
// goes on; of a fleece, a method or a name in the kit that was put right the newer
// stands. With dry set nothing is written.
//
// Values are checked and kept as they came but for white space, which the store
// never has. Texts are cleaned when they are read, as always.
//
// Errors: ErrConflict when records differ (Merged has the sentences),
// ErrUnreadable for a value that this version cannot read or that no form takes, ErrNewer
// for one with more in it than this version knows (the plan of the next day is left out then), ErrOrder, ErrDayOpen
// for a second day that has not ended, ErrSave, ErrClosed, ErrDamaged.
func (s *Store) Merge(c Contents, days []DayContents, dry bool) (Merged, error) {
	in, err := check(c, days, c.latest())
	if err != nil {
		return Merged{}, err
	}
	return s.merge(in, dry)
}

func (s *Store) merge(in incoming, dry bool) (Merged, error) {
	s.appending.Lock()
	defer s.appending.Unlock()
	var m Merged
	if err := s.view(func(r record) error { return weigh(r, in, &m) }); err != nil {
		return Merged{}, err
	}
	if len(m.Conflicts) > 0 {
		return m, &Error{Kind: ErrConflict,
			text: fmt.Sprintf("%d of the records differ from those in %s: nothing was changed", len(m.Conflicts), s.path)}
	}
	if dry {
		return m, nil
	}
	// Compared once more inside the transaction that writes: another goroutine
	// may have saved something since.
	err := s.update(func(c *change) error {
		var again Merged
		if err := weigh(c.was, in, &again); err != nil {
			return err
		}
		if len(again.Conflicts) > 0 {
			return &Error{Kind: ErrConflict, text: again.Conflicts[0] + ": nothing was changed"}
		}
		m = again
		return c.add(in)
	})
	if err != nil {
		return Merged{}, err
	}
	return m, nil
}

// Import merges into the file at path. One that is not there yet gets its name only when
// all of it is in: nothing that was made has to be taken away again, and of two at once
// the second merges into what the first has made. Dry, nothing is made.
//
// Errors: those of Open and Merge.
func Import(path string, c Contents, days []DayContents, dry bool) (m Merged, err error) {
	in, err := check(c, days, c.latest()) // before a folder is made
	if err != nil {
		return m, err
	}
	err = Into(path, dry, func(s *Store) (err error) {
		m, err = s.merge(in, dry)
		return err
	})
	return m, err
}

// Into puts something into the file at path. One that is not there yet gets its name only
// when put has put all of it in. Dry, nothing is made, and put gets a store that is thrown away.
//
// Errors: those of Open and of put.
func Into(path string, dry bool, put func(*Store) error) (err error) {
	if path, err = filepath.Abs(path); err != nil {
		return notWritable(path, err)
	}
	if _, statErr := os.Stat(path); errors.Is(statErr, fs.ErrNotExist) {
		if dry {
			s, done, err := OpenThrowaway()
			if err != nil {
				return err
			}
			err = put(s)
			return errors.Join(err, done())
		}
		if made, err := create(path, migrations, put); made || err != nil {
			return err
		}
	}
	s, err := Open(path)
	if err != nil {
		return err
	}
	err = put(s)
	return errors.Join(err, s.Close())
}

// latest is after all that can have happened by now. A machine without a battery may
// have fallen back to 1970, and what is older than this program is not to come.
func latest() time.Time {
	now, written := time.Now().AddDate(0, 0, 1), time.Date(2027, 1, 1, 0, 0, 0, 0, time.UTC)
	if now.Before(written) {
		return written
	}
	return now
}

// anyMoment is after all that a clock can have shown.
var anyMoment = time.Date(9999, 1, 1, 0, 0, 0, 0, time.UTC)

func (c *Contents) latest() time.Time {
	if c.Sure {
		return anyMoment
	}
	return latest()
}

// weigh finds what is new and what differs.
func weigh(r record, in incoming, m *Merged) error {
	if in.kit != nil {
		here, err := r.get(kitPart, kitKey, "the kit")
		if err != nil {
			return err
		}
		if !m.Kit.count(here == nil, alike[shed.Kit](here, in.kit), func() ruling { return newerNames(here, in.kit) }) {
			m.KitDiffers = true
			m.conflict("the kit here is not the one that came in")
		}
	}
	for _, sh := range in.shelves {
		tally := &m.Fleeces
		if sh.what == methodShelf.what {
			tally = &m.Methods
		}
		for _, v := range sh.values {
			here, err := r.get(sh.part, key(v.n), fmt.Sprintf("%s %s", sh.what, sh.id(v.n)))
			if err != nil {
				return err
			}
			if !tally.count(here == nil, sh.alike(here, v.value), func() ruling { return sh.newer(here, v.value) }) {
				m.conflict("%s %s is %s here, and %s came in under that mark", sh.what, sh.id(v.n), sh.name(here), sh.other(here, v.value))
			}
		}
	}
	m.NoDraft = in.noDraft
	if in.draft != nil {
		switch here, err := r.get(metaPart, draftKey, draftName); {
		case err != nil:
			return err
		case emptyDraft(here):
			m.Draft.New++
		case alike[ledger.Draft](here, in.draft):
			m.Draft.Same++
		default:
			m.Draft.Stays++
		}
	}
	open, isOpen := openDay(r)
	for _, d := range in.days {
		added, err := compareDay(r, d, m)
		if err != nil {
			return err
		}
		if added > 0 && !d.ended && isOpen && uint64(open) != d.id && !in.ends(r, open) {
			m.conflict("wash day %d has not ended, but here day %d is open: end that first", d.id, open)
		}
		m.Events += added
	}
	return nil
}

// other names the value that came in, where the name is what differs.
func (sh shelfIn) other(here, value []byte) string {
	if a, b := sh.name(here), sh.name(value); a != b {
		return b
	}
	return "one of that name with other details"
}

// ends says that the incoming days bring the end of a day that is open here.
func (in incoming) ends(r record, open shed.DayID) bool {
	for _, d := range in.days {
		if d.id == uint64(open) {
			here, ok, err := r.events(open)
			return d.ended && ok && err == nil && len(here) < len(d.events)
		}
	}
	return false
}

// compareDay counts the events that the day would add.
func compareDay(r record, d dayIn, m *Merged) (added int, err error) {
	var here [][]byte
	ok, err := r.eachEvent(shed.DayID(d.id), func(n uint64, v []byte, err error) error {
		if err != nil {
			return unreadable(eventName(shed.DayID(d.id), n), err)
		}
		here = append(here, v)
		return nil
	})
	switch {
	case err != nil:
		return 0, err
	case !ok:
		m.Days.New++
		return len(d.events), nil
	}
	for n := range min(len(here), len(d.events)) {
		if !alike[session.Recorded](here[n], d.events[n]) {
			m.conflict("wash day %d is another day here%s: they part at event %d", d.id, began(r, here[0], d), n+1)
			return 0, nil
		}
	}
	if len(here) >= len(d.events) {
		m.Days.Same++
		return 0, nil
	}
	m.Days.Longer++
	return len(d.events) - len(here), nil
}

// began says when the two days began, if that is what differs.
func began(r record, here []byte, d dayIn) string {
	var a, b session.Recorded
	if json.Unmarshal(here, &a) != nil || json.Unmarshal(d.events[0], &b) != nil || a.At.Equal(b.At) {
		return ""
	}
	k, _, _ := r.kit() // of one that does not read the day is told all the same
	on := func(t time.Time) string { return k.Units.Moment(t.Local(), "2 Jan 2006 15:04") }
	return fmt.Sprintf(" (it began %s; the other %s)", on(a.At), on(b.At))
}

// count counts a value as new, the same or put right; false: it differs.
func (t *Tally) count(isNew, isSame bool, which func() ruling) bool {
	switch {
	case isNew:
		t.New++
		return true
	case isSame:
		t.Same++
		return true
	}
	switch which() {
	case cameIn:
		t.Newer++
	case isHere:
		t.Same++
	case neither:
		return false
	}
	return true
}

func (m *Merged) conflict(format string, args ...any) {
	m.Conflicts = append(m.Conflicts, fmt.Sprintf(format, args...))
}

// alike says whether two values mean the same to this program: an older version
// may have written fewer fields.
func alike[T any](a, b []byte) bool {
	if bytes.Equal(a, b) {
		return true
	}
	var x, y T
	if a == nil || json.Unmarshal(a, &x) != nil || json.Unmarshal(b, &y) != nil {
		return false
	}
	return alikeValues(x, y)
}

// alikeValues says whether two values are written alike.
func alikeValues[T any](x, y T) bool {
	p, errP := json.Marshal(x)
	q, errQ := json.Marshal(y)
	return errP == nil && errQ == nil && bytes.Equal(p, q)
}

// add writes what compare has found to be new.
func (c *change) add(in incoming) error {
	if in.kit != nil {
		p, err := c.part(kitPart)
		var here, kit []byte
		if err == nil {
			here, err = p.get(kitKey)
		}
		if err == nil {
			kit, err = withNames(here, in.kit)
		}
		if err == nil && kit != nil {
			err = p.put(kitKey, kit)
		}
		if err != nil {
			return fmt.Errorf("put the kit: %w", err)
		}
	}
	if in.draft != nil {
		p, err := c.part(metaPart)
		var here []byte
		if err == nil {
			here, err = p.get(draftKey)
		}
		if err == nil && emptyDraft(here) {
			err = p.put(draftKey, in.draft)
		}
		if err != nil {
			return fmt.Errorf("put %s: %w", draftName, err)
		}
	}
	for _, sh := range in.shelves {
		p, err := c.part(sh.part)
		if err != nil {
			return err
		}
		for _, v := range sh.values {
			here, err := p.get(key(v.n))
			if err == nil && here != nil && sh.newer(here, v.value) != cameIn {
				continue
			}
			if err == nil {
				err = p.put(key(v.n), v.value)
			}
			if err != nil {
				return fmt.Errorf("put %s %s: %w", sh.what, sh.id(v.n), err)
			}
		}
	}
	for name, n := range in.last {
		p, err := c.part(name)
		if err == nil && p.b.Sequence() < n {
			err = p.count(n)
		}
		if err != nil {
			return fmt.Errorf("count on in %s: %w", name, err)
		}
	}
	for _, ended := range []bool{true, false} { // the end of one may make room for another
		for _, d := range in.days {
			if d.ended == ended {
				if err := c.addDay(d); err != nil {
					return err
				}
			}
		}
	}
	return nil
}

func (c *change) addDay(d dayIn) error {
	journal, errJ := c.part(journalPart)
	days, errD := c.part(daysPart)
	if err := errors.Join(errJ, errD); err != nil {
		return err
	}
	day, err := journal.day(key(d.id))
	if err != nil {
		return fmt.Errorf("journal of day %d: %w", d.id, err)
	}
	n, _ := day.last()
	if n >= uint64(len(d.events)) {
		return nil
	}
	if err := day.append(d.events[n:]); err != nil {
		return err
	}
	if err := days.put(key(d.id), d.summary); err != nil {
		return fmt.Errorf("put summary of day %d: %w", d.id, err)
	}
	return c.markOpen(shed.DayID(d.id), !d.ended)
}
