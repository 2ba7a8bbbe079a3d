package coach_test

import (
	"fmt"
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

// nextOf is the list of a day now.
func nextOf(t *testing.T, r *sessiontest.Run) []coach.NextAct {
	t.Helper()
	tt := must.Get(planner.Schedule(r.Day, r.Now, planner.Quick)).In(t)
	r.Day = planner.Planned(r.Day, tt)
	return coach.Next(r.Day, r.Now, tt)
}

// A fill that waits for a break says so, which bath would have to be lifted in it, and when work begins again.
func TestAFillThatWaitsForABreakSaysWhy(t *testing.T) {
	for soakMin, want := range map[float64]string{
		20: "waits till after your break, 09:50: its first rinse would have to be lifted at 09:",
		50: "waits till after your break, 09:50: it would have to be lifted at 09:",
	} {
		r := sessiontest.Start(t, sessiontest.OneTub(func(p *shed.Plan) {
			p.Break, p.Batches[0].Presoak = shed.Breaks{{FromMin: 8*60 + 50, ToMin: 9*60 + 50}}, shed.PresoakAsMethod
			p.Method.Steps[1].SoakMin, p.Method.Steps[1].LongestMin = soakMin, soakMin+5
		})).Until(0, shed.Soaking).Wait(8).Next(0, 0)
		acts := nextOf(t, r)
		i := slices.IndexFunc(acts, func(a coach.NextAct) bool { return a.Act == shed.FillTub })
		a := acts[i]
		if !a.After || a.Rank != coach.Coming || a.Count.Of != coach.ToDue || a.DueAt.Before(sessiontest.Dawn.Add(110*time.Minute)) {
			t.Errorf("a soak of %g min: %s, rank %d, due %s, after %t", soakMin, a.Title, a.Rank, a.DueAt, a.After)
		}
		if got := fmt.Sprint(a.Details); strings.Count(got, "break") != 1 || !strings.Contains(got, want) {
			t.Errorf("a soak of %g min: %s", soakMin, got)
		}
		for _, b := range acts {
			if b.Boil && b.DueAt.Before(sessiontest.Dawn.Add(110*time.Minute)) {
				t.Errorf("%s at %s", b.Title, b.DueAt)
			}
		}
	}
}

// Fleece that is washed again shortly before a break waits for its end, and nothing calls for it till then; it
// is called behind it.
func TestWashedAgainBeforeABreakWaits(t *testing.T) {
	for _, planned := range []bool{false, true} {
		r := sessiontest.Start(t, sessiontest.OneTub(func(p *shed.Plan) {
			if planned {
				p.Break = shed.Breaks{{FromMin: 8*60 + 41, ToMin: 9*60 + 21}}
			}
		})).Until(0, shed.Soaking).Wait(20).Next(0, 0).Do(session.RepeatStep{Wash: true}).Wait(6)
		if !planned {
			r.Do(session.TakeBreak{InMin: 15, ForMin: 40})
		}
		s, _ := r.Day.NextBreak(r.Now)
		if r.Day.Tubs[0].WetBy().After(s.From) {
			t.Fatal("it may hang till the break")
		}
		for r.Now.Before(s.To.Add(-time.Second)) {
			r.Tick(10 * time.Second)
			if len(r.Day.Alarms) > 0 && !r.Now.After(s.To.Add(-20*time.Second)) {
				t.Fatalf("planned %t: at %s %v", planned, r.Now.Format("15:04"), sessiontest.StandingAlarms(r.Day))
			}
			if p := coach.PromptAt(r.Day, 0, r.Now); r.Now.Before(s.To) && (!p.After || !p.DueAt.Equal(s.To) || p.Count.Of != coach.ToDue || !p.MustBy.IsZero()) {
				t.Fatalf("planned %t: at %s %s", planned, r.Now.Format("15:04"), sessiontest.PromptText(p))
			}
		}
		if r.Wait(2); len(r.Day.Alarms) == 0 || r.Day.Alarms[0].Kind != session.WetWaiting {
			t.Errorf("planned %t: behind it %v", planned, sessiontest.StandingAlarms(r.Day))
		}
		if p := coach.PromptAt(r.Day, 0, r.Now); p.Count.Of != coach.SinceWet || !p.Count.At.Equal(s.To) {
			t.Errorf("planned %t: behind it late since %s, its break was over at %s", planned, p.Count.At.Format("15:04"), s.To.Format("15:04"))
		}
	}
}

// A soak that was over in a break is over since then, not since the break.
func TestOverSinceTheSoakNotTheBreak(t *testing.T) {
	for _, inMin := range []float64{5, 1} {
		r := sessiontest.Start(t, sessiontest.OneTub(func(p *shed.Plan) { p.Batches[0].Presoak = shed.PresoakQuick })).Until(0, shed.Soaking)
		end := r.Day.Tubs[0].SoakEndAt(r.Now)
		r.Do(session.TakeBreak{InMin: inMin, ForMin: end.Sub(r.Now).Minutes() + 15 - inMin}).Tick(end.Sub(r.Now) + 17*time.Minute)
		if p := coach.PromptAt(r.Day, 0, r.Now); p.Act != shed.Lift || p.Count != (coach.Count{Of: coach.SinceSoak, At: end}) {
			t.Errorf("%s at %s: %+v, its soak was over at %s", p.Title, r.Now.Format("15:04"), p.Count, end.Format("15:04"))
		}
	}
}

// What cannot wait rings in a break, and its person is told where to be, and when: hot fleece that hangs for
// its rinse, and a bath that cools.
func TestWhatCannotWaitRingsInABreak(t *testing.T) {
	r := sessiontest.Start(t, sessiontest.OneTub()).Until(0, shed.Soaking).Wait(20).Next(0, 0)
	by := r.Day.Tubs[0].WetBy()
	r.Do(session.TakeBreak{ForMin: 60}).Tick(time.Second)
	s, _ := r.Day.NextBreak(r.Now)
	if by.IsZero() || !by.Before(s.To) {
		t.Fatalf("it may hang till %s", by)
	}
	if says, want := coach.SayBreak(&r.Day, nextOf(t, r), r.Now), "your break till 09:20: be at North by "+by.Format("15:04"); says != want {
		t.Errorf("%q, want %q", says, want)
	}
	calledAt := time.Time{}
	for r.Now.Before(by.Add(time.Minute)) {
		if r.Tick(20 * time.Second); calledAt.IsZero() && len(r.Day.Alarms) > 0 {
			calledAt = r.Now
		}
	}
	if lead := by.Sub(calledAt).Minutes() - r.Day.Plan.Kit.LeadMin; lead < -1 || lead > 1 {
		t.Errorf("called at %s for %s, %g min ahead", calledAt.Format("15:04"), by.Format("15:04"), r.Day.Plan.Kit.LeadMin)
	}
	if len(r.Day.Alarms) == 0 || r.Day.Alarms[0].Kind != session.WetWaiting {
		t.Errorf("past its limit: %v", sessiontest.StandingAlarms(r.Day))
	}
	if says := coach.SayBreak(&r.Day, nextOf(t, r), r.Now); says != "" {
		t.Errorf("past its limit %q", says)
	}
	r.Do(session.TakeBreak{ForMin: 30}).Tick(time.Second)
	if len(r.Day.Alarms) == 0 {
		t.Error("another break answers the alarm")
	}
	r = sessiontest.Start(t, sessiontest.OneTub(func(p *shed.Plan) { p.Kit.RoomC = 2 })).Until(0, shed.Soaking).Wait(5).Do(session.TakeBreak{ForMin: 300}).Wait(60)
	if len(r.Day.Alarms) == 0 {
		t.Error("a wash that cools in a break does not ring")
	}
}

// Before a break the screen says what is still to be done, or that one may go; in it till when it lasts.
func TestABreakIsAnnounced(t *testing.T) {
	r := sessiontest.Start(t, sessiontest.OneTub(func(p *shed.Plan) {
		p.Break, p.Batches[0].Presoak = shed.Breaks{{FromMin: 8*60 + 30, ToMin: 9 * 60}}, shed.PresoakAsMethod
	}))
	says := func(want string) {
		t.Helper()
		acts := nextOf(t, r)
		if got := coach.SayBreak(&r.Day, acts, r.Now); got != want {
			t.Errorf("at %s: %q, want %q", r.Now.Format("15:04"), got, want)
		}
	}
	says("")
	r.Tick(21 * time.Minute)
	says("before your break at 08:30: North")
	r.Next(0, 0)
	says("nothing more before your break at 08:30: you can go")
	r.Tick(10 * time.Minute)
	says("your break till 09:00: nothing needs you")
	r.Tick(30 * time.Minute)
	says("")
}

// What is left to do before a break is named once, however many boils it takes.
func TestBeforeABreakTheKettleIsNamedOnce(t *testing.T) {
	r := sessiontest.Start(t, sessiontest.ThreeTubs()).Do(session.TakeBreak{InMin: 9, ForMin: 30})
	act := func(tub int, boil bool) coach.NextAct {
		return coach.NextAct{Prompt: coach.Prompt{Tub: tub, Rank: coach.Coming, DueAt: r.Now}, Boil: boil}
	}
	sessiontest.Same(t, "before it", coach.SayBreak(&r.Day, []coach.NextAct{act(0, true), act(1, true), act(0, false)}, r.Now), "before your break at 08:09: the kettle, North")
}

// A kettle that went on for a fill which waits for a break asks for nothing before that is over.
func TestAKettleForAFillThatWaitsIsLeft(t *testing.T) {
	r := sessiontest.Start(t, sessiontest.OneTub(func(p *shed.Plan) {
		p.Break, p.Batches[0].Presoak = shed.Breaks{{FromMin: 8*60 + 50, ToMin: 9*60 + 50}}, shed.PresoakAsMethod
	})).Until(0, shed.Soaking).Wait(8).Next(0, 0).Wait(15).Do(session.TellKettle{Tub: 0, Batch: "A1", Sure: true})
	s, _ := r.Day.NextBreak(r.Now)
	for told := false; r.Now.Before(s.To); r.Tick(4 * time.Minute) {
		if r.Now.After(r.Day.Kettle.ReadyBy(r.Now)) && !told {
			r.Do(session.TellKettle{Tub: 0, Batch: "A1", Sure: true})
			told = true
		}
		if len(r.Day.Alarms) > 0 {
			t.Fatalf("at %s %v", r.Now.Format("15:04"), sessiontest.StandingAlarms(r.Day))
		}
		if p := coach.PromptAt(r.Day, 0, r.Now); !p.After || strings.Contains(p.Title, "boils at") {
			t.Fatalf("at %s %s", r.Now.Format("15:04"), sessiontest.PromptText(p))
		}
		for _, a := range nextOf(t, r) {
			if a.Boil && a.Rank == coach.Now {
				t.Fatalf("at %s %s", r.Now.Format("15:04"), sessiontest.PromptText(a.Prompt))
			}
		}
	}
	i := slices.IndexFunc(nextOf(t, r), func(a coach.NextAct) bool { return a.Boil && a.Rank == coach.Now })
	if i < 0 {
		t.Error("behind it no kettle is called")
	}
}
