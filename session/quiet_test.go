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

// A batch whose hot wash is lifted while nobody should work gets through all the same, whether quiet
// hours, a break of the plan or one told of began meanwhile: no deed that keeps its fleece waiting,
// hanging or in a bath that it cannot lie in till they end, is due at their end, nor its call.
func TestABatchGetsThroughQuietHoursAndBreaks(t *testing.T) {
	hours := shed.Hours{FromMin: 8*60 + 40, ToMin: 16 * 60}
	for name, plan := range map[string]func(p *shed.Plan){
		"quiet hours":       func(p *shed.Plan) { *p = p.WithQuiet(hours) },
		"break of the plan": func(p *shed.Plan) { p.Break = shed.Breaks{hours} },
		"told":              func(*shed.Plan) {},
	} {
		r := sessiontest.Start(t, sessiontest.OneTub(func(p *shed.Plan) {
			p.Batches[0].Presoak, p.Method.Steps[1].LongestMin = shed.PresoakNone, 40
			plan(p)
		})).Tick(28*time.Minute).Until(0, shed.Soaking)
		if name == "told" {
			r.Do(session.TakeBreak{InMin: 8, ForMin: 440})
		}
		s, _ := r.Day.NextBreak(r.Now)
		end := r.Day.Tubs[0].SoakEndAt(r.Now)
		if end.Before(s.From) || !end.Before(s.To) {
			t.Fatalf("%s: the wash soaks till %s, they last from %s to %s", name, end, s.From, s.To)
		}
		calls := 0
		// The last rinse lifted, its fleece may hang.
		for tub := &r.Day.Tubs[0]; tub.Phase != shed.Draining || tub.NextStep().Kind != shed.Spin; tub = &r.Day.Tubs[0] {
			tt := must.Get(planner.Schedule(r.Day, r.Now, planner.Quick)).In(t)
			a := coach.Next(r.Day, r.Now, tt)[0]
			due, phase := r.Now, tub.Phase
			if phase == shed.Soaking {
				if tub.Step().HasRelease() { // till its time is up
					due = tub.LongestAt()
				} else {
					due = tub.SoakEndAt(r.Now)
				}
			}
			if most := due.Add(2 * time.Minute); a.DueAt.After(most) || a.PlanAt.After(most) {
				t.Errorf("%s: at %s, %s of the %s due at %s, in the list at %s", name, r.Now.Format("15:04"), a.Title, tub.Step().Name, a.DueAt.Format("15:04"), a.PlanAt.Format("15:04"))
			}
			if phase == shed.Soaking {
				r.Tick(max(0, due.Sub(r.Now))).Wait(3)
				if rings := r.Rings(due.Add(-time.Second)); !tub.Step().HasRelease() && slices.ContainsFunc(rings, func(s string) bool { return strings.HasPrefix(s, "soak done") }) {
					calls++
				}
			}
			r.Wait(1).Next(0)
		}
		if calls < 2 {
			t.Errorf("%s: called to %d of the rinses at their end", name, calls)
		}
	}
}

// Fleece that hung hot when quiet hours or a break of the plan began goes into its bath at once; from
// a break that the person told of it waits till they are back.
func TestFleeceHangsAsTheyBegin(t *testing.T) {
	hours := shed.Hours{FromMin: 8*60 + 21, ToMin: 16 * 60}
	for name, plan := range map[string]func(p *shed.Plan){
		"quiet hours":       func(p *shed.Plan) { *p = p.WithQuiet(hours) },
		"break of the plan": func(p *shed.Plan) { p.Break = shed.Breaks{hours} },
		"told":              func(*shed.Plan) {},
	} {
		r := sessiontest.Start(t, sessiontest.OneTub(func(p *shed.Plan) { plan(p) })).Until(0, shed.Soaking).Wait(20).Next(0, 0)
		if name == "told" {
			r.Do(session.TakeBreak{InMin: 1, ForMin: 459})
		}
		r.Wait(2)
		till, away := r.Day.Away(r.Now)
		if !away || r.Day.Tubs[0].WetBy().IsZero() {
			t.Fatalf("%s: away %v, %v in the tub", name, away, r.Day.Tubs[0].Phase)
		}
		tt := must.Get(planner.Schedule(r.Day, r.Now, planner.Quick)).In(t)
		a := coach.Next(r.Day, r.Now, tt)[0]
		if waits := !a.PlanAt.Before(till); a.Act != shed.FillTub || waits != (name == "told") || !waits && a.PlanAt.After(r.Now.Add(time.Minute)) {
			t.Errorf("%s: at %s, %s is in the list at %s", name, r.Now.Format("15:04"), a.Title, a.PlanAt.Format("15:04"))
		}
	}
}

// An alarm for a soak that nobody came to, and that cannot last a break, is not taken back as the
// break begins.
func TestAForgottenSoakStandsThroughABreak(t *testing.T) {
	r := sessiontest.Start(t, sessiontest.OneTub()).Until(0, shed.Soaking).Wait(20).Next(0, 0, 0, 0)
	end := r.Day.Tubs[0].SoakEndAt(r.Now)
	r.Do(session.TakeBreak{InMin: end.Sub(r.Now).Minutes() + 12, ForMin: 20})
	s, _ := r.Day.NextBreak(r.Now)
	if longest := r.Day.Tubs[0].LongestAt(); longest.Before(s.From) || !longest.Before(s.To) {
		t.Fatalf("the longest soak is over at %s, the break lasts from %s to %s", longest, s.From, s.To)
	}
	r.Tick(s.From.Add(-time.Minute).Sub(r.Now))
	if _, stands := sessiontest.FindAlarm(r.Day, session.LeftSoaking); !stands {
		t.Fatalf("alarms %v", sessiontest.StandingAlarms(r.Day))
	}
	r.Wait(2)
	if _, stands := sessiontest.FindAlarm(r.Day, session.LeftSoaking); !stands {
		t.Errorf("in the break: alarms %v", sessiontest.StandingAlarms(r.Day))
	}
}

// Whoever goes for a break has answered no alarm by that, though the soak may last it: it rings on till
// its deed. A call for the lift is put off, which is no deed either.
func TestABreakAnswersNoAlarm(t *testing.T) {
	for _, wash := range []bool{true, false} {
		r := sessiontest.Start(t, sessiontest.OneTub(func(p *shed.Plan) {
			for i := range p.Method.Steps {
				p.Method.Steps[i].LongestMin = 0
			}
		})).Until(0, shed.Soaking)
		kind := session.NotLifted
		if !wash {
			r.Wait(20).Next(0, 0, 0, 0)
			kind = session.LeftSoaking
		}
		end := r.Day.Tubs[0].SoakEndAt(r.Now)
		for r.Tick(10 * time.Second); !slices.ContainsFunc(r.Day.Alarms, func(a session.Alarm) bool { return a.Kind == session.SoakDone }); {
			r.Tick(10 * time.Second)
		}
		r.Do(session.TakeBreak{ForMin: 5}, session.TakeBreak{})
		if n := len(r.Day.AlarmLog); n == 0 || !r.Day.AlarmLog[n-1].AnsweredAt.IsZero() || !r.Day.AlarmLog[n-1].DoneAt.IsZero() {
			t.Errorf("wash %t: the call that a break has put off: %+v", wash, r.Day.AlarmLog)
		}
		for r.Tick(10 * time.Second); r.Now.Sub(end) < 20*time.Minute; {
			if _, rings := sessiontest.FindAlarm(r.Day, kind); rings {
				break
			}
			r.Tick(10 * time.Second)
		}
		r.Do(session.TakeBreak{ForMin: 10}).Tick(time.Second)
		a, stands := sessiontest.FindAlarm(r.Day, kind)
		if !stands || !a.Unanswered() || !a.AnsweredAt.IsZero() {
			t.Fatalf("wash %t: %+v, standing %v", wash, a, sessiontest.StandingAlarms(r.Day))
		}
		tt := must.Get(planner.Schedule(r.Day, r.Now, planner.Quick)).In(t)
		if lift := coach.Next(r.Day, r.Now, tt)[0]; lift.Act != shed.Lift || lift.Rank > coach.Now {
			t.Errorf("wash %t: the list has %s at rank %d", wash, lift.Title, lift.Rank)
		}
		if r.Next(0); len(r.Day.Alarms) > 0 {
			t.Errorf("wash %t: lifted, %v", wash, sessiontest.StandingAlarms(r.Day))
		}
	}
}

// Nor does the fleece that hung when its alarm rang wait for the end of a break that is told of then.
func TestWhatHangsWaitsForNoBreakThen(t *testing.T) {
	r := sessiontest.Start(t, sessiontest.OneTub()).Until(0, shed.Soaking).Wait(20).Next(0, 0)
	by := r.Day.Tubs[0].WetBy()
	for r.Now.Before(by.Add(time.Minute)) {
		r.Tick(20 * time.Second)
	}
	r.Do(session.TakeBreak{ForMin: 40}).Tick(time.Second)
	tt := must.Get(planner.Schedule(r.Day, r.Now, planner.Quick)).In(t)
	if a := coach.Next(r.Day, r.Now, tt)[0]; a.Tub != 0 || a.Rank > coach.Now || len(r.Day.Alarms) == 0 {
		t.Errorf("the list has %s at rank %d, due at %s, %v", a.Title, a.Rank, a.DueAt.Format("15:04"), sessiontest.StandingAlarms(r.Day))
	}
}

// A break that meets quiet hours ends by itself: being back from it, calling it off or telling of
// another in its place leaves them.
func TestABreakEndsWithoutTheQuietHoursThatItMeets(t *testing.T) {
	at := func(min int) time.Time { return sessiontest.Dawn.Add(time.Duration(min-8*60) * time.Minute) }
	for name, do := range map[string]func(r *sessiontest.Run){
		"back":       func(r *sessiontest.Run) { r.Tick(at(9*60 + 40).Sub(r.Now)).Do(session.TakeBreak{}) },
		"called off": func(r *sessiontest.Run) { r.Do(session.TakeBreak{}) },
		"another":    func(r *sessiontest.Run) { r.Tick(at(9*60 + 35).Sub(r.Now)).Do(session.TakeBreak{ForMin: 10}).Wait(10) },
	} {
		r := sessiontest.Start(t, sessiontest.ThreeTubs(func(p *shed.Plan) {
			p.Break = shed.Breaks{{FromMin: 9*60 + 30, ToMin: 10 * 60}}
			*p = p.WithQuiet(shed.Hours{FromMin: 10 * 60, ToMin: 16 * 60})
		}))
		if s, _ := r.Day.NextBreak(r.Now); !s.From.Equal(at(9*60+30)) || !s.To.Equal(at(16*60)) {
			t.Fatalf("they last from %s to %s", s.From, s.To)
		}
		do(r)
		if s, ok := r.Day.NextBreak(r.Now); !ok || !s.From.Equal(at(10*60)) || !s.To.Equal(at(16*60)) {
			t.Errorf("%s: then away from %s to %s", name, s.From, s.To)
		}
		if tt, err := planner.Schedule(r.Day, r.Now, planner.Quick); err != nil || slices.ContainsFunc(tt.Pieces, func(p planner.Piece) bool { return r.Day.Plan.IsQuiet(p.Start) }) {
			t.Errorf("%s: planned in quiet hours, %v", name, err)
		}
	}
	// Back when all of it has begun ends all of it.
	r := sessiontest.Start(t, sessiontest.OneTub(func(p *shed.Plan) {
		p.Break = shed.Breaks{{FromMin: 9*60 + 30, ToMin: 10 * 60}}
		*p = p.WithQuiet(shed.Hours{FromMin: 10 * 60, ToMin: 16 * 60})
	}))
	r.Tick(at(11 * 60).Sub(r.Now)).Do(session.TakeBreak{})
	if s, ok := r.Day.NextBreak(r.Now); ok && s.From.Before(at(24*60)) {
		t.Errorf("back in quiet hours: then away from %s to %s", s.From, s.To)
	}
}

// What waits for the end of quiet hours, or is to be lifted in them, is not said to for a break.
func TestQuietHoursAreNotCalledABreak(t *testing.T) {
	for name, hours := range map[string]shed.Hours{"quiet hours are": {FromMin: 8*60 + 10, ToMin: 9 * 60}, "break is": {}} {
		for longest, want := range map[float64]string{0: "when your " + name + " over", 30: "come back for it in your " + strings.Fields(name + " ")[0]} {
			r := sessiontest.Start(t, sessiontest.ThreeTubs(func(p *shed.Plan) {
				p.Method.Steps[0].LongestMin = longest
				if *p = p.WithQuiet(hours); hours == (shed.Hours{}) {
					p.Break = shed.Breaks{{FromMin: 8*60 + 10, ToMin: 9 * 60}}
				}
			})).Until(0, shed.Soaking).Wait(12)
			tt := must.Get(planner.Schedule(r.Day, r.Now, planner.Quick)).In(t)
			waits := 0
			for _, a := range coach.Next(r.Day, r.Now, tt) {
				text := strings.Join(sessiontest.DetailLines(a.Prompt), "; ")
				if a.Act == shed.Lift && !strings.Contains(text, want) {
					t.Errorf("%s: the lift says %q, want %q", name, text, want)
				}
				if strings.Contains(text, "when your "+name+" over") || a.Act == shed.FillTub && strings.Contains(text, "waits till after your "+strings.TrimSuffix(strings.TrimSuffix(name, " is"), " are")+", 09:00") {
					waits++
				}
			}
			if longest == 0 && waits < 3 {
				t.Errorf("%s: %d acts wait for their end, want the lift and both fills", name, waits)
			}
		}
	}
}
