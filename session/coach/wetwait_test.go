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

// The minutes that wet fleece may hang are counted from the lift until it is in its
// next bath: emptying, filling and a hold begin nothing anew.
func TestWetFleeceHangsFromItsLift(t *testing.T) {
	for name, steps := range map[string][]func(*sessiontest.Run){
		"not emptied":      {},
		"emptied":          {emptied},
		"emptied late":     {func(r *sessiontest.Run) { r.Wait(18) }, emptied},
		"filled":           {emptied, filled},
		"filled late":      {emptied, func(r *sessiontest.Run) { r.Wait(18) }, filled},
		"on hold":          {held},
		"emptied, on hold": {emptied, func(r *sessiontest.Run) { r.Wait(10) }, held},
		"filled, on hold":  {emptied, filled, held},
		"begun again":      {emptied, filled, func(r *sessiontest.Run) { r.Do(session.RepeatStep{}) }},
		"the clock was set": {emptied, func(r *sessiontest.Run) {
			r.Do(session.SetClock{By: time.Hour})
			r.Now = r.Now.Add(time.Hour)
		}},
	} {
		t.Run(name, func(t *testing.T) {
			// The rinse keeps to the lift, so that nothing is asked about before it.
			r := sessiontest.Start(t, sessiontest.OneTub(func(p *shed.Plan) { p.Method.Steps[2].MaxGapC = 0 })).Until(0, shed.Soaking).Wait(20).Next(0)
			for _, step := range steps {
				step(r)
			}
			lifted, hangs := r.Day.Tubs[0].WetSince, 20*time.Minute
			limit := lifted.Add(hangs)
			act := func() coach.NextAct {
				tt := must.Get(planner.Replan(r.Day, r.Now, planner.Quick, planner.Timetable{})).In(t)
				acts := coach.Next(r.Day, r.Now, tt)
				return acts[slices.IndexFunc(acts, func(a coach.NextAct) bool { return a.Tub == 0 && !a.Boil })]
			}
			for r.Now.Before(limit) {
				a := act()
				if got := a.LimitAt(r.Now); !got.Equal(limit) || a.Count.Of.Harm() {
					t.Fatalf("%v after the lift: limit %v after it, %+v", r.Now.Sub(lifted), got.Sub(lifted), a.Prompt)
				}
				if slices.Contains(sessiontest.StandingAlarms(r.Day), "North: wet fleece waits") {
					t.Fatalf("it rings %v after the lift", r.Now.Sub(lifted))
				}
				r.Wait(min(2, limit.Sub(r.Now).Minutes()))
			}
			a := act()
			sessiontest.Same(t, "count", a.Count, coach.Count{Of: coach.SinceWet, At: limit})
			sessiontest.Same(t, "rank", a.Rank, coach.Now)
			if strings.HasSuffix(name, " late") { // the hands may be there still
				r.Wait(2)
				a = act()
			}
			if !slices.Contains(sessiontest.StandingAlarms(r.Day), "North: wet fleece waits") {
				t.Errorf("nothing rings: %v", sessiontest.StandingAlarms(r.Day))
			}
			if calls := coach.Calls(r.Day, r.Now, session.AlarmSettings{}, 0); len(calls) != 1 || !strings.HasPrefix(a.Title, calls[0].Do) || !calls[0].HasMinutes {
				t.Errorf("the alarm asks for %+v, the list for %q", calls, a.Title)
			}
			if r.Day.Tubs[0].Held() {
				r.Do(session.Resume{})
			}
			r.Until(0, shed.Soaking).Tick(time.Second)
			if s := sessiontest.StandingAlarms(r.Day); len(s) > 0 {
				t.Errorf("in its bath: %v", s)
			}
		})
	}
}

// Fleece that came cold from its bath, or waits for the spinner, may hang: nothing rings, it
// is not late, and after the minutes it is planned with one quiet line says so. What a step
// says of its own goes before what is usual.
func TestHowLongFleeceHangs(t *testing.T) {
	for name, c := range map[string]struct {
		plan           func(*shed.Plan)
		lifted         int // the step it is lifted from
		planned, rings float64
	}{
		"presoaked":        {func(p *shed.Plan) { p.Batches[0].Presoak = shed.PresoakQuick }, 0, 45, 0},
		"presoaked, own":   {func(p *shed.Plan) { p.Batches[0].Presoak = shed.PresoakQuick; p.Method.Steps[0].HangMin = 5 }, 0, 5, 0},
		"rinsed cold":      {func(p *shed.Plan) { p.Method.Steps[2].Water = shed.FromCold }, 2, 45, 0},
		"washed":           {func(*shed.Plan) {}, 1, 10, 20},
		"washed, own":      {func(p *shed.Plan) { p.Method.Steps[1].HangMin = 15 }, 1, 15, 30},
		"washed, longer":   {func(p *shed.Plan) { p.Method.Steps[1].HangMin = 25 }, 1, 25, 45},
		"washed, long":     {func(p *shed.Plan) { p.Method.Steps[1].HangMin = 60 }, 1, 60, 60},
		"rinsed":           {func(*shed.Plan) {}, 2, 10, 20},
		"rinsed, to spin":  {func(*shed.Plan) {}, 3, 45, 0},
		"own, and to spin": {func(p *shed.Plan) { p.Method.Steps[3].HangMin = 5 }, 3, 45, 0},
	} {
		p := sessiontest.OneTub(c.plan)
		r := sessiontest.Start(t, p).Until(0, shed.Soaking)
		for kind := p.Method.Steps[c.lifted].Name; r.Day.Tubs[0].Step().Name != kind; {
			r.Wait(r.Day.Tubs[0].Step().SoakMin).Next(0).Until(0, shed.Soaking)
		}
		r.Wait(r.Day.Tubs[0].Step().SoakMin).Next(0)
		tub := r.Day.Tubs[0]
		rings := 0.0
		if by := tub.WetBy(); !by.IsZero() {
			rings = by.Sub(r.Now).Minutes()
		}
		sessiontest.Same(t, name, []float64{tub.HangsTill().Sub(r.Now).Minutes(), rings}, []float64{c.planned, c.rings})
		next := r.Tick(2 * time.Hour).Prompt()
		rang := slices.Contains(sessiontest.StandingAlarms(r.Day), "North: wet fleece waits")
		quiet := strings.Contains(sessiontest.PromptText(next), "no harm done")
		if late := next.Count.Of.Harm() || next.Limit == coach.HangsWet; rang != (c.rings > 0) || late != rang || quiet == rang {
			t.Errorf("%s, two hours later: rings %v, %+v", name, rang, next)
		}
	}
}

func emptied(r *sessiontest.Run) { r.Do(session.DoNext{Act: shed.DrainTub}) }

func filled(r *sessiontest.Run) { r.Do(session.DoNext{Act: shed.FillTub}) }

func held(r *sessiontest.Run) { r.Do(session.Hold{}) }

// A wash begun again before its tub was emptied, or skipped when it was filled: the
// used water goes out first, and where to.
func TestUsedWaterGoesOutFirst(t *testing.T) {
	const first = "empty the tub first, water outdoors, not down the drain: it carries the wax"
	washed := func() *sessiontest.Run {
		return sessiontest.Start(t, sessiontest.OneTub()).Until(0, shed.Soaking).Wait(20).Next(0)
	}
	for name, c := range map[string]struct {
		r     *sessiontest.Run
		wants bool
	}{
		"again, not emptied":  {washed().Do(session.RepeatStep{}), true},
		"again, emptied":      {washed().Next(0).Do(session.RepeatStep{}), false},
		"skipped when filled": {sessiontest.Start(t, sessiontest.OneTub()).Next(0).Do(session.SkipStep{}), true},
		"filled anew":         {sessiontest.Start(t, sessiontest.OneTub()).Next(0).Do(session.RepeatStep{}), false}, // the question says that it empties
	} {
		if p := coach.PromptAt(c.r.Day.Boiled(), 0, c.r.Now); p.Act != shed.FillTub || (sessiontest.DetailLines(p)[0] == first) != c.wants || c.wants && !p.Details[1].Must {
			t.Errorf("%s: %q", name, p.Details)
		}
		if p := c.r.Next(0).Prompt(); strings.Contains(sessiontest.PromptText(p), "empty the tub") {
			t.Errorf("%s, filled: %q", name, p.Details)
		}
		sessiontest.CheckReplay(t, c.r, nil)
	}
}

// Fleece that may hang is kept waiting by no break, and is late for nothing.
func TestABreakWaitsForNoPresoakedFleece(t *testing.T) {
	r := sessiontest.StartPresoaked(t).Wait(5).Next(0, 0).Wait(50).Do(session.TakeBreak{ForMin: 40})
	tt := must.Get(planner.Replan(r.Day, r.Now, planner.Quick, planner.Timetable{})).In(t)
	if says := tt.SayBreak(r.Day.ToldBreak(), &r.Day.Plan); strings.Contains(says, "see to") || len(tt.Late()) > 0 {
		t.Errorf("%q, late %+v", says, tt.Late())
	}
}

// An open bath is to be covered while it soaks, not once its lift is due.
func TestALiftIsNotToldToCover(t *testing.T) {
	r := sessiontest.Start(t, sessiontest.OneTub()).Until(0, shed.Soaking).Do(session.SetCover{})
	open := func() bool { return strings.Contains(sessiontest.PromptText(r.Prompt()), "open since") }
	if !open() {
		t.Errorf("%+v", r.Prompt())
	}
	r.Do(session.AdjustSoak{ByMin: -5}).Wait(15)
	if p := r.Prompt(); p.Rank != coach.Now || open() {
		t.Errorf("%+v", p)
	}
}
