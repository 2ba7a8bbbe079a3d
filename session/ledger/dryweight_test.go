package ledger_test

import (
	"errors"
	"math"
	"testing"
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/must"
	"fleece.example/tubside/session/sessiontest"
	"fleece.example/tubside/session/shed"
)

// inOunces is washed on a day in US units, both batches of so many ounces.
func inOunces(t *testing.T, raw float64, presoak shed.PresoakChoice) (r *sessiontest.Run, scale shed.Scale) {
	t.Helper()
	p := sessiontest.RecordPlan()
	scale = shed.Scale{Name: "kitchen", StepG: measure.GPerOz / 10}
	p.Kit.Units = measure.US
	for i := range p.Batches {
		p.Batches[i].RawG, p.Batches[i].RawScale, p.Batches[i].Presoak = raw*measure.GPerOz, scale, presoak
	}
	r = sessiontest.Start(t, p).Until(0, shed.ToRack).Next(0).Until(0, shed.ToRack).Next(0)
	return r.Do(session.EndDay{Anyway: true}), scale
}

// A dry weight that the weights on the rack speak against is asked about, in one
// sentence, and may be insisted on.
func TestDryWeightAgainstTheRack(t *testing.T) {
	r, scale := inOunces(t, 8.4, shed.PresoakNone)
	dry := func(oz float64) session.Weigh {
		return session.Weigh{Batch: "A1", DryG: oz * measure.GPerOz, Dry: true, Scale: scale}
	}
	lies := func(oz float64) {
		r.Do(session.WeighWet{Batch: "A1", MassG: oz * measure.GPerOz, Scale: scale})
	}
	r.Now = r.Now.Add(20 * time.Hour)
	lies(5.7)
	at := measure.US.Moment(r.Now, "Mon at 15:04")
	r.Now = r.Now.Add(6 * time.Minute)
	for _, oz := range []float64{6.5, 6, 5.9} {
		if err := r.Refused(dry(oz), "heavier than the 5.7 oz it weighed on "+at+": is it the right batch?"); !errors.Is(err, shed.ErrUnlikely) {
			t.Errorf("%v", err)
		}
	}
	r.Do(dry(5.7), session.Undo{})
	dries := func(oz float64, wet int) {
		t.Helper()
		r.Do(session.Weigh{Batch: "A1", DryG: oz * measure.GPerOz, Scale: scale, Sure: true})
		if f := r.Day.Fate["A1"]; f.DryG != 0 || len(f.Wet) != wet {
			t.Errorf("%.1f oz: %+v", oz, f)
		}
	}
	dries(5.7, 2)
	r.Now = r.Now.Add(2 * time.Hour)
	lies(5)
	for _, h := range []time.Duration{20, 24, 24, 24} {
		r.Now = r.Now.Add(h * time.Hour)
		lies(4.8)
	}
	r.Now = r.Now.Add(2 * time.Hour)
	dries(4.8, 8)
	// Once the weights show it to be dry, with this one too, nobody has to say so.
	r.Now = r.Now.Add(10 * time.Hour)
	r.Do(session.Weigh{Batch: "A1", DryG: 4.8 * measure.GPerOz, Scale: scale})
	if g := r.Day.Fate["A1"].DryG; g == 0 {
		t.Error("dry by the rule, and not bagged")
	}
}

// A dry weight as heavy as raw is no dry one: it is asked about before it counts as one on the way to dry.
func TestDryWeightAsHeavyAsRaw(t *testing.T) {
	r, scale := inOunces(t, 8.4, shed.PresoakNone)
	dry := func(oz float64, sure bool) session.Weigh {
		return session.Weigh{Batch: "A1", DryG: oz * measure.GPerOz, Scale: scale, Sure: sure}
	}
	r.Now = r.Now.Add(20 * time.Hour)
	for _, oz := range []float64{8.4, 8.3} {
		if err := r.Refused(dry(oz, false), "as heavy as raw (8.4 oz): still wet?"); !errors.Is(err, shed.ErrUnlikely) {
			t.Error(err)
		}
	}
	_ = r.Refused(dry(8.5, true), "more than the 8.4 oz it weighed raw")
	r.Do(dry(8.4, true))
	if f := r.Day.Fate["A1"]; f.DryG != 0 || len(f.Wet) != 1 {
		t.Errorf("%+v", f)
	}
	r.Now = r.Now.Add(10 * time.Hour)
	r.Do(dry(6.5, false)) // lighter, and still wet
}

// Weighed in the evening and far lighter in the morning, it is not said to have been weighed
// at one time of day.
func TestHeavierAtTheOtherTimeOfDay(t *testing.T) {
	r, scale := inOunces(t, 8.4, shed.PresoakNone)
	r.Now = r.Now.Add(10 * time.Hour)
	for _, w := range []struct{ afterH, oz float64 }{{0, 8}, {36, 4.8}, {24, 4.8}, {24, 4.8}, {24, 4.8}} {
		r.Now = r.Now.Add(time.Duration(w.afterH * float64(time.Hour)))
		r.Do(session.WeighWet{Batch: "A1", MassG: w.oz * measure.GPerOz, Scale: scale, Sure: true})
	}
	if x, err := r.Day.Drying("A1"); err != nil || !x.Forecast.OtherTime || !x.Forecast.Heavier {
		t.Errorf("%+v (%v)", x.Forecast, err)
	}
	r.Now = r.Now.Add(time.Hour)
	r.Do(session.Weigh{Batch: "A1", DryG: 4.8 * measure.GPerOz, Scale: scale})
	if f := r.Day.Fate["A1"]; f.DryG != 0 || len(f.Wet) != 6 {
		t.Errorf("%+v", f)
	}
}

// A weight by which a batch would settle at more than such fleece gives is asked about, once; one
// that may still be water is not.
func TestWetWeightThatMakesTooMuch(t *testing.T) {
	weight := func(oz float64, scale shed.Scale, sure bool) session.WeighWet {
		return session.WeighWet{Batch: "A1", MassG: oz * measure.GPerOz, Scale: scale, Sure: sure}
	}
	r, scale := inOunces(t, 10, shed.PresoakNone)
	r.Do(weight(15, scale, false))
	r.Now = r.Now.Add(10 * time.Hour)
	r.Do(weight(9.5, scale, false))
	r.Now = r.Now.Add(14 * time.Hour)
	if err := r.Refused(weight(8.9, scale, false), "A1: 8.9 oz now would settle near 8.7 oz, 87% of 10 oz raw, and such fleece gives 7.5 oz at most: is the weight right?"); !errors.Is(err, shed.ErrUnlikely) {
		t.Error(err)
	}
	r.Do(weight(8.9, scale, true))
	r.Now = r.Now.Add(14 * time.Hour)
	r.Do(weight(8.8, scale, false))

	r, scale = inOunces(t, 10, shed.PresoakNone)
	r.Now = r.Now.Add(48 * time.Hour)
	_ = r.Refused(weight(8.9, scale, false), "such fleece gives 7.5 oz at most")
	r.Do(weight(5.9, scale, false))

	r, scale = inOunces(t, 10, shed.PresoakNone)
	r.Now = r.Now.Add(12 * time.Hour)
	r.Do(weight(8.9, scale, false))
}

// Two weights that are compared never read the same.
func TestComparedWeightsReadApart(t *testing.T) {
	r, scale := inOunces(t, 5.6, shed.PresoakQuick)
	r.Now = r.Now.Add(40 * time.Hour)
	_ = r.Refused(session.Weigh{Batch: "A1", DryG: 5.604 * measure.GPerOz, Dry: true, Scale: scale}, "5.604 oz dry is more than the 5.6 oz it weighed raw")
	r.Do(session.Weigh{Batch: "A1", DryG: 3.8 * measure.GPerOz, Dry: true, Scale: scale})
	_ = r.Refused(session.WeighRaw{Batch: "A1", RawG: 3.796 * measure.GPerOz, Scale: scale}, "3.796 oz raw is less than the 3.8 oz it weighs dry")
	_ = r.Refused(session.WeighSoaked{Batch: "A1", MassG: 5.604 * measure.GPerOz, Scale: scale}, "5.604 oz is more than the 5.6 oz it weighed raw")
	_ = r.Refused(session.WeighSoaked{Batch: "A1", MassG: 3.796 * measure.GPerOz, Scale: scale}, "3.796 oz is less than the 3.8 oz it weighs after the wash")
}

// A first weight on the rack is not that of the spun batch.
func TestFirstWeightOnTheRackIsNotSpun(t *testing.T) {
	r := sessiontest.StartWashed(t)
	laid := r.Day.Fate["A2"].RackedAt
	r.Now = laid.Add(21 * time.Minute)
	r.Do(session.WeighWet{Batch: "A2", MassG: 330, Scale: sessiontest.KitchenScale})
	r.Now = r.Now.Add(40 * time.Hour)
	r.Do(session.Weigh{Batch: "A2", DryG: 120, Dry: true, Scale: sessiontest.KitchenScale, RH: 0.6, Sure: true})
	got, lain, ok := r.Day.Retention("A2")
	sessiontest.Same(t, "lain", []any{lain, ok}, []any{21 * time.Minute, true})
	sessiontest.Same(t, "held", got.Held, "214 % water by its bone-dry weight")
}

// Batches of one evening are forecast by what all of them weighed, however long each had
// lain: what has the least water to lose is not dry last.
func TestBatchesOfAnEveningAreForecastTogether(t *testing.T) {
	p := sessiontest.RecordPlan()
	p.Fleeces[0].RawG, p.Fleeces[0].SkirtedG = 2000, 0
	p.Batches = nil
	for range 4 {
		p.Batches = append(p.Batches, shed.Batch{FleeceID: "f1", RawG: 330, Presoak: shed.PresoakNone, RawScale: sessiontest.KitchenScale})
	}
	r := sessiontest.Start(t, p)
	for range p.Batches {
		r.Until(0, shed.ToRack).Next(0)
	}
	r.Do(session.EndDay{Anyway: true})
	dryAt := func(id string) float64 {
		x := must.Get(r.Day.Drying(id)).In(t)
		return x.DryAt.Sub(x.Since).Hours()
	}
	for _, w := range []struct {
		id              string
		afterMin, massG float64
	}{{"A4", 1, 560}, {"A3", 5, 545}, {"A2", 105, 450}, {"A1", 110, 430}} {
		r.Now = r.Day.Fate["A4"].RackedAt.Add(sessiontest.Minutes(w.afterMin))
		r.Do(session.WeighWet{Batch: w.id, MassG: w.massG, Scale: sessiontest.KitchenScale})
	}
	for _, pair := range [][2]string{{"A1", "A3"}, {"A2", "A4"}} {
		if light, heavy := dryAt(pair[0]), dryAt(pair[1]); light > heavy*1.15 {
			t.Errorf("%s is dry %.1f h after it was racked, %s with more water %.1f h", pair[0], light, pair[1], heavy)
		}
	}
}

// What other batches of a fleece gave, on the day or before it, says what the next one
// should dry to; those of another fleece say nothing.
func TestYieldSoFarGuidesTheRack(t *testing.T) {
	p := sessiontest.RecordPlan()
	p.Fleeces[0].Parts = []shed.FleecePart{{Name: "sides", RawG: 1000}}
	for i := range p.Batches {
		p.Batches[i].Part = "Sides"
	}
	washed := func(p shed.Plan) *sessiontest.Run {
		r := sessiontest.Start(t, p).Until(0, shed.ToRack).Next(0).Until(0, shed.ToRack).Next(0)
		r.Do(session.EndDay{Anyway: true})
		r.Now = r.Now.Add(30 * time.Hour)
		return r
	}
	wide := func(r *sessiontest.Run, id string) float64 {
		x := must.Get(r.Day.Drying(id)).In(t)
		return x.Forecast.RestingG.High - x.Forecast.RestingG.Low
	}
	first := washed(p)
	usual := wide(first, "A2")
	first.Do(session.Weigh{Batch: "A1", DryG: 105, Dry: true, Scale: sessiontest.KitchenScale})
	if w := wide(first, "A2"); w > 0.85*usual {
		t.Errorf("beside a bagged batch %.1f g wide, without %.1f g", w, usual)
	}
	first.Do(session.Weigh{Batch: "A2", DryG: 133, Dry: true, Scale: sessiontest.KitchenScale})
	days := []ledger.Summary{ledger.Summarise(7, first.Day)}
	next := ledger.PastOf(days).Tell(p)
	if len(next.Gave) != 2 || next.Gave[0] != (shed.Gave{Fleece: "f1", Part: "sides", RawG: 200, DryG: 105}) {
		t.Fatalf("%+v", next.Gave)
	}
	if w := wide(washed(next), "A2"); w > 0.85*usual {
		t.Errorf("after a day of its fleece %.1f g wide, without %.1f g", w, usual)
	}
	p.Fleeces[0].ID = "f2"
	for i := range p.Batches {
		p.Batches[i].FleeceID = "f2"
	}
	if told := ledger.PastOf(days).Tell(p); len(told.Gave) != 0 {
		t.Errorf("of another fleece: %+v", told.Gave)
	}
}

// A batch that was still wet does not get heavier on the rack, and is asked about; a dry
// one takes up what damp air gives it.
func TestWetFibreGetsNoHeavier(t *testing.T) {
	racked := func() *sessiontest.Run {
		r := sessiontest.Start(t, sessiontest.OneTub())
		for r.Day.Fate["A1"].RackedAt.IsZero() {
			r.Next(0)
		}
		return r.Wait(40)
	}
	r := racked()
	rawG := r.Day.Plan.Batches[0].RawG
	r.Do(session.WeighWet{Batch: "A1", MassG: math.Round(rawG * 0.95)})
	r.Wait(16 * 60)
	_ = r.Refused(session.WeighWet{Batch: "A1", MassG: math.Round(rawG * 0.98)}, "Wet fleece doesn't get heavier")
	r.Do(session.WeighWet{Batch: "A1", MassG: math.Round(rawG * 0.52)})
	r.Wait(24 * 60)
	r.Do(session.WeighWet{Batch: "A1", MassG: math.Round(rawG*0.52) + 3}) // damp air
}

// TestFirstWeightIsNoDryWeight: a first weight that cannot be known to be dry is one on the way
// there, until the person says that it is dry or the time it lay there does.
func TestFirstWeightIsNoDryWeight(t *testing.T) {
	weigh := session.Weigh{Batch: "A1", DryG: 112, Scale: sessiontest.KitchenScale}
	for _, c := range []struct {
		afterH float64
		spunG  float64
		bagged bool
	}{{5, 0, false}, {24, 0, false}, {24, 190, false}, {72, 0, false}, {7 * 24, 0, true}, {30 * 24, 0, true}} {
		r := sessiontest.StartWashed(t)
		r.Do(session.EndDay{Anyway: true})
		if c.spunG > 0 {
			r.Do(session.WeighWet{Batch: "A1", MassG: c.spunG, Scale: sessiontest.KitchenScale})
		}
		r.Now = r.Now.Add(time.Duration(c.afterH * float64(time.Hour)))
		r.Do(weigh)
		row := ledger.RowOf(r.Day, "A1")
		if bagged := row.State() == ledger.Bagged; bagged != c.bagged || bagged != (row.DryG == 112) {
			t.Errorf("after %.0f h, spun %.0f g: %+v", c.afterH, c.spunG, row)
		}
		if x, err := r.Day.Drying("A1"); !c.bagged && (err != nil || x.LastG != 112 || !x.WeighAt.After(r.Now)) {
			t.Errorf("after %.0f h: to weigh %v (%v)", c.afterH, x.WeighAt, err)
		}
		said := weigh
		said.Dry, said.Sure = true, true
		r.Do(said)
		if g := r.Day.Fate["A1"].DryG; g != 112 {
			t.Errorf("after %.0f h, said to be dry: %.0f g", c.afterH, g)
		}
	}
}

// TestBaggedTooDamp: a bagged batch that has lost more than air takes was still drying: its dry
// weight was one on the way, and an undo brings it back. What air takes is no drying.
func TestBaggedTooDamp(t *testing.T) {
	r := sessiontest.StartWashed(t)
	r.Do(session.EndDay{Anyway: true})
	r.Now = r.Now.Add(20 * time.Hour)
	weigh := func(g float64, dry, sure bool) session.Weigh {
		return session.Weigh{Batch: "A1", DryG: g, Scale: sessiontest.KitchenScale, Dry: dry, Sure: sure}
	}
	r.Do(weigh(122, true, true))
	bagged := r.Day.Fate["A1"]
	r.Now = r.Now.Add(22 * time.Hour)
	_ = r.Refused(weigh(121, false, false), "A1 was weighed dry already, 122 g, and this takes its place")
	_ = r.Refused(weigh(112, true, false), "A1 was bagged at 122 g and has lost 10 g since: it was still drying. 112 g takes its place")
	r.Do(weigh(112, false, false))
	f := r.Day.Fate["A1"]
	if len(f.Wet) != 2 || f.Wet[0].MassG != 122 || !f.Wet[0].At.Equal(bagged.DryAt) || f.Wet[1].MassG != 112 || f.DryG != 0 || ledger.StateOf(r.Day, "A1") != ledger.Drying {
		t.Errorf("%+v", f)
	}
	r.Do(session.Undo{})
	sessiontest.Same(t, "undone", r.Day.Fate["A1"], bagged)
}

// A weight too low for its batch that suits another one on the rack is asked about, with the names
// of both; one that suits none, or its own batch, is not.
func TestWeightOfTheNextBatch(t *testing.T) {
	p := sessiontest.RecordPlan()
	scale := shed.Scale{Name: "kitchen", StepG: measure.GPerOz / 10}
	p.Kit.Units = measure.US
	for i, oz := range []float64{10, 6} {
		p.Batches[i].RawG, p.Batches[i].RawScale, p.Batches[i].Presoak = oz*measure.GPerOz, scale, shed.PresoakNone
	}
	r := sessiontest.Start(t, p).Until(0, shed.ToRack).Next(0).Until(0, shed.ToRack).Next(0)
	r.Do(session.EndDay{Anyway: true})
	one, two := "A1", "A2"
	weigh := func(batch string, oz float64) session.WeighWet {
		return session.WeighWet{Batch: batch, MassG: oz * measure.GPerOz, Scale: scale}
	}
	r.Now = r.Now.Add(6 * time.Hour)
	r.Do(weigh(one, 9.4), weigh(two, 5.8))
	r.Now = r.Now.Add(12 * time.Hour)
	r.Do(weigh(one, 7.4), weigh(two, 4.4))
	r.Now = r.Now.Add(12 * time.Hour)
	if err := r.Refused(weigh(one, 4.1), "is it "+one+", not "+two+"?"); !errors.Is(err, shed.ErrUnlikely) {
		t.Errorf("%v", err)
	}
	if err := r.Refused(weigh(two, 6.7), "is it "+two+", not "+one+"?"); !errors.Is(err, shed.ErrUnlikely) {
		t.Errorf("%v", err)
	}
	_ = r.Refused(session.Weigh{Batch: one, DryG: 4.1 * measure.GPerOz, Scale: scale, Dry: true}, "is it "+one+", not "+two+"?")
	r.Do(weigh(one, 6.6), weigh(two, 4.1))
	sure := weigh(one, 4.1)
	sure.Sure = true
	r.Do(sure)
}

// Whatever else is asked about, an odd figure is asked about with it: a yes is to what was read.
// Of a fleece that has given a yield, what is odd goes by that.
func TestOddWeightIsAskedAboutWithTheRest(t *testing.T) {
	r := sessiontest.StartWashed(t)
	dry := func(batch string, g float64) session.Command {
		return session.Weigh{Batch: batch, DryG: g, Dry: true, Scale: sessiontest.KitchenScale}
	}
	_ = r.Refused(dry("A1", 60), "A1 was laid on the rack 0 min ago, and wool takes a day or more to dry. A1: 60 g dry of 200 g raw (30 %) is outside the expected 70 g to 152 g")
	r.Do(session.EndDay{Anyway: true})
	r.Now = r.Now.Add(30 * time.Hour)
	r.Do(dry("A1", 130))
	_ = r.Refused(dry("A1", 30), "A1 was weighed dry already, 130 g, and this takes its place. A1: 30 g dry of 200 g raw is a yield of 15.0 %, less")
	_ = r.Refused(session.Weigh{Batch: "A1", DryG: 60, Dry: true, Scale: shed.Scale{Name: "hanging", StepG: 5}}, "(30 %) is outside the expected")
	_ = r.Refused(dry("A2", 80), "A2: 80 g dry of 250 g raw (32 %) is outside the expected")
	_ = r.Refused(session.WeighWet{Batch: "A2", MassG: 92, Scale: sessiontest.KitchenScale}, "less than such fleece weighs dry")
	_ = r.Refused(session.WeighRaw{Batch: "A1", RawG: 390, Scale: sessiontest.KitchenScale}, "A1: 130 g dry of 390 g raw (33 %) is outside the expected")
	_ = r.Refused(session.WeighRaw{Batch: "A1", RawG: 101, Scale: sessiontest.KitchenScale}, "less than the 130 g")
}
