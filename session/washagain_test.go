package session_test

import (
	"slices"
	"strings"
	"testing"

	"fleece.example/tubside/cooling"
	"fleece.example/tubside/session"
	"fleece.example/tubside/session/coach"
	"fleece.example/tubside/session/must"
	"fleece.example/tubside/session/planner"
	"fleece.example/tubside/session/sessiontest"
	"fleece.example/tubside/session/shed"
)

// A batch that is still waxy is washed again from its wash or from any bath behind it, with a
// dose of its own: the rinses follow again, its raw weight counts once, and its dirty water is
// told to be emptied.
func TestWashAgain(t *testing.T) {
	for name, to := range map[string]struct {
		steps   int // lifts before it is decided
		emptied bool
		used    string
	}{
		"at the wash": {1, false, "hot wash"}, "the wash emptied": {1, true, ""},
		"at the first rinse": {2, false, "first rinse"}, "at the last rinse": {3, false, "second rinse"}, "the last rinse emptied": {3, true, ""},
	} {
		t.Run(name, func(t *testing.T) {
			r := sessiontest.Start(t, sessiontest.RecordPlan())
			for i := range to.steps {
				if i > 0 {
					r.Next(0)
				}
				r.Until(0, shed.Soaking).Wait(16).Next(0)
			}
			if to.emptied {
				r.Next(0)
			} else if said := sessiontest.DetailLines(r.Prompt()); !strings.Contains(strings.Join(said, ";"), "still waxy: wash it again") {
				t.Errorf("%v", said)
			}
			before := r.Day
			r.Do(session.RepeatStep{Tub: 0, Wash: true, DosePart: 0.5})
			tub := r.Day.Tubs[0]
			sessiontest.Same(t, "now", []any{tub.Step().Name, tub.Phase, tub.Used.Name}, []any{"hot wash", shed.ToFill, to.used})
			sessiontest.Same(t, "shown as", coach.GlanceAt(r.Day, 0, r.Now).StepName, "hot wash again")
			if w, ok := r.Day.WantsKettle(0, "", session.HeatModel{}, r.Now); ok {
				sessiontest.Same(t, "its kettle", w.Name, "hot wash again")
			} else {
				sessiontest.Same(t, "its title", r.Prompt().Title, "fill for the hot wash again")
			}
			p, _ := r.Day.Batch("A1")
			whole := r.Day.Plan.Kit.DoseFor(p.RawG, r.Day.FleeceOf("A1").Wax)
			sessiontest.Same(t, "dose", r.Day.FillAt(0, r.Now).DoseML, r.Day.Plan.Kit.DoseFor(p.RawG/2, r.Day.FleeceOf("A1").Wax))
			if whole <= r.Day.FillAt(0, r.Now).DoseML {
				t.Errorf("half of %g is %g", whole, r.Day.FillAt(0, r.Now).DoseML)
			}
			if empties := strings.Contains(strings.Join(sessiontest.DetailLines(r.Prompt()), ";"), "empty the tub first, "); empties == to.emptied {
				t.Errorf("told to empty it: %v, %v", empties, sessiontest.DetailLines(r.Prompt()))
			}
			if _, err := planner.Schedule(r.Day, r.Now, planner.Quick); err != nil {
				t.Error(err)
			}
			r.Do(session.Undo{})
			sessiontest.Same(t, "taken back", r.Day.Tubs[0].Phase, before.Tubs[0].Phase)
			r.Do(session.RepeatStep{Tub: 0, Wash: true}).Until(0, shed.ToRack)
			washed := 0
			for _, b := range r.Day.Baths {
				if b.Step.Kind == shed.Wash {
					washed++
				}
			}
			sessiontest.Same(t, "washed", []int{washed, r.Day.Fate["A1"].Washes}, []int{2, 2})
			if said := strings.Join(sessiontest.DetailLines(r.Prompt()), ";"); !strings.Contains(said, " raw, 16 May 2026, washed twice") {
				t.Errorf("on the label: %s", said)
			}
			sessiontest.Same(t, "rinsed last in", r.Day.Baths[len(r.Day.Baths)-1].Step.Name, "second rinse")
		})
	}
	half := sessiontest.RecordPlan() // on a later day, by the plan
	half.Batches[0].Again, half.Batches[0].DosePart = shed.Earlier{Day: 1, Batch: "A1"}, 0.5
	d := sessiontest.Start(t, half).Day
	sessiontest.Same(t, "half of it", d.FillAt(0, sessiontest.Dawn).DoseML, d.Plan.Kit.DoseFor(half.Batches[0].RawG/2, half.Fleeces[0].Wax))
	own := half // a method of one's own has half in a second wash
	own.Method.Steps = slices.Clone(half.Method.Steps)
	own.Method.Steps[slices.IndexFunc(own.Method.Steps, func(s shed.Step) bool { return s.Dosed })].DosePart = 0.5
	for says, plan := range map[string]shed.Plan{"(half the usual dose)": half, "(a quarter of the usual dose)": own} {
		r := sessiontest.Start(t, plan)
		if said := sessiontest.PromptText(coach.PromptAt(r.Day, 0, r.Now)); !strings.Contains(said, says) {
			t.Errorf("%q does not say %q", said, says)
		}
	}
	for _, c := range []struct { // most of its wax and dirt is out: it takes less heat from its bath
		gave   []shed.Gave
		wasG   float64
		comesG float64
	}{
		{nil, 0, 200 * (0.45 + 0.60) / 2}, // medium
		{[]shed.Gave{{Fleece: "f9", RawG: 200, DryG: 80}, {Fleece: "f1", RawG: 150, DryG: 90}}, 0, 200 * 0.6},
		{[]shed.Gave{{Fleece: "f1", RawG: 150, DryG: 90}, {Fleece: "f1", RawG: 200, DryG: 104}}, 104, 104}, // its own weight
	} {
		half.Gave, half.Batches[0].WasDryG = c.gave, c.wasG
		r := sessiontest.Start(t, half)
		raw := sessiontest.Start(t, sessiontest.RecordPlan())
		sunk := func(r *sessiontest.Run) float64 {
			return r.Day.SinkInto(0, r.Now).Changes[0].AddJPerK
		}
		sessiontest.Near(t, "taken by it", sunk(raw)-sunk(r), (200-c.comesG)*cooling.WoolJPerGK, 1e-9)
		if is, was := r.Day.FillAt(0, r.Now), raw.Day.FillAt(0, r.Now); is.Pour.KettleL == was.Pour.KettleL && is.AfterC <= was.AfterC {
			t.Errorf("%.2f °C with it in, raw %.2f °C", is.AfterC, was.AfterC)
		}
	}
	dry := half // what was dried goes by that weight: its scour, its tub, and what it dries to
	dry.Batches = slices.Clone(half.Batches)
	dry.Batches[0].WasDryG, dry.Batches[0].DosePart = 130, 0
	again := sessiontest.Start(t, dry)
	sessiontest.Same(t, "by its own weight", again.Day.FillAt(0, sessiontest.Dawn).DoseML, dry.Kit.DoseFor(130, dry.Fleeces[0].Wax))
	dry.Batches[0].RawG = 2000
	sessiontest.Same(t, "fits", []any{dry.FitsIn(&dry.Batches[0], 0), planner.OverfullG(&dry, &dry.Batches[0], 0)}, []any{true, 0.0})
	again.Until(0, shed.ToRack).Next(0)
	x := must.Get(again.Day.Drying("A1")).In(t)
	sessiontest.Near(t, "dries to", x.Forecast.RestingG.Likely, 130*0.96, 1.5)
	r := sessiontest.Start(t, sessiontest.RecordPlan()).Until(0, shed.ToRack)
	r.Do(session.WeighWet{Batch: "A1", MassG: 280, Scale: sessiontest.KitchenScale}, session.RepeatStep{Tub: 0, Wash: true})
	sessiontest.Same(t, "spun weights", len(r.Day.Fate["A1"].Wet), 0)
	r.Until(0, shed.Draining)
	_ = r.Refused(session.RepeatStep{Tub: 0, Wash: true, DosePart: 3}, "the dose should be between none and twice the usual")
	presoak := sessiontest.StartPresoaked(t).Until(0, shed.Draining)
	_ = presoak.Refused(session.RepeatStep{Tub: 0, Wash: true}, "no wash to repeat yet")
	if said := sessiontest.DetailLines(coach.PromptAt(presoak.Day, 0, presoak.Now)); strings.Contains(strings.Join(said, ";"), "waxy") {
		t.Errorf("after a presoak: %v", said)
	}
}

// Behind its first wash a batch is what that leaves of it, in the rinses and washed once more on the same
// day: it takes less heat from a bath, brings less water along and leaves more room, at the tub as in the plan.
func TestWashedFleeceIsLighter(t *testing.T) {
	const rawG, comesG, carried, waterJPerGK, basketJPerK = 200, 200 * (0.45 + 0.60) / 2, 1.3, 4.186, 270
	washed := func(again bool) *sessiontest.Run {
		r := sessiontest.Start(t, sessiontest.RecordPlan()).Until(0, shed.Soaking).Wait(16).Next(0)
		if again {
			return r.Do(session.RepeatStep{Tub: 0, Wash: true})
		}
		return r.Next(0)
	}
	overL := func(r *sessiontest.Run) float64 { // what stands beside the water
		const muchL = 100
		return r.Day.OverRimL(0, muchL, 0) - (muchL + r.Day.Tubs[0].Bath.LevelL() - r.Day.Plan.Kit.Tubs[0].CapacityL)
	}
	first := sessiontest.Start(t, sessiontest.RecordPlan()).Until(0, shed.Soaking)
	sessiontest.Near(t, "raw in its first wash, L", overL(first), rawG/1000.0, 1e-9)
	for name, again := range map[string]bool{"the rinse": false, "washed again": true} {
		r := washed(again)
		b, _ := r.Day.Batch("A1")
		step, came := r.Day.Tubs[0].Step(), r.Day.Tubs[0].Lifted()
		ahead := r.Day.LookAhead().Bath(0, b, *step, came)
		raw := came
		raw.Washed = false
		if was := r.Day.LookAhead().Bath(0, b, *step, raw); ahead.Fill.AfterC-ahead.Fill.WaterC <= was.Fill.AfterC-was.Fill.WaterC {
			t.Errorf("%s: planned to fall from %.2f to %.2f °C, raw from %.2f to %.2f", name, ahead.Fill.WaterC, ahead.Fill.AfterC, was.Fill.WaterC, was.Fill.AfterC)
		}
		planned := first.Day.LookAhead().Baths(0, b, first.Day.Tubs[0].Steps, 0, shed.Lifted{})
		if !planned[1].From.Washed || planned[0].From.Washed {
			t.Errorf("planned: %+v, %+v", planned[0].From, planned[1].From)
		}
		r.Until(0, shed.ToSink)
		changes := r.Day.SinkInto(0, r.Now).Changes
		sessiontest.Near(t, name+", J/K", changes[len(changes)-1].AddJPerK, comesG*(cooling.WoolJPerGK+carried*waterJPerGK)+basketJPerK, 1e-9)
		r.Until(0, shed.Soaking)
		sessiontest.Near(t, name+", L", overL(r), comesG*(1+carried)/1000, 1e-9)
	}
}
