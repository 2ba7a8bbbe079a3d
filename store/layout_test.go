package store

import (
	"errors"
	"flag"
	"os"
	"path/filepath"
	"reflect"
	"testing"
	"time"

	bolt "go.etcd.io/bbolt"

	"fleece.example/tubside/cooling"
	"fleece.example/tubside/session"
	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/must"
	"fleece.example/tubside/session/shed"
)

var update = flag.Bool("update", false, "write the journal of the present layout anew")

// presentLayout is a file of the layout that this version writes. Once a
// layout has been released its file stays, whatever becomes of the layout: it
// is what somebody has at home. Animal, farm and figures are invented.
const presentLayout = "../testdata/journals/layout-2.db"

// The values of the kept file, spelled out: nothing in them may come from a
// default that can change.
var (
	keptTub = shed.Tub{ID: "t1", Name: "North", CapacityL: 12, FillL: 8, Shape: cooling.Deep, Cover: cooling.Lid}
	keptKit = shed.Kit{Units: measure.US, RoomC: 16, HotTapC: 52, ColdTapC: 11, Tubs: []shed.Tub{keptTub},
		Kettle: shed.Kettle{CapacityL: 1.7, PowerW: 2200}, Scour: shed.Scour{Name: "scour", DoseMLPer100G: 4.5}, LeadMin: 5}
	keptSteps = []shed.Step{
		{Kind: shed.Wash, Name: "hot wash", SoakMin: 20, ShortestMin: 15, LongestMin: 30, Water: shed.Mixed, AimC: 65,
			LowestSinkC: 60, ReleaseC: 49, FillPart: 1, Dosed: true, DrainTo: shed.Outdoors, TwiceForHighWax: true},
		{Kind: shed.Rinse, Name: "rinse", SoakMin: 15, ShortestMin: 10, LongestMin: 40, Water: shed.FromHot, MaxGapC: 12, FillPart: 0.9, DrainTo: shed.Sink},
	}
	keptMethod = shed.Method{ID: "m1", Name: "wash and rinse", About: "for a clean fleece", Steps: keptSteps}
	keptFleece = shed.Fleece{ID: "f1", Animal: "Bramble", Farm: "Ninefold Farm", Year: 2026, Type: shed.Longwool,
		Wax: shed.High, Felting: shed.Low, RawG: 2100, Notes: "waxy at the britch"}
	keptBatches = []shed.Batch{{ID: "A1", FleeceID: "f1", RawG: 180, Form: shed.Locks, Presoak: shed.PresoakNone}}
)

func keptDay() []session.Recorded {
	events := []session.Event{
		session.DayStarted{Plan: shed.Plan{Kit: keptKit, Method: keptMethod, Fleeces: []shed.Fleece{keptFleece}, Batches: keptBatches}},
		session.BatchLoaded{Tub: 0, Batch: "A1", Steps: keptSteps},
		session.BathFilled{Tub: 0, VolumeL: 8, TempC: 66.5, Read: true, DoseML: 8.1},
		session.FleeceSunk{Tub: 0, WetJPerK: 950, WetC: 16, ForecastC: 65.1, Cover: cooling.Lid},
		session.AlarmRaised{Tub: 0, Alarm: session.AlarmKind(1)},
		session.AlarmAcknowledged{Tub: 0, Alarm: session.AlarmKind(1)},
		session.NoteAdded{Tub: -1, Text: "wind from the north, cold shed"},
		session.WatchResumed{Gap: 90 * time.Second},
		session.DayEnded{Early: true},
	}
	var out []session.Recorded
	for i, e := range events {
		out = append(out, session.Recorded{Seq: uint64(i + 1), At: morning.Add(time.Duration(i) * 5 * time.Minute), Event: e})
	}
	return out
}

// A file that a released layout left on a disk opens and reads as it was meant.
func TestKeptLayouts(t *testing.T) {
	if *update {
		writeKept(t)
	}
	for _, kept := range []string{"../testdata/journals/layout-1.db", presentLayout} {
		t.Run(filepath.Base(kept), func(t *testing.T) { testKept(t, kept) })
	}
}

func testKept(t *testing.T, kept string) {
	content := must.Get(os.ReadFile(kept)).In(t)
	path := filepath.Join(t.TempDir(), "wash.db")
	must.Do(t, os.WriteFile(path, content, 0o600))
	if rep, err := Check(path); err != nil || !rep.Whole() || rep.Days != 2 {
		t.Errorf("before it is opened: %+v (%v)", rep, err)
	}
	s := reopen(t, path)
	wantEvents(t, s, 1, keptDay())
	wantEvents(t, s, 2, notes(1, 3))
	if id, ok, err := s.OpenDay(); err != nil || !ok || id != 2 {
		t.Errorf("open day %d %v (%v)", id, ok, err)
	}
	days, err := s.Days(0)
	if err != nil || !reflect.DeepEqual(days, []ledger.Summary{running(2), ended(1)}) {
		t.Errorf("days %+v (%v)", days, err)
	}
	if k, ok, err := s.Kit(); err != nil || !ok || !reflect.DeepEqual(k, keptKit) {
		t.Errorf("kit %+v %v (%v)", k, ok, err)
	}
	if f, err := s.Fleeces(); err != nil || !reflect.DeepEqual(f, []shed.Fleece{keptFleece}) {
		t.Errorf("fleeces %+v (%v)", f, err)
	}
	if m, err := s.Methods(); err != nil || !reflect.DeepEqual(m, []shed.Method{keptMethod}) {
		t.Errorf("methods %+v (%v)", m, err)
	}
	if err := s.Append(2, notes(4, 4), ended(2)); err != nil {
		t.Errorf("the open day cannot go on: %v", err)
	}
}

func writeKept(t *testing.T) {
	t.Helper()
	s := newStore(t)
	f, m := keptFleece, keptMethod
	f.ID, m.ID = "", ""
	must.Get(s.SaveFleece(f)).In(t)
	must.Get(s.SaveMethod(m)).In(t)
	must.Do(t, s.SaveKit(keptKit))
	id := must.Get(s.NewDay()).In(t)
	must.Do(t, s.Append(id, keptDay(), ended(id)))
	startDay(t, s, 3)
	must.Do(t, s.Close())
	content := must.Get(os.ReadFile(s.Path())).In(t)
	must.Do(t, os.WriteFile(presentLayout, content, 0o644))
}

// What an older version has kept and does not read is told for ever after, and the rest
// is whole.
func TestHarmIsCarriedOver(t *testing.T) {
	content, err := os.ReadFile("../testdata/journals/layout-1.db")
	if err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(t.TempDir(), "wash.db")
	must.Do(t, os.WriteFile(path, content, 0o600))
	db := must.Get(bolt.Open(path, 0o600, nil)).In(t)
	err = db.Update(func(tx *bolt.Tx) error {
		return errors.Join(tx.Bucket([]byte(methodsPart)).Put(key(1), []byte(`{"id":"m1","name":`)),
			tx.Bucket([]byte(journalPart)).Bucket(key(2)).Put(key(2), []byte("{")))
	})
	must.Do(t, errors.Join(err, db.Close()))
	for _, when := range []string{"before", "after"} {
		rep, err := Check(path)
		if err != nil || len(rep.Harm) != 2 || rep.Methods != 0 || rep.Fleeces != 1 || rep.Days != 1 || !rep.Kit {
			t.Errorf("%s: %+v (%v)", when, rep, err)
		}
		s := must.Get(Open(path)).In(t)
		wantEvents(t, s, 1, keptDay())
		if m, err := s.Methods(); err != nil || len(m) != 0 {
			t.Errorf("%v (%v)", m, err)
		}
		wantAside(t, s, "method m1")
		must.Do(t, s.Close())
	}
}
