package session_test

import (
	"slices"
	"testing"
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/sessiontest"
	"fleece.example/tubside/session/shed"
)

// TestStockIsTakenOff: what is washed and what is planned is off a fleece, and off its part.
func TestStockIsTakenOff(t *testing.T) {
	f := shed.Fleece{ID: "f1", RawG: 1000, Parts: []shed.FleecePart{{Name: "shoulder", RawG: 400}, {Name: "britch", RawG: 600}}}
	at := time.Date(2026, 3, 14, 9, 0, 0, 0, time.UTC)
	day := ledger.Summary{ID: 1, Rows: ledger.BatchRows{{ID: "A1", FleeceID: "f1", RawG: 150, Part: "shoulder", SunkAt: at, RackedAt: at}}}
	s := ledger.StockOf([]shed.Fleece{f}, []ledger.Summary{day})
	planned := []shed.Batch{{FleeceID: "f1", RawG: 100, Part: "Shoulder"}, {FleeceID: "f2", RawG: 500}}
	for part, want := range map[string]float64{"": 750, "shoulder": 150, "SHOULDER": 150, "britch": 600} {
		if got := s.LeftG(f, part, planned); got != want {
			t.Errorf("left of %q: %v g, want %v", part, got, want)
		}
	}
	if got := s.LeftG(shed.Fleece{ID: "new", RawG: 300, SkirtedG: 250}, "", nil); got != 250 {
		t.Errorf("a new fleece has %v g", got)
	}
	for g, want := range map[float64]bool{850: false, 850.4: false, 851: true} {
		if _, left, over := s.Over(f, []shed.Batch{{FleeceID: "f1", RawG: g}}); over != want || left != 850 {
			t.Errorf("%v g of %v g left: over %v", g, left, over)
		}
	}
}

// TestNoTrayGoesUnderWhatLiesOnIt: a tray on which something lies is part of the next kit.
func TestNoTrayGoesUnderWhatLiesOnIt(t *testing.T) {
	kit := shed.Kit{Trays: []shed.Tray{{ID: "r1", Name: "top"}, {ID: "r2", Name: "low"}}}
	next := shed.Kit{Trays: kit.Trays[1:]}
	d := session.Day{Plan: shed.Plan{Batches: []shed.Batch{{ID: "A1"}, {ID: "A2"}, {ID: "A3"}}}, Fate: map[string]session.Fate{
		"A1": {Tray: "r2"}, "A2": {Tray: "r1", DryG: 120}, "A3": {Tray: "r1"}}}
	lying := d.OnTrays()
	if l, tray, found := session.MissesTray(kit, next, lying); !found || l.Batch != "A3" || tray.Name != "top" {
		t.Errorf("%+v %+v %v", l, tray, found)
	}
	if _, _, found := session.MissesTray(kit, next, lying[:1]); found {
		t.Error("what lies on a tray that stays was in the way")
	}
}

// TestRackAfterAnotherDay: what another day says of the rack takes the place of what was
// known of that day, and of no other.
func TestRackAfterAnotherDay(t *testing.T) {
	at := time.Date(2026, 3, 14, 9, 0, 0, 0, time.UTC)
	d := session.Day{Plan: shed.Plan{OnRack: []shed.Lying{{Tray: "r1", Day: 1, Batch: "A1"}, {Tray: "r2", Day: 2, Batch: "B1"}}}}
	same := ledger.Summary{ID: 2, Rows: ledger.BatchRows{{ID: "B1", Tray: "r2", SunkAt: at, RackedAt: at}, {ID: "B2", Tray: "r2", SunkAt: at, RackedAt: at}}}
	before := ledger.BatchesBefore{{Day: 2, Batch: "B2"}} // washed again since
	if _, changed := ledger.RackAfter(d, same, before); changed {
		t.Error("nothing has changed")
	}
	same.Rows[0].DryG = 100
	onRack, changed := ledger.RackAfter(d, same, before)
	if !changed || len(onRack) != 1 || onRack[0].Day != 1 {
		t.Errorf("%v %+v", changed, onRack)
	}
}

// TestLeftAtTheEnd: which fleece is wet at the end of a day, which never went in, and how
// long the end can be taken back.
func TestLeftAtTheEnd(t *testing.T) {
	at := time.Date(2026, 3, 14, 9, 0, 0, 0, time.UTC)
	d := session.Day{StartedAt: at, Plan: shed.Plan{Kit: shed.Kit{Tubs: []shed.Tub{{Name: "North"}, {Name: "South"}}},
		Batches: []shed.Batch{{ID: "A1"}, {ID: "A2"}}}, Tubs: []session.TubRun{{Batch: "A1"}, {}}, Fate: map[string]session.Fate{}}
	neverIn := func() []string { _, ids, _ := d.NotRacked(); return ids }
	if !d.MayDrop() || len(d.LeftWet()) > 0 || !slices.Equal(neverIn(), []string{"A1", "A2"}) {
		t.Errorf("before anything went in: %v %v %v", d.MayDrop(), d.LeftWet(), neverIn())
	}
	d.Fate["A1"] = session.Fate{SunkAt: at}
	if d.MayDrop() || !slices.Equal(d.LeftWet(), []string{"North"}) || !slices.Equal(neverIn(), []string{"A2"}) {
		t.Errorf("with A1 in: %v %v %v", d.MayDrop(), d.LeftWet(), neverIn())
	}
	d.EndedAt = at
	for hours, want := range map[int]bool{-1: false, 0: true, 72: true, 73: false} {
		if got := d.MayGoOn(at.Add(time.Duration(hours) * time.Hour)); got != want {
			t.Errorf("%d h later its end can be taken back: %v", hours, got)
		}
	}
	if session.LongDry(time.Time{}, at) || session.LongDry(at, at.Add(20*24*time.Hour)) || !session.LongDry(at, at.Add(22*24*time.Hour)) {
		t.Error("three weeks on the rack are long since dry")
	}
}

// TestEveryBatchLeftWetGoesOn: a day that ends at any moment between the first bath and the rack leaves its batch
// wet: it may be laid on the rack or thrown away. One that was dried after its presoak is raw fleece.
func TestEveryBatchLeftWetGoesOn(t *testing.T) {
	p := sessiontest.OneTub(func(p *shed.Plan) { p.Batches[0].Presoak = shed.PresoakQuick })
	r := sessiontest.Start(t, p).Until(0, shed.Soaking)
	stood := map[string]bool{}
	for n := 0; r.Day.Fate["A1"].RackedAt.IsZero(); n++ {
		if n > 60 {
			t.Fatal("it never came on the rack")
		}
		ended := sessiontest.Run{T: t, Day: r.Day, Now: r.Now}
		if (&ended).Do(session.EndDay{Anyway: true}); !ended.Day.LiesWet("A1") || ended.Day.StoodAt("A1") == "" {
			t.Fatalf("%s: wet %v, at %q", r.Day.Tubs[0].Phase, ended.Day.LiesWet("A1"), ended.Day.StoodAt("A1"))
		}
		stood[r.Day.Tubs[0].Phase.String()+" "+r.Day.Tubs[0].Step().Name] = true
		racked, gone := ended, ended
		(&racked).Do(session.MoveOnRack{Batch: "A1"})
		(&gone).Do(session.Judge{Batch: "A1", Out: session.Outcome{Found: session.ThrownAway}})
		for _, x := range []struct {
			d    session.Day
			want ledger.State
		}{{racked.Day, ledger.Drying}, {gone.Day, ledger.Gone}} {
			if got := ledger.StateOf(x.d, "A1"); got != x.want || x.d.LiesWet("A1") || len(x.d.Washed()) != 1 {
				t.Errorf("%s: %v, not %v, washed %v", r.Day.Tubs[0].Phase, got, x.want, x.d.Washed())
			}
		}
		r.Next(0)
	}
	if len(stood) < 8 {
		t.Errorf("ended at %v alone", stood)
	}
	dried := sessiontest.Start(t, p).Until(0, shed.Soaking).Until(0, shed.ToSink)
	dried.Do(session.WeighSoaked{Batch: "A1", MassG: p.Batches[0].RawG * 0.9, Scale: sessiontest.KitchenScale, Sure: true}, session.EndDay{Anyway: true})
	if dried.Day.CameOut("A1") {
		t.Error("it was dried, and lies wet")
	}
}
