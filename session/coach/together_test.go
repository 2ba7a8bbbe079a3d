package coach_test

import (
	"reflect"
	"slices"
	"testing"
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/coach"
	"fleece.example/tubside/session/must"
	"fleece.example/tubside/session/planner"
	"fleece.example/tubside/session/sessiontest"
	"fleece.example/tubside/session/shed"
)

// eightBatches is a day of eight batches on the three tubs of the usual kit.
func eightBatches(p *shed.Plan) {
	p.Batches = nil
	for i := range 8 {
		p.Batches = append(p.Batches, shed.Batch{FleeceID: []string{"f1", "f2"}[i%2], RawG: 120})
	}
}

// washes lives a day as the list of what next has it, with a press after each
// movement of the hands, and says how many presses that took. singly: a press for
// each act.
func washes(t *testing.T, singly bool) (d session.Day, presses int, recs []session.Recorded) {
	t.Helper()
	r := sessiontest.Start(t, sessiontest.ThreeTubs(eightBatches))
	plan := planner.Timetable{}
	for r.Now.Before(sessiontest.Dawn.Add(16*time.Hour)) && !r.Day.AllRacked() {
		next := must.Get(planner.Replan(r.Day, r.Now, planner.Quick, plan)).In(t)
		plan = next
		acts := coach.Next(r.Day, r.Now, plan)
		lookedAt(t, r, plan, acts)
		if i := slices.IndexFunc(acts, func(a coach.NextAct) bool { return a.Boil && !a.BoilOn && a.Rank == coach.Now }); i >= 0 {
			r.Do(session.TellKettle{Tub: acts[i].Tub, Batch: acts[i].Batch})
			continue
		}
		i := slices.IndexFunc(acts, func(a coach.NextAct) bool {
			return !a.Boil && a.Rank <= coach.Now && a.Act != shed.Wait
		})
		if i < 0 {
			r.Wait(1)
			continue
		}
		a := acts[i]
		if singly {
			a.Then = nil
		}
		hands := r.Day.Plan.HandsMin()
		for _, act := range append([]shed.Action{a.Act}, a.Then...) {
			r.Wait(hands[act])
		}
		day, more, err := session.DoTogether(r.Day, session.DoNext{Tub: a.Tub, Act: a.Act, Batch: a.Batch, Sooner: true}, a.Then, r.Now)
		if err != nil {
			t.Fatalf("%s, then %v: %v", a.Act, a.Then, err)
		}
		r.Day, r.Recs = day, append(r.Recs, more...)
		presses++
	}
	if !r.Day.AllRacked() {
		t.Fatal("not washed in sixteen hours")
	}
	return r.Day, presses, r.Recs
}

// lookedAt: the list made from what the tubs were looked at is the same, and changes
// nothing of that; a movement has all that there is to know for its first act.
func lookedAt(t *testing.T, r *sessiontest.Run, plan planner.Timetable, acts []coach.NextAct) {
	t.Helper()
	looked, again := coach.Glances(r.Day, r.Now), coach.Glances(r.Day, r.Now)
	if of := coach.NextOf(r.Day, r.Now, plan, looked); !reflect.DeepEqual(of, acts) || !reflect.DeepEqual(looked, again) {
		t.Fatalf("the list is %+v, from what was looked at %+v", acts, of)
	}
	for _, a := range acts {
		if len(a.Then) == 0 || a.Batch != again[a.Tub].Prompt.Batch { // the timetable has another batch for it
			continue
		}
		for _, l := range again[a.Tub].Prompt.Details {
			if l.Of != coach.OfNext && !slices.ContainsFunc(a.Details, func(has coach.Line) bool { return has.Say(nil) == l.Say(nil) }) {
				t.Errorf("%s, then %v: nothing says %q", a.Act, a.Then, l.Say(nil))
			}
		}
	}
}

// One press for what is one movement: two for a bath in the middle of the day
// instead of four, and the same baths.
func TestTogetherEightBatches(t *testing.T) {
	t.Parallel()
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
	r := sessiontest.Start(t, sessiontest.OneTub())
	r.Wait(12) // longer than a fill takes: the fleece goes in in the last minute
	day, recs, err := session.DoTogether(r.Day, session.DoNext{Act: shed.FillTub}, []shed.Action{shed.SinkIn}, r.Now)
	if err != nil {
		t.Fatal(err)
	}
	b := day.Tubs[0].Bath
	sessiontest.Same(t, "sunk in", b.SunkAt, r.Now)
	sessiontest.Near(t, "minutes from fill to sink-in", b.SunkAt.Sub(b.FilledAt).Minutes(), day.Plan.HandsMin()[shed.SinkIn], 0.01)
	r.Day, r.Recs = day, append(r.Recs, recs...)
	r.Do(session.Undo{})
	sessiontest.Same(t, "after an undo", r.Day.Tubs[0].Phase, shed.ToSink)
	r.Do(session.Undo{})
	sessiontest.Same(t, "after two", r.Day.Tubs[0].Phase, shed.ToFill)

	r = sessiontest.Start(t, sessiontest.OneTub())
	r.Wait(0.5) // less than it takes: in its parts
	if day, _, err = session.DoTogether(r.Day, session.DoNext{Act: shed.FillTub}, []shed.Action{shed.SinkIn}, r.Now); err != nil {
		t.Fatal(err)
	}
	b = day.Tubs[0].Bath
	sessiontest.Near(t, "minutes of half a minute", b.SunkAt.Sub(b.FilledAt).Minutes(), 0.125, 0.01)
}

// A movement stops where something speaks against the next act, and before what is
// not to be done now.
func TestTogetherStops(t *testing.T) {
	acts := func(r *sessiontest.Run) coach.NextAct {
		t.Helper()
		plan := must.Get(planner.Schedule(r.Day, r.Now, planner.Quick)).In(t)
		next := coach.Next(r.Day.Boiled(), r.Now, plan)
		return next[slices.IndexFunc(next, func(a coach.NextAct) bool { return !a.Boil })]
	}
	r := sessiontest.Start(t, sessiontest.OneTub())
	sessiontest.Same(t, "a fill", acts(r).Then, []shed.Action{shed.SinkIn})
	r = sessiontest.Start(t, sessiontest.OneTub(func(p *shed.Plan) { p.Kit.HotTapC, p.Kit.Kettle = 35, shed.Kettle{} }))
	if a := acts(r); !a.Stopped() || len(a.Then) > 0 {
		t.Errorf("a bath too cool to fill: %q and then %v", a.Title, a.Then)
	}
	r = sessiontest.Start(t, sessiontest.OneTub()).Next(0, 0)
	r.Wait(20)
	if a := acts(r); a.Act != shed.Lift || len(a.Then) > 0 {
		t.Errorf("%s, and then %v", a.Act, a.Then)
	}
	r.Next(0)
	sessiontest.Same(t, "lifted", acts(r).Then, []shed.Action{shed.FillTub, shed.SinkIn})
	if a := acts(r); a.Details[0].Brief != "water outdoors" || !a.Details[0].Must {
		t.Errorf("the old bath goes out before the next is poured, and first stands %+v", a.Details[0])
	}
	r = sessiontest.Start(t, sessiontest.OneTub(func(p *shed.Plan) { p.Kit.HotTapC, p.Fleeces[0].Wax = 48, shed.High })).Next(0, 0)
	r.Wait(20)
	r.Next(0)
	if a := acts(r); len(a.Then) > 0 {
		t.Errorf("before a bath with water from the kettle, which is cold: %s, and then %v", a.Act, a.Then)
	}

	late := sessiontest.Start(t, sessiontest.OneTub()).Next(0, 0)
	late.Wait(200)
	late.Next(0)
	if a := acts(late); a.Act != shed.DrainTub || len(a.Then) > 0 {
		t.Errorf("after a bath that got too cool, which may be washed again: %s, and then %v", a.Act, a.Then)
	}
}

// A bath that may be too cool soon is covered or warmed while it may still soak; past its
// longest soak it is lifted.
func TestPastTheLongestSoakLift(t *testing.T) {
	r := sessiontest.Start(t, sessiontest.OneTub()).Next(0, 0)
	alarm := session.Alarm{Kind: session.NearRelease}
	r.Wait(15)
	if do := coach.WhatToDo(r.Day, alarm, r.Now).String(); do != "lift now. Or pour hot water in at the side, never onto the fleece" { // the lid is on
		t.Errorf("after 15 min it says %q", do)
	}
	r.Wait(16) // of 30
	if do := coach.WhatToDo(r.Day, alarm, r.Now).String(); do != "lift now" {
		t.Errorf("after 31 min it says %q", do)
	}
}
