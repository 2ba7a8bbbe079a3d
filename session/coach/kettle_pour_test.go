package coach_test

import (
	"slices"
	"testing"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/coach"
	"fleece.example/tubside/session/planner"
	"fleece.example/tubside/session/sessiontest"
	"fleece.example/tubside/session/shed"
)

// What has boiled cools as it stands: its tub goes before a lift that has more time than the hands
// take to pour it, and not before one that has less; so it does where the tub is to be emptied
// before, and where nobody has made a timetable.
func TestBoiledWaterIsPouredFirst(t *testing.T) {
	for _, waits := range []shed.Phase{shed.ToFill, shed.Draining} {
		r := kettleTubs(t)
		r.Do(session.TellKettle{Tub: 1}).Until(1, shed.ToFill).Wait(8).Do(session.TellKettle{Sure: true}).Until(1, shed.Soaking)
		r.Until(0, waits).Do(session.TellKettle{Tub: 0}).Wait(8).Do(session.TellKettle{Sure: true})
		tub := r.Day.Tubs[1]
		r.Tick(tub.SoakEndAt(r.Now).Sub(r.Now))
		r.Day.Kettle.BoiledAt = r.Now // a moment ago
		first := func() coach.NextAct {
			acts := coach.Next(r.Day, r.Now, planner.Timetable{})
			for _, a := range acts {
				if a.Rank > coach.Now {
					t.Fatalf("%v: %s is not for now", waits, a.Title)
				}
			}
			if i := slices.IndexFunc(acts, func(a coach.NextAct) bool { return a.Act == shed.Lift }); acts[i].MustBy.Sub(r.Now) > sessiontest.Minutes(44) {
				t.Fatalf("the lift has %v", acts[i].MustBy.Sub(r.Now))
			}
			return acts[0]
		}
		if a := first(); a.Tub != 0 || !a.Pours {
			t.Errorf("%v: %s at tub %d goes first", waits, a.Title, a.Tub+1)
		}
		r.Now = coach.PromptAt(r.Day, 1, r.Now).MustBy.Add(-sessiontest.Minutes(3.5))
		r.Day.Kettle.BoiledAt = r.Now
		if a := first(); a.Tub != 1 || a.Pours {
			t.Errorf("%v: %s at tub %d goes before a lift that spoils in 3.5 min", waits, a.Title, a.Tub+1)
		}
	}
}

// A kettle that stood boils again once a lift that has a limit is done.
func TestALiftBeforeTheKettleBoilsAgain(t *testing.T) {
	r := sessiontest.Start(t, sessiontest.ThreeTubs(func(p *shed.Plan) {
		p.Batches[0].Presoak, p.Batches[1].Presoak = shed.PresoakAsMethod, shed.PresoakNone
	})).Until(0, shed.Soaking).Until(1, shed.Soaking)
	r.Do(session.TellKettle{Tub: 0, Batch: r.Day.Tubs[0].Batch, Sure: true}) // and never told of again
	seen := false
	for range 40 {
		r.Wait(0.5)
		acts := nextOf(t, r)
		lift := slices.IndexFunc(acts, func(a coach.NextAct) bool {
			return a.Tub == 1 && a.Act == shed.Lift && a.Rank == coach.Now && !a.MustBy.IsZero()
		})
		again := slices.IndexFunc(acts, func(a coach.NextAct) bool { return a.Again && a.Rank == coach.Now })
		if lift >= 0 && again >= 0 {
			seen = true
			if again < lift {
				t.Fatalf("at %s the kettle first, the lift has till %s", r.Now.Format("15:04"), acts[lift].MustBy.Format("15:04"))
			}
		}
	}
	if !seen {
		t.Errorf("no kettle stood at a lift: %+v, %s", r.Day.Kettle, coach.PromptAt(r.Day, 1, r.Now).Title)
	}
}
