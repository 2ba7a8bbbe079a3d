package ledger_test

import (
	"encoding/json"
	"slices"
	"testing"
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/must"
	"fleece.example/tubside/session/sessiontest"
	"fleece.example/tubside/session/shed"
)

// A batch that was dried and found waxy is washed again on a later day as the same batch: its
// raw weight counts once, its yield is that of its last dry weight, its first tray is free, and
// both days are in its history.
func TestWashedAgainCountsOnce(t *testing.T) {
	first := sessiontest.Start(t, sessiontest.RecordPlan()).Until(0, shed.ToRack).Next(0).Until(0, shed.ToRack).Next(0)
	first.Do(session.EndDay{Anyway: true})
	first.Now = first.Now.Add(50 * time.Hour)
	first.Do(session.Weigh{Batch: "A1", DryG: 130, Dry: true, Scale: sessiontest.KitchenScale, Sure: true}, session.Judge{Batch: "A2", Out: session.Outcome{Found: session.StillWaxy}})
	fleeces := first.Day.Plan.Fleeces
	one := []ledger.Summary{ledger.Summarise(1, first.Day)}
	sessiontest.Same(t, "left after one day", ledger.StockOf(fleeces, one).WholeG(fleeces[0]), 1350)

	plan := sessiontest.RecordPlan()
	plan.Fleeces = fleeces
	for i := range plan.Batches {
		plan.Batches[i] = first.Day.Plan.Batches[i]
		plan.Batches[i].Again = shed.Earlier{Day: 1, Batch: plan.Batches[i].ID}
	}
	plan.Fleeces[0].SkirtedG = 460 // hardly more than the two of them: they are not of what is left
	plan = ledger.PastOf(one).Tell(plan)
	sessiontest.Same(t, "on the rack", len(plan.Lying()), 0)
	sessiontest.Same(t, "planned of the fleece", ledger.PlannedG(plan.Batches, "f1", ""), 0)
	again := sessiontest.Start(t, plan)
	book := func() ledger.Entry {
		t.Helper()
		text := must.Get(json.Marshal(ledger.Summarise(2, again.Day))).In(t)
		var read ledger.Summary
		must.Do(t, json.Unmarshal(text, &read))
		return ledger.Book(fleeces, []ledger.Summary{read, one[0]})[0]
	}
	sessiontest.Same(t, "once begun", []any{book().UsedG, book().Bagged, len(book().Batches)}, []any{450.0, 1, 4})
	again.Until(0, shed.ToRack).Next(0).Until(0, shed.ToRack).Next(0)
	again.Do(session.EndDay{Anyway: true})
	again.Now = again.Now.Add(50 * time.Hour)
	again.Do(session.Weigh{Batch: "A1", DryG: 110, Dry: true, Scale: sessiontest.KitchenScale, Sure: true})
	e := book()
	sessiontest.Same(t, "used, raw, dry", []float64{e.UsedG, e.RawG, e.DryG}, []float64{450, 200, 110})
	sessiontest.Same(t, "drying, bagged", []int{e.Drying, e.Bagged}, []int{1, 1})
	y, ok, err := e.Yield(plan.Kit.Units)
	if !ok || err != nil || y.Batches != 1 || y.AsWeighed.Likely != 0.55 {
		t.Errorf("yield %+v (%v)", y.AsWeighed, err)
	}
	for _, b := range e.Batches {
		want := 2
		if b.Before {
			want = 1
		}
		sessiontest.Same(t, b.ID+" washed", e.Washes(b), want)
	}
	days := []ledger.Summary{ledger.Summarise(2, again.Day), one[0]}
	if past := ledger.PastOf(days); len(past.Gave) != 1 || past.Gave[0].DryG != 110 {
		t.Errorf("gave %+v", past.Gave)
	}
	for _, l := range ledger.StillDrying(days) {
		if l.Day == 1 {
			t.Errorf("lies there still: %+v", l)
		}
	}
	_ = again.Refused(session.WeighRaw{Batch: "A1", RawG: 190, Scale: sessiontest.KitchenScale}, "A1 is washed again: its raw weight is that of A1, on its first day")
}

// A day that ends before the second wash leaves the first as it was, a presoak or none.
func TestNotWashedAgainAfterAll(t *testing.T) {
	first := sessiontest.Start(t, sessiontest.RecordPlan()).Until(0, shed.ToRack).Next(0)
	first.Do(session.EndDay{Anyway: true})
	first.Now = first.Now.Add(50 * time.Hour)
	first.Do(session.Weigh{Batch: "A1", DryG: 130, Dry: true, Scale: sessiontest.KitchenScale, Sure: true})
	plan := sessiontest.RecordPlan()
	plan.Batches = slices.Clone(first.Day.Plan.Batches[:1])
	plan.Batches[0].Again = shed.Earlier{Day: 1, Batch: "A1"}
	for _, presoak := range []shed.PresoakChoice{shed.PresoakNone, shed.PresoakQuick} {
		plan.Batches[0].Presoak = presoak
		again := sessiontest.Start(t, plan)
		if presoak != shed.PresoakNone {
			again.Until(0, shed.Draining)
		}
		again.Do(session.EndDay{Anyway: true})
		e := ledger.Book(first.Day.Plan.Fleeces, []ledger.Summary{ledger.Summarise(2, again.Day), ledger.Summarise(1, first.Day)})[0]
		sessiontest.Same(t, "used, raw, dry", []float64{e.UsedG, e.RawG, e.DryG}, []float64{200, 200, 130})
	}
}

// A raw weight that is put right on the first day counts for the last, and a record in which two
// batches name each other is read.
func TestWashedAgainByTheFirstRawWeight(t *testing.T) {
	at := sessiontest.Dawn
	days := []ledger.Summary{}
	for day := shed.DayID(3); day > 0; day-- {
		r := ledger.BatchRow{ID: "A1", FleeceID: "f1", RawG: 200, DryG: 100, SunkAt: at, RackedAt: at, DryAt: at, Again: shed.Earlier{Day: day - 1, Batch: "A1"}}
		if day == 1 {
			r.RawG, r.Again = 180, shed.Earlier{}
		}
		days = append(days, ledger.Summary{ID: day, StartedAt: at.AddDate(0, 0, int(day)), EndedAt: at.AddDate(0, 0, int(day)), Rows: ledger.BatchRows{r}})
	}
	fleeces := []shed.Fleece{{ID: "f1", RawG: 1000}}
	e := ledger.Book(fleeces, days)[0]
	sessiontest.Same(t, "used, raw, dry", []float64{e.UsedG, e.RawG, e.DryG}, []float64{180, 180, 100})
	sessiontest.Same(t, "washed", e.Washes(e.Batches[0]), 3)
	days[2].Rows[0].Again = shed.Earlier{Day: 3, Batch: "A1"} // from elsewhere
	e = ledger.Book(fleeces, days)[0]
	sessiontest.Same(t, "washed in a circle", e.Washes(e.Batches[0]), 3)
}
