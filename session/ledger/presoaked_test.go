package ledger_test

import (
	"encoding/json"
	"testing"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/must"
	"fleece.example/tubside/session/sessiontest"
	"fleece.example/tubside/session/shed"
)

// What was only presoaked when its day ended is still to wash: its fleece has it, and it
// is no washed batch. Once it has been in another bath it is off the fleece.
func TestPresoakedOnlyIsStillToWash(t *testing.T) {
	for _, c := range []struct {
		name   string
		stop   func(r *sessiontest.Run)
		state  ledger.State
		leftG  float64
		washed int
	}{
		{"in the presoak", func(r *sessiontest.Run) { r.Until(0, shed.Soaking) }, ledger.Presoaked, 1800, 0},
		{"lifted from it", func(r *sessiontest.Run) { r.Until(0, shed.Soaking).Until(0, shed.Draining) }, ledger.Presoaked, 1800, 0},
		{"before its wash", func(r *sessiontest.Run) { r.Until(0, shed.Soaking).Until(0, shed.ToSink) }, ledger.Presoaked, 1800, 0},
		{"in its wash", func(r *sessiontest.Run) { r.Until(0, shed.Soaking).Until(0, shed.ToSink).Until(0, shed.Soaking) }, ledger.InWater, 1600, 1},
		{"in its rinse", func(r *sessiontest.Run) {
			for range 3 {
				r.Until(0, shed.Soaking).Until(0, shed.ToSink)
			}
			r.Until(0, shed.Soaking)
		}, ledger.InWater, 1600, 1},
	} {
		p := sessiontest.RecordPlan()
		p.Batches[0].Presoak = shed.PresoakQuick
		p.Fleeces[0].Parts = []shed.FleecePart{{Name: "sides", RawG: 1000}}
		p.Batches[0].Part = "sides"
		r := sessiontest.Start(t, p)
		c.stop(r)
		open := ledger.Book(p.Fleeces, []ledger.Summary{ledger.Summarise(1, r.Day)})[0]
		sessiontest.Near(t, c.name+", left while the day goes on", open.LeftG, 1600, 1e-9)
		sessiontest.Same(t, c.name+", went in", []any{len(r.Day.Washed()), r.Day.MayDrop()}, []any{1, false})
		r.Do(session.EndDay{Anyway: true})
		sessiontest.CheckReplay(t, r, nil)

		sum := ledger.Summarise(1, r.Day)
		text := must.Get(json.Marshal(sum.Rows)).In(t)
		var rows ledger.BatchRows
		must.Do(t, json.Unmarshal(text, &rows))
		sum.Rows = rows
		sessiontest.Same(t, c.name+", row", []any{rows[0].State(), sum.NeedsRows()}, []any{c.state, false})
		x := ledger.Book(p.Fleeces, []ledger.Summary{sum})[0]
		sessiontest.Near(t, c.name+", left", x.LeftG, c.leftG, 1e-9)
		sessiontest.Near(t, c.name+", left of its part", x.Left()[0].RawG, c.leftG-800, 1e-9)
		sessiontest.Same(t, c.name+", washed", []int{len(r.Day.Washed()), len(x.Batches), x.Washed}, []int{c.washed, 1, 0})
		sessiontest.Same(t, c.name+", may be gone on with", r.Day.MayGoOn(r.Now), true)

		// Rows of older versions do not say how far it came: they are made from the events.
		rows[0].Reached = ledger.ReachedUnknown
		sessiontest.Same(t, c.name+", an old row", sum.NeedsRows(), true)
	}
}

// A batch that soaked in the bin over night goes by none of its steps.
func TestNoStepOfABinSoakIsSkipped(t *testing.T) {
	p := sessiontest.OneTub(func(p *shed.Plan) {
		p.Kit.BinL = 60
		p.Batches[0].Presoak = shed.PresoakOvernight
	})
	r := sessiontest.Start(t, p).Rack(8)
	for _, b := range ledger.ReviewOf(r.Day).Batches {
		for _, x := range b.Baths {
			if x.LeftOut() {
				t.Errorf("%s: %s was skipped", b.Batch.ID, x.Step.Name)
			}
		}
	}
}
