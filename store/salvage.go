package store

import (
	"bytes"
	"encoding/json"
	"fmt"
	"os"
	"slices"
	"sort"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/shed"
)

// LostEntry stands in a day in the place of an entry that could not be read any more.
const LostEntry = "what was written down here could not be read any more: the file was damaged"

// Salvage makes a new file, to, of what is whole in the file at path, which is only
// read. In a day that is not whole a note stands for each lost entry; a day that has
// lost its beginning is left out. How alarms reach the person, and which tags were
// printed, are left out.
//
// Errors: those of Check; to that exists already or cannot be written.
func Salvage(path, to string) (Report, error) {
	content, h, err := snapshot(path)
	if err != nil {
		return Report{}, err
	}
	rep, err := checkContent(path, content, h, true)
	if err != nil {
		return rep, err
	}
	var c Contents
	var days []DayContents
	if err := recordIn(bytes.NewReader(content), h).whole(func(got Contents) error { c, c.Sure = got, true; return nil },
		func(d DayContents) error { days = append(days, d); return nil }); err != nil {
		return rep, err
	}
	made, err := create(to, migrations, func(s *Store) error {
		_, err := s.Merge(c, days, false)
		return err
	})
	if err == nil && !made {
		err = notWritable(to, os.ErrExist)
	}
	return rep, err
}

// ReadWhole is Read of what is whole, as Salvage has it.
//
// Errors: ErrClosed, or what a function returns, as it is.
func (s *Store) ReadWhole(head func(Contents) error, day func(DayContents) error) error {
	return s.view(func(r record) error { return r.whole(head, day) })
}

func (r record) whole(head func(Contents) error, day func(DayContents) error) error {
	c := Contents{}
	if v, err := r.get(kitPart, kitKey, "the kit"); err == nil && v != nil && reads(kitPart, kitKey, v) == nil {
		c.Kit = v
	}
	if v, _ := r.get(metaPart, draftKey, draftName); !emptyDraft(v) {
		c.Draft = v
	}
	c.Fleeces, c.LastFleece = r.wholeShelf(fleeceShelf)
	c.Methods, c.LastMethod = r.wholeShelf(methodShelf)

	lines := map[shed.DayID]ledger.Summary{}
	c.LastDay = r.counted(daysPart)
	note := func(k []byte) (shed.DayID, bool) {
		n, ok := number(k)
		if !ok || n == 0 || n > MostCounted {
			return 0, false
		}
		c.LastDay = max(c.LastDay, n)
		return shed.DayID(n), true
	}
	journals := map[shed.DayID]tree{}
	if all, ok, err := r.part(journalPart); ok && err == nil {
		_ = r.walk(all, false, func(it item) error {
			if id, ok := note(it.key); ok {
				if t, err := it.tree(); err == nil {
					journals[id] = t
				}
			}
			return nil
		}, func(error) error { return nil })
	}
	_ = r.each(daysPart, false, func(k, v []byte, err error) error {
		var sum ledger.Summary
		if id, ok := note(k); ok && err == nil && json.Unmarshal(v, &sum) == nil {
			lines[id] = sum
		}
		return nil
	})
	if err := head(c); err != nil {
		return err
	}
	open, isOpen := openDay(r)
	var ids []shed.DayID
	for id := range journals {
		ids = append(ids, id)
	}
	sort.Slice(ids, func(i, j int) bool { return ids[i] < ids[j] })
	for _, id := range ids {
		d, ok := r.wholeDay(id, lines[id], journals[id], isOpen && open == id)
		if !ok {
			continue
		}
		if err := day(d); err != nil {
			return err
		}
	}
	return nil
}

// counted is the highest number that a part has given, 0 if it cannot be one.
func (r record) counted(part string) uint64 {
	if t, ok, err := r.part(part); ok && err == nil && t.seq <= MostCounted {
		return t.seq
	}
	return 0
}

func (r record) wholeShelf(f shelf) (out []json.RawMessage, last uint64) {
	last = r.counted(f.part)
	_ = r.each(f.part, false, func(k, v []byte, err error) error {
		if n, ok := number(k); ok && n <= MostCounted && err == nil && reads(f.part, k, v) == nil {
			out, last = append(out, v), max(last, n)
		}
		return nil
	})
	return out, last
}

// wholeDay is a day with notes in the place of what is lost; ok is false for one that
// cannot be told.
func (r record) wholeDay(id shed.DayID, line ledger.Summary, t tree, mayGoOn bool) (d DayContents, ok bool) {
	var events []json.RawMessage
	at, first := line.StartedAt, -1
	add := func(n uint64, e session.Event) {
		if v, err := json.Marshal(session.Recorded{Seq: n, At: at, Event: e}); err == nil {
			events = append(events, v)
		}
	}
	_ = r.chain(key(uint64(id)), t, func(n uint64, v []byte, err error) error {
		var e session.Recorded
		if err == nil {
			e, err = decodeEvent(id, n, v)
		}
		if err == nil {
			at, events = e.At, append(events, v)
			return nil
		}
		if first < 0 {
			first = len(events)
		}
		add(n, session.NoteAdded{Tub: -1, Text: LostEntry})
		return nil
	})
	if d, ok = told(id, line, events, mayGoOn); !ok && first > 0 { // only its beginning can be gone through
		d, ok = told(id, line, events[:first+1], mayGoOn)
	}
	return d, ok
}

// told is the day of these events if it can be taken in.
func told(id shed.DayID, line ledger.Summary, events []json.RawMessage, mayGoOn bool) (d DayContents, ok bool) {
	defer func() {
		if recover() != nil { // events around a gap may make no sense
			d, ok = DayContents{}, false
		}
	}()
	line.ID = id
	summary, err := json.Marshal(line)
	if err != nil {
		return d, false
	}
	in, err := checkDay(DayContents{ID: id, Summary: summary, Events: events}, anyMoment)
	if err != nil {
		return d, false
	}
	if !in.ended && !mayGoOn { // its end is what was lost
		last, err := decodeEvent(id, uint64(len(events)), events[len(events)-1])
		if err != nil {
			return d, false
		}
		at := last.At
		if line.EndedAt.After(at) {
			at = line.EndedAt
		}
		end, err := json.Marshal(session.Recorded{Seq: last.Seq + 1, At: at, Event: session.DayEnded{Early: true}})
		if err != nil {
			return d, false
		}
		events = append(slices.Clone(events), end)
		if in, err = checkDay(DayContents{ID: id, Summary: summary, Events: events}, anyMoment); err != nil {
			return d, false
		}
	}
	d = DayContents{ID: id, Summary: in.summary}
	for _, v := range in.events {
		d.Events = append(d.Events, v)
	}
	return d, true
}

// Verify looks at every sum, and says what is not whole.
//
// Errors: ErrDamaged, ErrClosed.
func (s *Store) Verify() error {
	return s.view(func(r record) error { return r.verify(s.path) })
}

func (r record) verify(path string) error {
	rep := Report{days: map[shed.DayID]bool{}}
	rep.values(r, false)
	return rep.orHarm(path)
}

// orHarm is the error of a report that is not whole: it names the first harm.
func (rep *Report) orHarm(path string) error {
	if rep.Whole() {
		return nil
	}
	why := rep.Harm[0]
	if n := len(rep.Harm) - 1; n > 0 {
		why += fmt.Sprintf(" (and %d more: `tubside check` says all)", n)
	}
	return &Error{Kind: ErrDamaged, Why: why, text: fmt.Sprintf("%s is damaged: %s", path, why), cause: ErrUnreadable}
}
