package session_test

import (
	"slices"
	"strings"
	"testing"
	"time"

	"fleece.example/tubside/session"
)

// The 45 minutes that wet fleece may hang are counted from the lift until it is in
// its next bath, or spun: emptying, filling and a hold begin nothing anew.
func TestWetFleeceHangsFromItsLift(t *testing.T) {
	for name, steps := range map[string][]func(*run){
		"not emptied":      {},
		"emptied":          {emptied},
		"emptied late":     {func(r *run) { r.wait(40) }, emptied},
		"filled":           {emptied, filled},
		"filled late":      {emptied, func(r *run) { r.wait(40) }, filled},
		"on hold":          {held},
		"emptied, on hold": {emptied, func(r *run) { r.wait(10) }, held},
		"filled, on hold":  {emptied, filled, held},
		"begun again":      {emptied, filled, func(r *run) { r.do(session.RepeatStep{}) }},
		"to be spun":       {emptied, func(r *run) { r.do(session.SkipStep{}, session.SkipStep{}) }},
		"the clock was set": {emptied, func(r *run) {
			r.do(session.SetClock{By: time.Hour})
			r.now = r.now.Add(time.Hour)
		}},
	} {
		t.Run(name, func(t *testing.T) {
			// The rinse keeps to the lift, so that nothing is asked about before it.
			r := start(t, oneTub(func(p *session.Plan) { p.Method.Steps[2].MaxGapC = 0 })).until(0, session.Soaking).wait(20).next(0)
			for _, step := range steps {
				step(r)
			}
			lifted := r.day.Tubs[0].WetSince
			limit := lifted.Add(45 * time.Minute)
			act := func() session.NextAct {
				tt, err := r.day.Replan(r.now, session.Quick, session.Timetable{})
				if err != nil {
					t.Fatal(err)
				}
				acts := r.day.Next(r.now, tt)
				return acts[slices.IndexFunc(acts, func(a session.NextAct) bool { return a.Tub == 0 && !a.Boil })]
			}
			for r.now.Before(limit) {
				a := act()
				if got := a.LimitAt(r.now); !got.Equal(limit) || a.Count.Of.Harm() {
					t.Fatalf("%v after the lift: limit %v after it, %+v", r.now.Sub(lifted), got.Sub(lifted), a.Prompt)
				}
				if slices.Contains(standing(r.day), "North: wet fleece waits") {
					t.Fatalf("it rings %v after the lift", r.now.Sub(lifted))
				}
				r.wait(min(4, limit.Sub(r.now).Minutes()))
			}
			a := act()
			same(t, "count", a.Count, session.Count{Of: session.SinceWet, At: limit})
			same(t, "rank", a.Rank, session.Now)
			if !slices.Contains(standing(r.day), "North: wet fleece waits") {
				t.Errorf("nothing rings: %v", standing(r.day))
			}
			if calls := r.day.Calls(r.now, session.AlarmSettings{}, 0); len(calls) != 1 || !strings.HasPrefix(a.Title, calls[0].Do) || !calls[0].HasMinutes {
				t.Errorf("the alarm asks for %+v, the list for %q", calls, a.Title)
			}
			if r.day.Tubs[0].Held() {
				r.do(session.Resume{})
			}
			r.until(0, []session.Phase{session.Soaking, session.ToRack}[strings.Count(name, "spun")]).tick(time.Second)
			if s := standing(r.day); len(s) > 0 {
				t.Errorf("in its bath, or spun: %v", s)
			}
		})
	}
}

func emptied(r *run) { r.do(session.DoNext{Act: session.DrainTub}) }
func filled(r *run)  { r.do(session.DoNext{Act: session.FillTub}) }
func held(r *run)    { r.do(session.Hold{}) }

// A wash begun again before its tub was emptied, or skipped when it was filled: the
// used water goes out first, and where to.
func TestUsedWaterGoesOutFirst(t *testing.T) {
	const first = "empty the tub first: water outdoors, not down the drain: it carries the wax"
	washed := func() *run { return start(t, oneTub()).until(0, session.Soaking).wait(20).next(0) }
	for name, c := range map[string]struct {
		r     *run
		wants bool
	}{
		"again, not emptied":  {washed().do(session.RepeatStep{}), true},
		"again, emptied":      {washed().next(0).do(session.RepeatStep{}), false},
		"skipped when filled": {start(t, oneTub()).next(0).do(session.SkipStep{}), true},
		"filled anew":         {start(t, oneTub()).next(0).do(session.RepeatStep{}), false}, // the question says that it empties
	} {
		if p := c.r.day.Boiled().Prompt(0, c.r.now); p.Act != session.FillTub || (says(p)[0] == first) != c.wants || c.wants && !p.Details[1].Must {
			t.Errorf("%s: %q", name, p.Details)
		}
		if p := c.r.next(0).prompt(); strings.Contains(details(p), "empty the tub") {
			t.Errorf("%s, filled: %q", name, p.Details)
		}
		replay(t, c.r, nil)
	}
}
