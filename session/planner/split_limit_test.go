package planner_test

import (
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"

	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/must"
	"fleece.example/tubside/session/planner"
	"fleece.example/tubside/session/sessiontest"
	"fleece.example/tubside/session/shed"
)

// limitG is what the plan says a tub's basket should hold.
func limitG(p shed.Plan, tub int, part planner.Part) float64 {
	p.Kit.Tubs = p.Kit.Tubs[tub : tub+1]
	return planner.BasketG(p, part.Fleece.Type, part.Form)
}

// What is typed as the most in a basket is not exceeded in either unit, nor is what
// is shown as the most, and the batches as they are shown add up to what was given.
func TestMostIsTheMost(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := sessiontest.MixedTubs()
		stepG := 1.0
		if rapid.Bool().Draw(t, "ounces") {
			p.Kit.Units, stepG = measure.US, measure.GPerOz/10
		}
		part := planner.Part{Fleece: shed.Fleece{ID: "f", Animal: "Invented", Type: shed.FleeceType(rapid.IntRange(0, 3).Draw(t, "type"))}, Form: shed.Form(rapid.IntRange(0, 1).Draw(t, "form"))}
		part.RawG = float64(rapid.IntRange(20, 3000).Draw(t, "steps")) * stepG
		if rapid.Bool().Draw(t, "typed") {
			part.BasketG = float64(rapid.IntRange(600, 4000).Draw(t, "most")) / 10
		}
		batches := must.Get(planner.Split(p, part)).In(t)
		most, sum, steps := planner.MostG(p, part), 0.0, 0.0
		for _, b := range batches {
			if sum, steps = sum+b.RawG, steps+math.Round(b.RawG/stepG); b.RawG > most+1e-9 {
				t.Fatalf("%g g, and %g g is shown as the most", b.RawG, most)
			}
		}
		if part.BasketG > 0 && most > part.BasketG {
			t.Fatalf("%g g shown as the most, %g typed", most, part.BasketG)
		}
		if math.Abs(sum-part.RawG) > 1e-6 || steps != math.Round(part.RawG/stepG) {
			t.Fatalf("%g g in batches that show %g steps of %g g, given %g g", sum, steps, stepG, part.RawG)
		}
	})
}

// A batch of the split is in no tub that takes less of it, over a night or not, by
// the start of the day or by the timetable.
func TestSplitGoesWhereItIsMeantFor(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := sessiontest.MixedTubs()
		for i := range p.Kit.Tubs {
			p.Kit.Tubs[i].FillL = float64(rapid.IntRange(8, 15).Draw(t, "fill"))
			p.Kit.Tubs[i].CapacityL = p.Kit.Tubs[i].FillL * 1.3
		}
		part := planner.Part{
			Fleece: shed.Fleece{ID: "f", Animal: "Invented", Type: shed.FleeceType(rapid.IntRange(0, 3).Draw(t, "type")), RawG: 20000},
			RawG:   float64(rapid.IntRange(100, 1600).Draw(t, "grams")), Form: shed.Form(rapid.IntRange(0, 1).Draw(t, "form")),
			Presoak: shed.PresoakChoice(rapid.IntRange(0, 3).Draw(t, "presoak")),
		}
		var err error
		p.Fleeces = []shed.Fleece{part.Fleece}
		if p.Batches, err = planner.Split(p, part); err != nil {
			t.Fatal(err)
		}
		p = p.Clean()
		where := map[string]int{}
		for i, tub := range p.FirstTubs(sessiontest.Dawn) {
			if tub >= 0 {
				where[fmt.Sprintf("%s at the start", p.Batches[i].ID)] = tub
			}
		}
		o, err := planner.PlanAhead(p, sessiontest.Dawn, planner.AsGiven, planner.Quick)
		if err != nil {
			t.Skip(err)
		}
		for _, s := range o.Timetable.Soaks {
			where[s.Batch+" by the timetable"] = s.Tub
		}
		for what, tub := range where {
			var b shed.Batch
			for _, x := range p.Batches {
				if x.ID == what[:len(x.ID)] {
					b = x
				}
			}
			if most := limitG(p, tub, part) * 1.03; b.RawG > most+1 {
				t.Fatalf("%s: %g g in a tub of %g L that takes %g g", what, b.RawG, p.Kit.Tubs[tub].FillL, most)
			}
		}
	})
}

// Locks of 980 g, soaked over night in tubs: four batches for the two large tubs, two
// a night; the small one, which takes 180 g, stands empty.
func TestNightsLeaveTheSmallTubEmpty(t *testing.T) {
	p := sessiontest.MixedTubs()
	f := shed.Fleece{ID: "f", Animal: "Invented", RawG: 980}
	p.Fleeces = []shed.Fleece{f}
	var err error
	if p.Batches, err = planner.Split(p, planner.Part{Fleece: f, RawG: 980, Form: shed.Locks, Presoak: shed.PresoakOvernight}); err != nil || len(p.Batches) != 4 {
		t.Fatalf("%v: %+v", err, p.Batches)
	}
	o := must.Get(planner.PlanAhead(p, sessiontest.Dawn, planner.AsGiven, planner.Quick)).In(t)
	for _, s := range o.Timetable.Soaks {
		if s.Tub == 2 {
			t.Errorf("%s in the tub of 9 L", s.Batch)
		}
	}
	for _, n := range o.Nights {
		if len(n.Batches) != 2 {
			t.Errorf("a night of %v in two tubs", n.Batches)
		}
	}
}
