package coach_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/coach"
	"fleece.example/tubside/session/long"
	"fleece.example/tubside/session/must"
	"fleece.example/tubside/session/planner"
	"fleece.example/tubside/session/sessiontest"
	"fleece.example/tubside/session/shed"
)

// livesBy lives a day by its list, with hands that take slow times what is planned and go on
// with what they are at when a break begins; look sees each list before its first act is begun.
func livesBy(t *testing.T, p shed.Plan, slow float64, look func(r *sessiontest.Run, acts []coach.NextAct, idle bool)) {
	t.Helper()
	r := sessiontest.Start(t, p)
	plan, err := planner.Schedule(r.Day, r.Now, planner.Quick)
	if err != nil {
		t.Fatal(err)
	}
	var job coach.NextAct
	var until, plannedAt time.Time
	var seq uint64
	for range 16 * 180 {
		r.Tick(20 * time.Second)
		if r.Day.LastSeq != seq || r.Now.Sub(plannedAt) >= long.Of(3*time.Minute, time.Minute) {
			if plan, err = planner.Replan(r.Day, r.Now, planner.Quick, plan); err != nil {
				t.Fatal(err)
			}
			seq, plannedAt = r.Day.LastSeq, r.Now
			r.Day = planner.Planned(r.Day, plan)
		}
		acts := coach.Next(r.Day, r.Now, plan)
		look(r, acts, until.IsZero())
		_, away := r.Day.Away(r.Now)
		switch busy := !until.IsZero(); {
		case busy && r.Now.Before(until), !busy && away:
			continue
		case busy:
			day, recs := must.Get2(session.DoTogether(r.Day, session.DoNext{Tub: job.Tub, Act: job.Act, Batch: job.Batch, Sooner: true}, job.Then, r.Now)).In(t)
			r.Day, r.Recs, until = day, append(r.Recs, recs...), time.Time{}
			continue
		case acts[0].Act == shed.FinishDay:
			return
		}
		_, on := r.Day.KettleOn()
		for _, a := range acts {
			if a.Boil && (a.Refill || a.BoilOn && !r.Now.Before(a.DueAt) || a.Rank == coach.Now && !on) {
				r.Do(session.TellKettle{Tub: a.Tub, Batch: a.Batch, Sure: true})
				break
			}
		}
		for _, a := range acts {
			if !a.Boil && a.Rank <= coach.Now && !a.Stopped() {
				takes := 0.0
				for _, act := range append([]shed.Action{a.Act}, a.Then...) {
					takes += p.HandsMin()[act]
				}
				job, until = a, r.Now.Add(sessiontest.Minutes(slow*takes))
				break
			}
		}
	}
	t.Fatal("the day does not end")
}

// Who follows the list finds no fleece hanging past its limit in a break that was planned.
func TestNoHotFleeceHangsInABreak(t *testing.T) {
	t.Parallel()
	breaks, hung := 0, 0
	for i, tubs := range []int{1, 3, 2}[:long.Of(2, 3)] {
		for from := 9*60 + long.Of(90*i, 0); from <= 10*60+30; from += long.Of(90, 15) {
			for _, slow := range []float64{1, 1.4}[i%2 : long.Of(i%2+1, 2)] {
				p := sessiontest.ThreeTubs(func(p *shed.Plan) {
					p.Kit.Tubs, p.Batches, p.Break = p.Kit.Tubs[:tubs], p.Batches[:tubs], shed.Breaks{{FromMin: from, ToMin: from + 45}}
				})
				livesBy(t, p, slow, func(r *sessiontest.Run, acts []coach.NextAct, _ bool) {
					if _, away := r.Day.Away(r.Now); !away {
						for _, tub := range r.Day.Tubs {
							if !tub.WetBy().IsZero() { // hot fleece hangs, before a break or after
								hung++
							}
						}
						return
					}
					breaks++
					if a, rings := sessiontest.FindAlarm(r.Day, session.WetWaiting); rings {
						t.Fatalf("%d tubs, %g times as slow, a break from %d min: %s hangs since %s at %s", tubs, slow, from, r.Day.TubName(a.Tub), r.Day.Tubs[a.Tub].WetSince.Format("15:04"), r.Now.Format("15:04"))
					}
				})
			}
		}
	}
	if breaks == 0 || hung == 0 {
		t.Errorf("%d looks in a break, hot fleece hung at %d outside one", breaks, hung)
	}
}

// A presoak in cool water may lie through a break: while there is time for it before that it is
// called for, and stays so from minute to minute.
func TestAPresoakWaitsForNoBreak(t *testing.T) {
	t.Parallel()
	seen := 0
	p := sessiontest.ThreeTubs(func(p *shed.Plan) {
		p.Batches, p.Break = append(p.Batches, p.Batches[:long.Of(2, 3)]...), shed.Breaks{{FromMin: 10*60 + 30, ToMin: 11*60 + 15}}
	})
	livesBy(t, p, 1, func(r *sessiontest.Run, acts []coach.NextAct, _ bool) {
		s, ok := r.Day.NextBreak(r.Now)
		if !ok || s.From.Sub(r.Now) < 6*time.Minute {
			return
		}
		for _, a := range acts {
			cold := a.Act == shed.LoadNext || a.Act == shed.FillTub && r.Day.Tubs[a.Tub].Step().Kind == shed.Presoak
			if !cold || a.Boil || a.PlanAt.Before(s.To) && s.To.Sub(r.Now) > 3*time.Hour {
				continue
			}
			if seen++; a.Rank == coach.Coming {
				t.Fatalf("%s: %s", r.Now.Format("15:04"), sessiontest.PromptText(a.Prompt))
			}
		}
	})
	if seen == 0 {
		t.Error("no presoak was to begin before the break")
	}
}

// Fleece that hangs hot is called into its rinse before a break, though its lift is due in it; a
// lift too late for that waits in its bath, unless it would soak too long for longer than hang.
func TestHotFleeceBeforeABreak(t *testing.T) {
	r := sessiontest.Start(t, sessiontest.ThreeTubs(func(p *shed.Plan) {
		p.Kit.Tubs, p.Batches = p.Kit.Tubs[:2], []shed.Batch{p.Batches[0], p.Batches[0]}
		p.Batches[0].Presoak, p.Batches[1].Presoak = shed.PresoakNone, shed.PresoakNone
	}))
	r.Until(0, shed.Soaking).Until(1, shed.Soaking).Wait(20).Next(0, 0, 1, 1)
	r.Do(session.TakeBreak{InMin: 3, ForMin: 45})
	tt := must.Get(planner.Schedule(r.Day, r.Now, planner.Quick)).In(t)
	for _, a := range coach.Next(r.Day, r.Now, tt)[:2] {
		if a.Act != shed.FillTub || a.Rank != coach.Now || a.Late > 0 {
			t.Errorf("3 min before the break: %s at %s, rank %d, %s late", a.Title, r.Day.TubName(a.Tub), a.Rank, a.Late)
		}
	}
	for inMin, waits := range map[float64]bool{5: true, 30: false} {
		r := sessiontest.Start(t, sessiontest.OneTub()).Until(0, shed.Soaking).Wait(20).Next(0, 0, 0, 0).Wait(14)
		r.Do(session.TakeBreak{InMin: inMin, ForMin: 20})
		s, _ := r.Day.NextBreak(r.Now)
		r.Wait(1)
		tt := must.Get(planner.Schedule(r.Day, r.Now, planner.Quick)).In(t)
		a := coach.Next(r.Day, r.Now, tt)[0]
		if a.Act != shed.Lift || (a.Rank == coach.Coming && a.DueAt.Equal(s.To)) != waits {
			t.Errorf("%g min before a break: %s, rank %d, due %s", inMin, a.Title, a.Rank, a.DueAt)
		}
		r.Wait(4)
		if _, rings := sessiontest.FindAlarm(r.Day, session.SoakDone); rings == waits {
			t.Errorf("%g min before a break: called %t", inMin, rings)
		}
	}
}

// For a lift that cannot wait for the end of a break the list, the timetable, what is said of the
// break name one time. The call comes then for a bath that cools, whose time has the person's minutes
// ahead in it, and those minutes before where it is the longest soak.
func TestOneTimeForALiftInABreak(t *testing.T) {
	seen := map[bool]int{}
	for washed, change := range map[bool]func(p *shed.Plan){
		true:  func(p *shed.Plan) { p.Method.Steps[1].LongestMin, p.Kit.RoomC, p.Kit.LeadMin = 0, 2, 6 },
		false: func(*shed.Plan) {},
	} {
		for _, inMin := range []float64{2, 8, 14} {
			r := sessiontest.Start(t, sessiontest.OneTub(change)).Until(0, shed.Soaking)
			if !washed {
				r.Wait(20).Next(0).Until(0, shed.Soaking)
			}
			r.Wait(3).Do(session.TakeBreak{InMin: inMin, ForMin: 60})
			s, _ := r.Day.NextBreak(r.Now)
			tt := must.Get(planner.Schedule(r.Day, r.Now, planner.Quick)).In(t)
			clock := func(at time.Time) string { return r.Day.Plan.Kit.Units.Clock(r.Day.Plan.OnTheWall(at)) }
			planned := tt.Pieces[0]
			if planned.Boil() {
				planned = tt.Pieces[1]
			}
			if !s.Has(planned.Start) {
				continue
			}
			seen[washed]++
			acts := coach.Next(r.Day, r.Now, tt)
			a := acts[slices.IndexFunc(acts, func(a coach.NextAct) bool { return a.Act == shed.Lift })]
			if said := tt.SayBreak(s, &r.Day.Plan); !strings.Contains(said, "be back to lift North by "+clock(planned.Start)) || clock(a.DueAt) != clock(planned.Start) {
				t.Errorf("washed %t, break in %g min: %q, planned at %s, listed at %s", washed, inMin, said, clock(planned.Start), clock(a.DueAt))
			}
			for r.Now.Before(s.To) {
				r.Tick(10 * time.Second)
				if len(r.Day.Alarms) > 0 && r.Day.Alarms[0].Kind != session.ReadingWanted && r.Day.Alarms[0].Kind != session.KettleNow {
					break
				}
			}
			calledAt := r.Now
			want := planned.Start
			if !washed {
				want = want.Add(-sessiontest.Minutes(r.Day.Plan.Kit.LeadMin))
			}
			if off := calledAt.Sub(want); off < -time.Minute || off > time.Minute {
				t.Errorf("washed %t, break in %g min: called at %s (%v), planned at %s", washed, inMin, clock(calledAt), sessiontest.StandingAlarms(r.Day), clock(planned.Start))
			}
			for _, over := range []bool{false, true} { // nobody is called back to a break that is over
				if said := fmt.Sprint(coach.PromptAt(r.Day, 0, r.Now).Details); strings.Contains(said, "come back for it in your break") == over {
					t.Errorf("washed %t, break in %g min, over %t: %s", washed, inMin, over, said)
				}
				r.Tick(s.To.Sub(r.Now) + 10*time.Minute)
			}
		}
	}
	if seen[true] == 0 || seen[false] == 0 {
		t.Errorf("lifts in a break: %v", seen)
	}
}

// What is late as somebody is away is so because of what the plan calls it.
func TestLateBecauseOfABreakOrQuietHours(t *testing.T) {
	t.Parallel()
	for want, plan := range map[string]func(p *shed.Plan, h shed.Hours){
		"break":       func(p *shed.Plan, h shed.Hours) { p.Break = shed.Breaks{h} },
		"quiet hours": func(p *shed.Plan, h shed.Hours) { *p = p.WithQuiet(h) },
	} {
		seen := 0
		for begins := 10*60 + long.Of(45, 40); begins <= 10*60+50; begins += long.Of(20, 5) {
			p := sessiontest.ThreeTubs(func(p *shed.Plan) { plan(p, shed.Hours{FromMin: begins, ToMin: begins + 90}) })
			livesBy(t, p, 1.5, func(_ *sessiontest.Run, acts []coach.NextAct, _ bool) {
				for _, a := range acts {
					if a.Away != "" {
						seen++
					}
					if a.Away != "" && a.Away != want {
						t.Errorf("%s from %d: %s is late because of the %s", want, begins, a.Title, a.Away)
					}
				}
			})
		}
		if seen == 0 {
			t.Errorf("nothing is late because of the %s", want)
		}
	}
}
