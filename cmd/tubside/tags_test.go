package main

import (
	"io"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"fleece.example/tubside/cmd/tubside/exchange"
	"fleece.example/tubside/session"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/must"
	"fleece.example/tubside/session/sessiontest"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/store"
)

// keepDayOf keeps a day on which one batch of each fleece went into the water.
func keepDayOf(t *testing.T, s *store.Store, change func(*session.DayStarted), fleeces ...shed.Fleece) {
	t.Helper()
	p := shed.Plan{Kit: shed.DefaultKit(), Method: shed.BuiltInMethod(), Fleeces: fleeces}
	for _, f := range fleeces {
		p.Batches = append(p.Batches, shed.Batch{FleeceID: f.ID, RawG: 200, Presoak: shed.PresoakNone})
	}
	r := sessiontest.StartAt(t, p, time.Date(2026, 5, 16, 8, 0, 0, 0, time.UTC))
	if change != nil {
		e := r.Recs[0].Event.(session.DayStarted)
		change(&e)
		r.Recs[0].Event = e
		r.Day = session.Replay(r.Recs)
	}
	for tub := range fleeces {
		r.Do(session.DoNext{Tub: tub, Act: shed.FillTub}, session.DoNext{Tub: tub, Act: shed.SinkIn})
	}
	r.Now = r.Now.Add(time.Hour)
	r.Do(session.EndDay{Anyway: true}).Keep(s)
}

func newRecord(t *testing.T) *store.Store {
	t.Helper()
	s := must.Get(store.Open(filepath.Join(t.TempDir(), fileName))).In(t)
	t.Cleanup(func() { _ = s.Close() })
	return s
}

// A fleece that was renamed in the ledger is found by its new name on the days
// that knew the old one, and by the old one while no other fleece has it.
func TestTagsOfARenamedFleece(t *testing.T) {
	s := newRecord(t)
	save := func(f shed.Fleece) shed.Fleece {
		t.Helper()
		f = must.Get(s.SaveFleece(f)).In(t)
		return f
	}
	bramble := save(shed.Fleece{Animal: "Bramble", RawG: 2000})
	keepDayOf(t, s, nil, bramble, shed.Fleece{ID: "f99", Animal: "Sorrel", RawG: 900}) // one that is not in the ledger
	bramble.Animal = "Thistle"
	save(bramble)
	keepDayOf(t, s, nil, bramble)
	want := func(name string, codes int, said string) {
		t.Helper()
		found, err := (&tagging{fleece: name}).byFleece(s)
		if len(found) != codes || said == "" && err != nil || said != "" && (err == nil || !strings.Contains(err.Error(), said)) {
			t.Errorf("%s: %+v (%v), want %d, %q", name, found, err, codes, said)
		}
	}
	want("Thistle", 2, "")
	want("bramble", 1, "")
	want("f1", 2, "")
	want("Sorrel", 1, "")
	want("Clover", 0, "there is no fleece Clover")
	other := save(shed.Fleece{Animal: "Bramble", RawG: 1500})
	want("Bramble", 0, "has not been washed yet")
	keepDayOf(t, s, nil, other)
	want("Bramble", 1, "")
	want("Thistle", 2, "")
	save(shed.Fleece{Animal: "Sorrel", RawG: 1500})
	want("Sorrel", 1, "")
	other.Animal = "Thistle"
	save(other)
	want("Thistle", 0, "f1 (Thistle) or f2 (Thistle)")
}

// Of a batch that was washed again there is one bag, and its old code leads to it.
func TestTagsOfABatchWashedAgain(t *testing.T) {
	s := newRecord(t)
	f := must.Get(s.SaveFleece(shed.Fleece{Animal: "Bramble", RawG: 2000})).In(t)
	keepDayOf(t, s, nil, f)
	keepDayOf(t, s, func(e *session.DayStarted) { e.Plan.Batches[0].Again = shed.Earlier{Day: 1, Batch: "A1"} }, f)
	found, err := (&tagging{fleece: "Bramble"}).find(s, io.Discard)
	if err != nil || len(found) != 1 || found[0].Code != "002M" {
		t.Errorf("%+v (%v)", found, err)
	}
	const left = "no tag for what was washed again since: A1 of 16 May 2026 (now A1, code 002M)"
	if _, err := (along{s}).FleeceTags(io.Discard, f.ID, measure.Metric); err == nil || err.Error() != left {
		t.Errorf("on the screen: %v", err)
	}
	if _, err := (&tagging{on: "1"}).find(s, io.Discard); err == nil || !strings.Contains(err.Error(), "`tubside tags --code 001J` says which") {
		t.Error(err)
	}
	keepDayOf(t, s, func(e *session.DayStarted) { e.Plan.Batches[0].Again = shed.Earlier{Day: 2, Batch: "A1"} }, f)
	for _, code := range []string{"001J", "002M", "003P"} {
		var said strings.Builder
		x := tagging{code: code}
		found, err := x.find(s, &said)
		if err != nil || len(found) != 1 || found[0].Code != "003P" || !strings.Contains(found[0].Washes, "code 002M") {
			t.Errorf("%s: %+v (%v)", code, found, err)
		}
		text := said.String()
		if at := strings.Index(text, "Wash day 3, "); at != 0 || !(strings.Index(text, "of wash day 2, code 002M, 16 May 2026") < strings.Index(text, "of wash day 1, code 001J")) {
			t.Errorf("%s: %s", code, text)
		}
		if older := code != "003P"; older != slices.Equal(x.left, []string{"it was washed again since " + code + ": its code is 003P now"}) {
			t.Errorf("%s: %q", code, x.left)
		}
	}
	must.Do(t, s.Close())
	if text := printed(t, filepath.Dir(s.Path()), "tags", "--fleece", "Bramble"); !strings.Contains(text, "tubside: "+strings.ReplaceAll(left, "002M)", "003P), A1 of 16 May 2026 (now A1, code 003P)")+"\n") {
		t.Error(text)
	}
}

// One batch with a mark that has no code, in a store from before such a thing was
// refused, leaves the tags and the table of the others as they are.
func TestMarkWithoutCodeSpoilsNothing(t *testing.T) {
	s := newRecord(t)
	f := shed.Fleece{ID: "f1", Animal: "Bramble", RawG: 2000}
	keepDayOf(t, s, func(e *session.DayStarted) {
		e.Plan.Batches = slices.Clone(e.Plan.Batches)
		e.Plan.Batches[0].ID = "f1"
		e.Loads = slices.Clone(e.Loads)
		e.Loads[0].Batch = "f1"
	}, f)
	keepDayOf(t, s, nil, f)
	found, err := (&tagging{fleece: "Bramble"}).byFleece(s)
	if err != nil || len(found) != 2 || found[0].Code != "" || found[1].Code != "002M" {
		t.Errorf("%+v (%v)", found, err)
	}
	var table strings.Builder
	must.Do(t, exchange.WriteCSV(&table, s, time.UTC))
	if got := table.String(); !strings.Contains(got, "\n1,2026-05-16,,f1,f1,Bramble") || !strings.Contains(got, "\n2,2026-05-16,'002M,A1,f1,Bramble") {
		t.Error(got)
	}
}
