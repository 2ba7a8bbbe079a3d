package store

import (
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"sort"
	"strings"
	"sync"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/shed"
)

// aside is what was met that does not read: it is left out, said once, and the rest
// goes on.
type aside struct {
	asideMu sync.Mutex
	all     []string
	said    int // of them
}

func (a *aside) setAside(what string) {
	a.asideMu.Lock()
	defer a.asideMu.Unlock()
	if !slices.Contains(a.all, what) {
		a.all = append(a.all, what)
	}
}

// SetAside says what was set aside since the program began, a sentence for the person;
// "" if nothing was.
func (a *aside) SetAside() string {
	a.asideMu.Lock()
	defer a.asideMu.Unlock()
	return asideText(a.all)
}

// unsaid is what of it was not said yet.
func (a *aside) unsaid() string {
	a.asideMu.Lock()
	defer a.asideMu.Unlock()
	text := asideText(a.all[a.said:])
	a.said = len(a.all)
	return text
}

func asideText(what []string) string {
	if len(what) == 0 {
		return ""
	}
	return fmt.Sprintf("the record is damaged, and this does not read: %s. It is set aside, and the rest works. `tubside check` says what is whole, `tubside restore` puts a copy back", strings.Join(what, ", "))
}

// lastKit is the kit of the newest day that reads.
func (r record) lastKit() (k shed.Kit, id shed.DayID) {
	_ = r.each(daysPart, true, func(key, _ []byte, _ error) error {
		n, _ := number(key)
		recs, _, _ := r.events(shed.DayID(n)) // of one that does not read there are none: an older one may
		if kit := session.Replay(recs).Plan.Kit; len(kit.Tubs) > 0 {
			k, id = kit.Clean(), shed.DayID(n)
			return errEnough
		}
		return nil
	})
	return k, id
}

// lines are the days' lines in the list, newest first. One that does not read is made
// anew of the day's events; lost are the days of which neither reads.
func (r record) lines(limit int) (out []ledger.Summary, lost []shed.DayID) {
	harmed, lived := false, 0
	err := r.each(daysPart, true, func(k, v []byte, err error) error {
		var sum ledger.Summary
		if n, ok := number(k); ok && err == nil && json.Unmarshal(v, &sum) == nil {
			sum.ID = shed.DayID(n)
			if out = append(out, sum); sum.EnteredAt.IsZero() {
				lived++
			}
			if lived == limit && limit > 0 {
				return errEnough
			}
			return nil
		}
		harmed = true
		return errEnough
	})
	if !harmed && (err == nil || errors.Is(err, errEnough)) {
		return out, nil
	}
	read := map[shed.DayID]ledger.Summary{}
	note := func(k, v []byte) {
		n, ok := number(k)
		id := shed.DayID(n)
		if !ok || id == 0 || read[id].ID == id {
			return
		}
		var sum ledger.Summary
		if v != nil && json.Unmarshal(v, &sum) == nil {
			sum.ID = id
		} else if recs, ok, err := r.events(id); ok && err == nil {
			sum = ledger.Summarise(id, session.Replay(recs))
		}
		read[id] = sum
	}
	_ = r.each(daysPart, false, func(k, v []byte, err error) error {
		if k != nil {
			note(k, v)
		}
		return nil
	})
	if all, ok, err := r.part(journalPart); ok && err == nil {
		_ = r.walk(all, false, func(it item) error { note(it.key, nil); return nil }, func(error) error { return nil })
	}
	out = nil
	for id, sum := range read {
		if sum.ID == id {
			out = append(out, sum)
		} else {
			lost = append(lost, id)
		}
	}
	sort.Slice(out, func(i, j int) bool { return out[i].ID > out[j].ID })
	sort.Slice(lost, func(i, j int) bool { return lost[i] > lost[j] })
	if limit > 0 && len(out) > limit {
		out = out[:limit]
	}
	return out, lost
}

// openByLines is the open day as the list of days tells it, where the note of it does
// not read.
func (r record) openByLines() (shed.DayID, bool) {
	lines, _ := r.lines(0)
	for _, l := range lines {
		if l.EndedAt.IsZero() {
			return l.ID, true
		}
	}
	return 0, false
}

// tells says whether a day's events are all as they were written.
func (r record) tells(id shed.DayID) bool {
	ok, err := r.eachEvent(id, func(_ uint64, _ []byte, err error) error { return err })
	return ok && err == nil
}
