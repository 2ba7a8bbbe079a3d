package planner_test

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/coach"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/planner"
	"fleece.example/tubside/session/sessiontest"
	"fleece.example/tubside/session/shed"
)

// Batches of a part add up to it exactly, are alike to 5 g, and none is
// fuller than its basket.
func TestSplitAddsUp(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := sessiontest.SplitPlan(rapid.Float64Range(2, 40).Draw(t, "fill"))
		parts := make([]planner.Part, rapid.IntRange(1, 3).Draw(t, "parts"))
		for i := range parts {
			parts[i] = planner.Part{
				Fleece: shed.Fleece{ID: string(rune('a' + i)), Animal: "Invented", Type: shed.FleeceType(rapid.IntRange(0, 3).Draw(t, "type"))},
				RawG:   float64(rapid.IntRange(10, 2500).Draw(t, "grams")), Form: shed.Form(rapid.IntRange(0, 1).Draw(t, "form")),
			}
			if rapid.Bool().Draw(t, "ounces") {
				parts[i].RawG *= 1.003
			}
		}
		batches, err := planner.Split(p, parts...)
		if err != nil {
			if !strings.Contains(err.Error(), "a day holds") {
				t.Fatal(err)
			}
			return
		}
		for i, part := range parts {
			sum, n, least, most := 0.0, 0, math.Inf(1), 0.0
			for _, b := range batches {
				if b.FleeceID == part.Fleece.ID {
					sum, least, most = sum+b.RawG, min(least, b.RawG), max(most, b.RawG)
					n++
				}
			}
			if math.Abs(sum-part.RawG) > 1e-9 || part.RawG == math.Trunc(part.RawG) && sum != part.RawG {
				t.Fatalf("part %d: batches of %g, given %g", i, sum, part.RawG)
			}
			basket := planner.BasketG(p, part.Fleece.Type, part.Form)
			if most-least > 5+1e-9 || most > basket*1.03+1 {
				t.Fatalf("part %d: from %g to %g g in baskets of %g", i, least, most, basket)
			}
			if float64(n-1)*basket*1.03 >= part.RawG { // one basket fewer would have held it
				t.Fatalf("part %d: %d baskets of %g for %g g", i, n, basket, part.RawG)
			}
		}
	})
}

// Each batch is as full as the tub it goes to: among tubs of any size none is
// past its own, all of a tub are alike, and together they are what was given.
func TestSplitForTubs(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := sessiontest.SplitPlan(8)
		p.Kit.Tubs = nil
		for i := range rapid.IntRange(1, 6).Draw(t, "tubs") {
			fillL := rapid.Float64Range(4, 40).Draw(t, "fill")
			p.Kit.Tubs = append(p.Kit.Tubs, shed.Tub{Name: string(rune('A' + i)), CapacityL: fillL * 1.3, FillL: fillL})
		}
		f := shed.Fleece{ID: "f", Animal: "Invented", Type: shed.FleeceType(rapid.IntRange(0, 3).Draw(t, "type")), RawG: 20000}
		p.Fleeces = []shed.Fleece{f}
		part := planner.Part{Fleece: f, RawG: float64(rapid.IntRange(10, 6000).Draw(t, "grams")), Form: shed.Form(rapid.IntRange(0, 1).Draw(t, "form"))}
		batches, err := planner.Split(p, part)
		if err != nil {
			t.Fatal(err)
		}
		sum := 0.0
		for _, b := range batches {
			if sum += b.RawG; b.RawG != math.Trunc(b.RawG) {
				t.Fatalf("a batch of %g g", b.RawG)
			}
		}
		if sum != part.RawG {
			t.Fatalf("%g g in batches, given %g", sum, part.RawG)
		}
		// As many turns as needed, and in every turn each batch has a tub of its own.
		p.Batches = batches
		p = p.Clean()
		at := p.FirstTubs(sessiontest.Dawn)
		for i := range min(len(batches), len(p.Kit.Tubs)) {
			if at[i] < 0 {
				continue
			}
			if over := planner.OverfullG(&p, &p.Batches[i], at[i]); over > 0 {
				t.Fatalf("%g g of %d are too full by %g in %+v", batches[i].RawG, i, over, p.Kit.Tubs[at[i]])
			}
		}
		if at[0] < 0 {
			t.Fatal("no tub takes the first batch")
		}
	})
}

// One small tub shrinks no batch but its own: 225 g of longwool in 8 L, and less
// in the 5 L beside it (common practice, no source).
func TestSmallTubKeepsToItself(t *testing.T) {
	p := shed.Plan{Kit: shed.DefaultKit(), Method: shed.BuiltInMethod()}
	part := planner.Part{Fleece: shed.Fleece{ID: "f", Animal: "Invented", Type: shed.Longwool}, RawG: 590}
	batches, err := planner.Split(p, part)
	if err != nil {
		t.Fatal(err)
	}
	got := []float64{}
	for _, b := range batches {
		got = append(got, b.RawG)
	}
	sessiontest.Same(t, "one turn at 8, 8 and 5 L", got, []float64{225, 225, 140})
	part.RawG = 1840 // the small tub is left out where it saves no turn
	if batches, err = planner.Split(p, part); err != nil || len(batches) != 8 || batches[0].RawG != 230 || batches[7].RawG != 230 {
		t.Errorf("%v %+v", err, batches)
	}
}

// A large pail takes more than a bucket does, loose and locks.
func TestLargePail(t *testing.T) {
	p := sessiontest.SplitPlan(19)
	p.Kit.Tubs = append(p.Kit.Tubs, p.Kit.Tubs[0])
	f := shed.Fleece{ID: "f", Animal: "Invented"}
	for _, c := range []struct {
		form shed.Form
		most int
	}{{shed.Loose, 3}, {shed.Locks, 4}} {
		batches, err := planner.Split(p, planner.Part{Fleece: f, RawG: 1200, Form: c.form})
		if err != nil || len(batches) > c.most {
			t.Errorf("%s: %v, %d batches of 1.2 kg in four pails", c.form, err, len(batches))
		}
	}
	p.Kit.Tubs[3].CapacityL, p.Kit.Tubs[3].FillL = 120, 100 // what one person lifts
	if g := planner.BasketG(p, shed.Longwool, shed.Loose); g != 1000 {
		t.Errorf("%g g in one basket", g)
	}
}

// A basket is too full only past common practice (20 to 30 g a litre, no source).
func TestTooFull(t *testing.T) {
	p := sessiontest.SplitPlan(8)
	p.Kit.Tubs[2].CapacityL, p.Kit.Tubs[2].FillL = 8, 5
	p.Fleeces = []shed.Fleece{{ID: "f", Animal: "Invented", Type: shed.Longwool, RawG: 3000}, {ID: "s", Animal: "Springy", Type: shed.Fine, RawG: 3000}}
	for _, c := range []struct {
		batch shed.Batch
		tub   int
		out   float64
	}{
		{shed.Batch{FleeceID: "f", RawG: 225}, 0, 0}, {shed.Batch{FleeceID: "f", RawG: 240}, 0, 0},
		{shed.Batch{FleeceID: "f", RawG: 290}, 0, 50}, {shed.Batch{FleeceID: "f", RawG: 200}, 2, 50},
		{shed.Batch{FleeceID: "s", RawG: 195}, 0, 0}, {shed.Batch{FleeceID: "s", RawG: 225}, 0, 20},
		{shed.Batch{FleeceID: "f", RawG: 115, Form: shed.Locks}, 2, 0}, {shed.Batch{FleeceID: "f", RawG: 115, Form: shed.Locks}, 0, 0},
	} {
		if got := planner.OverfullG(&p, &c.batch, c.tub); got != c.out {
			t.Errorf("%+v in tub %d: take %g g out, want %g", c.batch, c.tub, got, c.out)
		}
	}
	p.Batches = []shed.Batch{{FleeceID: "f", RawG: 290}, {FleeceID: "f", RawG: 225}, {FleeceID: "f", RawG: 225}}
	cautions := func() string {
		o, err := planner.PlanAhead(p, sessiontest.Dawn, planner.AsGiven, planner.Quick)
		if err != nil {
			t.Fatal(err)
		}
		return strings.Join(o.Cautions, "\n")
	}
	if text := cautions(); !strings.Contains(text, "A1 won't open out in ") || !strings.Contains(text, "take 50 g out") || strings.Contains(text, "A2") {
		t.Errorf("%q", text)
	}
	for i := range p.Batches {
		p.Batches[i].RawG = 290
	}
	if text := cautions(); strings.Count(text, "open out") != 1 || !strings.Contains(text, "A1, A2 and A3 won't open out in their tubs: take 50 g out of each") {
		t.Errorf("%q", text)
	}
}

// A batch goes into a tub it opens out in, by the start of the day, by the
// timetable and by the coach; a person may choose otherwise and is told once.
func TestBatchGoesWhereItFits(t *testing.T) {
	p := sessiontest.ThreeTubs(func(p *shed.Plan) {
		p.Batches = p.Batches[:1]
		for range 3 {
			p.Batches = append(p.Batches, p.Batches[0])
		}
	})
	r := sessiontest.Start(t, p)
	if tray := r.Day.Tubs[2]; tray.Batch != "" {
		t.Errorf("%s began in 5 L", tray.Batch)
	}
	table, err := planner.Schedule(r.Day, r.Now, planner.Quick)
	if err != nil {
		t.Fatal(err)
	}
	for _, x := range table.Pieces {
		if x.Tub == 2 {
			t.Fatalf("%s in 5 L by the timetable", x.Batch)
		}
	}
	prompt := coach.PromptAt(r.Day, 2, r.Now)
	if prompt.Rank != coach.Resting || prompt.Title != prompt.Batch+" waits for a larger tub" || !strings.Contains(prompt.Doubt, "won't open out in Tray: take 75 g out") || sessiontest.LateMin(prompt, r.Now.Add(sessiontest.Minutes(60))) != 0 {
		t.Errorf("%+v", prompt)
	}
	r.Do(session.DoNext{Tub: 2, Act: shed.LoadNext}) // all the same
	if got := r.Day.Tubs[2].Batch; got != "A3" {
		t.Errorf("%q in the tray", got)
	}
	// One that fits goes first there, wherever it stands in the plan.
	p.Batches[3].RawG = 140
	if r = sessiontest.Start(t, p); r.Day.Tubs[2].Batch != "A4" {
		t.Errorf("%q in the tray, and A4 fits", r.Day.Tubs[2].Batch)
	}
}

// Springy fleece and locks get less (common practice, no source).
func TestUsualBaskets(t *testing.T) {
	p := sessiontest.SplitPlan(8)
	long, fine, locks := planner.BasketG(p, shed.Longwool, shed.Loose), planner.BasketG(p, shed.Fine, shed.Loose), planner.BasketG(p, shed.Longwool, shed.Locks)
	if long != 225 || fine < 165 || fine > 195 || locks >= long || planner.BasketG(sessiontest.SplitPlan(5), shed.Longwool, shed.Locks) < 95 {
		t.Errorf("longwool %g, fine %g, locks %g", long, fine, locks)
	}
}

func TestSplitRefuses(t *testing.T) {
	p := sessiontest.SplitPlan(8)
	f := shed.Fleece{ID: "f", Animal: "Invented"}
	for _, c := range []struct {
		part planner.Part
		says string
	}{
		{planner.Part{Fleece: f, RawG: 0}, "a whole fleece of"},
		{planner.Part{Fleece: f, RawG: math.NaN()}, "a whole fleece of"},
		{planner.Part{Fleece: f, RawG: 20000, BasketG: 60}, "a day holds 200 in all, so plan up to 12 kg"},
		{planner.Part{Fleece: f, RawG: 500, BasketG: 1}, "a batch of"},
	} {
		if _, err := planner.Split(p, c.part); err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%+v: %v", c.part, err)
		}
	}
	p.Kit.Units = measure.US
	if _, err := planner.Split(p, planner.Part{Fleece: f, RawG: -3}); err == nil || !strings.Contains(err.Error(), "oz") {
		t.Errorf("in the person's units: %v", err)
	}
}

// Batches are what people weigh out: round, as alike as their tubs, and together all of it;
// finer where a basket has no room for that, or the batch is small.
func TestSplitIsRound(t *testing.T) {
	two := func(fills ...float64) shed.Plan {
		p := sessiontest.SplitPlan(8)
		p.Kit.Tubs = nil
		for i, l := range fills {
			p.Kit.Tubs = append(p.Kit.Tubs, shed.Tub{Name: string(rune('A' + i)), CapacityL: l * 1.3, FillL: l})
		}
		return p
	}
	hanging := two(20, 20, 20)
	hanging.Kit.Scales = []shed.Scale{{Name: "hanging", StepG: 20}}
	for _, c := range []struct {
		plan   shed.Plan
		rawG   float64
		basket float64
		want   []float64
	}{
		{two(20, 8), 700, 0, []float64{500, 200}},
		{two(8, 8, 5), 700, 300, []float64{285, 285, 130}},
		{two(8, 8, 5), 703, 500, []float64{353, 350}},
		{two(8, 8, 8), 700, 234, []float64{234, 233, 233}}, // no room for 235
		{two(8, 8, 8), 700, 240, []float64{235, 235, 230}},
		{two(2, 2), 70, 40, []float64{35, 35}},
		{two(2, 2), 71, 40, []float64{36, 35}},
		{hanging, 1000, 400, []float64{340, 340, 320}},
	} {
		batches, err := planner.Split(c.plan, planner.Part{Fleece: shed.Fleece{ID: "f", Animal: "Invented", RawG: 5000}, RawG: c.rawG, BasketG: c.basket})
		if err != nil {
			t.Fatal(err)
		}
		var got []float64
		for _, b := range batches {
			got = append(got, b.RawG)
		}
		sessiontest.Same(t, measure.Metric.Mass(c.rawG)+" in baskets of "+measure.Metric.Mass(c.basket), got, c.want)
	}
}
