package coach_test

import (
	"slices"
	"strings"
	"testing"
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/coach"
	"fleece.example/tubside/session/must"
	"fleece.example/tubside/session/planner"
	"fleece.example/tubside/session/sessiontest"
	"fleece.example/tubside/session/shed"
)

// A bath that takes two kettles calls for the second when the first has boiled. One key
// tells of each, and what is late with the second is late with the bath.
func TestRefillsAreCalledFor(t *testing.T) {
	r := sessiontest.StartPresoaked(t, twoBoils)
	boil := func() coach.NextAct {
		t.Helper()
		tt := must.Get(planner.Schedule(r.Day, r.Now, planner.Quick)).In(t)
		acts := coach.Next(r.Day, r.Now, tt)
		i := slices.IndexFunc(acts, func(a coach.NextAct) bool { return a.Boil })
		if i < 0 {
			t.Fatalf("no kettle in %+v", acts)
		}
		return acts[i]
	}
	r.Wait(1).Do(session.TellKettle{})
	k := r.Day.Kettle
	sessiontest.Same(t, "boils", k.Loads(), 2)
	first, all := k.RefillAt().Sub(r.Now), k.ReadyAt().Sub(r.Now)
	// The first load, and the rest with a minute of hands between.
	if share := (first.Minutes()) / (all.Minutes() - 1); share < k.LoadL/k.VolumeL-0.01 || share > k.LoadL/k.VolumeL+0.01 {
		t.Errorf("the first takes %v of %v for %.2f L", first, all, k.VolumeL)
	}
	if a := boil(); !a.BoilOn || a.Refill || a.Title != "kettle 1 of 2 for the hot wash" || !a.DueAt.Equal(k.RefillAt()) {
		t.Errorf("%+v", a)
	}
	if kettleAlarm(r.Day) {
		t.Error("called while it boils")
	}
	_ = r.Refused(session.TellKettle{}, "boiled already")
	for r.Now.Before(k.RefillAt().Add(30 * time.Second)) {
		r.Tick(time.Second)
	}
	if !kettleAlarm(r.Day) {
		t.Fatalf("not called for the second: %v", sessiontest.StandingAlarms(r.Day))
	}
	if a := boil(); a.BoilOn || !a.Refill || a.Rank != coach.Now || a.Title != "boil 1.75 L more for the hot wash" {
		t.Errorf("%+v", a)
	}
	if do := coach.WhatToDo(r.Day, session.Alarm{Kind: session.KettleNow}, r.Now); do.String() != "boil 1.75 L more" {
		t.Errorf("it asks for %q", do)
	}
	r.Do(session.TellKettle{})
	if kettleAlarm(r.Day) {
		t.Error("still called")
	}
	if a := r.Day.AlarmLog[len(r.Day.AlarmLog)-1]; a.DoneBy != "kettle refilled" {
		t.Errorf("done by %q", a.DoneBy)
	}
	k = r.Day.Kettle
	if rest := k.ReadyAt().Sub(r.Now); !k.RefillAt().IsZero() || rest+first+time.Minute-all > time.Second || all-rest-first-time.Minute > time.Second {
		t.Errorf("the second boils for %v, the first for %v of %v", rest, first, all)
	}
	if text := sessiontest.PromptText(coach.PromptAt(r.Day, 0, r.Now)); !strings.Contains(text, "kettle 2 of 2 for the hot wash: boils in ") {
		t.Errorf("%q", text)
	}
	sessiontest.Same(t, "undo", coach.CanUndo(r.Day), "kettle refilled")
	r.Do(session.Undo{})
	sessiontest.Same(t, "undone", r.Day.Kettle.Load, 0)
	r.Do(session.TellKettle{})
	before := r.Day.Kettle.ReadyAt().Sub(r.Now)
	r.Do(session.SetClock{By: time.Hour})
	r.Now = r.Now.Add(time.Hour)
	sessiontest.Same(t, "left, the clock set", r.Day.Kettle.ReadyAt().Sub(r.Now), before)
	r.Wait(4).Do(session.TellKettle{Sure: true})
	if k, on := r.Day.KettleOn(); !on || k.BoiledAt.IsZero() {
		t.Errorf("%+v", k)
	}
	sessiontest.CheckReplay(t, r, nil)
}

// A second kettle that nobody tells of has not boiled: the bath waits for it, however long,
// and the call stands.
func TestRefillNobodyTellsOf(t *testing.T) {
	r := sessiontest.StartPresoaked(t, twoBoils)
	r.Wait(1).Do(session.TellKettle{})
	ready := r.Day.Kettle.ReadyAt()
	r.Until(0, shed.ToFill)
	for r.Now.Before(ready.Add(3 * time.Minute)) {
		r.Tick(time.Second)
	}
	if !kettleAlarm(r.Day) {
		t.Errorf("not called at %v, all was due at %v", r.Now, ready)
	}
	p := coach.PromptAt(r.Day, 0, r.Now)
	if left := r.Day.Kettle.ReadyBy(r.Now).Sub(r.Now); p.Title != "boil 1.75 L more, then fill" || p.Kettle != coach.KettleBoils || left < 2*time.Minute || left > 6*time.Minute || !p.DueAt.Equal(r.Now.Add(left)) {
		t.Errorf("%v to go: %+v", left, p)
	}
	r.Do(session.TellKettle{})
	if k := r.Day.Kettle; k.Load != 1 || k.Follows() || kettleAlarm(r.Day) {
		t.Errorf("%+v", k)
	}
}

// A kettle is not refilled in a break that its fill waits for the end of, but once that is over.
func TestRefillWaitsForTheBreak(t *testing.T) {
	r := sessiontest.StartPresoaked(t, twoBoils)
	r.Wait(1).Do(session.TellKettle{})
	k := r.Day.Kettle
	r.Do(session.TakeBreak{ForMin: 30})
	r.Tick(k.RefillAt().Add(2 * time.Minute).Sub(r.Now))
	for _, till := range []time.Time{r.Day.ToldBreak().To, {}} {
		tt := must.Get(planner.Schedule(r.Day, r.Now, planner.Quick)).In(t)
		acts := coach.Next(r.Day, r.Now, tt)
		i := slices.IndexFunc(acts, func(a coach.NextAct) bool { return a.Boil })
		a := acts[i]
		if waits := a.Rank == coach.Coming && a.DueAt.Equal(till) && a.Details[0].Text == "when your break is over"; !a.Refill || waits != r.Now.Before(till) || !waits && a.Rank != coach.Now {
			t.Errorf("till %v: %+v", till, a)
		}
		r.Tick(r.Day.ToldBreak().To.Sub(r.Now))
	}
}

// twoBoils is a kettle that boils twice for the wash.
func twoBoils(p *shed.Plan) { p.Kit.Kettle.CapacityL = 1.9 }

// Water that waits in the kettle for its refill, or in the pail for the rest, cools: it is to
// boil again before the next goes on, or before it is poured, and a fill reckons with what it lost.
func TestEarlierBoilsCool(t *testing.T) {
	t.Parallel()
	pours := func(lateMin, waitsMin float64, ofDay func(r *sessiontest.Run)) float64 {
		r := sessiontest.StartPresoaked(t, twoBoils).Until(0, shed.ToFill)
		r.Do(session.TellKettle{})
		if r.Tick(r.Day.Kettle.RefillAt().Sub(r.Now)).Wait(lateMin).Do(session.TellKettle{Sure: true}); r.Day.Kettle.Load == 0 { // on again
			r.Tick(r.Day.Kettle.RefillAt().Sub(r.Now)).Do(session.TellKettle{Sure: true})
		}
		r.Tick(r.Day.Kettle.ReadyAt().Sub(r.Now)).Do(session.TellKettle{Sure: true}).Wait(waitsMin)
		ofDay(r)
		r.Day = session.Replay(r.Recs) // as after a restart
		return r.Day.FillAt(0, r.Now).AfterC
	}
	nothing := func(*sessiontest.Run) {}
	fresh := pours(0, 0, nothing)
	if late := pours(7, 0, nothing); late > fresh-0.2 {
		t.Errorf("%.1f °C with a boil that stood 7 min, %.1f fresh", late, fresh)
	}
	if again := pours(58, 0, nothing); again < fresh-0.1 {
		t.Errorf("%.1f °C boiled again, %.1f fresh", again, fresh)
	}
	hour := pours(0, 58, func(r *sessiontest.Run) {
		p := coach.PromptAt(r.Day, 0, r.Now)
		if said := sessiontest.DetailLines(p)[0]; !strings.HasPrefix(said, "boil all of it again, the pail has stood for 1 h") {
			t.Error(said)
		}
		again := r.Day.FillAgain(0, r.Now) // one mix, that of what boils again, and no cure for the other
		if all := sessiontest.PromptText(p); again.AfterC < fresh-0.1 || p.Kettle != coach.KettleCooled || !strings.Contains(all, coach.PourText(r.Day.Plan.Kit, again)) ||
			strings.Contains(all, "short") || strings.Contains(all, " under its aim)") || strings.Contains(all, " use ") {
			t.Errorf("%.1f °C boiled again, %.1f fresh: %s", again.AfterC, fresh, all)
		}
	})
	if hour > fresh-2 {
		t.Errorf("%.1f °C with a pail of an hour, %.1f fresh", hour, fresh)
	}
	if again := pours(0, 58, func(r *sessiontest.Run) {
		if c, ok := coach.KettleKey(r.Day, r.Now, nil, 0); !ok {
			t.Error("nothing to tell")
		} else {
			r.Do(c)
			left := r.Day.Kettle.ReadyAt().Sub(r.Now)
			if k := r.Day.Kettle; k.Load != 0 || k.PailL != 0 || left < 2*time.Minute || left > sessiontest.Minutes(6.6) { // no longer than from the tap
				t.Errorf("all of it on again: %v to go, %+v", left, k)
			}
			r.Tick(r.Day.Kettle.RefillAt().Sub(r.Now)).Do(session.TellKettle{Sure: true})
			r.Tick(r.Day.Kettle.ReadyAt().Sub(r.Now)).Do(session.TellKettle{Sure: true})
		}
	}); again < fresh-0.1 {
		t.Errorf("%.1f °C all boiled again, %.1f fresh", again, fresh)
	}
	r := sessiontest.StartPresoaked(t, twoBoils).Until(0, shed.ToFill).Do(session.TellKettle{})
	r.Tick(r.Day.Kettle.RefillAt().Sub(r.Now)).Wait(58)
	plan := must.Get(planner.Schedule(r.Day, r.Now, planner.Quick)).In(t)
	first := coach.Next(r.Day, r.Now, plan)[0]
	sessiontest.Same(t, "the deed", first.Title, "boil the kettle again for the hot wash")
	for _, said := range []string{sessiontest.PromptText(coach.PromptAt(r.Day, 0, r.Now)), first.Details[0].Text} {
		if !strings.Contains(said, "has stood for 58 min") || strings.Count(said, "again") > 2 || strings.Contains(said, "refill") {
			t.Error(said)
		}
	}
	if do := coach.WhatToDo(r.Day, session.Alarm{Kind: session.KettleNow}, r.Now); do.String() != "boil the kettle again" {
		t.Errorf("it asks for %q", do)
	}
}
