package tui

import (
	"fmt"
	"slices"
	"strconv"
	"sync"
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/session/tag"
)

// fakeJournal keeps days in memory; fail makes every call refuse.
type fakeJournal struct {
	mu   sync.Mutex
	recs map[shed.DayID][]session.Recorded
	sums map[shed.DayID]ledger.Summary
	last shed.DayID
	err  error
	desk
}

// desk is where the store is asked for something: not from a screen's Update or View,
// which may not wait for a disk.
type desk struct{ ask func(what string) }

func (d desk) asked(what string) {
	if d.ask != nil {
		d.ask(what)
	}
}

func newFakeJournal() *fakeJournal {
	return &fakeJournal{recs: map[shed.DayID][]session.Recorded{}, sums: map[shed.DayID]ledger.Summary{}}
}

func (j *fakeJournal) fail(err error) {
	j.mu.Lock()
	defer j.mu.Unlock()
	j.err = err
}

func (j *fakeJournal) NewDay() (shed.DayID, error) {
	j.asked("NewDay")
	j.mu.Lock()
	defer j.mu.Unlock()
	if j.err != nil {
		return 0, j.err
	}
	j.last++
	return j.last, nil
}

func (j *fakeJournal) Append(id shed.DayID, recs []session.Recorded, sum ledger.Summary) error {
	j.mu.Lock()
	defer j.mu.Unlock()
	if j.err != nil {
		return j.err
	}
	if want := uint64(len(j.recs[id]) + 1); len(recs) > 0 && recs[0].Seq != want {
		return fmt.Errorf("day %d: event %d comes, %d is next", id, recs[0].Seq, want)
	}
	j.recs[id] = append(j.recs[id], recs...)
	j.sums[id] = sum
	return nil
}

func (j *fakeJournal) DeleteDay(id shed.DayID) error {
	j.asked("DeleteDay")
	j.mu.Lock()
	defer j.mu.Unlock()
	if j.err == nil {
		delete(j.recs, id)
		delete(j.sums, id)
	}
	return j.err
}

func (j *fakeJournal) OpenDay() (shed.DayID, bool, error) {
	j.asked("OpenDay")
	j.mu.Lock()
	defer j.mu.Unlock()
	for id, s := range j.sums {
		if s.EndedAt.IsZero() {
			return id, true, j.err
		}
	}
	return 0, false, j.err
}

func (j *fakeJournal) Events(id shed.DayID) ([]session.Recorded, error) {
	j.mu.Lock()
	defer j.mu.Unlock()
	return slices.Clone(j.recs[id]), j.err
}

func (j *fakeJournal) Day(id shed.DayID) (session.Day, error) {
	j.asked("Day")
	recs, err := j.Events(id)
	if err == nil && len(recs) == 0 {
		err = fmt.Errorf("it has no events")
	}
	return session.Replay(recs), err
}

func (j *fakeJournal) Days(limit int) ([]ledger.Summary, error) {
	j.asked("Days")
	j.mu.Lock()
	defer j.mu.Unlock()
	var out []ledger.Summary
	for id := j.last; id > 0; id-- {
		if s, ok := j.sums[id]; ok && (limit == 0 || len(out) < limit) {
			out = append(out, s)
		}
	}
	return out, j.err
}

// fakeLedger keeps the kit, fleeces and methods in memory, as given.
type fakeLedger struct {
	kit     *shed.Kit
	fleeces []shed.Fleece
	methods []shed.Method
	made    int
	err     error
	alarms  session.AlarmSettings
	printed []tag.Printed
	left    session.Left
	desk
}

func (l *fakeLedger) Left() (session.Left, error) {
	l.asked("Left")
	return l.left, l.err
}

func (l *fakeLedger) SaveLeft(at session.Left) error { l.left = at; return l.err }

func newFakeLedger() *fakeLedger { return &fakeLedger{} }

func (l *fakeLedger) Kit() (shed.Kit, bool, error) {
	l.asked("Kit")
	if l.kit == nil {
		return shed.Kit{}, false, l.err
	}
	return *l.kit, true, l.err
}

func (l *fakeLedger) SaveKit(k shed.Kit) error {
	l.asked("SaveKit")
	if l.err == nil {
		l.kit = &k
	}
	return l.err
}

func (l *fakeLedger) AlarmSettings() (session.AlarmSettings, error) {
	l.asked("AlarmSettings")
	return l.alarms, l.err
}

func (l *fakeLedger) SaveAlarmSettings(a session.AlarmSettings) error {
	l.asked("SaveAlarmSettings")
	if l.err == nil {
		l.alarms = a
	}
	return l.err
}

func (l *fakeLedger) Fleeces() ([]shed.Fleece, error) {
	l.asked("Fleeces")
	return slices.Clone(l.fleeces), l.err
}

func (l *fakeLedger) SaveFleece(f shed.Fleece) (shed.Fleece, error) {
	l.asked("SaveFleece")
	if l.err != nil {
		return f, l.err
	}
	if f.ID != "" {
		for i := range l.fleeces {
			if l.fleeces[i].ID == f.ID {
				l.fleeces[i] = f
				return f, nil
			}
		}
		return f, fmt.Errorf("no fleece %q", f.ID)
	}
	l.made++
	f.ID = "f" + strconv.Itoa(l.made)
	l.fleeces = append([]shed.Fleece{f}, l.fleeces...)
	return f, nil
}

func (l *fakeLedger) DeleteFleece(id string) error {
	l.asked("DeleteFleece")
	l.fleeces = slices.DeleteFunc(l.fleeces, func(f shed.Fleece) bool { return f.ID == id })
	return l.err
}

func (l *fakeLedger) Methods() ([]shed.Method, error) {
	l.asked("Methods")
	return slices.Clone(l.methods), l.err
}

func (l *fakeLedger) SaveMethod(m shed.Method) (shed.Method, error) {
	l.asked("SaveMethod")
	switch {
	case l.err != nil:
		return m, l.err
	case m.ID == shed.BuiltInMethodID:
		return m, fmt.Errorf("the built-in method stays as it is")
	}
	for i := range l.methods {
		if l.methods[i].ID == m.ID {
			l.methods[i] = m
			return m, nil
		}
	}
	l.made++
	m.ID = "m" + strconv.Itoa(l.made)
	l.methods = append(l.methods, m)
	return m, nil
}

func (l *fakeLedger) Printed() ([]tag.Printed, error) {
	l.asked("Printed")
	return l.printed, l.err
}

func (l *fakeLedger) DeleteMethod(id string) error {
	l.asked("DeleteMethod")
	l.methods = slices.DeleteFunc(l.methods, func(m shed.Method) bool { return m.ID == id })
	return l.err
}

// fakeClock stands until it is set on.
type fakeClock struct{ at time.Time }

func (c *fakeClock) Now() time.Time { return c.at }

func (c *fakeClock) forward(by time.Duration) { c.at = c.at.Add(by) }
