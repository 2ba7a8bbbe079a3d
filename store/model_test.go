package store

import (
	"errors"
	"fmt"
	"path/filepath"
	"reflect"
	"slices"
	"testing"
	"time"

	"pgregory.net/rapid"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/long"
	"fleece.example/tubside/session/must"
	"fleece.example/tubside/session/shed"
)

// Every kind of event comes back as it was, with any content.
func TestEventsRoundTrip(t *testing.T) {
	for _, kind := range session.AllEvents() {
		t.Run(session.KindOf(kind), func(t *testing.T) {
			t.Parallel()
			s := newStore(t)
			s.db.NoSync = true // content, not disks, is on trial here
			long.Check(t, 30, func(t *rapid.T) {
				id := must.Get(s.NewDay()).In(t)
				var want []session.Recorded
				for n := range rapid.Uint64Range(1, 3).Draw(t, "events") {
					at := drawn[time.Time](t, "at")
					want = append(want, session.Recorded{Seq: n + 1, At: at, Event: drawEvent(t, kind)})
				}
				sum := drawnSummary(t)
				sum.ID, sum.EndedAt, sum.EnteredAt = id, evening, time.Time{}
				must.Do(t, s.Append(id, want, sum))
				wantEvents(t, s, id, want)
				if days, err := s.Days(1); err != nil || !reflect.DeepEqual(days[0], sum) {
					t.Fatalf("summary %+v (%v), want %+v", days, err, sum)
				}
			})
		})
	}
}

// model is what the store should hold, kept in the simplest way.
type model struct {
	given   shed.DayID // the last ID
	open    shed.DayID // 0: none
	events  map[shed.DayID][]session.Recorded
	sums    map[shed.DayID]ledger.Summary
	fleeces []shed.Fleece
	made    int // methods ever
	methods []shed.Method
	kit     *shed.Kit
}

func newModel() model {
	return model{events: map[shed.DayID][]session.Recorded{}, sums: map[shed.DayID]ledger.Summary{}}
}

// machine runs random operations on a store and on its model.
type machine struct {
	path string
	s    *Store
	m    model
}

func TestRandomOperations(t *testing.T) {
	t.Parallel()
	dir, runs := t.TempDir(), 0
	long.Check(t, 25, func(t *rapid.T) {
		runs++
		m := &machine{path: filepath.Join(dir, fmt.Sprint(runs), "wash.db"),
			m: newModel()}
		m.openStore(t)
		defer func() { checkAndClose(t, m.s) }()
		t.Repeat(rapid.StateMachineActions(m))
	})
}

func (m *machine) openStore(t *rapid.T) {
	s := must.Get(Open(m.path)).In(t)
	m.s = s
}

func (m *machine) Reopen(t *rapid.T) {
	checkAndClose(t, m.s)
	m.openStore(t)
}

func (m *machine) NewDay(t *rapid.T) {
	id, err := m.s.NewDay()
	if m.m.open != 0 {
		wantKind(t, err, ErrDayOpen)
		return
	}
	wantKind(t, err, nil)
	m.m.given++
	if id != m.m.given {
		t.Fatalf("new day %d, want %d", id, m.m.given)
	}
}

func (m *machine) Append(t *rapid.T) {
	id := shed.DayID(rapid.Uint64Range(0, uint64(m.m.given)+1).Draw(t, "day"))
	last := uint64(len(m.m.events[id]))
	first := last + 1
	if rapid.IntRange(0, 4).Draw(t, "wrong place") == 0 {
		first = rapid.Uint64Range(0, last+3).Draw(t, "first")
	}
	events := notes(first, first+rapid.Uint64Range(0, 8).Draw(t, "more"))
	sum := drawnSummary(t)
	sum.ID = id
	if rapid.Bool().Draw(t, "ends") {
		sum.EndedAt = evening
	} else {
		sum.EndedAt = time.Time{}
	}

	err := m.s.Append(id, events, sum)
	switch {
	case id == 0 || id > m.m.given:
		wantKind(t, err, ErrUnknown)
		return
	case sum.EndedAt.IsZero() && m.m.open != 0 && m.m.open != id:
		wantKind(t, err, ErrDayOpen)
		return
	case first != last+1:
		wantKind(t, err, ErrOrder)
		return
	}
	wantKind(t, err, nil)
	m.m.events[id] = append(m.m.events[id], events...)
	m.m.sums[id] = sum
	switch {
	case sum.EndedAt.IsZero():
		m.m.open = id
	case m.m.open == id:
		m.m.open = 0
	}
}

func (m *machine) SaveFleece(t *rapid.T) {
	f := drawn[shed.Fleece](t, "fleece")
	f.Joined = nil // it hides others: TestJoinedFleece
	n := rapid.IntRange(0, len(m.m.fleeces)+1).Draw(t, "number")
	if f.ID = ""; n > 0 {
		f.ID = fmt.Sprintf("f%d", n)
	}
	saved, err := m.s.SaveFleece(f)
	if n > len(m.m.fleeces) {
		wantKind(t, err, ErrUnknown)
		return
	}
	wantKind(t, err, nil)
	if n == 0 {
		f.ID = fmt.Sprintf("f%d", len(m.m.fleeces)+1)
		m.m.fleeces = append(m.m.fleeces, f)
	} else {
		notBefore(&f.ChangedAt, m.m.fleeces[n-1].ChangedAt)
		m.m.fleeces[n-1] = f
	}
	if !reflect.DeepEqual(saved, f) {
		t.Fatalf("saved %+v, want %+v", saved, f)
	}
}

// notBefore is what becomes of a moment that is not after the one it follows.
func notBefore(at *time.Time, was time.Time) {
	if !at.After(was) {
		*at = was.Add(time.Millisecond)
	}
}

func (m *machine) SaveOrDeleteMethod(t *rapid.T) {
	v := drawn[shed.Method](t, "method")
	n := rapid.IntRange(0, m.m.made+1).Draw(t, "number")
	if v.ID = ""; n > 0 {
		v.ID = fmt.Sprintf("m%d", n)
	}
	at := slices.IndexFunc(m.m.methods, func(x shed.Method) bool { return x.ID == v.ID })
	if rapid.Bool().Draw(t, "delete") {
		err := m.s.DeleteMethod(v.ID)
		if at < 0 {
			wantKind(t, err, ErrUnknown)
			return
		}
		wantKind(t, err, nil)
		m.m.methods = slices.Delete(m.m.methods, at, at+1)
		return
	}
	saved, err := m.s.SaveMethod(v)
	switch {
	case n == 0:
		m.m.made++
		v.ID = fmt.Sprintf("m%d", m.m.made)
		m.m.methods = append(m.m.methods, v)
	case at < 0:
		wantKind(t, err, ErrUnknown)
		return
	default:
		notBefore(&v.ChangedAt, m.m.methods[at].ChangedAt)
		m.m.methods[at] = v
	}
	wantKind(t, err, nil)
	if !reflect.DeepEqual(saved, v) {
		t.Fatalf("saved %+v, want %+v", saved, v)
	}
}

func (m *machine) SaveKit(t *rapid.T) {
	k := drawn[shed.Kit](t, "kit")
	wantKind(t, m.s.SaveKit(k), nil)
	m.m.kit = &k
}

// Check compares everything after each operation.
func (m *machine) Check(t *rapid.T) {
	open, ok, err := m.s.OpenDay()
	if err != nil || open != m.m.open || ok != (m.m.open != 0) {
		t.Fatalf("open day %d %v (%v), want %d", open, ok, err, m.m.open)
	}
	var sums []ledger.Summary
	for id := m.m.given; id > 0; id-- {
		if sum, ok := m.m.sums[id]; ok {
			sums = append(sums, sum)
			wantEvents(t, m.s, id, m.m.events[id])
		} else if _, err := m.s.Events(id); !errors.Is(err, ErrUnknown) {
			t.Fatalf("events of day %d that never began: %v", id, err)
		}
	}
	limit := rapid.IntRange(0, 5).Draw(t, "limit")
	for i, lived := 0, 0; limit > 0 && i < len(sums); i++ {
		if sums[i].EnteredAt.IsZero() {
			lived++
		}
		if lived == limit {
			sums = sums[:i+1]
		}
	}
	same(t, "days", ledger.InOrder(sums))(m.s.Days(limit))
	newest := slices.Clone(m.m.fleeces)
	slices.Reverse(newest)
	same(t, "fleeces", newest)(m.s.Fleeces())
	same(t, "methods", m.m.methods)(m.s.Methods())
	k, ok, err := m.s.Kit()
	if err != nil || ok != (m.m.kit != nil) || ok && !reflect.DeepEqual(k, *m.m.kit) {
		t.Fatalf("kit %+v %v (%v), want %+v", k, ok, err, m.m.kit)
	}
}

// drawnSummary is any summary of a day by no method that has a mark: its name would follow.
func drawnSummary(t *rapid.T) ledger.Summary {
	sum := drawn[ledger.Summary](t, "summary")
	if sum.MethodID = ""; rapid.Bool().Draw(t, "lived") {
		sum.EnteredAt = time.Time{}
	}
	return sum
}

// same compares a list with the model's; an empty one may be nil.
func same[T any](t *rapid.T, what string, want []T) func([]T, error) {
	return func(got []T, err error) {
		t.Helper()
		if err != nil || len(got) != len(want) || len(got) > 0 && !reflect.DeepEqual(got, want) {
			t.Fatalf("%s %+v (%v), want %+v", what, got, err, want)
		}
	}
}

func wantKind(t *rapid.T, err, kind error) {
	t.Helper()
	if !errors.Is(err, kind) {
		t.Fatalf("error %v, want %v", err, kind)
	}
}
