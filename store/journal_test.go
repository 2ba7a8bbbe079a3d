package store

import (
	"errors"
	"fmt"
	"math"
	"reflect"
	"slices"
	"testing"

	bolt "go.etcd.io/bbolt"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/must"
	"fleece.example/tubside/session/shed"
)

func TestAppendKeepsOrderAcrossOpen(t *testing.T) {
	s := newStore(t)
	id := startDay(t, s, 3)
	for n := uint64(4); n <= 300; n += 2 { // past 256: order is not that of single bytes
		must.Do(t, s.Append(id, notes(n, n+1), running(id)))
	}
	checkAndClose(t, s)
	wantEvents(t, reopen(t, s.Path()), id, notes(1, 301))
}

func TestAppendRefusesGapsAndRepeats(t *testing.T) {
	s := newStore(t)
	id := startDay(t, s, 3)
	hole := append(notes(4, 5), notes(7, 7)...)
	twice := append(notes(4, 5), notes(5, 6)...)
	for name, events := range map[string][]session.Recorded{
		"gap": notes(5, 6), "repeat": notes(3, 4), "from the start": notes(1, 3), "hole": hole, "twice": twice, "none": notes(0, 0),
	} {
		t.Run(name, func(t *testing.T) {
			wantSentence(t, s.Append(id, events, ended(id)), ErrOrder, "nothing was saved")
			wantEvents(t, s, id, notes(1, 3))
			if open, ok, err := s.OpenDay(); err != nil || !ok || open != id {
				t.Errorf("open day %d %v (%v)", open, ok, err)
			}
		})
	}
	next, err := s.NewDay()
	wantSentence(t, err, ErrDayOpen)
	if next != 0 {
		t.Errorf("a refused day got ID %d", next)
	}
}

func TestFirstEventIsOne(t *testing.T) {
	s := newStore(t)
	id, err := s.NewDay()
	if err != nil {
		t.Fatal(err)
	}
	wantSentence(t, s.Append(id, notes(2, 2), running(id)), ErrOrder, "event 1", "event 2")
	if days, err := s.Days(0); err != nil || len(days) != 0 {
		t.Errorf("days %v (%v)", days, err)
	}
	if _, ok, err := s.OpenDay(); err != nil || ok {
		t.Errorf("a day is open (%v)", err)
	}
	_, err = s.Events(id)
	wantSentence(t, err, ErrUnknown, "wash day 1")
}

func TestAppendToUnknownDay(t *testing.T) {
	s := newStore(t)
	for _, id := range []shed.DayID{0, 1, 7, math.MaxUint64} {
		wantSentence(t, s.Append(id, notes(1, 1), running(id)), ErrUnknown, "wash day")
	}
}

func TestAppendOfNothing(t *testing.T) {
	s := newStore(t)
	if err := s.Append(9, nil, running(9)); err != nil {
		t.Error(err)
	}
	if days, err := s.Days(0); err != nil || len(days) != 0 {
		t.Errorf("days %v (%v)", days, err)
	}
}

func TestAppendWithSummaryOfAnotherDay(t *testing.T) {
	s := newStore(t)
	id := startDay(t, s, 1)
	if err := s.Append(id, notes(2, 2), running(id+1)); err == nil {
		t.Error("no error")
	}
	wantEvents(t, s, id, notes(1, 1))
}

// What JSON cannot carry is refused with all that came with it.
func TestAppendUnwritable(t *testing.T) {
	s := newStore(t)
	id := startDay(t, s, 1)
	bad := append(notes(2, 3), session.Recorded{Seq: 4, At: morning, Event: session.ReadingTaken{TempC: math.NaN()}})
	if err := s.Append(id, bad, running(id)); err == nil {
		t.Error("no error for NaN")
	}
	if err := s.Append(id, []session.Recorded{{Seq: 2, At: morning}}, running(id)); err == nil {
		t.Error("no error for an empty record")
	}
	sum := running(id)
	sum.RawG = math.Inf(1)
	if err := s.Append(id, notes(2, 2), sum); err == nil {
		t.Error("no error for an endless summary")
	}
	wantEvents(t, s, id, notes(1, 1))
}

func TestDayEndsAndOpensAgain(t *testing.T) {
	s := newStore(t)
	first := startDay(t, s, 2)
	appendTo := func(id shed.DayID, n uint64, sum ledger.Summary) error {
		return s.Append(id, notes(n, n), sum)
	}
	wantOpen := func(want shed.DayID) {
		t.Helper()
		if id, ok, err := s.OpenDay(); err != nil || ok != (want != 0) || id != want {
			t.Errorf("open day %d %v (%v), want %d", id, ok, err, want)
		}
		checkSound(t, s)
	}
	must := func(err error) {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
	}
	wantOpen(first)
	must(appendTo(first, 3, ended(first)))
	wantOpen(0)
	must(appendTo(first, 4, ended(first))) // a dry weight, days later
	wantOpen(0)
	must(appendTo(first, 5, running(first))) // the end undone
	wantOpen(first)
	must(appendTo(first, 6, ended(first)))
	second := startDay(t, s, 1)
	wantOpen(second)
	must(appendTo(first, 7, ended(first))) // a dry weight while the next day runs
	wantOpen(second)
	wantSentence(t, appendTo(first, 8, running(first)), ErrDayOpen, "wash day 2")
	wantEvents(t, s, first, notes(1, 7))
	wantOpen(second)
	must(appendTo(second, 2, ended(second)))
	wantOpen(0)
	must(appendTo(first, 8, running(first)))
	wantOpen(first)
}

// An ID given but never used is no day, and a day that began in the meantime
// keeps a second one from beginning.
func TestReservedDays(t *testing.T) {
	s := newStore(t)
	a, errA := s.NewDay()
	b, errB := s.NewDay()
	if errA != nil || errB != nil || a != 1 || b != 2 {
		t.Fatalf("IDs %d, %d (%v, %v)", a, b, errA, errB)
	}
	must.Do(t, s.Append(b, notes(1, 1), running(b)))
	wantSentence(t, s.Append(a, notes(1, 1), running(a)), ErrDayOpen, "wash day 2")
	if days, err := s.Days(0); err != nil || len(days) != 1 || days[0].ID != b {
		t.Errorf("days %v (%v)", days, err)
	}
}

func TestDaysNewestFirst(t *testing.T) {
	s := newStore(t)
	for range 12 {
		wholeDay(t, s, 1)
	}
	startDay(t, s, 1)
	for _, limit := range []int{0, 1, 5, 13, 100, -1} {
		got := must.Get(s.Days(limit)).In(t)
		want := 13
		if limit > 0 {
			want = min(limit, 13)
		}
		if len(got) != want {
			t.Fatalf("limit %d: %d days", limit, len(got))
		}
		for i, d := range got {
			id := shed.DayID(13 - i)
			wantSum := ended(id)
			if id == 13 {
				wantSum = running(id)
			}
			if !reflect.DeepEqual(d, wantSum) {
				t.Errorf("limit %d: day %+v, want %+v", limit, d, wantSum)
			}
		}
	}
}

var errDisk = errors.New("input/output error")

// A disk that fails before it has taken anything, and one that fails at the
// very last write, when the events are in the file but not surely on the disk.
// Either way they were not reported safe, and the same Append may come again.
func TestAppendAfterFailedCommit(t *testing.T) {
	for name, failing := range map[string]func(*bolt.Tx) error{
		"nothing written": func(*bolt.Tx) error { return errDisk },
		"all written":     func(tx *bolt.Tx) error { return errors.Join(tx.Commit(), errDisk) },
	} {
		sound := (*bolt.Tx).Commit
		broken := func(t *testing.T) (*Store, shed.DayID) {
			s := newStore(t)
			id := startDay(t, s, 3)
			s.commit = failing
			err := s.Append(id, notes(4, 6), ended(id))
			wantSentence(t, err, ErrSave, s.Path(), "input/output error", "tried again")
			if !errors.Is(err, errDisk) {
				t.Errorf("the cause is lost: %v", err)
			}
			s.commit = sound
			return s, id
		}
		t.Run(name+"/same again", func(t *testing.T) {
			s, id := broken(t)
			must.Do(t, s.Append(id, notes(4, 6), ended(id)))
			wantEvents(t, s, id, notes(1, 6))
			wantSentence(t, s.Append(id, notes(4, 6), ended(id)), ErrOrder) // once only
		})
		t.Run(name+"/fails twice", func(t *testing.T) {
			s, id := broken(t)
			s.commit = failing
			wantSentence(t, s.Append(id, notes(4, 8), ended(id)), ErrSave)
			s.commit = sound
			must.Do(t, s.Append(id, notes(4, 9), ended(id)))
			wantEvents(t, s, id, notes(1, 9))
		})
		t.Run(name+"/fails twice, the second time at once", func(t *testing.T) {
			s, id := broken(t)
			s.commit = func(*bolt.Tx) error { return errDisk }
			wantSentence(t, s.Append(id, notes(4, 8), ended(id)), ErrSave)
			s.commit = sound
			must.Do(t, s.Append(id, notes(4, 5), ended(id)))
			wantEvents(t, s, id, notes(1, 5))
		})
		t.Run(name+"/the rest comes in parts", func(t *testing.T) {
			s, id := broken(t)
			for n := uint64(4); n <= 8; n++ {
				must.Do(t, s.Append(id, notes(n, n), running(id)))
			}
			wantEvents(t, s, id, notes(1, 8))
			wantSentence(t, s.Append(id, notes(5, 5), running(id)), ErrOrder)
		})
		t.Run(name+"/something else instead", func(t *testing.T) {
			s, id := broken(t)
			must.Do(t, s.Append(id, notes(4, 4), running(id)))
			wantEvents(t, s, id, notes(1, 4))
			if open, ok, err := s.OpenDay(); err != nil || !ok || open != id {
				t.Errorf("open day %d %v (%v)", open, ok, err)
			}
		})
		t.Run(name+"/gap", func(t *testing.T) {
			s, id := broken(t)
			wantSentence(t, s.Append(id, notes(9, 9), running(id)), ErrOrder)
			wantSentence(t, s.Append(id, notes(3, 3), running(id)), ErrOrder)
		})
	}
}

// setRaw puts a value with its sum into a part, as a program with other rules would;
// nil takes it out.
func setRaw(t *testing.T, s *Store, k, v []byte, name string) {
	t.Helper()
	must.Do(t, s.update(func(c *change) error {
		p, err := c.part(name)
		if err != nil {
			return err
		}
		if v == nil {
			return p.delete(k)
		}
		return p.put(k, v)
	}))
}

// setEvent does so with an event of a day.
func setEvent(t *testing.T, s *Store, id shed.DayID, seq uint64, v []byte) {
	t.Helper()
	must.Do(t, s.update(func(c *change) error {
		p, err := c.part(journalPart)
		if err != nil {
			return err
		}
		day, err := p.day(key(uint64(id)))
		if err != nil {
			return err
		}
		n, _ := day.last()
		var last uint64
		for i := uint64(1); i <= n; i++ {
			now, _ := split(day.b.Get(key(i)))
			if i == seq {
				now = v
			}
			if now == nil {
				if err := day.b.Delete(key(i)); err != nil {
					return err
				}
				continue
			}
			last = eventSum(day.id, key(i), last, now)
			if err := day.b.Put(key(i), sealed(now, last)); err != nil {
				return err
			}
		}
		return day.ends(day.b.Sequence(), last)
	}))
}

func TestUnreadableEventIsNamed(t *testing.T) {
	good := []byte(`{"seq":5,"at":"2026-06-13T07:35:00Z","event":"tub held","body":{"tub":1}}`)
	for name, value := range map[string][]byte{
		"no JSON":      []byte("{"),
		"empty":        {},
		"unknown kind": []byte(`{"seq":5,"at":"2026-06-13T07:35:00Z","event":"fleece dyed","body":{}}`),
		"no body":      []byte(`{"seq":5,"at":"2026-06-13T07:35:00Z","event":"tub held"}`),
		"wrong number": slices.Concat([]byte(`{"seq":6`), good[len(`{"seq":5`):]),
		"gone":         nil,
	} {
		t.Run(name, func(t *testing.T) {
			s := newStore(t)
			first := wholeDay(t, s, 4)
			id := startDay(t, s, 9)
			setEvent(t, s, id, 5, value)
			_, err := s.Events(id)
			wantSentence(t, err, ErrUnreadable, "wash day 2", "event 5")
			wantEvents(t, s, first, notes(1, 4)) // other days are not touched by it
			if err := s.Append(id, notes(10, 10), running(id)); err != nil {
				t.Errorf("the day cannot go on: %v", err)
			}
			setEvent(t, s, id, 5, good)
			if got, err := s.Events(id); err != nil || len(got) != 10 || got[4].Event != (session.TubHeld{Tub: 1}) {
				t.Errorf("after the repair: %v (%v)", got, err)
			}
		})
	}
}

// The line of a day in the list of days, and the note of the open one, are told by its
// events where they do not read, and are whole again with the next event.
func TestUnreadableSummaryAndNote(t *testing.T) {
	s := newStore(t)
	id := startDay(t, s, 1)
	setRaw(t, s, key(uint64(id)), []byte("[]"), daysPart)
	setRaw(t, s, openKey, []byte("1"), metaPart)
	if days, err := s.Days(0); err != nil || len(days) != 1 || days[0].ID != id {
		t.Errorf("%v (%v)", days, err)
	}
	if open, ok, err := s.OpenDay(); err != nil || !ok || open != id {
		t.Errorf("open day %d %v (%v)", open, ok, err)
	}
	_, err := s.NewDay()
	wantSentence(t, err, ErrDayOpen)
	if rep, err := Check(s.Path()); err != nil || len(rep.Harm) != 2 {
		t.Errorf("%q (%v)", rep.Harm, err)
	}
	if err := s.Append(id, notes(2, 2), running(id)); err != nil {
		t.Error(err)
	}
	if rep, err := Check(s.Path()); err != nil || !rep.Whole() {
		t.Errorf("%q (%v)", rep.Harm, err)
	}
}

// A long day's plan is many pages in one value.
func TestLargeEvent(t *testing.T) {
	s := newStore(t)
	id := must.Get(s.NewDay()).In(t)
	plan := shed.Plan{Kit: shed.DefaultKit(), Method: shed.BuiltInMethod()}
	for i := range 200 {
		plan.Fleeces = append(plan.Fleeces, shed.Fleece{ID: fmt.Sprintf("f%d", i), Animal: "Bramble", Farm: "Ninefold Farm", RawG: 2100})
		plan.Batches = append(plan.Batches, shed.Batch{ID: fmt.Sprintf("A%d", i), FleeceID: fmt.Sprintf("f%d", i), RawG: 180})
	}
	want := []session.Recorded{{Seq: 1, At: morning, Event: session.DayStarted{Plan: plan}}}
	must.Do(t, s.Append(id, want, running(id)))
	wantEvents(t, s, id, want)
}
