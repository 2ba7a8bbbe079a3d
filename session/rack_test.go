package session_test

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"fleece.example/tubside/session"
)

// lockPlan is one tub, a tower of four layers, a flat tray with two places.
func lockPlan(layers ...int) session.Plan {
	return oneTub(func(p *session.Plan) {
		p.Kit.Trays = []session.Tray{{ID: "r1", Name: "tower", Places: 1, Layers: 4}, {ID: "r2", Name: "flat", Places: 2}}
		p.Fleeces[0].RawG, p.Batches = 2000, nil
		for _, n := range layers {
			b := session.Batch{FleeceID: "f1", RawG: 115, Form: session.Locks, Layers: n, Presoak: session.PresoakNone}
			if n == 0 {
				b.Form = session.Loose
			}
			p.Batches = append(p.Batches, b)
		}
	})
}

func (r *run) lies(batch string) string {
	b, _ := r.day.Batch(batch)
	f := r.day.Fate[batch]
	return r.day.Plan.Kit.Lies(f.Tray, f.Spots, b.Form)
}

// Locks keep their layers on the rack; loose fleece takes a place for itself.
func TestLayersOnTheRack(t *testing.T) {
	r := start(t, lockPlan(3, 2, 1, 0, 3, 2))
	rack := func(want string) {
		t.Helper()
		r.until(0, session.ToRack)
		id := r.day.Tubs[0].Batch
		pr := r.day.Prompts(r.now)[0]
		place := want
		if place == "" {
			place = "no tray has room for it"
		}
		if !strings.Contains(strings.Join(says(pr), ";"), place) {
			t.Errorf("%s goes to %q, and the prompt says %v", id, want, pr.Details)
		}
		r.next(0)
		same(t, id+" lies on", r.lies(id), want)
	}
	rack("tower, layers 1-3")
	rack("flat") // one layer is left
	rack("tower, layer 4")
	rack("flat")
	same(t, "the tower", r.day.Rack().Use("r1"), "4 of 4 layers")
	same(t, "the flat tray", r.day.Rack().Use("r2"), "2 of 2")
	r.do(session.Weigh{Batch: "A3", DryG: 60, Sure: true})
	r.until(0, session.ToRack)
	_ = r.refused(session.DoNext{Act: session.RackFibre, Tray: "r1"}, "the tray tower is too full for the 3 layers of A5 (3 of 4 layers are taken)")
	rack("")
	r.do(session.Weigh{Batch: "A1", DryG: 60, Sure: true})
	rack("tower, layers 1-2")
	onRack(t, r.day)

	// The next day finds it all where it lies.
	lying := session.StillDrying([]session.DaySummary{session.Summarise(7, r.day)})
	next := lockPlan(3, 2)
	next.OnRack = lying
	n := start(t, next).until(0, session.ToRack)
	same(t, "the tower next day", n.day.Rack().Use("r1"), "2 of 4 layers")
	n.next(0)
	same(t, "A1", n.lies("A1"), "") // neither two layers nor a place
	if n.day.HasOnRack(lying[1:]) || !n.day.HasOnRack(lying) {
		t.Errorf("on the rack from before: %+v", n.day.Plan.OnRack)
	}
	n.do(session.LookOverRack{OnRack: lying[1:]}) // a flat one was bagged meanwhile
	n.until(0, session.ToRack).next(0)
	same(t, "A2", n.lies("A2"), "tower, layers 3-4")
	replay(t, n, nil)
}

// Looking the rack over is no deed: an undo takes back what was done before it
// and leaves the rack as it is.
func TestRackLookedOverIsNotUndone(t *testing.T) {
	p := lockPlan(2)
	p.OnRack = []session.Lying{{Tray: "r2", Day: 3, Batch: "B1"}}
	r := start(t, p)
	r.next(0).do(session.LookOverRack{})
	r.do(session.Undo{})
	if r.day.NextAction(0) != session.FillTub || len(r.day.Plan.OnRack) != 0 {
		t.Errorf("next is %v, on the rack %+v", r.day.NextAction(0), r.day.Plan.OnRack)
	}
	_ = r.refused(session.Undo{}, "nothing to undo")
	replay(t, r, nil)
}

// A batch finds room exactly when there is some, and never where another lies.
func TestRackRoom(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		tray := session.Tray{ID: "r1", Name: "tower", Places: rapid.IntRange(1, 3).Draw(t, "places"), Layers: rapid.IntRange(0, 4).Draw(t, "layers")}
		k := session.Kit{Trays: []session.Tray{tray}}
		high := max(1, tray.Layers)
		taken := map[[2]int]string{} // place and layer, counted here on its own
		var lying []session.Lying
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
			b := session.Batch{ID: fmt.Sprintf("A%d", i+1), Form: session.Form(rapid.IntRange(0, 1).Draw(t, "form")), Layers: rapid.IntRange(0, 6).Draw(t, "its layers")}
			counted := b.Form == session.Locks && b.Layers > 0 && tray.Layers > 0
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
			_, spots, ok := session.NewRackRoom(k, lying).Find(b)
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
			lying = append(lying, session.Lying{Tray: "r1", Batch: b.ID, Spots: spots})
		}
	})
}

// A tray that was changed since, or spots from elsewhere, lose nothing and
// make no room that is not there.
func TestRackRoomOfOldSpots(t *testing.T) {
	k := session.Kit{Trays: []session.Tray{{ID: "r1", Name: "tower", Places: 1, Layers: 3}}}
	locks := session.Batch{ID: "A9", Form: session.Locks, Layers: 1}
	for _, row := range []struct {
		lying []session.Lying
		use   string
		room  bool
	}{
		{nil, "0 of 3 layers", true},
		{[]session.Lying{{Tray: "r1", Batch: "A1", Spots: []session.Spot{{Place: 1, From: 2, To: 5}}}}, "2 of 3 layers", true}, // it had five layers
		{[]session.Lying{{Tray: "r1", Batch: "A1"}}, "3 of 3 layers", false},                                                   // nobody knows its spot
		{[]session.Lying{{Tray: "r1", Batch: "A1"}, {Tray: "r1", Batch: "A2"}}, "3 of 3 layers", false},
		{[]session.Lying{{Tray: "r1", Batch: "A1", Spots: []session.Spot{{Place: 4, From: 1, To: 1}}}}, "3 of 3 layers", false}, // a place that is gone
		{[]session.Lying{{Tray: "r7", Batch: "A1"}}, "0 of 3 layers", true},
		{[]session.Lying{{Tray: "r1", Batch: "A1", Spots: []session.Spot{{Place: -1, From: -9, To: 99}, {Place: 1, From: -9, To: 1}}}}, "1 of 3 layers", true},
	} {
		rack := session.NewRackRoom(k, row.lying)
		_, _, ok := rack.Find(locks)
		if rack.Use("r1") != row.use || ok != row.room {
			t.Errorf("%+v: %s, room %v; want %s, %v", row.lying, rack.Use("r1"), ok, row.use, row.room)
		}
	}
}

// Where a batch lies, in words.
func TestLies(t *testing.T) {
	k := session.Kit{Trays: []session.Tray{{ID: "r1", Name: "tower", Places: 2, Layers: 4}, {ID: "r2", Name: "one", Places: 1, Layers: 4}, {ID: "r3", Name: "flat", Places: 3}}}
	for _, row := range []struct {
		tray  string
		spots []session.Spot
		form  session.Form
		want  string
	}{
		{"r1", []session.Spot{{Place: 2, From: 1, To: 3}}, session.Locks, "tower, place 2, layers 1-3"},
		{"r1", []session.Spot{{Place: 1, From: 1, To: 4}, {Place: 2, From: 2, To: 2}}, session.Locks, "tower, place 1, layers 1-4, place 2, layer 2"},
		{"r1", []session.Spot{{Place: 1, From: 1, To: 4}}, session.Loose, "tower, place 1"},
		{"r2", []session.Spot{{Place: 1, From: 2, To: 2}, {Place: 1, From: 4, To: 4}}, session.Locks, "one, layer 2, layer 4"},
		{"r2", []session.Spot{{Place: 1, From: 1, To: 4}}, session.Loose, "one"},
		{"r3", nil, session.Locks, "flat"},
		{"", nil, session.Locks, ""},
		{"r9", nil, session.Locks, ""},
	} {
		same(t, row.want, k.Lies(row.tray, row.spots, row.form), row.want)
	}
}

// The plan says how many batches the rack has room for, layers and all.
func TestRackCautionCountsLayers(t *testing.T) {
	p := lockPlan(3, 2, 1, 0, 3).Clean()
	o, err := session.PlanAhead(p, dawn, session.AsGiven, session.Quick)
	if err != nil {
		t.Fatal(err)
	}
	if all := strings.Join(o.Cautions, "\n"); !strings.Contains(all, "the rack has room for 4 batches, the plan has 5") {
		t.Errorf("cautions:\n%s", all)
	}
	o, err = session.PlanAhead(lockPlan(3, 2, 1, 0).Clean(), dawn, session.AsGiven, session.Quick)
	if err != nil {
		t.Fatal(err)
	}
	if all := strings.Join(o.Cautions, "\n"); strings.Contains(all, "the rack has room") {
		t.Errorf("cautions:\n%s", all)
	}
}

// The weight after the presoak says what it took; the rest went in the wash.
func TestWeightAfterThePresoak(t *testing.T) {
	p := oneTub(func(p *session.Plan) {
		p.Fleeces[0].RawG, p.Fleeces[0].Type = 2000, session.Medium
		p.Batches = []session.Batch{{FleeceID: "f1", RawG: 200, RawScale: kitchen}, {FleeceID: "f1", RawG: 200, RawScale: kitchen, Presoak: session.PresoakNone}}
	})
	r := start(t, p)
	_ = r.refused(session.WeighSoaked{Batch: "A1", MassG: 170, Scale: kitchen}, "has not come out of a presoak")
	if r.day.Tubs[0].Step().Kind != session.Presoak {
		t.Fatalf("the day begins with %+v", r.day.Tubs[0].Step())
	}
	r.until(0, session.ToSink).until(0, session.ToFill) // through the presoak
	if !r.day.BetweenBaths(0) {
		t.Fatalf("not between baths: %+v", r.day.Tubs[0])
	}
	r.now = r.now.Add(20 * time.Hour)
	for massG, say := range map[float64]string{0: "more than nothing", 170000: "is the unit right", 0.17: "is the unit right", 250: "it is wet still, so dry it first", 90: "would have lost 55 %"} {
		_ = r.refused(session.WeighSoaked{Batch: "A1", MassG: massG, Scale: kitchen}, say)
	}
	_ = r.refused(session.WeighSoaked{Batch: "A1", MassG: 170, Scale: session.Scale{Name: "hanging", StepG: 5}}, "two scales differ")
	r.do(session.WeighSoaked{Batch: "A1", MassG: 170, Scale: kitchen})
	_ = r.refused(session.WeighSoaked{Batch: "A1", MassG: 171, Scale: kitchen}, "weighed after its presoak already: 170 g")
	same(t, "undo takes back", r.day.CanUndo(), "the weight of A1 after the presoak")
	r.next(0).until(0, session.ToFill) // through the wash
	if r.day.BetweenBaths(0) || r.day.Tubs[0].Step().Kind == session.Wash {
		t.Errorf("after the wash, at %s: a weight there is none after the presoak", r.day.Tubs[0].Step().Name)
	}
	r.until(0, session.ToRack).next(0).until(0, session.ToRack).next(0)
	_ = r.refused(session.WeighSoaked{Batch: "A2", MassG: 170, Scale: kitchen}, "has not come out of a presoak")
	r.now = r.now.Add(30 * time.Hour)
	_ = r.refused(session.Weigh{Batch: "A1", DryG: 171, Scale: kitchen}, "more than the 170 g it weighed after the presoak")
	r.do(session.Weigh{Batch: "A1", DryG: 120, Scale: kitchen}, session.Weigh{Batch: "A2", DryG: 110, Scale: kitchen})
	_ = r.refused(session.WeighSoaked{Batch: "A1", MassG: 115, Scale: kitchen, Sure: true}, "less than the 120 g it weighs after the wash")

	losses := func(ids ...string) string {
		t.Helper()
		var rows []session.BatchRow
		for _, id := range ids {
			rows = append(rows, r.day.Row(id))
		}
		y, ok, err := session.YieldOf(rows, session.Medium, r.day.Plan.Kit.Units)
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
	same(t, "A1", losses("A1"), "lost in all: 80 g, 40.0 % of the raw fleece\nsoil and suint in the presoak: 30 g, 15.0 % of the raw fleece\nwax and the rest in the wash: 50 g, 25.0 % of the raw fleece")
	same(t, "A2", losses("A2"), "lost in all: 90 g, 45.0 % of the raw fleece")
	same(t, "both", losses("A1", "A2"), "lost in all: 170 g, 42.5 % of the raw fleece\nthe one batch weighed after the presoak: soil and suint in the presoak: 30 g, 15.0 % of the raw fleece\nthe one batch weighed after the presoak: wax and the rest in the wash: 50 g, 25.0 % of the raw fleece")
	replay(t, r, nil)
}

// What is left of a sorted fleece is known part by part, and the forecast of
// the rest goes by parts.
func TestPartsOfAFleece(t *testing.T) {
	p := recordPlan()
	p.Fleeces[0].Parts = []session.FleecePart{{Name: "Shoulder", RawG: 600}, {Name: "britch", RawG: 500}}
	p.Batches[0].Part = "shoulder"
	r := start(t, p).until(0, session.ToRack).next(0).until(0, session.ToRack).next(0)
	r.do(session.EndDay{})
	r.now = r.now.Add(30 * time.Hour)
	r.do(session.Weigh{Batch: "A1", DryG: 110, Scale: kitchen}, session.Weigh{Batch: "A2", DryG: 150, Scale: kitchen})
	entry := func() session.Entry {
		return session.Book(r.day.Plan.Fleeces, []session.DaySummary{session.Summarise(7, r.day)})[0]
	}
	left := func(e session.Entry) string { return fmt.Sprintf("%.0f %v", e.LeftG, e.Left()) }
	same(t, "left of 1800", left(entry()), "1350 [{shoulder 400} {britch 500} { 450}]")
	_ = r.refused(session.NamePart{Batch: "A1", Part: "shoulder"}, "A1 is that already: loose, shoulder")
	_ = r.refused(session.NamePart{Batch: "A9", Part: "shoulder"}, "no batch")
	all, _, err := entry().Rest(r.day.Plan.Kit.Units)
	if err != nil || all.Parts != 2 {
		t.Errorf("%+v %v", all, err)
	}
	r.do(session.NamePart{Batch: "A2", Part: "BRITCH"}) // the day has ended long since
	same(t, "left when A2 is of the britch", left(entry()), "1350 [{shoulder 400} {britch 250} { 700}]")
	if !r.day.UndoesWeight() || !r.day.EndedAt.Before(r.now) {
		t.Error("the part cannot be taken back without opening the day again")
	}
	named, _, err := entry().Rest(r.day.Plan.Kit.Units)
	if err != nil || named.Parts != 2 || named.Batches != 2 || named.RawG != 1350 {
		t.Errorf("%+v %v", named, err)
	}
	r.do(session.NamePart{Batch: "A2"}, session.NamePart{Batch: "A1"})
	mixed, _, err := entry().Rest(r.day.Plan.Kit.Units)
	if err != nil || mixed.Parts != 0 || mixed.YieldPart == named.YieldPart {
		t.Errorf("from all over %+v, by parts %+v (%v)", mixed, named, err)
	}
	replay(t, r, nil)

	for _, row := range []struct {
		parts []session.FleecePart
		say   string
	}{
		{[]session.FleecePart{{RawG: 100}}, "has no name"},
		{[]session.FleecePart{{Name: "britch", RawG: 0}}, "the part britch"},
		{[]session.FleecePart{{Name: "britch", RawG: 100}, {Name: "Britch", RawG: 50}}, "put them together"},
		{[]session.FleecePart{{Name: "britch", RawG: 1000}, {Name: "side", RawG: 900}}, "add up to 1.9 kg, but the fleece weighs 1.8 kg skirted"},
		{make([]session.FleecePart, 13), "12 are the most"},
	} {
		f := session.Fleece{Animal: "Bramble", RawG: 2000, SkirtedG: 1800, Parts: row.parts}
		if err := f.Validate(); err == nil || !strings.Contains(err.Error(), row.say) {
			t.Errorf("%+v: %v does not say %q", row.parts, err, row.say)
		}
	}
}

// Locks in layers go to trays with layers, loose fleece to the others, as long
// as there is room there: neither takes the other's.
func TestEachToItsTray(t *testing.T) {
	k := session.Kit{Trays: []session.Tray{{ID: "r1", Name: "top", Places: 1}, {ID: "r2", Name: "tower", Places: 1, Layers: 4}}}
	locks, loose := session.Batch{Form: session.Locks, Layers: 2}, session.Batch{}
	var lying []session.Lying
	for i, want := range []string{"r2", "r1", "r2", ""} {
		b := locks
		if i == 1 {
			b = loose
		}
		if i == 3 {
			b.Layers = 1
		}
		tray, spots, _ := session.NewRackRoom(k, lying).Find(b)
		same(t, fmt.Sprint("batch ", i), tray.ID, want)
		lying = append(lying, session.Lying{Tray: tray.ID, Batch: fmt.Sprint(i), Spots: spots})
	}
}

// A batch may be laid elsewhere, days later too, where there is room; and one
// that found none gets a tray.
func TestMovedOnTheRack(t *testing.T) {
	r := start(t, lockPlan(2, 0, 0, 0))
	for range 4 {
		r.until(0, session.ToRack).next(0)
	}
	same(t, "A4 found no tray", r.lies("A4"), "")
	r.do(session.EndDay{})
	r.now = r.now.Add(20 * time.Hour)
	_ = r.refused(session.MoveOnRack{Batch: "A4", Tray: "r1"}, "the tray tower has no room for A4 (2 of 4 layers are taken)")
	_ = r.refused(session.MoveOnRack{Batch: "A1", Tray: "r1"}, "A1 lies on tower already")
	_ = r.refused(session.MoveOnRack{Batch: "A1", Tray: "r7"}, "no tray")
	r.do(session.Weigh{Batch: "A2", DryG: 60, Sure: true})
	_ = r.refused(session.MoveOnRack{Batch: "A2", Tray: "r2"}, "is bagged")
	_ = r.refused(session.MoveOnRack{Batch: "A4", Tray: "r2", OnRack: []session.Lying{{Tray: "r2", Day: 9, Batch: "B1"}}}, "no room for A4 (2 of 2 are taken)")
	r.do(session.MoveOnRack{Batch: "A4", Tray: "r2"})
	same(t, "A4", r.lies("A4"), "flat")
	same(t, "its row", r.day.Row("A4").Tray, "r2")
	r.do(session.Undo{})
	same(t, "A4 after undo", r.lies("A4"), "")
	replay(t, r, nil)
}

// Where an undo puts a batch back onto layers that another has now, nothing
// more goes on that tray until one of them is bagged or moved.
func TestTwoInOneLayer(t *testing.T) {
	k := session.Kit{Trays: []session.Tray{{ID: "r1", Name: "tower", Places: 1, Layers: 6}}}
	spot := []session.Spot{{Place: 1, From: 1, To: 3}}
	lying := []session.Lying{{Tray: "r1", Day: 1, Batch: "A1", Spots: spot}, {Tray: "r1", Day: 2, Batch: "A1", Spots: spot}}
	locks := session.Batch{Form: session.Locks, Layers: 1}
	if _, _, ok := session.NewRackRoom(k, lying).Find(locks); ok {
		t.Error("there is room where two lie in one place")
	}
	if _, spots, ok := session.NewRackRoom(k, lying[:1]).Find(locks); !ok || spots[0].From != 4 {
		t.Errorf("%v, %+v", ok, spots)
	}
}
