package store

import (
	"path/filepath"
	"reflect"
	"testing"
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/must"
	"fleece.example/tubside/session/shed"
)

// When the program was left, and the plan of the next day, outlive it; what is not ours is nothing.
func TestLeft(t *testing.T) {
	path := filepath.Join(t.TempDir(), "tubside.db")
	s, err := Open(path)
	if err != nil {
		t.Fatal(err)
	}
	if l, err := s.Left(); err != nil || l != (session.Left{}) {
		t.Errorf("a new file: %+v, %v", l, err)
	}
	want := session.Left{Day: 3, Seq: 41, At: time.Date(2026, 3, 14, 9, 7, 5, 0, time.UTC)}
	must.Do(t, s.SaveLeft(want))
	must.Do(t, s.Close())
	if s, err = Open(path); err != nil {
		t.Fatal(err)
	}
	plan := shed.Plan{Method: shed.BuiltInMethod(), Batches: []shed.Batch{{FleeceID: "f1", RawG: 200, Again: shed.Earlier{Day: 2, Batch: "A1"}}}}
	none, err := s.Draft()
	if saveErr := s.SaveDraft(ledger.Draft{Plan: plan, ReadyBy: want.At}); saveErr != nil || err != nil || len(none.Plan.Batches) > 0 {
		t.Errorf("%+v, %v, %v", none, err, saveErr)
	}
	if p, err := s.Draft(); err != nil || !reflect.DeepEqual(p.Plan.Batches, plan.Batches) || !reflect.DeepEqual(p.Plan.Method, plan.Method) || !p.ReadyBy.Equal(want.At) {
		t.Errorf("the plan of the next day: %+v, %v", p, err)
	}
	if l, err := s.Left(); err != nil || l != want {
		t.Errorf("%+v, %v", l, err)
	}
	to := filepath.Join(t.TempDir(), "rest.db")
	must.Get(Salvage(path, to)).In(t)
	if p, err := reopen(t, to).Draft(); err != nil || !reflect.DeepEqual(p.Plan.Batches, plan.Batches) {
		t.Errorf("of what is whole, the plan of the next day: %+v, %v", p, err)
	}
	err = s.putIn(metaPart, leftKey, []byte("?"))
	if l, again := s.Left(); err != nil || again != nil || l != (session.Left{}) {
		t.Errorf("%+v, %v, %v", l, err, again)
	}
	if err := s.Close(); err != nil {
		t.Error(err)
	}
}
