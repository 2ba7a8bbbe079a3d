package store

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"testing"
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/must"
	"fleece.example/tubside/session/shed"
)

// recordLayout is a file with the record's own fields: fleece, trays, scales,
// weighings, rows. Animal, farm and figures are invented.
const recordLayout = "../testdata/journals/layout-1-record.db"

var (
	recordScale  = shed.Scale{Name: "kitchen", StepG: 0.5}
	recordFleece = shed.Fleece{ID: "f1", Animal: "Bramble", Farm: "Ninefold Farm", Year: 2026, Type: shed.Medium, RawG: 2100,
		SkirtedG: 1900, StapleMM: 95, Colour: "moorit"}
)

func recordKit() shed.Kit {
	k := keptKit
	k.Trays, k.Scales = []shed.Tray{{ID: "r1", Name: "top", Places: 2}}, []shed.Scale{recordScale}
	return k
}

// recordDay is a batch racked, weighed wet and raw, and bagged; another dries.
func recordDay() []session.Recorded {
	batches := []shed.Batch{{ID: "A1", FleeceID: "f1", RawG: 180, RawScale: recordScale}, {ID: "A2", FleeceID: "f1", RawG: 200}}
	steps := []shed.Step{{Kind: shed.Rack, Name: "rack"}}
	events := []session.Event{
		session.DayStarted{Plan: shed.Plan{Kit: recordKit(), Method: keptMethod, Fleeces: []shed.Fleece{recordFleece}, Batches: batches,
			OnRack: []shed.Lying{{Tray: "r1", Day: 1, Batch: "C1"}}}},
		session.BatchLoaded{Tub: 0, Batch: "A1", Steps: steps},
		session.BatchWeighedRaw{Batch: "A1", RawG: 182.5, Scale: recordScale},
		session.BatchWeighedWet{Batch: "A1", MassG: 160, Scale: recordScale},
		session.FibreRacked{Tub: 0, Tray: "r1"},
		session.BatchLoaded{Tub: 0, Batch: "A2", Steps: steps},
		session.FibreRacked{Tub: 0},
		session.DayEnded{},
		session.BatchWeighed{Batch: "A1", DryG: 101.5, Scale: recordScale, RH: 0.6},
	}
	var out []session.Recorded
	for i, e := range events {
		out = append(out, session.Recorded{Seq: uint64(i + 1), At: morning.Add(time.Duration(i) * time.Hour), Event: e})
	}
	return out
}

// A file with the record's fields reads as it was meant, and its rows are those
// that its events give.
func TestKeptRecord(t *testing.T) {
	recs := recordDay()
	sum := ledger.Summarise(1, session.Replay(recs))
	if *update {
		s := newStore(t)
		f := recordFleece
		f.ID = ""
		_, errF := s.SaveFleece(f)
		id, errD := s.NewDay()
		must.Do(t, errors.Join(errF, errD, s.SaveKit(recordKit()), s.Append(id, recs, sum), s.Close()))
		content := must.Get(os.ReadFile(s.Path())).In(t)
		must.Do(t, os.WriteFile(recordLayout, content, 0o644))
	}
	s := openKept(t, recordLayout)
	wantEvents(t, s, 1, recs)
	kept := sum
	kept.Method, kept.MethodID, kept.FleeceIDs = "", "", nil // it wrote none
	kept.Rows = slices.Clone(sum.Rows)                       // where a batch's first water stands, it has when the batch got its tub
	kept.Rows[0].SunkAt, kept.Rows[1].SunkAt = morning.Add(time.Hour), morning.Add(5*time.Hour)
	days, err := s.Days(0)
	if err != nil || !reflect.DeepEqual(days, []ledger.Summary{kept}) {
		t.Errorf("days %+v (%v), want %+v", days, err, kept)
	}
	if f, err := s.Fleeces(); err != nil || !reflect.DeepEqual(f, []shed.Fleece{recordFleece}) {
		t.Errorf("fleeces %+v (%v)", f, err)
	}
	if k, _, err := s.Kit(); err != nil || !reflect.DeepEqual(k, recordKit()) {
		t.Errorf("kit %+v (%v)", k, err)
	}
	want := ledger.BatchRow{ID: "A1", FleeceID: "f1", RawG: 182.5, DryG: 101.5, RackedAt: morning.Add(4 * time.Hour),
		DryAt: morning.Add(8 * time.Hour), Tray: "r1", RawScale: recordScale, DryScale: recordScale, DryRH: 0.6, Wet: 1}
	if got := sum.Rows[0]; !reflect.DeepEqual(got, want) || sum.Rows[1].State() != ledger.Drying {
		t.Errorf("rows %+v, want %+v first", sum.Rows, want)
	}
}

// What an older version kept has no rows; they come from its events, and the
// file stays as it was.
func TestOldSummariesGetTheirRows(t *testing.T) {
	s := openKept(t, presentLayout)
	days := must.Get(s.Days(0)).In(t)
	for i := range days {
		days[i].Batches = 1 // as a whole summary says
	}
	must.Do(t, ledger.FillRows(s, days))
	first := days[len(days)-1]
	if len(first.Rows) != 1 || first.Rows[0].FleeceID != "f1" || first.Rows[0].RawG != 180 || first.Rows[0].State() != ledger.InWater {
		t.Errorf("rows %+v", first.Rows)
	}
	if again, err := s.Days(0); err != nil || again[len(again)-1].Rows != nil {
		t.Errorf("the file was changed: %+v (%v)", again, err)
	}
}

// openKept opens a copy of a kept file.
func openKept(t *testing.T, kept string) *Store {
	t.Helper()
	content := must.Get(os.ReadFile(kept)).In(t)
	path := filepath.Join(t.TempDir(), "wash.db")
	must.Do(t, os.WriteFile(path, content, 0o600))
	return reopen(t, path)
}

// A fleece goes only if no day uses it, by rows or, in an old file, by events.
func TestDeleteFleece(t *testing.T) {
	for _, kept := range []string{recordLayout, presentLayout} {
		s := openKept(t, kept)
		if err := s.DeleteFleece("f1"); !errors.Is(err, ErrWashed) {
			t.Errorf("%s: a fleece of a day: %v", kept, err)
		}
		f := must.Get(s.SaveFleece(shed.Fleece{Animal: "Pip", RawG: 1000})).In(t)
		if err := s.DeleteFleece(f.ID); err != nil {
			t.Errorf("%s: %v", kept, err)
		}
		for _, id := range []string{f.ID, "", "f99", "m1"} {
			if err := s.DeleteFleece(id); !errors.Is(err, ErrUnknown) {
				t.Errorf("%s: deleting %q: %v", kept, id, err)
			}
		}
		if left, err := s.Fleeces(); err != nil || len(left) != 1 || left[0].ID != "f1" {
			t.Errorf("%s: left %+v (%v)", kept, left, err)
		}
		again, err := s.SaveFleece(shed.Fleece{Animal: "Pip", RawG: 1000})
		if err != nil || again.ID == f.ID {
			t.Errorf("%s: the mark %s was given again (%v)", kept, again.ID, err)
		}
	}
}

// BenchmarkLedger1000 reads 1 000 fleeces and 1 000 days of 20 batches and makes
// the ledger of them; x-days is by the same list of days without batches.
func BenchmarkLedger1000(b *testing.B) {
	s, plain := newStore(b), thousandDays(b)
	s.db.NoSync = true // only to get there
	for i := range 1000 {
		must.Get(s.SaveFleece(shed.Fleece{Animal: fmt.Sprintf("Ewe %d", i), Farm: "Nowhere Fold", RawG: 6000})).In(b)
	}
	for d := range 1000 {
		id := wholeDay(b, s, 2)
		sum := ended(id)
		sum.Batches = 20
		for i := range 20 {
			sum.Rows = append(sum.Rows, ledger.BatchRow{ID: fmt.Sprintf("A%d", i+1), FleeceID: fmt.Sprintf("f%d", (d*20+i)%1000+1), RawG: 200, DryG: 118.5,
				SunkAt: morning, RackedAt: morning.Add(4 * time.Hour), DryAt: morning.Add(48 * time.Hour), Tray: "r1", RawScale: recordScale, DryScale: recordScale, DryRH: 0.6})
		}
		must.Do(b, s.Append(id, notes(3, 3), sum))
	}
	s.db.NoSync = false
	var all, days []time.Duration
	for b.Loop() {
		start := time.Now()
		fleeces, errF := s.Fleeces()
		sums, errD := s.Days(0)
		book := ledger.Book(fleeces, sums)
		all = append(all, time.Since(start))
		if errF != nil || errD != nil || len(book) != 1000 || book[0].Bagged != 20 {
			b.Fatalf("%v, %v, %+v", errF, errD, book[0])
		}
		b.StopTimer()
		start = time.Now()
		must.Get(plain.Days(0)).In(b)
		days = append(days, time.Since(start))
		b.StartTimer()
	}
	b.ReportMetric(float64(median(all).Microseconds())/1000, "ms-median")
	b.ReportMetric(float64(median(all))/float64(median(days)), "x-days")
}

// A fleece that was entered twice is one: its second mark leaves the list, and the day of it
// tells of the first, as do its rows. Neither is deleted while a day has them.
func TestJoinedFleece(t *testing.T) {
	s := newStore(t)
	save := func(f shed.Fleece) shed.Fleece {
		t.Helper()
		f = must.Get(s.SaveFleece(f)).In(t)
		return f
	}
	second := recordFleece
	second.ID = ""
	second = save(second)
	first := save(shed.Fleece{Animal: "Brambel", RawG: 900, Wax: shed.High})
	recs := recordDay() // of f1
	id, err := s.NewDay()
	must.Do(t, errors.Join(err, s.Append(id, recs, ledger.Summarise(id, session.Replay(recs)))))
	first = save(first.With(second, false))
	if first.RawG != 3000 || first.SkirtedG != 2800 || first.Colour != "moorit" || first.Farm != "Ninefold Farm" {
		t.Errorf("together %+v", first)
	}
	all, err := s.Fleeces()
	if err != nil || len(all) != 1 || all[0].ID != first.ID {
		t.Errorf("%+v (%v)", all, err)
	}
	days := must.Get(s.Days(0)).In(t)
	if e := ledger.Book(all, days)[0]; len(e.Batches) != 2 || e.LeftG != 2800-182.5-200 || days[0].Fleeces[0] != "Brambel, Ninefold Farm" {
		t.Errorf("%+v of %v", e, days[0].Fleeces)
	}
	d, err := s.Day(id)
	if f := d.FleeceOf("A1"); err != nil || f.ID != first.ID || f.ToWashG() != 2800 || f.Title() != "Brambel, Ninefold Farm" || f.Wax != recordFleece.Wax {
		t.Errorf("%+v (%v)", f, err)
	}
	if err := s.DeleteFleece(first.ID); !errors.Is(err, ErrWashed) {
		t.Error(err)
	}
	if err := errors.Join(s.DeleteDay(id), s.DeleteFleece(first.ID)); err != nil {
		t.Error(err)
	}
	if all, err := s.Fleeces(); err != nil || len(all) > 0 {
		t.Errorf("%+v (%v)", all, err)
	}
}

// However fleeces name each other, one of them stands, every mark leads to it, and all go with
// it: stores that were merged may each have joined two of them, one way or the other.
func TestJoinedInChainsAndRings(t *testing.T) {
	for name, c := range map[string]struct {
		joined [3][]string // of f1, f2, f3
		stands string
	}{
		"two, each the other's":    {[3][]string{{"f2"}, {"f1", "f3"}, nil}, "f2"},
		"a chain":                  {[3][]string{nil, {"f1"}, {"f2"}}, "f3"},
		"a chain the other way":    {[3][]string{{"f2"}, {"f3"}, nil}, "f1"},
		"a chain that is all told": {[3][]string{{"f2", "f3"}, {"f3"}, nil}, "f1"},
		"a ring":                   {[3][]string{{"f3"}, {"f1"}, {"f2"}}, "f3"},
		"a ring the other way":     {[3][]string{{"f2"}, {"f3"}, {"f1"}}, "f3"},
		"one that names itself":    {[3][]string{{"f1", "f2"}, {"f3"}, nil}, "f1"},
	} {
		s := newStore(t)
		for range 3 {
			must.Get(s.SaveFleece(shed.Fleece{Animal: "Pip", RawG: 1000})).In(t)
		}
		for i, joined := range c.joined {
			must.Get(s.SaveFleece(shed.Fleece{ID: fmt.Sprintf("f%d", i+1), Animal: "Pip", RawG: 1000, Joined: joined})).In(t)
		}
		all, err := s.Fleeces()
		if err != nil || len(all) != 1 || all[0].ID != c.stands {
			t.Errorf("%s: %+v (%v)", name, all, err)
			continue
		}
		for _, id := range []string{"f1", "f2", "f3"} {
			if into := s.Names().Into(id); into != c.stands {
				t.Errorf("%s: %s is part of %s", name, id, into)
			}
		}
		if err := s.DeleteFleece(c.stands); err != nil {
			t.Errorf("%s: %v", name, err)
		}
		if all, err := s.Fleeces(); err != nil || len(all) > 0 {
			t.Errorf("%s: left %+v (%v)", name, all, err)
		}
	}
}
