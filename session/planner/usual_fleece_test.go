package planner_test

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"fleece.example/tubside/cooling"
	"fleece.example/tubside/session/must"
	"fleece.example/tubside/session/planner"
	"fleece.example/tubside/session/sessiontest"
	"fleece.example/tubside/session/shed"
)

// usualKits are what people wash with: the kit that is offered, two large pails
// that are not filled, four buckets. Invented, as the fleeces are.
func usualKits() map[string]shed.Kit {
	tubs := func(n int, capacityL, fillL, kettleL float64) shed.Kit {
		k := shed.DefaultKit()
		k.Kettle.CapacityL, k.Tubs = kettleL, nil
		for i := range n {
			k.Tubs = append(k.Tubs, shed.Tub{ID: fmt.Sprintf("t%d", i+1), Name: fmt.Sprintf("Tub %d", i+1), CapacityL: capacityL, FillL: fillL, Shape: cooling.Deep, Cover: cooling.Lid})
		}
		return k
	}
	return map[string]shed.Kit{"as offered": shed.DefaultKit(), "two pails": tubs(2, 19, 12, 3), "four buckets": tubs(4, 11, 9, 1.7)}
}

var usualKitNames = []string{"as offered", "two pails", "four buckets"}

// usualDay is a whole fleece split for a kit and timed.
func usualDay(t *testing.T, kit string, rawG float64, kind shed.FleeceType, form shed.Form) planner.Outlook {
	t.Helper()
	f := shed.Fleece{ID: "f1", Animal: "Invented", Type: kind, RawG: rawG}
	p := shed.Plan{Kit: usualKits()[kit], Method: shed.BuiltInMethod(), Fleeces: []shed.Fleece{f}}
	var err error
	if p.Batches, err = planner.Split(p, planner.Part{Fleece: f, RawG: rawG, Form: form}); err != nil {
		t.Fatal(err)
	}
	o := must.Get(planner.PlanAhead(p, sessiontest.Dawn, planner.AsGiven, planner.Quick)).In(t)
	return o
}

// A usual fleece is a usual day: a practised hand washes 1.8 kg as eight batches
// of about 225 g, on one long day or two (common practice, no source).
func TestUsualFleece(t *testing.T) {
	longest := map[float64]float64{1200: 6.5, 1800: 9, 2500: 12.5, 3000: 15, 4000: 19} // h
	for _, kit := range usualKitNames {
		for _, kind := range []shed.FleeceType{shed.Fine, shed.Medium, shed.Longwool} {
			for _, rawG := range []float64{1200, 1800, 2500, 3000, 4000} {
				o := usualDay(t, kit, rawG, kind, shed.Loose)
				least, most := math.Inf(1), 0.0
				for _, b := range o.Plan.Batches {
					least, most = min(least, b.RawG), max(most, b.RawG)
				}
				hours := o.Sums.LengthMin / 60
				small := 100.0
				if rawG == 1800 && kit == "as offered" && (len(o.Plan.Batches) < 8 || len(o.Plan.Batches) > 11) {
					t.Errorf("%d batches", len(o.Plan.Batches))
				}
				if least < small || most > 340 || hours > longest[rawG] || float64(o.Sums.Boils) > 3*float64(len(o.Plan.Batches)) {
					t.Errorf("%s, %s, %g g: %d batches of %.0f to %.0f g, %.1f h, %d boils", kit, kind, rawG, len(o.Plan.Batches), least, most, hours, o.Sums.Boils)
				}
				if text := strings.Join(o.Cautions, "\n"); strings.Contains(text, "open out") {
					t.Errorf("%s, %s, %g g: %s", kit, kind, rawG, text)
				}
				t.Logf("%-12s %-8s %4.0f g: %2d batches of %3.0f-%3.0f g, %4.1f h (%4.1f h hands), %2d boils, %3.0f L hot, %3.0f L in all, %v", kit, kind, rawG, len(o.Plan.Batches), least, most, hours, o.Sums.HandsMin/60, o.Sums.Boils, o.Sums.HotL, o.Sums.WaterL, o.Cautions)
			}
		}
	}
}

// What is more than a day's work is divided over days, each of which is one; all
// batches are in it, and a day that is short enough is left whole.
func TestDividedOverDays(t *testing.T) {
	for _, kit := range usualKitNames {
		for _, rawG := range []float64{1200, 3000, 4000} {
			o := usualDay(t, kit, rawG, shed.Fine, shed.Loose)
			if o.Sums.LengthMin <= 600 {
				if o.ByDays != nil {
					t.Errorf("%s, %g g: %.1f h divided into %v", kit, rawG, o.Sums.LengthMin/60, o.ByDays)
				}
				continue
			}
			var all []string
			for _, day := range o.ByDays {
				p := o.Plan
				p.Batches = nil
				for _, b := range o.Plan.Batches {
					if slices.Contains(day, b.ID) {
						p.Batches = append(p.Batches, b)
					}
				}
				one, err := planner.PlanAhead(p, sessiontest.Dawn, planner.AsGiven, planner.Quick)
				if err != nil || one.Sums.LengthMin > 600 {
					t.Errorf("%s, %g g: a day of %v takes %.1f h, %v", kit, rawG, day, one.Sums.LengthMin/60, err)
				}
				if len(day)-len(o.ByDays[len(o.ByDays)-1]) > 1 {
					t.Errorf("%s, %g g: uneven days %v", kit, rawG, o.ByDays)
				}
				all = append(all, day...)
			}
			slices.Sort(all)
			if all = slices.Compact(all); len(all) != len(o.Plan.Batches) || !strings.Contains(strings.Join(o.Cautions, "\n"), "more than a day's work (10 h): split it over ") {
				t.Errorf("%s, %g g: %v, %q", kit, rawG, o.ByDays, o.Cautions)
			}
		}
	}
}

// Of fewer tubs those are named that the batches open out in.
func TestFewerTubsHoldTheirBatches(t *testing.T) {
	p := sessiontest.ThreeTubs(func(p *shed.Plan) {
		p.Fleeces = []shed.Fleece{{ID: "f1", Animal: "Bramble", RawG: 300}}
		p.Batches = []shed.Batch{{ID: "A1", FleeceID: "f1", RawG: 220, Presoak: shed.PresoakNone}}
		p.Kit.Tubs[0].CapacityL, p.Kit.Tubs[0].FillL = 8, 5 // the first that is tried
	})
	at := time.Date(2026, 6, 13, 8, 0, 0, 0, time.UTC)
	o := must.Get(planner.PlanAhead(p, at, planner.Earliest, planner.Quick)).In(t)
	one := planner.CompareTubs(o, at, planner.Earliest, nil)[0]
	p.Kit.Tubs = p.Kit.Tubs[1:2]
	alone := must.Get(planner.PlanAhead(p, at, planner.Earliest, planner.Quick)).In(t)
	sessiontest.Near(t, "hot water with one tub, L", one.HotL, alone.Sums.HotL, 1e-9)
}

// Batches that weigh the same have the scour of their own fleece in every bath to come.
func TestScourOfEachFleece(t *testing.T) {
	p := sessiontest.ThreeTubs(func(p *shed.Plan) {
		p.Fleeces, p.Batches = p.Fleeces[:2], nil
		p.Fleeces[0].Wax, p.Fleeces[1].Wax = shed.Low, shed.Average
		for _, f := range p.Fleeces {
			p.Batches = append(p.Batches, shed.Batch{FleeceID: f.ID, RawG: 150}, shed.Batch{FleeceID: f.ID, RawG: 150})
		}
	})
	d := sessiontest.Start(t, p).Day
	o := must.Get(planner.Schedule(d, sessiontest.Dawn, planner.Quick)).In(t)
	for _, b := range o.Baths {
		if batch, _ := d.Batch(b.Batch); b.Step.Kind == shed.Wash {
			sessiontest.Same(t, b.Batch, b.Fill.DoseML, d.Plan.Kit.DoseFor(150, d.FleeceOf(batch.ID).Wax))
		}
	}
}
