package planner_test

import (
	"slices"
	"strings"
	"testing"
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/long"
	"fleece.example/tubside/session/must"
	"fleece.example/tubside/session/planner"
	"fleece.example/tubside/session/sessiontest"
	"fleece.example/tubside/session/shed"
)

// held says what of a timetable breaks the quiet hours: deeds in them, and a hot wash that lies
// through them.
func held(t *testing.T, p shed.Plan, tt planner.Timetable) {
	t.Helper()
	for _, s := range tt.Breaks {
		for _, piece := range within(tt, s) {
			t.Errorf("%s of %s at %s, in %s to %s", piece.Words(&p.Kit), piece.Batch, piece.Start, s.From, s.To)
		}
		for _, k := range tt.Soaks {
			if lies := (shed.Span{From: k.Start, To: k.End}); k.Step.HasRelease() && s.Meets(lies) {
				t.Errorf("the %s of %s lies from %s to %s, through %s to %s", k.Step.Name, k.Batch, k.Start, k.End, s.From, s.To)
			}
		}
	}
}

// stayingWarm is a plan whose washes keep above their release for most of a night.
func stayingWarm(p shed.Plan) shed.Plan {
	for i := range p.Method.Steps {
		if s := &p.Method.Steps[i]; s.HasRelease() {
			s.ReleaseC, s.LongestMin = 36, 0
		}
	}
	p.Kit.RoomC = 34
	return p
}

// A day is planned around quiet hours: no deed in them and no hot wash through them, whether its bath
// cools soon or not before the morning. What does not fit is said, with when it goes on; the batches
// told for the day are done by then.
func TestPlannedAroundQuietHours(t *testing.T) {
	quiet := shed.Hours{FromMin: 22 * 60, ToMin: 7 * 60}
	stopped, through, split := 0, 0, 0
	for _, n := range []struct{ batches, tubs int }{{1, 1}, {4, 2}, {6, 2}, {8, 3}} {
		for _, h := range []int{9, 14, 17, 19, 21, 23} {
			for _, warm := range []bool{false, true} {
				if !long.Turn(n.batches+h, 3) {
					continue
				}
				p := sessiontest.ManyBatches(n.batches, n.tubs)
				if warm {
					p = stayingWarm(p)
				}
				p = p.WithQuiet(quiet)
				if p.Quiet != quiet {
					t.Fatal("quiet hours are not taken")
				}
				start := time.Date(2026, 5, 16, h, 0, 0, 0, time.UTC)
				o := must.Get(planner.PlanAhead(p, start, planner.AsGiven, planner.Quick)).In(t)
				tt := o.Timetable
				held(t, p, tt)
				for _, piece := range tt.Late() {
					t.Errorf("%v from %d:00, warm %v: %s of %s is %s late", n, h, warm, piece.Words(&p.Kit), piece.Batch, piece.Late)
				}
				evening := time.Date(2026, 5, 16, 22, 0, 0, 0, time.UTC)
				said, stops := o.SayStop(), start.Before(evening) && tt.Finish.After(evening)
				if (said != "") != stops || stops && (!strings.Contains(strings.Join(o.Cautions, " "), said) || !strings.HasSuffix(said, "goes on Sun 07:00")) {
					t.Errorf("%v from %d:00: done at %s, said %q, cautions %q", n, h, tt.Finish, said, o.Cautions)
				}
				for _, k := range tt.Soaks {
					if k.Start.Before(evening) && k.End.After(evening.Add(9*time.Hour)) {
						through++
					}
				}
				if stops {
					stopped++
				}
				if stops && len(o.ByDays) > 0 {
					split++
					today := p
					today.Batches = p.Clean().Batches[:len(o.ByDays[0])]
					if o, err := planner.PlanAhead(today, start, planner.AsGiven, planner.Quick); err != nil || o.Timetable.Finish.After(evening) {
						t.Errorf("%v from %d:00: of %v the first day is done at %s, %v", n, h, o.ByDays, o.Timetable.Finish, err)
					}
				}
			}
		}
	}
	t.Logf("%d days go on in the morning, %d of them are split, %d soaks go through the night", stopped, split, through)
	if stopped == 0 || through == 0 || split == 0 {
		t.Error("not every way was met")
	}
}

// Short ones are a break like any other: nothing in them, no hot wash through them, and the day is
// not called too long.
func TestShortQuietHours(t *testing.T) {
	for _, warm := range []bool{false, true} {
		p := sessiontest.ManyBatches(4, 2).WithQuiet(shed.Hours{FromMin: 11 * 60, ToMin: 11*60 + 50})
		if warm {
			p = stayingWarm(p)
		}
		o, err := planner.PlanAhead(p, time.Date(2026, 5, 16, 9, 0, 0, 0, time.UTC), planner.AsGiven, planner.Quick)
		if err != nil || o.SayStop() != "" || len(o.ByDays) > 0 || len(o.Timetable.Late()) > 0 {
			t.Errorf("warm %v: %v, said %q, days %v, late %v", warm, err, o.SayStop(), o.ByDays, o.Timetable.Late())
		}
		held(t, p, o.Timetable)
		if text := o.Timetable.SayBreak(o.Timetable.Breaks[0], &o.Plan); !strings.HasPrefix(text, "quiet hours 11:00 to 11:50: ") {
			t.Error(text)
		}
	}
}

// Quiet hours shorter than a wash, far from the day's work, leave the plan as it is without them.
func TestBriefQuietHours(t *testing.T) {
	start := time.Date(2026, 5, 16, 9, 0, 0, 0, time.UTC)
	for _, n := range []struct{ batches, tubs int }{{8, 3}, {9, 4}} {
		var finish time.Time
		for _, lasts := range []int{0, 10, 25} {
			p := sessiontest.ManyBatches(n.batches, n.tubs).WithQuiet(shed.Hours{FromMin: 3 * 60, ToMin: 3*60 + lasts})
			o := must.Get(planner.PlanAhead(p, start, planner.AsGiven, planner.Quick)).In(t)
			if lasts == 0 {
				finish = o.Timetable.Finish
			}
			if f, late := o.Timetable.Finish, o.Timetable.Late(); !f.Equal(finish) || len(late) > 0 {
				t.Errorf("%v, %d min at night: done at %s with %d late, without them at %s", n, lasts, f.Format("15:04:05"), len(late), finish.Format("15:04:05"))
			}
		}
	}
}

// A wash that is in its bath when they begin is lifted all the same, and its batch gets through; what
// had not begun waits for the morning.
func TestWashInQuietHours(t *testing.T) {
	quiet := shed.Hours{FromMin: 8*60 + 40, ToMin: 16 * 60}
	r := sessiontest.Start(t, sessiontest.ThreeTubs(func(p *shed.Plan) {
		p.Batches[0].Presoak = shed.PresoakNone
		*p = p.WithQuiet(quiet)
	})).Tick(28*time.Minute).Until(0, shed.Soaking)
	if end := r.Day.Tubs[0].SoakEndAt(r.Now); !r.Day.Tubs[0].Step().HasRelease() || end.Before(r.Day.StartedAt.Add(40*time.Minute)) {
		t.Fatalf("no wash that ends in them: %s", end)
	}
	s, _ := r.Day.NextBreak(r.Now)
	tt := must.Get(planner.Schedule(r.Day, r.Now, planner.Quick)).In(t)
	lifted := false
	for _, p := range tt.Pieces {
		if p.Tub == 0 && len(p.Acts) > 0 && p.Acts[0] == shed.Lift && !lifted {
			lifted = true
			if p.Late > 0 || p.Start.After(s.From.Add(time.Hour)) {
				t.Errorf("lifted at %s, %s late, and they begin at %s", p.Start, p.Late, s.From)
			}
		}
		if b := r.Day.Tubs[0].Batch; p.Batch != b && s.Has(p.Start) {
			t.Errorf("%s of %s at %s", p.Words(&r.Day.Plan.Kit), p.Batch, p.Start)
		}
	}
	if !lifted {
		t.Error("never lifted")
	}
	if got := r.Day.Plan.SayAway(s); got != "quiet hours" {
		t.Errorf("they are called %q", got)
	}
}

// A wash that keeps warm till the morning is called for in quiet hours all the same when its soak is
// over, and its lift waits for no end of them, nor of a break that meets them.
func TestWarmWashInQuietHours(t *testing.T) {
	for _, met := range []shed.Breaks{nil, {{FromMin: 16 * 60, ToMin: 16*60 + 30}}, {{FromMin: 8*60 + 14, ToMin: 8*60 + 15}}} {
		r := sessiontest.Start(t, sessiontest.OneTub(func(p *shed.Plan) {
			p.Break = met
			*p = stayingWarm(*p).WithQuiet(shed.Hours{FromMin: 8*60 + 15, ToMin: 16 * 60})
		})).Until(0, shed.Soaking)
		end := r.Day.Tubs[0].SoakEndAt(r.Now)
		r.Tick(end.Sub(r.Now)).Wait(1)
		if rings := r.Rings(end); !slices.Contains(rings, "soak done@0") || !r.Day.Plan.IsQuiet(r.Now) {
			t.Errorf("breaks %v: at %s, its soak over since %s: %v", met, r.Now, end, rings)
		}
		tt, err := planner.Schedule(r.Day, r.Now, planner.Quick)
		if err != nil || tt.Pieces[0].Acts[0] != shed.Lift || tt.Pieces[0].Start.After(r.Now.Add(time.Minute)) {
			t.Errorf("breaks %v: %v: at %s planned %+v", met, err, r.Now, tt.Pieces)
		}
	}
}

// A day that stops for quiet hours is said to, with when they begin and when work goes on, where a
// break meets them too.
func TestStopsForQuietHoursThatABreakMeets(t *testing.T) {
	for want, met := range map[string]shed.Breaks{
		"doesn't fit before your quiet hours at 22:00: goes on Sun 07:00": {{FromMin: 21 * 60, ToMin: 22 * 60}},
		"doesn't fit before your quiet hours at 22:00: goes on Sun 07:30": {{FromMin: 7 * 60, ToMin: 7*60 + 30}},
	} {
		p := sessiontest.ManyBatches(6, 2)
		p.Break = met
		o, err := planner.PlanAhead(p.WithQuiet(shed.Hours{FromMin: 22 * 60, ToMin: 7 * 60}), time.Date(2026, 5, 16, 17, 0, 0, 0, time.UTC), planner.AsGiven, planner.Quick)
		if got := o.SayStop(); err != nil || got != want {
			t.Errorf("%v: %q, %v, want %q", met, got, err, want)
		}
	}
}

// Who is away when the quiet hours begin is away till they are over; who is back in them is back.
func TestBreakIntoQuietHours(t *testing.T) {
	r := sessiontest.Start(t, sessiontest.ThreeTubs(func(p *shed.Plan) { *p = p.WithQuiet(shed.Hours{FromMin: 9 * 60, ToMin: 17 * 60}) }))
	quiet, _ := r.Day.NextBreak(r.Now)
	r.Tick(quiet.From.Add(-10 * time.Minute).Sub(r.Now)).Do(session.TakeBreak{ForMin: 30})
	if till, away := r.Day.Away(r.Now); !away || !till.Equal(quiet.To) {
		t.Errorf("away till %s, %v; they last till %s", till, away, quiet.To)
	}
	r.Wait(60).Do(session.TakeBreak{})
	if till, away := r.Day.Away(r.Now); away {
		t.Errorf("back, and away till %s", till)
	}
}
