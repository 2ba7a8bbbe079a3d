package store

import (
	"errors"
	"testing"
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/must"
	"fleece.example/tubside/session/sessiontest"
	"fleece.example/tubside/session/shed"
)

// dayUntil keeps an invented day of one batch, gone on with until the last act.
func dayUntil(t *testing.T, s *Store, acts ...shed.Action) shed.DayID {
	t.Helper()
	kit := shed.DefaultKit()
	p := shed.Plan{Kit: kit, Method: shed.BuiltInMethod(), Fleeces: []shed.Fleece{{ID: "f1", Animal: "Bramble", RawG: 2000}},
		Batches: []shed.Batch{{FleeceID: "f1", RawG: 200}}}
	r := sessiontest.StartAt(t, p, morning)
	for _, act := range acts {
		r.Now = r.Now.Add(time.Minute)
		r.Do(session.DoNext{Act: act})
	}
	return r.Keep(s)
}

func end(t *testing.T, s *Store, id shed.DayID) {
	t.Helper()
	recs := must.Get(s.Events(id)).In(t)
	d, more, err := session.Do(session.Replay(recs), session.EndDay{Anyway: true}, morning.Add(time.Hour))
	if err == nil {
		err = s.Append(id, more, ledger.Summarise(id, d))
	}
	if err != nil {
		t.Fatal(err)
	}
}

// A deleted day is gone from the list, the journal and the note of the open day;
// its number stays used, and so do those of the others.
func TestDeleteDay(t *testing.T) {
	s := newStore(t)
	first := dayUntil(t, s, shed.FillTub, shed.SinkIn)
	if err := s.DeleteDay(first); !errors.Is(err, ErrDayOpen) {
		t.Fatalf("an open day with fleece in the water: %v", err)
	}
	end(t, s, first)
	second := dayUntil(t, s, shed.FillTub)
	if err := s.DeleteDay(second); err != nil {
		t.Fatalf("an open day on which nothing went in: %v", err)
	}
	if id, open, err := s.OpenDay(); open || err != nil {
		t.Errorf("day %d is open (%v)", id, err)
	}
	if _, err := s.Events(second); !errors.Is(err, ErrUnknown) {
		t.Errorf("its events: %v", err)
	}
	if days, err := s.Days(0); err != nil || len(days) != 1 || days[0].ID != first {
		t.Errorf("left %+v (%v)", days, err)
	}
	third := dayUntil(t, s)
	if third != second+1 {
		t.Errorf("the next day is %d, after %d", third, second)
	}
	if err := s.DeleteDay(first); err != nil {
		t.Fatalf("an ended day beside an open one: %v", err)
	}
	if id, open, err := s.OpenDay(); !open || id != third || err != nil {
		t.Errorf("day %d is open: %v (%v)", id, open, err)
	}
	for _, id := range []shed.DayID{first, second, 0, 99} {
		if err := s.DeleteDay(id); !errors.Is(err, ErrUnknown) {
			t.Errorf("deleting day %d: %v", id, err)
		}
	}
	checkAndClose(t, s)
	s = reopen(t, s.Path())
	if days, err := s.Days(0); err != nil || len(days) != 1 || days[0].ID != third {
		t.Errorf("after the store was opened again %+v (%v)", days, err)
	}
}
