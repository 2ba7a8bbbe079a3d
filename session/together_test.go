package session_test

import (
	"slices"
	"testing"
	"time"

	"fleece.example/tubside/session"
)

// eightBatches is a day of eight batches on the three tubs of the usual kit.
func eightBatches(p *session.Plan) {
	p.Batches = nil
	for i := range 8 {
		p.Batches = append(p.Batches, session.Batch{FleeceID: []string{"f1", "f2"}[i%2], RawG: 120})
	}
}

// washes lives a day as the list of what next has it, with a press after each
// movement of the hands, and says how many presses that took. singly: a press for
// each act.
func washes(t *testing.T, singly bool) (d session.Day, presses int, recs []session.Recorded) {
	t.Helper()
	r := start(t, threeTubs(eightBatches))
	plan := session.Timetable{}
	for r.now.Before(dawn.Add(16*time.Hour)) && !r.day.AllRacked() {
		next, err := r.day.Replan(r.now, session.Quick, plan)
		if err != nil {
			t.Fatal(err)
		}
		plan = next
		acts := r.day.Next(r.now, plan)
		if i := slices.IndexFunc(acts, func(a session.NextAct) bool { return a.Boil && !a.BoilOn && a.Rank == session.Now }); i >= 0 {
			r.do(session.TellKettle{Tub: acts[i].Tub, Batch: acts[i].Batch})
			continue
		}
		i := slices.IndexFunc(acts, func(a session.NextAct) bool {
			return !a.Boil && a.Rank <= session.Now && a.Act != session.Wait
		})
		if i < 0 {
			r.wait(1)
			continue
		}
		a := acts[i]
		if singly {
			a.Then = nil
		}
		hands := r.day.Plan.HandsMin()
		for _, act := range append([]session.Action{a.Act}, a.Then...) {
			r.wait(hands[act])
		}
		day, more, err := session.DoTogether(r.day, session.DoNext{Tub: a.Tub, Act: a.Act, Batch: a.Batch, Sooner: true}, a.Then, r.now)
		if err != nil {
			t.Fatalf("%s, then %v: %v", a.Act, a.Then, err)
		}
		r.day, r.recs = day, append(r.recs, more...)
		presses++
	}
	if !r.day.AllRacked() {
		t.Fatal("not washed in sixteen hours")
	}
	return r.day, presses, r.recs
}

// One press for what is one movement: two for a bath in the middle of the day
// instead of four, and the same baths.
func TestTogetherEightBatches(t *testing.T) {
	one, presses, recs := washes(t, false)
	each, before, _ := washes(t, true)
	t.Logf("%d presses, %d with one for each act", presses, before)
	if len(one.Baths) != len(each.Baths) {
		t.Errorf("%d baths, and %d with one press for each act", len(one.Baths), len(each.Baths))
	}
	if presses > 105 || presses*3 > before*2 {
		t.Errorf("%d presses for eight batches, %d with one for each act", presses, before)
	}
	for i, r := range recs {
		if i > 0 && r.At.Before(recs[i-1].At) {
			t.Errorf("%T at %s, after one of %s", r.Event, r.At, recs[i-1].At)
		}
	}
	for _, b := range one.Baths {
		if m := b.SunkAt.Sub(b.FilledAt).Minutes(); m < 0.3 || m > 3 {
			t.Errorf("%s in the %s: sunk in %.1f min after the fill", b.Batch, b.Step.Name, m)
		}
	}
}

// The parts of a movement are shared out over the time there was, and taken back
// one by one, the last first.
func TestTogetherSharesAndUndoes(t *testing.T) {
	r := start(t, oneTub())
	r.wait(12) // longer than a fill takes: the fleece goes in in the last minute
	day, recs, err := session.DoTogether(r.day, session.DoNext{Act: session.FillTub}, []session.Action{session.SinkIn}, r.now)
	if err != nil {
		t.Fatal(err)
	}
	b := day.Tubs[0].Bath
	same(t, "sunk in", b.SunkAt, r.now)
	near(t, "minutes from fill to sink-in", b.SunkAt.Sub(b.FilledAt).Minutes(), day.Plan.HandsMin()[session.SinkIn], 0.01)
	r.day, r.recs = day, append(r.recs, recs...)
	r.do(session.Undo{})
	same(t, "after an undo", r.day.Tubs[0].Phase, session.ToSink)
	r.do(session.Undo{})
	same(t, "after two", r.day.Tubs[0].Phase, session.ToFill)

	r = start(t, oneTub())
	r.wait(0.5) // less than it takes: in its parts
	if day, _, err = session.DoTogether(r.day, session.DoNext{Act: session.FillTub}, []session.Action{session.SinkIn}, r.now); err != nil {
		t.Fatal(err)
	}
	b = day.Tubs[0].Bath
	near(t, "minutes of half a minute", b.SunkAt.Sub(b.FilledAt).Minutes(), 0.125, 0.01)
}

// A movement stops where something speaks against the next act, and before what is
// not to be done now.
func TestTogetherStops(t *testing.T) {
	acts := func(r *run) session.NextAct {
		t.Helper()
		plan, err := r.day.Timetable(r.now, session.Quick)
		if err != nil {
			t.Fatal(err)
		}
		next := r.day.Boiled().Next(r.now, plan)
		return next[slices.IndexFunc(next, func(a session.NextAct) bool { return !a.Boil })]
	}
	r := start(t, oneTub())
	same(t, "a fill", acts(r).Then, []session.Action{session.SinkIn})
	r = start(t, oneTub(func(p *session.Plan) { p.Kit.HotTapC, p.Kit.Kettle = 35, session.Kettle{} }))
	if a := acts(r); !a.Stopped() || len(a.Then) > 0 {
		t.Errorf("a bath too cool to fill: %q and then %v", a.Title, a.Then)
	}
	r = start(t, oneTub()).next(0, 0)
	r.wait(20)
	if a := acts(r); a.Act != session.Lift || len(a.Then) > 0 {
		t.Errorf("%s, and then %v", a.Act, a.Then)
	}
	r.next(0)
	same(t, "lifted", acts(r).Then, []session.Action{session.FillTub, session.SinkIn})
	r = start(t, oneTub(func(p *session.Plan) { p.Kit.HotTapC, p.Fleeces[0].Wax = 48, session.High })).next(0, 0)
	r.wait(20)
	r.next(0)
	if a := acts(r); len(a.Then) > 0 {
		t.Errorf("before a bath with water from the kettle, which is cold: %s, and then %v", a.Act, a.Then)
	}

	late := start(t, oneTub()).next(0, 0)
	late.wait(200)
	late.next(0)
	if a := acts(late); a.Act != session.DrainTub || len(a.Then) > 0 {
		t.Errorf("after a bath that got too cool, which may be washed again: %s, and then %v", a.Act, a.Then)
	}
}
