package session_test

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/coach"
	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/must"
	"fleece.example/tubside/session/planner"
	"fleece.example/tubside/session/sessiontest"
	"fleece.example/tubside/session/shed"
)

// lockPlan is one tub, a tower of four layers, a flat tray with two places.
func lockPlan(layers ...int) shed.Plan {
	return sessiontest.OneTub(func(p *shed.Plan) {
		p.Kit.Trays = []shed.Tray{{ID: "r1", Name: "tower", Places: 1, Layers: 4}, {ID: "r2", Name: "flat", Places: 2}}
		p.Fleeces[0].RawG, p.Batches = 2000, nil
		for _, n := range layers {
			b := shed.Batch{FleeceID: "f1", RawG: 115, Form: shed.Locks, Layers: n, Presoak: shed.PresoakNone}
			if n == 0 {
				b.Form = shed.Loose
			}
			p.Batches = append(p.Batches, b)
		}
	})
}

// Locks keep their layers on the rack; loose fleece takes a place for itself.
func TestLayersOnTheRack(t *testing.T) {
	r := sessiontest.Start(t, lockPlan(3, 2, 1, 0, 3, 2))
	rack := func(want string) {
		t.Helper()
		r.Until(0, shed.ToRack)
		id := r.Day.Tubs[0].Batch
		pr := coach.Prompts(r.Day, r.Now)[0]
		place := want
		if place == "" {
			place = "no tray has room for it"
		}
		if !strings.Contains(strings.Join(sessiontest.DetailLines(pr), ";"), place) {
			t.Errorf("%s goes to %q, and the prompt says %v", id, want, pr.Details)
		}
		r.Next(0)
		sessiontest.Same(t, id+" lies on", r.RackText(id), want)
	}
	rack("tower, layers 1-3")
	rack("flat") // one layer is left
	rack("tower, layer 4")
	rack("flat")
	sessiontest.Same(t, "the tower", r.Day.Rack().Use("r1"), "4 of 4 layers")
	sessiontest.Same(t, "the flat tray", r.Day.Rack().Use("r2"), "2 of 2")
	r.Do(session.Weigh{Batch: "A3", DryG: 60, Dry: true, Sure: true})
	r.Until(0, shed.ToRack)
	_ = r.Refused(session.DoNext{Act: shed.RackFibre, Tray: "r1"}, "tray tower is too full for the 3 layers of A5 (3 of 4 layers are taken)")
	rack("")
	r.Do(session.Weigh{Batch: "A1", DryG: 60, Dry: true, Sure: true})
	rack("tower, layers 1-2")
	sessiontest.CheckRack(t, r.Day)

	// The next day finds it all where it lies.
	lying := ledger.StillDrying([]ledger.Summary{ledger.Summarise(7, r.Day)})
	next := lockPlan(3, 2)
	next.OnRack = lying
	n := sessiontest.Start(t, next).Until(0, shed.ToRack)
	sessiontest.Same(t, "the tower next day", n.Day.Rack().Use("r1"), "2 of 4 layers")
	n.Next(0)
	sessiontest.Same(t, "A1", n.RackText("A1"), "") // neither two layers nor a place
	if n.Day.HasOnRack(lying[1:]) || !n.Day.HasOnRack(lying) {
		t.Errorf("on the rack from before: %+v", n.Day.Plan.OnRack)
	}
	n.Do(session.LookOverRack{OnRack: lying[1:]}) // a flat one was bagged meanwhile
	n.Until(0, shed.ToRack).Next(0)
	sessiontest.Same(t, "A2", n.RackText("A2"), "tower, layers 3-4")
	sessiontest.CheckReplay(t, n, nil)
}

// Looking the rack over is no deed: an undo takes back what was done before it
// and leaves the rack as it is.
func TestRackLookedOverIsNotUndone(t *testing.T) {
	p := lockPlan(2)
	p.OnRack = []shed.Lying{{Tray: "r2", Day: 3, Batch: "B1"}}
	r := sessiontest.Start(t, p)
	r.Next(0).Do(session.LookOverRack{})
	r.Do(session.Undo{})
	if r.Day.NextAction(0) != shed.FillTub || len(r.Day.Plan.OnRack) != 0 {
		t.Errorf("next is %v, on the rack %+v", r.Day.NextAction(0), r.Day.Plan.OnRack)
	}
	_ = r.Refused(session.Undo{}, "nothing to undo")
	sessiontest.CheckReplay(t, r, nil)
}

// What is washed again is off the rack, whatever is bagged meanwhile, and lies there again
// once that is taken back.
func TestWashedAgainIsOffTheRack(t *testing.T) {
	p := lockPlan(2)
	p.OnRack = []shed.Lying{{Tray: "r2", Day: 3, Batch: "B1"}, {Tray: "r2", Day: 4, Batch: "B1"}}
	r := sessiontest.Start(t, p)
	again := p.Batches[0]
	again.Again = shed.Earlier{Day: 3, Batch: "B1"}
	uses := func(want string) {
		t.Helper()
		sessiontest.Same(t, "the flat tray", r.Day.Rack().Use("r2"), want)
	}
	uses("2 of 2")
	r.Do(session.AddBatch{Fleece: p.Fleeces[0], Batch: again})
	uses("1 of 2")
	r.Do(session.LookOverRack{OnRack: p.OnRack})
	uses("1 of 2")
	r.Do(session.Undo{})
	uses("2 of 2")
	sessiontest.CheckReplay(t, r, nil)
}

// A batch finds room exactly when there is some, and never where another lies.
func TestRackRoom(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		tray := shed.Tray{ID: "r1", Name: "tower", Places: rapid.IntRange(1, 3).Draw(t, "places"), Layers: rapid.IntRange(0, 4).Draw(t, "layers")}
		k := shed.Kit{Trays: []shed.Tray{tray}}
		high := max(1, tray.Layers)
		taken := map[[2]int]string{} // place and layer, counted here on its own
		var lying []shed.Lying
		for i := range rapid.IntRange(1, 12).Draw(t, "batches") {
			if len(lying) > 0 && rapid.IntRange(0, 3).Draw(t, "bag one") == 0 {
				at := rapid.IntRange(0, len(lying)-1).Draw(t, "which")
				for spot, id := range taken {
					if id == lying[at].Batch {
						delete(taken, spot)
					}
				}
				lying = append(lying[:at:at], lying[at+1:]...)
			}
			b := shed.Batch{ID: fmt.Sprintf("A%d", i+1), Form: shed.Form(rapid.IntRange(0, 1).Draw(t, "form")), Layers: rapid.IntRange(0, 6).Draw(t, "its layers")}
			counted := b.Form == shed.Locks && b.Layers > 0 && tray.Layers > 0
			whole := 0
			for p := 1; p <= tray.Places; p++ {
				empty := true
				for l := 1; l <= high; l++ {
					empty = empty && taken[[2]int{p, l}] == ""
				}
				if empty {
					whole++
				}
			}
			room := whole > 0
			if counted {
				room = tray.Places*high-len(taken) >= b.Layers
			}
			_, spots, ok := shed.NewRackRoom(k, lying).Find(&b)
			if ok != room {
				t.Fatalf("%+v on %+v with %+v: found room %v, there is %v", b, tray, lying, ok, room)
			}
			if !ok {
				continue
			}
			n := 0
			for _, s := range spots {
				for l := s.From; l <= s.To; l++ {
					at := [2]int{s.Place, l}
					if taken[at] != "" || s.Place < 1 || s.Place > tray.Places || l < 1 || l > high {
						t.Fatalf("%s is put at %v of %+v, where %q lies", b.ID, at, tray, taken[at])
					}
					taken[at] = b.ID
					n++
				}
			}
			if counted && n != b.Layers || !counted && n != high {
				t.Fatalf("%+v takes %d layers of %+v", b, n, tray)
			}
			lying = append(lying, shed.Lying{Tray: "r1", Batch: b.ID, Spots: spots})
		}
	})
}

// A tray that was changed since, or spots from elsewhere, lose nothing and
// make no room that is not there.
func TestRackRoomOfOldSpots(t *testing.T) {
	k := shed.Kit{Trays: []shed.Tray{{ID: "r1", Name: "tower", Places: 1, Layers: 3}}}
	locks := shed.Batch{ID: "A9", Form: shed.Locks, Layers: 1}
	for _, row := range []struct {
		lying []shed.Lying
		use   string
		room  bool
	}{
		{nil, "0 of 3 layers", true},
		{[]shed.Lying{{Tray: "r1", Batch: "A1", Spots: []shed.Spot{{Place: 1, From: 2, To: 5}}}}, "2 of 3 layers", true}, // it had five layers
		{[]shed.Lying{{Tray: "r1", Batch: "A1"}}, "3 of 3 layers", false},                                                // nobody knows its spot
		{[]shed.Lying{{Tray: "r1", Batch: "A1"}, {Tray: "r1", Batch: "A2"}}, "3 of 3 layers", false},
		{[]shed.Lying{{Tray: "r1", Batch: "A1", Spots: []shed.Spot{{Place: 4, From: 1, To: 1}}}}, "3 of 3 layers", false}, // a place that is gone
		{[]shed.Lying{{Tray: "r7", Batch: "A1"}}, "0 of 3 layers", true},
		{[]shed.Lying{{Tray: "r1", Batch: "A1", Spots: []shed.Spot{{Place: -1, From: -9, To: 99}, {Place: 1, From: -9, To: 1}}}}, "1 of 3 layers", true},
	} {
		rack := shed.NewRackRoom(k, row.lying)
		_, _, ok := rack.Find(&locks)
		if rack.Use("r1") != row.use || ok != row.room {
			t.Errorf("%+v: %s, room %v; want %s, %v", row.lying, rack.Use("r1"), ok, row.use, row.room)
		}
	}
}

// Where a batch lies, in words.
func TestLies(t *testing.T) {
	k := shed.Kit{Trays: []shed.Tray{{ID: "r1", Name: "tower", Places: 2, Layers: 4}, {ID: "r2", Name: "one", Places: 1, Layers: 4}, {ID: "r3", Name: "flat", Places: 3}}}
	for _, row := range []struct {
		tray  string
		spots []shed.Spot
		form  shed.Form
		want  string
	}{
		{"r1", []shed.Spot{{Place: 2, From: 1, To: 3}}, shed.Locks, "tower, place 2, layers 1-3"},
		{"r1", []shed.Spot{{Place: 1, From: 1, To: 4}, {Place: 2, From: 2, To: 2}}, shed.Locks, "tower, place 1, layers 1-4, place 2, layer 2"},
		{"r1", []shed.Spot{{Place: 1, From: 1, To: 4}}, shed.Loose, "tower, place 1"},
		{"r2", []shed.Spot{{Place: 1, From: 2, To: 2}, {Place: 1, From: 4, To: 4}}, shed.Locks, "one, layer 2, layer 4"},
		{"r2", []shed.Spot{{Place: 1, From: 1, To: 4}}, shed.Loose, "one"},
		{"r3", nil, shed.Locks, "flat"},
		{"", nil, shed.Locks, ""},
		{"r9", nil, shed.Locks, ""},
	} {
		sessiontest.Same(t, row.want, k.Lies(row.tray, row.spots, row.form), row.want)
	}
}

// The plan says how many batches the rack has room for, layers and all.
func TestRackCautionCountsLayers(t *testing.T) {
	p := lockPlan(3, 2, 1, 0, 3).Clean()
	o := must.Get(planner.PlanAhead(p, sessiontest.Dawn, planner.AsGiven, planner.Quick)).In(t)
	if all := strings.Join(o.Cautions, "\n"); !strings.Contains(all, "the rack has room for 4 batches, the plan has 5") {
		t.Errorf("cautions:\n%s", all)
	}
	o = must.Get(planner.PlanAhead(lockPlan(3, 2, 1, 0).Clean(), sessiontest.Dawn, planner.AsGiven, planner.Quick)).In(t)
	if all := strings.Join(o.Cautions, "\n"); strings.Contains(all, "the rack has room") {
		t.Errorf("cautions:\n%s", all)
	}
}

// The weight after the presoak says what it took; the rest went in the wash.
func TestWeightAfterThePresoak(t *testing.T) {
	p := sessiontest.OneTub(func(p *shed.Plan) {
		p.Fleeces[0].RawG, p.Fleeces[0].Type = 2000, shed.Medium
		p.Batches = []shed.Batch{{FleeceID: "f1", RawG: 200, RawScale: sessiontest.KitchenScale}, {FleeceID: "f1", RawG: 200, RawScale: sessiontest.KitchenScale, Presoak: shed.PresoakNone}}
	})
	r := sessiontest.Start(t, p)
	_ = r.Refused(session.WeighSoaked{Batch: "A1", MassG: 170, Scale: sessiontest.KitchenScale}, "has not come out of a presoak")
	if r.Day.Tubs[0].Step().Kind != shed.Presoak {
		t.Fatalf("the day begins with %+v", r.Day.Tubs[0].Step())
	}
	r.Until(0, shed.ToSink).Until(0, shed.ToFill) // through the presoak
	if !r.Day.BetweenBaths(0) {
		t.Fatalf("not between baths: %+v", r.Day.Tubs[0])
	}
	r.Now = r.Now.Add(20 * time.Hour)
	for massG, say := range map[float64]string{0: "more than 0", 170000: "is the unit right", 0.17: "is the unit right", 250: "it is wet still, so dry it first", 90: "would have lost 55 %"} {
		_ = r.Refused(session.WeighSoaked{Batch: "A1", MassG: massG, Scale: sessiontest.KitchenScale}, say)
	}
	_ = r.Refused(session.WeighSoaked{Batch: "A1", MassG: 170, Scale: shed.Scale{Name: "hanging", StepG: 5}}, "two scales differ")
	r.Do(session.WeighSoaked{Batch: "A1", MassG: 170, Scale: sessiontest.KitchenScale})
	_ = r.Refused(session.WeighSoaked{Batch: "A1", MassG: 171, Scale: sessiontest.KitchenScale}, "weighed after its presoak already: 170 g")
	sessiontest.Same(t, "undo takes back", coach.CanUndo(r.Day), "A1's weight after the presoak")
	r.Next(0).Until(0, shed.ToFill) // through the wash
	if r.Day.BetweenBaths(0) || r.Day.Tubs[0].Step().Kind == shed.Wash {
		t.Errorf("after the wash, at %s: a weight there is none after the presoak", r.Day.Tubs[0].Step().Name)
	}
	r.Until(0, shed.ToRack).Next(0).Until(0, shed.ToRack).Next(0)
	_ = r.Refused(session.WeighSoaked{Batch: "A2", MassG: 170, Scale: sessiontest.KitchenScale}, "has not come out of a presoak")
	r.Now = r.Now.Add(30 * time.Hour)
	_ = r.Refused(session.Weigh{Batch: "A1", DryG: 171, Dry: true, Scale: sessiontest.KitchenScale}, "more than the 170 g it weighed after the presoak")
	r.Do(session.Weigh{Batch: "A1", DryG: 120, Dry: true, Scale: sessiontest.KitchenScale}, session.Weigh{Batch: "A2", DryG: 110, Dry: true, Scale: sessiontest.KitchenScale})
	_ = r.Refused(session.WeighSoaked{Batch: "A1", MassG: 115, Scale: sessiontest.KitchenScale, Sure: true}, "less than the 120 g it weighs after the wash")

	losses := func(ids ...string) string {
		t.Helper()
		var rows []ledger.BatchRow
		for _, id := range ids {
			rows = append(rows, ledger.RowOf(r.Day, id))
		}
		y, ok, err := ledger.YieldOf(rows, shed.Medium, r.Day.Plan.Kit.Units)
		if err != nil || !ok {
			t.Fatal(ok, err)
		}
		var out []string
		for _, l := range y.Losses {
			if l.Known {
				out = append(out, l.Text)
			}
		}
		return strings.Join(out, "\n")
	}
	sessiontest.Same(t, "A1", losses("A1"), "total loss: 80 g, 40.0 % of the raw fleece\nsoil and suint in the presoak: 30 g, 15.0 % of the raw fleece\nwax and the rest in the wash: 50 g, 25.0 % of the raw fleece")
	sessiontest.Same(t, "A2", losses("A2"), "total loss: 90 g, 45.0 % of the raw fleece")
	sessiontest.Same(t, "both", losses("A1", "A2"), "total loss: 170 g, 42.5 % of the raw fleece\nthe one batch weighed after the presoak: soil and suint in the presoak: 30 g, 15.0 % of the raw fleece\nthe one batch weighed after the presoak: wax and the rest in the wash: 50 g, 25.0 % of the raw fleece")
	sessiontest.CheckReplay(t, r, nil)
}

// What is left of a sorted fleece is known part by part, and the forecast of
// the rest goes by parts.
func TestPartsOfAFleece(t *testing.T) {
	p := sessiontest.RecordPlan()
	p.Fleeces[0].Parts = []shed.FleecePart{{Name: "Shoulder", RawG: 600}, {Name: "britch", RawG: 500}}
	p.Batches[0].Part = "shoulder"
	r := sessiontest.Start(t, p).Until(0, shed.ToRack).Next(0).Until(0, shed.ToRack).Next(0)
	r.Do(session.EndDay{})
	r.Now = r.Now.Add(30 * time.Hour)
	r.Do(session.Weigh{Batch: "A1", DryG: 110, Dry: true, Scale: sessiontest.KitchenScale}, session.Weigh{Batch: "A2", DryG: 150, Dry: true, Scale: sessiontest.KitchenScale})
	entry := func() *ledger.Entry {
		return &ledger.Book(r.Day.Plan.Fleeces, []ledger.Summary{ledger.Summarise(7, r.Day)})[0]
	}
	left := func(e *ledger.Entry) string { return fmt.Sprintf("%.0f %v", e.LeftG, e.Left()) }
	sessiontest.Same(t, "left of 1800", left(entry()), "1350 [{shoulder 400} {britch 500} { 450}]")
	_ = r.Refused(session.NamePart{Batch: "A1", Part: "shoulder"}, "it's that already: A1, loose, shoulder")
	_ = r.Refused(session.NamePart{Batch: "A9", Part: "shoulder"}, "no batch")
	all, _, err := entry().Rest(r.Day.Plan.Kit.Units)
	if err != nil || all.Parts != 2 {
		t.Errorf("%+v %v", all, err)
	}
	r.Do(session.NamePart{Batch: "A2", Part: "BRITCH"}) // the day has ended long since
	sessiontest.Same(t, "left when A2 is of the britch", left(entry()), "1350 [{shoulder 400} {britch 250} { 700}]")
	if !r.Day.UndoesWeight() || !r.Day.EndedAt.Before(r.Now) {
		t.Error("the part cannot be taken back without opening the day again")
	}
	named, _, err := entry().Rest(r.Day.Plan.Kit.Units)
	if err != nil || named.Parts != 2 || named.Batches != 2 || named.RawG != 1350 {
		t.Errorf("%+v %v", named, err)
	}
	r.Do(session.NamePart{Batch: "A2"}, session.NamePart{Batch: "A1"})
	unknown, _, err := entry().Rest(r.Day.Plan.Kit.Units)
	if err != nil || unknown.Parts != 1 || unknown.YieldPart.High-unknown.YieldPart.Low <= named.YieldPart.High-named.YieldPart.Low {
		t.Errorf("not named %+v, by parts %+v (%v)", unknown, named, err)
	}
	r.Do(session.NamePart{Batch: "A2", Part: "Mixed"}, session.NamePart{Batch: "A1", Part: "mixed"})
	mixed, _, err := entry().Rest(r.Day.Plan.Kit.Units)
	if err != nil || mixed.Parts != 0 || mixed.YieldPart.High-mixed.YieldPart.Low >= unknown.YieldPart.High-unknown.YieldPart.Low {
		t.Errorf("from all over %+v, not named %+v (%v)", mixed, unknown, err)
	}
	sessiontest.CheckReplay(t, r, nil)

	for _, row := range []struct {
		parts []shed.FleecePart
		say   string
	}{
		{[]shed.FleecePart{{RawG: 100}}, "has no name"},
		{[]shed.FleecePart{{Name: "britch", RawG: 0}}, "the part britch"},
		{[]shed.FleecePart{{Name: "britch", RawG: 100}, {Name: "Britch", RawG: 50}}, "put them together"},
		{[]shed.FleecePart{{Name: "britch", RawG: 1000}, {Name: "side", RawG: 900}}, "add up to 1.9 kg, but the fleece weighs 1.8 kg skirted"},
		{make([]shed.FleecePart, 13), "12 are the most"},
	} {
		f := shed.Fleece{Animal: "Bramble", RawG: 2000, SkirtedG: 1800, Parts: row.parts}
		if err := f.Validate(); err == nil || !strings.Contains(err.Error(), row.say) {
			t.Errorf("%+v: %v does not say %q", row.parts, err, row.say)
		}
	}
}

// Locks in layers go to trays with layers, loose fleece to the others, as long
// as there is room there: neither takes the other's.
func TestEachToItsTray(t *testing.T) {
	k := shed.Kit{Trays: []shed.Tray{{ID: "r1", Name: "top", Places: 1}, {ID: "r2", Name: "tower", Places: 1, Layers: 4}}}
	locks, loose := shed.Batch{Form: shed.Locks, Layers: 2}, shed.Batch{}
	var lying []shed.Lying
	for i, want := range []string{"r2", "r1", "r2", ""} {
		b := locks
		if i == 1 {
			b = loose
		}
		if i == 3 {
			b.Layers = 1
		}
		tray, spots, _ := shed.NewRackRoom(k, lying).Find(&b)
		sessiontest.Same(t, fmt.Sprint("batch ", i), tray.ID, want)
		lying = append(lying, shed.Lying{Tray: tray.ID, Batch: fmt.Sprint(i), Spots: spots})
	}
}

// A batch may be laid elsewhere, days later too, where there is room; and one
// that found none gets a tray.
func TestMovedOnTheRack(t *testing.T) {
	r := sessiontest.Start(t, lockPlan(2, 0, 0, 0))
	for range 4 {
		r.Until(0, shed.ToRack).Next(0)
	}
	sessiontest.Same(t, "A4 found no tray", r.RackText("A4"), "")
	r.Do(session.EndDay{})
	r.Now = r.Now.Add(20 * time.Hour)
	_ = r.Refused(session.MoveOnRack{Batch: "A4", Tray: "r1"}, "tray tower has no room for A4 (2 of 4 layers are taken)")
	_ = r.Refused(session.MoveOnRack{Batch: "A1", Tray: "r1"}, "A1 is on tower already")
	_ = r.Refused(session.MoveOnRack{Batch: "A1", Tray: "r7"}, "no tray")
	r.Do(session.Weigh{Batch: "A2", DryG: 60, Dry: true, Sure: true})
	_ = r.Refused(session.MoveOnRack{Batch: "A2", Tray: "r2"}, "is bagged")
	_ = r.Refused(session.MoveOnRack{Batch: "A4", Tray: "r2", OnRack: []shed.Lying{{Tray: "r2", Day: 9, Batch: "B1"}}}, "no room for A4 (2 of 2 are taken)")
	r.Do(session.MoveOnRack{Batch: "A4", Tray: "r2"})
	sessiontest.Same(t, "A4", r.RackText("A4"), "flat")
	sessiontest.Same(t, "its row", ledger.RowOf(r.Day, "A4").Tray, "r2")
	r.Do(session.Undo{})
	sessiontest.Same(t, "A4 after undo", r.RackText("A4"), "")
	r.Do(session.MoveOnRack{Batch: "A1", Tray: "r2"})
	sessiontest.Same(t, "A1", r.RackText("A1"), "flat")
	r.Do(session.MoveOnRack{Batch: "A1", Tray: "r1"})
	sessiontest.Same(t, "A1 back in its layers", r.RackText("A1"), "tower, layers 1-2")
	sessiontest.CheckReplay(t, r, nil)
}

// What was not thrown away after all lies where it lay, but on no tray where another has its place by now.
func TestNotThrownAwayAfterAll(t *testing.T) {
	r := sessiontest.Start(t, lockPlan(2, 0, 0, 0))
	for range 4 {
		r.Until(0, shed.ToRack).Next(0)
	}
	r.Do(session.EndDay{})
	back := func(batch string, onRack ...shed.Lying) {
		r.Do(session.Judge{Batch: batch, Out: session.Outcome{Found: session.FoundClean}, OnRack: onRack})
	}
	gone := func(batch string) {
		r.Do(session.Judge{Batch: batch, Out: session.Outcome{Found: session.ThrownAway}})
	}
	gone("A2")
	back("A2", shed.Lying{Tray: "r1", Day: 9, Batch: "B1"})
	sessiontest.Same(t, "A2, with its place free", r.RackText("A2"), "flat")
	gone("A1")
	back("A1", shed.Lying{Tray: "r1", Day: 9, Batch: "B1", Spots: []shed.Spot{{Place: 1, From: 3, To: 4}}})
	sessiontest.Same(t, "A1, with other layers taken", r.RackText("A1"), "tower, layers 1-2")
	gone("A1")
	back("A1", shed.Lying{Tray: "r1", Day: 9, Batch: "B1", Spots: []shed.Spot{{Place: 1, From: 2, To: 3}}})
	sessiontest.Same(t, "A1, with one of its layers taken", r.RackText("A1"), "")
	gone("A2")
	r.Do(session.MoveOnRack{Batch: "A4", Tray: "r2"})
	back("A2")
	sessiontest.Same(t, "A2, A4", []string{r.RackText("A2"), r.RackText("A4")}, []string{"", "flat"})
	r.Do(session.Undo{})
	sessiontest.Same(t, "A2 after undo", r.Day.Fate["A2"].Tray, "r2")
	gone("A3")
	back("A3", shed.Lying{Tray: "r2", Day: 9, Batch: "B1"})
	sessiontest.Same(t, "A3, with its place taken from another day", r.RackText("A3"), "")
	sessiontest.CheckReplay(t, r, nil)
}

// Where an undo puts a batch back onto layers that another has now, nothing
// more goes on that tray until one of them is bagged or moved.
func TestTwoInOneLayer(t *testing.T) {
	k := shed.Kit{Trays: []shed.Tray{{ID: "r1", Name: "tower", Places: 1, Layers: 6}}}
	spot := []shed.Spot{{Place: 1, From: 1, To: 3}}
	lying := []shed.Lying{{Tray: "r1", Day: 1, Batch: "A1", Spots: spot}, {Tray: "r1", Day: 2, Batch: "A1", Spots: spot}}
	locks := shed.Batch{Form: shed.Locks, Layers: 1}
	if _, _, ok := shed.NewRackRoom(k, lying).Find(&locks); ok {
		t.Error("there is room where two lie in one place")
	}
	if _, spots, ok := shed.NewRackRoom(k, lying[:1]).Find(&locks); !ok || spots[0].From != 4 {
		t.Errorf("%v, %+v", ok, spots)
	}
}
