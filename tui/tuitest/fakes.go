package tuitest

import (
	"cmp"
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

// FakeJournal keeps days in memory; Fail makes every call refuse.
type FakeJournal struct {
	Mu   sync.Mutex
	Recs map[shed.DayID][]session.Recorded
	Sums map[shed.DayID]ledger.Summary
	Last shed.DayID
	err  error
	full error // nothing can be written, all be read
	desk
}

// desk is where the store is asked for something: not from a screen's Update or View,
// which may not wait for a disk.
type desk struct{ Ask func(what string) }

func (d desk) asked(what string) {
	if d.Ask != nil {
		d.Ask(what)
	}
}

func NewFakeJournal() *FakeJournal {
	return &FakeJournal{Recs: map[shed.DayID][]session.Recorded{}, Sums: map[shed.DayID]ledger.Summary{}}
}

func (j *FakeJournal) Fail(err error) {
	j.Mu.Lock()
	defer j.Mu.Unlock()
	j.err = err
}

// FailWrites makes every Append refuse.
func (j *FakeJournal) FailWrites(err error) {
	j.Mu.Lock()
	defer j.Mu.Unlock()
	j.full = err
}

func (j *FakeJournal) NewDay() (shed.DayID, error) {
	j.asked("NewDay")
	j.Mu.Lock()
	defer j.Mu.Unlock()
	if j.err != nil {
		return 0, j.err
	}
	j.Last++
	return j.Last, nil
}

func (j *FakeJournal) Append(id shed.DayID, recs []session.Recorded, sum ledger.Summary) error {
	j.Mu.Lock()
	defer j.Mu.Unlock()
	if err := cmp.Or(j.err, j.full); err != nil {
		return err
	}
	if want := uint64(len(j.Recs[id]) + 1); len(recs) > 0 && recs[0].Seq != want {
		return fmt.Errorf("day %d: event %d comes, %d is next", id, recs[0].Seq, want)
	}
	j.Recs[id] = append(j.Recs[id], recs...)
	j.Sums[id] = sum
	return nil
}

func (j *FakeJournal) DeleteDay(id shed.DayID) error {
	j.asked("DeleteDay")
	j.Mu.Lock()
	defer j.Mu.Unlock()
	if j.err == nil {
		delete(j.Recs, id)
		delete(j.Sums, id)
	}
	return j.err
}

func (j *FakeJournal) OpenDay() (shed.DayID, bool, error) {
	j.asked("OpenDay")
	j.Mu.Lock()
	defer j.Mu.Unlock()
	for id, s := range j.Sums {
		if s.EndedAt.IsZero() {
			return id, true, j.err
		}
	}
	return 0, false, j.err
}

func (j *FakeJournal) Events(id shed.DayID) ([]session.Recorded, error) {
	j.Mu.Lock()
	defer j.Mu.Unlock()
	return slices.Clone(j.Recs[id]), j.err
}

func (j *FakeJournal) Day(id shed.DayID) (session.Day, error) {
	j.asked("Day")
	recs, err := j.Events(id)
	if err == nil && len(recs) == 0 {
		err = fmt.Errorf("it has no events")
	}
	return session.Replay(recs), err
}

func (j *FakeJournal) Days(limit int) ([]ledger.Summary, error) {
	j.asked("Days")
	j.Mu.Lock()
	defer j.Mu.Unlock()
	var out []ledger.Summary
	for id := j.Last; id > 0; id-- {
		if s, ok := j.Sums[id]; ok && (limit == 0 || len(out) < limit) {
			out = append(out, s)
		}
	}
	return ledger.InOrder(out), j.err
}

// FakeLedger keeps the kit, fleeces and methods in memory, as given.
type FakeLedger struct {
	HasKit  *shed.Kit
	Have    []shed.Fleece
	Own     []shed.Method
	Made    int
	Err     error
	Alarms  session.AlarmSettings
	Tags    []tag.Printed
	WasLeft session.Left
	Next    ledger.Draft
	desk
}

func (l *FakeLedger) Left() (session.Left, error) {
	l.asked("Left")
	return l.WasLeft, l.Err
}

func (l *FakeLedger) SaveLeft(at session.Left) error { l.WasLeft = at; return l.Err }

func (l *FakeLedger) Draft() (ledger.Draft, error) { return l.Next, l.Err }

func (l *FakeLedger) SaveDraft(p ledger.Draft) error {
	l.asked("SaveDraft")
	if l.Err == nil {
		l.Next = p
	}
	return l.Err
}

func NewFakeLedger() *FakeLedger { return &FakeLedger{} }

func (l *FakeLedger) Kit() (shed.Kit, bool, error) {
	l.asked("Kit")
	if l.HasKit == nil {
		return shed.Kit{}, false, l.Err
	}
	return *l.HasKit, true, l.Err
}

func (l *FakeLedger) SaveKit(k shed.Kit) error {
	l.asked("SaveKit")
	if l.Err == nil {
		l.HasKit = &k
	}
	return l.Err
}

func (l *FakeLedger) AlarmSettings() (session.AlarmSettings, error) {
	l.asked("AlarmSettings")
	return l.Alarms, l.Err
}

func (l *FakeLedger) SaveAlarmSettings(a session.AlarmSettings) error {
	l.asked("SaveAlarmSettings")
	if l.Err == nil {
		l.Alarms = a
	}
	return l.Err
}

func (l *FakeLedger) Fleeces() ([]shed.Fleece, error) {
	l.asked("Fleeces")
	return shed.Unjoined(l.Have), l.Err
}

func (l *FakeLedger) SaveFleece(f shed.Fleece) (shed.Fleece, error) {
	l.asked("SaveFleece")
	if l.Err != nil {
		return f, l.Err
	}
	if f.ID != "" {
		for i := range l.Have {
			if l.Have[i].ID == f.ID {
				l.Have[i] = f
				return f, nil
			}
		}
		return f, fmt.Errorf("no fleece %q", f.ID)
	}
	l.Made++
	f.ID = "f" + strconv.Itoa(l.Made)
	l.Have = append([]shed.Fleece{f}, l.Have...)
	return f, nil
}

func (l *FakeLedger) DeleteFleece(id string) error {
	l.asked("DeleteFleece")
	l.Have = slices.DeleteFunc(l.Have, func(f shed.Fleece) bool { return f.ID == id })
	return l.Err
}

func (l *FakeLedger) Methods() ([]shed.Method, error) {
	l.asked("Methods")
	return slices.Clone(l.Own), l.Err
}

func (l *FakeLedger) SaveMethod(m shed.Method) (shed.Method, error) {
	l.asked("SaveMethod")
	switch {
	case l.Err != nil:
		return m, l.Err
	case m.ID == shed.BuiltInMethodID:
		return m, fmt.Errorf("the built-in method stays as it is")
	}
	for i := range l.Own {
		if l.Own[i].ID == m.ID {
			l.Own[i] = m
			return m, nil
		}
	}
	l.Made++
	m.ID = "m" + strconv.Itoa(l.Made)
	l.Own = append(l.Own, m)
	return m, nil
}

func (l *FakeLedger) Printed() ([]tag.Printed, error) {
	l.asked("Printed")
	return l.Tags, l.Err
}

func (l *FakeLedger) DeleteMethod(id string) error {
	l.asked("DeleteMethod")
	l.Own = slices.DeleteFunc(l.Own, func(m shed.Method) bool { return m.ID == id })
	return l.Err
}

// FakeClock stands until it is set on.
type FakeClock struct{ At time.Time }

func (c *FakeClock) Now() time.Time { return c.At }

func (c *FakeClock) Forward(by time.Duration) { c.At = c.At.Add(by) }

// KeptDay is the least journal there is: it keeps what it is given, in order.
type KeptDay struct {
	mu   sync.Mutex
	Recs []session.Recorded
	sum  ledger.Summary
	err  error // what the next appends answer
}

func (k *KeptDay) DeleteDay(shed.DayID) error { return nil }

func (k *KeptDay) NewDay() (shed.DayID, error) { return 1, nil }

func (k *KeptDay) Append(_ shed.DayID, recs []session.Recorded, sum ledger.Summary) error {
	k.mu.Lock()
	defer k.mu.Unlock()
	if k.err != nil {
		return k.err
	}
	k.Recs, k.sum = append(k.Recs, recs...), sum
	return nil
}

func (k *KeptDay) OpenDay() (shed.DayID, bool, error) { return 1, len(k.Recs) > 0, nil }

func (k *KeptDay) Day(shed.DayID) (session.Day, error) {
	k.mu.Lock()
	defer k.mu.Unlock()
	return session.Replay(k.Recs), nil
}

func (k *KeptDay) Days(int) ([]ledger.Summary, error) { return nil, nil }

func (k *KeptDay) Fail(err error) {
	k.mu.Lock()
	k.err = err
	k.mu.Unlock()
}
