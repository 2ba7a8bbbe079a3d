package session_test

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

// In a break nobody is called to a soak that may last; it comes when the break is over. A bath
// that cannot wait rings all the same.
func TestCallsWaitForABreak(t *testing.T) {
	away := func(min float64, cool func(p *shed.Plan)) []string {
		r := sessiontest.Start(t, sessiontest.OneTub(cool)).Until(0, shed.Soaking).Wait(15)
		return r.Do(session.TakeBreak{ForMin: min}).Wait(40).Rings(sessiontest.Dawn)
	}
	long := func(p *shed.Plan) { p.Method.Steps[1].LongestMin = 120 }
	if got := away(12, long); !slices.Contains(got, "soak done@1620") || strings.Contains(strings.Join(got, " "), "@12") {
		t.Errorf("a break to second 1620: %v", got)
	}
	short := func(p *shed.Plan) { p.Method.Steps[1].LongestMin = 25 }
	if got := away(30, short); !slices.Contains(got, "soaked too long@1500") {
		t.Errorf("a longest soak that is over in the break: %v", got)
	}
	cools := func(p *shed.Plan) { p.Method.Steps[1].LongestMin, p.Kit.RoomC = 0, 2 }
	if got := away(600, cools); !strings.Contains(strings.Join(got, " "), "cooling: lift soon") && !strings.Contains(strings.Join(got, " "), "reading wanted") {
		t.Errorf("a bath that cools in the break: %v", got)
	}
}

// A break that was told of in place of one of the plan and is called off, or over early, does not bring that one back;
// quiet hours that it led into stay.
func TestNoBreakComesBack(t *testing.T) {
	for name, tell := range map[string]func(r *sessiontest.Run){
		"called off": func(r *sessiontest.Run) { r.Do(session.TakeBreak{InMin: 240, ForMin: 40}, session.TakeBreak{}) },
		"over early": func(r *sessiontest.Run) {
			r.Wait(230).Do(session.TakeBreak{ForMin: 40}).Wait(5).Do(session.TakeBreak{})
		},
	} {
		r := sessiontest.Start(t, sessiontest.ThreeTubs(func(p *shed.Plan) { p.Break = shed.Breaks{{FromMin: 12 * 60, ToMin: 13 * 60}} }))
		tell(r)
		if s, ok := r.Day.NextBreak(r.Now); !ok || s.From.Sub(r.Now) < 20*time.Hour {
			t.Errorf("%s: the next break is at %s", name, s.From)
		}
	}
	r := sessiontest.Start(t, sessiontest.ThreeTubs(func(p *shed.Plan) { *p = p.WithQuiet(shed.Hours{FromMin: 22 * 60, ToMin: 7 * 60}) }))
	r.Do(session.TakeBreak{InMin: 12 * 60, ForMin: 150}, session.TakeBreak{})
	if s, ok := r.Day.NextBreak(r.Now); !ok || s.From.Hour() != 22 || s.To.Hour() != 7 || s.From.Day() != r.Now.Day() {
		t.Errorf("after a break before them was called off the quiet hours are %v", s)
	}
}

// A break of the plan is each day's; one told of stands for those that it meets, being back ends
// it, and undo takes it back.
func TestBreaksOfADay(t *testing.T) {
	r := sessiontest.Start(t, sessiontest.ThreeTubs(func(p *shed.Plan) {
		p.ZoneMin, p.Break = 120, shed.Breaks{{FromMin: 12*60 + 30, ToMin: 13*60 + 15}}
	}))
	lunch, _ := r.Day.Plan.Away(r.Day.Plan.OnTheWall(r.Now))
	next := func(want shed.Span, ok bool) {
		t.Helper()
		if got, has := r.Day.NextBreak(r.Now); has != ok || ok && (!got.From.Equal(want.From) || !got.To.Equal(want.To)) {
			t.Errorf("%v, want %v", got, want)
		}
	}
	next(lunch, true)
	r.Do(session.TakeBreak{InMin: 10, ForMin: 5})
	next(shed.Span{From: r.Now.Add(10 * time.Minute), To: r.Now.Add(15 * time.Minute)}, true)
	r.Wait(20)
	next(lunch, true)
	r.Tick(lunch.From.Add(-5 * time.Minute).Sub(r.Now)).Do(session.TakeBreak{ForMin: 30})
	next(shed.Span{From: r.Now, To: r.Now.Add(30 * time.Minute)}, true)
	if until, away := r.Day.Away(r.Now.Add(time.Minute)); !away || !until.Equal(r.Now.Add(30*time.Minute)) {
		t.Errorf("away till %v, %v", until, away)
	}
	r.Wait(12).Do(session.TakeBreak{})
	if _, away := r.Day.Away(r.Now); away {
		t.Error("away, after the person is back")
	}
	next(shed.Span{From: lunch.From.AddDate(0, 0, 1), To: lunch.To.AddDate(0, 0, 1)}, true)
	if text := coach.CanUndo(r.Day); text != "the break" {
		t.Errorf("undo: %q", text)
	}
	r.Do(session.Undo{})
	if _, away := r.Day.Away(r.Now); !away {
		t.Error("not away, after being back was taken back")
	}
}

// While the person is away, and before that, no bath is called for whose lift would fall in the
// break; a lift that may wait is due when it is over.
func TestBathsWaitForABreak(t *testing.T) {
	r := sessiontest.Start(t, sessiontest.ThreeTubs(func(p *shed.Plan) { p.Batches[0].Presoak = shed.PresoakNone })).Next(2, 2)
	tub := slices.IndexFunc(r.Day.Tubs, func(t session.TubRun) bool { return t.Phase == shed.Soaking })
	r.Do(session.TakeBreak{InMin: 15, ForMin: 45})
	s, _ := r.Day.NextBreak(r.Now)
	for _, wait := range []float64{0, 20} {
		r.Wait(wait)
		tt := must.Get(planner.Schedule(r.Day, r.Now, planner.Quick)).In(t)
		for _, a := range coach.Next(r.Day, r.Now, tt) {
			switch {
			case a.Act == shed.FillTub && (wait > 0 || a.Tub == 0) && (a.Rank != coach.Coming || a.DueAt.Before(s.To)):
				t.Errorf("after %g min: %s of %s is due at %s (rank %d), and the break lasts till %s", wait, a.Title, r.Day.TubName(a.Tub), a.DueAt, a.Rank, s.To)
			case a.Act == shed.Lift && wait > 0 && a.Tub == tub && a.DueAt.Before(s.To) && (a.MustBy.IsZero() || !a.MustBy.Before(s.To)):
				t.Errorf("after %g min: the lift at %s is due at %s", wait, r.Day.TubName(a.Tub), a.DueAt)
			}
		}
	}
}

// A break that was to come and is called off is none, with the plan's own in whose place it was told of; one of
// the next day can be called off too.
func TestBreakCalledOff(t *testing.T) {
	r := sessiontest.Start(t, sessiontest.ThreeTubs(func(p *shed.Plan) { p.Break = shed.Breaks{{FromMin: 8*60 + 20, ToMin: 9 * 60}} }))
	r.Do(session.TakeBreak{InMin: 10, ForMin: 30})
	for _, want := range []time.Time{r.Now.Add(20*time.Minute + 24*time.Hour), r.Now.Add(20*time.Minute + 48*time.Hour)} {
		r.Do(session.TakeBreak{})
		if s, ok := r.Day.NextBreak(r.Now); !ok || !s.From.Equal(want) || s.To.Sub(s.From) != 40*time.Minute {
			t.Errorf("a break from %s to %s, want one from %s", s.From, s.To, want)
		}
	}
	if tt, err := planner.Schedule(r.Day, r.Now, planner.Quick); err != nil || len(tt.Breaks) > 0 {
		t.Errorf("planned around %v, %v", tt.Breaks, err)
	}
}

// The minutes of a break are not what the deed behind it took.
func TestHandsLearnNothingOfABreak(t *testing.T) {
	for _, told := range []bool{true, false} {
		r := sessiontest.Start(t, sessiontest.ThreeTubs(func(p *shed.Plan) {
			if !told {
				p.Break = shed.Breaks{{FromMin: 8*60 + 1, ToMin: 8*60 + 16}}
			}
		})).Wait(1)
		if told {
			r.Do(session.TakeBreak{ForMin: 15})
		}
		if r.Wait(16).Next(0); len(r.Day.HandsTimes()) > 0 {
			t.Errorf("told %t: learned %v", told, r.Day.HandsTimes())
		}
		if r.Wait(2).Next(1); len(r.Day.HandsTimes()) != 1 {
			t.Errorf("told %t: behind it learned %v", told, r.Day.HandsTimes())
		}
	}
}

// Nor is anybody called to the kettle in a break: it goes on when that is over.
func TestKettleWaitsForABreak(t *testing.T) {
	rings := func(min float64) (shed.Span, []string) {
		r := sessiontest.Start(t, sessiontest.OneTub(func(p *shed.Plan) { p.Batches[0].Presoak = shed.PresoakAsMethod })).Until(0, shed.Soaking).Wait(2)
		r.Do(session.TakeBreak{ForMin: min})
		s, _ := r.Day.NextBreak(r.Now)
		return s, r.Wait(40).Rings(sessiontest.Dawn)
	}
	for min, want := range map[float64]string{1: "kettle on now@555", 15: "kettle on now@1020"} {
		if s, got := rings(min); !slices.Contains(got, want) {
			t.Errorf("a break to %s: %v, want %s", s.To, got, want)
		}
	}
}

// A lift before a break waits where the kettle water for the next bath can't be there in time: its fleece
// would hang hot in the break. With the kettle on in time it is called.
func TestLiftWaitsForTheKettleToo(t *testing.T) {
	for _, boilFor := range []float64{0, 1, 6, 9} { // min before the soak is over that the kettle goes on
		r := sessiontest.Start(t, sessiontest.OneTub(func(p *shed.Plan) {
			p.Kit.HotTapC, p.Kit.Kettle.PowerW, p.Method.Steps[1].LongestMin = 42, 700, 0
		})).Until(0, shed.Soaking)
		end := r.Day.Tubs[0].SoakEndAt(r.Now)
		r.Do(session.TakeBreak{InMin: end.Sub(r.Now).Minutes() + 10, ForMin: 60})
		w, ok := r.Day.WantsKettle(0, "", session.HeatModel{}, r.Now)
		if !ok || w.BoilMin < 7 || w.BoilMin > 9 {
			t.Fatalf("the rinse wants to boil for %.1f min, %t", w.BoilMin, ok)
		}
		if boilFor > 0 {
			r.Tick(end.Sub(r.Now) - sessiontest.Minutes(boilFor)).Do(session.TellKettle{Tub: 0, Batch: r.Day.Tubs[0].Batch, Sure: true})
		}
		r.Tick(end.Sub(r.Now))
		till, waits := r.Day.LiftWaits(0, session.Crossing{}, r.Now)
		if want := boilFor < 6; waits != want || waits && !till.After(end) {
			t.Errorf("the kettle on %g min before the soak is over: the lift waits %t, till %s", boilFor, waits, till)
		}
	}
}

// What is called off of the plan, or over, stays so whatever else is told of: each of its breaks, and
// its quiet hours; so does a break told of that another does not meet. Undo takes back the last only, and a
// clock that is set leaves those of the plan at their times.
func TestEachBreakIsCalledOffForItself(t *testing.T) {

	planned := func(p *shed.Plan) {
		p.Break = shed.Breaks{{FromMin: 12*60 + 30, ToMin: 13*60 + 15}, {FromMin: 16 * 60, ToMin: 16*60 + 20}}
		*p = p.WithQuiet(shed.Hours{FromMin: 22 * 60, ToMin: 7 * 60})
	}
	r := sessiontest.Start(t, sessiontest.ThreeTubs(planned))
	today := func(h, min int) time.Time {
		return r.Day.StartedAt.Truncate(24 * time.Hour).Add(time.Duration(60*h+min) * time.Minute)
	}
	next := func(after string, want time.Time) {
		t.Helper()
		sessiontest.CheckReplay(t, r, nil)
		if s, ok := r.Day.NextBreak(r.Now); !ok || !s.From.Equal(want) {
			t.Errorf("%s: the next break is at %s, want %s", after, s.From, want)
		}
	}
	off := func() { t.Helper(); r.Wait(1).Do(session.TakeBreak{}) }
	next("planned", today(12, 30))
	off()
	next("the first is off", today(16, 0))
	off()
	next("both are off", today(22, 0))
	off()
	next("quiet hours too", today(36, 30))
	r.Do(session.Undo{})
	next("that taken back", today(22, 0))
	off()
	r.Do(session.TakeBreak{ForMin: 10}).Wait(11)
	next("a break taken now", today(36, 30))
	r.Do(session.TakeBreak{InMin: 120, ForMin: 20})
	told := r.Now.Add(120 * time.Minute)
	next("one told of for later", told)
	r.Do(session.TakeBreak{ForMin: 5}).Wait(1).Do(session.TakeBreak{})
	next("another taken before it", told)
	r.Do(session.TakeBreak{InMin: 130, ForMin: 20})
	next("told anew", r.Now.Add(130*time.Minute))
	off()
	next("that is off", today(36, 30))
	for _, by := range []time.Duration{-2 * time.Hour, 150 * time.Minute, -20 * time.Minute} {
		r.Now = r.Now.Add(by)
		r.Do(session.SetClock{By: by})
		next("a clock set by "+by.String(), today(36, 30))
	}
	r.Now = r.Now.Add(-24 * time.Hour)
	r.Do(session.SetClock{By: -24 * time.Hour})
	next("a date that was wrong", today(36, 30))
	r.Tick(today(21, 50).Sub(r.Now)).Do(session.TakeBreak{ForMin: 20})
	if till, _ := r.Day.Away(r.Now); !till.Equal(today(22, 10)) {
		t.Errorf("a break into quiet hours that are off lasts till %s", till)
	}
}

// A break of the plan that the person is back from is over, whatever the clock is set to.
func TestABreakThatIsOverStaysOver(t *testing.T) {
	for _, by := range []time.Duration{-40 * time.Minute, 20 * time.Minute} {
		r := sessiontest.Start(t, sessiontest.ThreeTubs(func(p *shed.Plan) { p.Break = shed.Breaks{{FromMin: 8*60 + 20, ToMin: 9 * 60}} }))
		r.Wait(30).Do(session.TakeBreak{})
		if had, _ := r.Day.NextBreak(r.Now.Add(-time.Second)); had.To.Sub(had.From) != 10*time.Minute {
			t.Errorf("they had %v", had)
		}
		r.Now = r.Now.Add(by)
		r.Do(session.SetClock{By: by})
		if s, ok := r.Day.NextBreak(r.Now); !ok || s.From.Before(r.Now.Add(12*time.Hour)) {
			t.Errorf("set by %s: away from %s to %s", by, s.From, s.To)
		}
		sessiontest.CheckReplay(t, r, nil)
	}
}
