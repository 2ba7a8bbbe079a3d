package planner_test

import (
	"slices"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/long"
	"fleece.example/tubside/session/must"
	"fleece.example/tubside/session/planner"
	"fleece.example/tubside/session/sessiontest"
	"fleece.example/tubside/session/shed"
)

// within are the pieces of a timetable that want the person in a span: a kettle only when it
// is put on.
func within(tt planner.Timetable, s shed.Span) (out []planner.Piece) {
	for _, p := range tt.Pieces {
		if work := (shed.Span{From: p.Start, To: p.End}); s.Has(p.Start) || !p.Boil() && s.Meets(work) {
			out = append(out, p)
		}
	}
	return out
}

// A plan is made around a break: nobody is asked to work in it, no bath is made that would not
// last it, and the day is no longer than the break and what has to begin behind it.
func TestPlannedAroundABreak(t *testing.T) {
	t.Parallel()
	start := time.Date(2026, 5, 16, 9, 0, 0, 0, time.UTC)
	for i, n := range []struct{ batches, tubs int }{{1, 1}, {3, 1}, {3, 3}, {6, 2}, {8, 3}, {12, 5}, {24, 5}} {
		lunch := shed.Hours{FromMin: 12*60 + 30, ToMin: 13*60 + 15}
		for _, e := range []planner.Effort{planner.Quick, planner.Thorough}[:long.Of(2-n.batches/24, 2)] {
			p := sessiontest.ManyBatches(n.batches, n.tubs)
			free := must.Get(planner.PlanAhead(p, start, planner.AsGiven, e)).In(t)
			for _, h := range []shed.Breaks{{{FromMin: 9*60 + 20, ToMin: 10 * 60}}, {{FromMin: 10*60 + 7, ToMin: 10*60 + 52}}, {lunch}, {{FromMin: 10*60 + 30, ToMin: 10*60 + 50}, lunch}, {lunch, {FromMin: 11 * 60, ToMin: 11*60 + 20}}} {
				if len(h) > 1 && !long.Turn(i, 3) {
					continue
				}
				p.Break = h
				o := must.Get(planner.PlanAhead(p, start, planner.AsGiven, e)).In(t)
				// A batch that would be in its wash or rinses begins behind a break; what lies between two may do for none.
				tt, most := o.Timetable, time.Duration(80*len(h)+100*(len(h)-1))*time.Minute
				for _, h := range h {
					s, _ := h.After(start)
					most += s.To.Sub(s.From)
					for _, piece := range within(tt, s) {
						t.Errorf("%v, %v: %s of %s at %s", n, h, piece.Words(&p.Kit), piece.Batch, piece.Start)
					}
				}
				saves := time.Duration(0)
				for _, piece := range tt.Late() {
					if len(h) > 1 && n.batches > 12 && !piece.LateWash && piece.Late < 30*time.Minute {
						continue // around two the search keeps some of many waiting
					}
					if slices.Contains(piece.Acts, shed.Lift) && !piece.LateWash && piece.Late < 6*time.Minute {
						saves = 75 * time.Minute // a rinse that soaks for all of the break: worth it for hours of the day alone
						continue
					}
					t.Errorf("%v, %v: %s of %s is %s late", n, h, piece.Words(&p.Kit), piece.Batch, piece.Late)
				}
				longer := tt.Finish.Sub(free.Timetable.Finish)
				t.Logf("%v %v effort %d: %s longer, gap %.1f %%", n, h, e, longer, 100*tt.Gap())
				if longer > most-saves {
					t.Errorf("%v, %v: %s longer", n, h, longer)
				}
			}
		}
	}
}

// A rinse that soaks for a few minutes too long weighs less than hours of the day: a batch does not
// lie in its presoak for a whole morning because its rinse would last over the break.
func TestFewMinutesTooLongOutweighNoHours(t *testing.T) {
	p := sessiontest.ManyBatches(3, 2)
	start := time.Date(2026, 5, 16, 9, 4, 0, 0, time.UTC)
	p.Break = shed.Breaks{{FromMin: 12*60 + 30, ToMin: 13*60 + 15}}
	for _, e := range []planner.Effort{planner.Quick, planner.Thorough} {
		o := must.Get(planner.PlanAhead(p, start, planner.AsGiven, e)).In(t)
		if done := o.Timetable.Finish.Sub(start); done > 4*time.Hour+30*time.Minute {
			t.Errorf("effort %d: done after %s", e, done)
		}
		for _, piece := range o.Timetable.Late() {
			if piece.LateWash || piece.Late > 6*time.Minute {
				t.Errorf("effort %d: %s of %s is %s late", e, piece.Words(&p.Kit), piece.Batch, piece.Late)
			}
		}
	}
}

// A break that leaves no time for the work is refused; of a journal that has one the plan still comes to an end.
func TestABreakOfTheWholeDay(t *testing.T) {
	p := sessiontest.ThreeTubs(func(p *shed.Plan) { p.Break = shed.Breaks{{FromMin: 8*60 + 2, ToMin: 8*60 + 1}} })
	if _, err := planner.PlanAhead(p, sessiontest.Dawn, planner.AsGiven, planner.Quick); err == nil || !strings.Contains(err.Error(), "a break lasts up to 12 h") {
		t.Errorf("refused with %v", err)
	}
	d := session.Apply(session.Day{}, session.Recorded{Seq: 1, At: sessiontest.Dawn, Event: session.DayStarted{Plan: p}})
	if _, err := planner.Schedule(d, sessiontest.Dawn, planner.Quick); err != nil {
		t.Error(err)
	}
	p.Break = shed.Breaks{{FromMin: 21 * 60, ToMin: 9 * 60}}
	if _, err := planner.PlanAhead(p, sessiontest.Dawn, planner.AsGiven, planner.Quick); err != nil {
		t.Error(err)
	}
}

// A break that is told of may end as one of the plan begins: the plan goes around both.
func TestBreaksInARow(t *testing.T) {
	for _, min := range []float64{29, 30, 31} {
		r := sessiontest.Start(t, sessiontest.ThreeTubs(func(p *shed.Plan) { p.Break = shed.Breaks{{FromMin: 9*60 + 30, ToMin: 10*60 + 15}} }))
		r.Do(session.TakeBreak{InMin: 60, ForMin: min})
		tt, err := planner.Schedule(r.Day, r.Now, planner.Quick)
		if err != nil {
			t.Fatalf("%g min before the other: %v", min, err)
		}
		for _, s := range tt.Breaks {
			for _, piece := range within(tt, s) {
				t.Errorf("%g min: %s of %s at %s", min, piece.Words(&r.Day.Plan.Kit), piece.Batch, piece.Start)
			}
		}
	}
}

// Whatever the start, no limit is passed for a break, and the answer names no tub to come back for.
func TestNothingIsLateForABreak(t *testing.T) {
	p := shed.Plan{Kit: shed.DefaultKit(), Method: shed.BuiltInMethod(), Break: shed.Breaks{{FromMin: 12*60 + 30, ToMin: 13*60 + 15}}}
	f := shed.Fleece{ID: "f1", Animal: "Moss", RawG: 2400}
	p.Fleeces = []shed.Fleece{f}
	var err error
	if p.Batches, err = planner.Split(p, planner.Part{Fleece: f, RawG: 2400}); err != nil {
		t.Fatal(err)
	}
	for min := 0; min < 60; min += long.Of(14, 3) {
		o := must.Get(planner.PlanAhead(p, time.Date(2026, 5, 16, 9, 50+min, 0, 0, time.UTC), planner.AsGiven, planner.Quick)).In(t)
		tt := o.Timetable
		if len(tt.Breaks) != 1 || len(tt.Late()) > 0 || len(within(tt, tt.Breaks[0])) > 0 {
			t.Fatalf("%d min: breaks %v, late %v", min, tt.Breaks, tt.Late())
		}
		text := tt.SayBreak(tt.Breaks[0], &o.Plan)
		if !strings.HasPrefix(text, "break 12:30 to 13:15: ") || strings.Contains(text, "be back") {
			t.Error(text)
		}
	}
}

// What lies in water when a break begins is lifted before it, or in it, or may be left, and till when.
func TestWhatMayBeLeftInABreak(t *testing.T) {
	p := sessiontest.ThreeTubs(func(p *shed.Plan) { p.ZoneMin = 60 })
	at := func(h, min int) time.Time { return time.Date(2026, 5, 16, h-1, min, 0, 0, time.UTC) }
	s := shed.Span{From: at(12, 30), To: at(13, 15)}
	wash, rinse, presoak := p.Method.Steps[1], p.Method.Steps[2], p.Method.Steps[0]
	night, usual := presoak, rinse
	wash.LongestMin, rinse.LongestMin, presoak.LongestMin = 0, 90, 0
	clean := p.Clean()
	for want, soaks := range map[string][]planner.Soak{
		"no fleece is in the water then": {{Tub: 0, Step: presoak, Start: at(11, 0), End: at(12, 0)}, {Tub: 0, Step: presoak, Start: at(13, 20), End: at(14, 0)}},
		"lift North and Tray first; South may soak on": {{Tub: 0, Step: wash, Start: at(12, 0), End: at(12, 25), Release: at(13, 0)},
			{Tub: 2, Step: wash, Start: at(12, 5), End: at(12, 28), Release: at(13, 0)}, {Tub: 1, Step: presoak, Start: at(12, 0), End: at(13, 15)}},
		"be back to lift North by 12:55; South may soak till 13:40": {{Tub: 0, Step: wash, Start: at(12, 20), End: at(12, 50), Release: at(13, 0)}, {Tub: 1, Step: rinse, Start: at(12, 10), End: at(13, 15)}},
		"lift North first": {{Tub: 0, Step: wash, Start: at(12, 0), End: at(12, 31), Release: at(12, 30)}}, // due at once
		"South soaks on till 13:15, 5 min past its limit": {{Tub: 1, Step: wash, Start: at(12, 0), End: at(12, 25), Release: at(12, 50)},
			{Tub: 1, Step: usual, Start: at(12, 30), End: at(13, 15)}},
		"North soaks on till 13:23, 53 min past its limit": {{Tub: 0, Step: night, Start: at(-4, 30), End: at(13, 23)}},
		"South may soak on": {{Tub: 1, Step: wash, Start: at(11, 30), End: at(12, 0), Release: at(12, 40)}, {Tub: 1, Step: presoak, Start: at(12, 10), End: at(13, 20)}},
	} {
		if got := (&planner.Timetable{From: at(8, 0), Soaks: soaks}).SayBreak(s, &clean); got != "break 12:30 to 13:15: "+want {
			t.Errorf("%q, want %q", got, want)
		}
	}
}

// Who goes while a bath waits for its fleece, or fleece hangs, is told to see to it first.
func TestWhatCannotWaitForABreak(t *testing.T) {
	for phase, acts := range map[shed.Phase][]int{shed.ToSink: {0}, shed.Soaking: {0, 0}} {
		r := sessiontest.Start(t, sessiontest.OneTub()).Next(acts...)
		if r.Day.Tubs[0].Phase != phase {
			t.Fatal(r.Day.Tubs[0].Phase)
		}
		if phase == shed.Soaking {
			r.Wait(22).Next(0, 0) // it hangs
		}
		r.Do(session.TakeBreak{ForMin: 40})
		tt := must.Get(planner.Schedule(r.Day, r.Now, planner.Quick)).In(t)
		s, p := r.Day.ToldBreak(), r.Day.Plan
		if text := tt.SayBreak(s, &p); !strings.HasSuffix(text, ": see to North first") {
			t.Errorf("%v: %s", phase, text)
		}
		p.Kit.Tubs = append(p.Kit.Tubs, shed.Tub{Name: "South"})
		tt.Soaks = append(tt.Soaks, planner.Soak{Tub: 1, Step: shed.Step{LongestMin: 30}, Start: s.From.Add(-20 * time.Minute), End: s.From.Add(-time.Minute)})
		if text := tt.SayBreak(s, &p); !strings.HasSuffix(text, ": see to North and lift South first") {
			t.Errorf("%v: %s", phase, text)
		}
	}
}

// With more effort a day around a break is not longer: what is on time at once is not taken for the best.
func TestMoreEffortAroundABreak(t *testing.T) {
	p := sessiontest.TankPlan(t, 3000)
	p.Break = shed.Breaks{{FromMin: 671, ToMin: 716}}
	var lengthMin [2]float64
	for e := range lengthMin {
		o, err := planner.PlanAhead(p, time.Date(2026, 5, 16, 9, 0, 0, 0, time.UTC), planner.AsGiven, planner.Effort(e))
		if err != nil || len(o.Timetable.Late()) > 0 {
			t.Fatal(err, o.Timetable.Late())
		}
		lengthMin[e] = o.Sums.LengthMin
	}
	if lengthMin[planner.Thorough] > lengthMin[planner.Quick]+2 {
		t.Errorf("%.0f min with more effort, %.0f with less", lengthMin[planner.Thorough], lengthMin[planner.Quick])
	}
}

// fillOf is the first fill of a timetable of the rest of a day, and what of it is late.
func fillOf(t *testing.T, d session.Day, now time.Time, e planner.Effort) (fill planner.Piece, tt planner.Timetable) {
	t.Helper()
	tt = must.Get(planner.Schedule(d, now, e)).In(t)
	for _, p := range tt.Pieces {
		if p.Late > time.Minute && slices.Contains(p.Acts, shed.FillTub) || p.LateWash {
			t.Errorf("effort %d: %s of %s is %s late", e, p.Words(&d.Plan.Kit), p.Batch, p.Late)
		}
	}
	return tt.Pieces[slices.IndexFunc(tt.Pieces, func(p planner.Piece) bool { return slices.Contains(p.Acts, shed.FillTub) })], tt
}

// Fleece that is washed again waits for a break that its lift would be due in, for the wash melts its wax
// again; before one that comes later it goes in at once, and the kettle on for it.
func TestWashedAgainWaitsForABreak(t *testing.T) {
	for _, inMin := range []float64{2, 5, 15, 60} {
		r := sessiontest.Start(t, sessiontest.OneTub(func(p *shed.Plan) { p.Batches[0].Presoak = shed.PresoakAsMethod })).Until(0, shed.ToFill)
		for r.Day.Tubs[0].Step().Kind != shed.Rinse {
			r.Next(0)
		}
		r.Do(session.RepeatStep{Wash: true})
		if r.Day.Tubs[0].WetBy().IsZero() {
			t.Fatal("it does not hang hot")
		}
		r.Do(session.TakeBreak{InMin: inMin, ForMin: 45})
		s := r.Day.ToldBreak()
		for _, e := range []planner.Effort{planner.Quick, planner.Thorough} {
			fill, tt := fillOf(t, r.Day, r.Now, e)
			waits := inMin < 20
			from, to := r.Now, r.Now.Add(10*time.Minute)
			if waits {
				from, to = s.To, s.To.Add(10*time.Minute)
			}
			if fill.Step != r.Day.Tubs[0].At || fill.Start.Before(from) || fill.Start.After(to) || len(tt.Late()) > 1 || waits && len(within(tt, s)) > 0 {
				t.Errorf("a break in %g min, effort %d: step %d of %s is filled at %s; late %v", inMin, e, fill.Step, fill.Batch, fill.Start.Format("15:04"), tt.Late())
			}
		}
	}
}

// A kettle that is on, or goes on, just before a break is poured when it has boiled, and the hot fleece that
// waits for it is in: neither stands till the break is over, nor where that has begun meanwhile.
func TestKettleBeforeABreakIsPoured(t *testing.T) {
	for _, on := range []bool{false, true} {
		r := sessiontest.Start(t, sessiontest.OneTub(func(p *shed.Plan) { p.Kit.HotTapC, p.Kit.Kettle.PowerW = 42, 1500 })).Until(0, shed.Soaking).Wait(21).Next(0, 0)
		r.Do(session.TakeBreak{InMin: 2, ForMin: 60})
		if on {
			r.Do(session.TellKettle{Tub: 0, Batch: r.Day.Tubs[0].Batch, Sure: true})
		}
		for range map[bool]int{false: 1, true: 3}[on] { // with the kettle on, in the break too
			if fill, _ := fillOf(t, r.Day, r.Now, planner.Quick); fill.Start.After(r.Now.Add(5 * time.Minute)) {
				t.Errorf("the kettle on %t, at %s: filled at %s", on, r.Now.Format("15:04"), fill.Start.Format("15:04"))
			}
			r.Wait(1.5)
		}
	}
}

// What a break is said to lift first is out of the water in it, and what may soak on lies there, by the
// timetable that is shown with it, whatever the plan: a bath that is filled as the break begins, one that soaks
// a few minutes over, and a presoak of the night before too.
func TestBreakSaysWhatItsTimetableDoes(t *testing.T) {
	t.Parallel()
	long.Check(t, 25, func(rt *rapid.T) {
		p := sessiontest.ManyBatches(rapid.IntRange(2, 8).Draw(rt, "batches"), rapid.IntRange(1, 3).Draw(rt, "tubs"))
		for i := range rapid.IntRange(0, 2).Draw(rt, "overnight") {
			p.Batches[i].Presoak = shed.PresoakOvernight
		}
		from := rapid.IntRange(9*60, 15*60).Draw(rt, "break at")
		p.Break = shed.Breaks{{FromMin: from, ToMin: from + rapid.IntRange(20, 60).Draw(rt, "long")}}
		start := time.Date(2026, 5, 16, rapid.SampledFrom([]int{8, 10, 19}).Draw(rt, "start"), 0, 0, 0, time.UTC)
		o, err := planner.PlanAhead(p, start, planner.AsGiven, planner.Quick)
		if err != nil {
			rt.Fatal(err)
		}
		tt := o.Timetable
		for _, s := range tt.Breaks {
			said := tt.SayBreak(s, &o.Plan)
			if s.From.YearDay() != start.YearDay() && !strings.Contains(said, s.From.Format(" Mon 15:04 to ")) {
				rt.Errorf("without its day: %s", said)
			}
			in := map[string]bool{}
			for _, k := range tt.Soaks {
				if k.Start.Before(s.To) && k.End.After(s.From) {
					in[o.Plan.Kit.Tubs[k.Tub].Name] = true
				}
			}
			_, says, _ := strings.Cut(said, ": ")
			for _, part := range strings.Split(says, "; ") {
				_, lifted, first := strings.Cut(strings.TrimSuffix(part, " first"), "lift ")
				first = first && strings.HasSuffix(part, " first")
				on := strings.Contains(part, "soak on") || strings.Contains(part, "soaks on") || strings.Contains(part, "may soak till")
				for _, tub := range o.Plan.Kit.Tubs {
					switch {
					case first && in[tub.Name] && strings.Contains(lifted, tub.Name):
						rt.Errorf("%s: %s lies in the water", said, tub.Name)
					case on && !in[tub.Name] && strings.Contains(part, tub.Name):
						rt.Errorf("%s: %s is not in the water", said, tub.Name)
					case part == "no fleece is in the water then" && in[tub.Name]:
						rt.Errorf("%s: %s is", said, tub.Name)
					}
				}
			}
		}
	})
}
