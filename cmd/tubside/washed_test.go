package main

import (
	"errors"
	"io"
	"strings"
	"testing"
	"time"

	"fleece.example/tubside/cmd/tubside/exchange"
	"fleece.example/tubside/session"
	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/must"
	"fleece.example/tubside/session/sessiontest"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/session/tag"
)

// A batch that never went into the water has no tag, no row in the table and no
// code to look up, and its weight counts to its fleece again.
func TestTagsOfWhatWasWashed(t *testing.T) {
	s := newRecord(t)
	washed, errA := s.SaveFleece(shed.Fleece{Animal: "Bramble", RawG: 2000})
	raw, errB := s.SaveFleece(shed.Fleece{Animal: "Sorrel", RawG: 900})
	must.Do(t, errors.Join(errA, errB))
	p := shed.Plan{Kit: shed.DefaultKit(), Method: shed.BuiltInMethod(), Fleeces: []shed.Fleece{washed, raw},
		Batches: []shed.Batch{{FleeceID: washed.ID, RawG: 200, Presoak: shed.PresoakNone}, {FleeceID: raw.ID, RawG: 150}, {FleeceID: washed.ID, RawG: 210}, {FleeceID: washed.ID, RawG: 220}}}
	r := sessiontest.Start(t, p).Next(0, 0, 1) // B1 has its bath, and stays out of it; A2 has its tub, A3 waits
	id := r.Leap(60).Do(session.EndDay{Anyway: true}).Keep(s)

	found, err := (&tagging{}).find(s, io.Discard)
	if err != nil || len(found) != 1 || found[0].Batch != "A1" || found[0].WashedOn.IsZero() {
		t.Errorf("tags of the day: %+v (%v)", found, err)
	}
	for batch, says := range map[string]string{"B1": "never went into the water", "A2": "never went into the water", "A3": "never went into the water", "A9": "has no such batch"} {
		code := must.Get(tag.Code(id, batch)).In(t)
		if found, err := (&tagging{code: code}).find(s, io.Discard); err == nil || !strings.Contains(err.Error(), says) {
			t.Errorf("%s: %+v (%v), want %q", batch, found, err, says)
		}
	}
	if found, err := (&tagging{fleece: "Sorrel"}).find(s, io.Discard); err == nil || !strings.Contains(err.Error(), "has not been washed yet") {
		t.Errorf("tags of a fleece that never went in: %+v (%v)", found, err)
	}
	var table strings.Builder
	if err := exchange.WriteCSV(&table, s, time.UTC); err != nil || strings.Count(table.String(), "\n") != 2 || strings.Contains(table.String(), "Sorrel") {
		t.Errorf("%v\n%s", err, table.String())
	}

	days, err := s.Days(0)
	if err != nil || days[0].Batches != 4 || days[0].Sunk != 1 {
		t.Fatalf("summary %+v (%v)", days, err)
	}
	book := ledger.Book([]shed.Fleece{washed, raw}, days)
	if x := book[0]; x.LeftG != 1800 || len(x.Batches) != 1 {
		t.Errorf("%+v", x)
	}
	if x := book[1]; x.LeftG != 900 || len(x.Batches) != 0 || !x.LastAt.IsZero() {
		t.Errorf("%+v", x)
	}
}

// A day on which nothing has gone in has no tags yet.
func TestTagsOfNothing(t *testing.T) {
	s := newRecord(t)
	p := shed.Plan{Kit: shed.DefaultKit(), Method: shed.BuiltInMethod(), Fleeces: []shed.Fleece{{ID: "f1", Animal: "Bramble", RawG: 2000}},
		Batches: []shed.Batch{{FleeceID: "f1", RawG: 200}}}
	sessiontest.Start(t, p).Do(session.EndDay{Anyway: true}).Keep(s)
	if found, err := (&tagging{}).find(s, io.Discard); err == nil || !strings.Contains(err.Error(), "nothing was washed on wash day 1") {
		t.Errorf("%+v (%v)", found, err)
	}
}

// A batch that was only presoaked when its day ended has no tag, and its code says why.
func TestTagOfWhatWasOnlyPresoaked(t *testing.T) {
	s := newRecord(t)
	id := sessiontest.Start(t, shed.Plan{Kit: shed.DefaultKit(), Method: shed.BuiltInMethod(), Fleeces: []shed.Fleece{{ID: "f1", Animal: "Bramble", RawG: 2000}},
		Batches: []shed.Batch{{FleeceID: "f1", RawG: 200}}}).Next(0, 0).Leap(60).Do(session.EndDay{Anyway: true}).Keep(s)
	code := must.Get(tag.Code(id, "A1")).In(t)
	if found, err := (&tagging{code: code}).find(s, io.Discard); err == nil || !strings.Contains(err.Error(), "was only presoaked: it is still to wash") {
		t.Errorf("%+v (%v)", found, err)
	}
}
