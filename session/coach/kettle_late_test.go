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

// wetWithoutKettle is North to be filled for its wash again, for which nobody has put the kettle on;
// its fleece has hung its time. South's wash wants the kettle too.
func wetWithoutKettle(t *testing.T) *sessiontest.Run {
	t.Helper()
	r := kettleTubs(t)
	r.Until(0, shed.ToFill).Until(0, shed.Soaking).Wait(20).Until(0, shed.ToFill)
	r.Do(session.RepeatStep{Tub: 0, Wash: true}).Until(1, shed.ToFill)
	if by := r.Day.Tubs[0].WetBy(); !by.IsZero() {
		r.Tick(by.Add(5 * time.Minute).Sub(r.Now))
	}
	if _, rings := sessiontest.FindAlarm(r.Day, session.WetWaiting); !rings {
		t.Fatalf("nothing rings: %v", sessiontest.StandingAlarms(r.Day))
	}
	return r
}

// Where the list has the kettle for another bath first, wet fleece that has hung its time has it
// before all others, at once and with its amount; but not before a break that its boil comes behind.
// And what else would do is said.
func TestFleeceThatHangsHasTheKettleFirst(t *testing.T) {
	r := wetWithoutKettle(t)
	plan := must.Get(planner.Schedule(r.Day, r.Now, planner.Quick)).In(t)
	plan.Pieces = slices.Clone(plan.Pieces)
	for i, p := range plan.Pieces {
		if p.Boil() && p.Tub == 0 {
			plan.Pieces[i].Start, plan.Pieces[i].End = r.Now.Add(16*time.Minute), r.Now.Add(16*time.Minute).Add(p.End.Sub(p.Start))
		}
	}
	slices.SortStableFunc(plan.Pieces, func(a, b planner.Piece) int { return a.Start.Compare(b.Start) })
	boils := func(d session.Day) []coach.NextAct {
		return slices.DeleteFunc(coach.Next(d, r.Now, plan), func(a coach.NextAct) bool { return !a.Boil })
	}
	if a := boils(r.Day)[0]; a.Tub != 0 || a.Rank != coach.Now || a.BoilL < 1 {
		t.Errorf("%+v", a)
	}
	if c, ok := coach.KettleKey(r.Day, r.Now, boils(r.Day), -1); !ok || c.Tub != 0 {
		t.Errorf("the key is for %+v", c)
	}
	rests := r.Day
	rests, _ = must.Get2(session.Do(rests, session.TakeBreak{InMin: 5, ForMin: 10}, r.Now)).In(t)
	if a := boils(rests)[0]; a.Tub == 0 && a.Rank == coach.Now {
		t.Errorf("before the break: %+v", a)
	}
	p := coach.PromptAt(r.Day, 0, r.Now)
	says := sessiontest.DetailLines(p)[0]
	if !strings.HasPrefix(says, "hung too long, put the kettle on: 3 L, about 6 min from the hot tap") || strings.Contains(says, " alone") {
		t.Errorf("%q", says)
	}
	warm := r.Day // a bath that may begin from the tap
	warm.Tubs = slices.Clone(warm.Tubs)
	warm.Tubs[0].Bath.Step.LowestSinkC = 0
	if says := sessiontest.DetailLines(coach.PromptAt(warm, 0, r.Now))[0]; !strings.HasSuffix(says, ", or fill from the tap alone, 16 °C cooler") {
		t.Errorf("%q", says)
	}
	r.Do(session.TellKettle{Tub: 1})
	if says := sessiontest.DetailLines(coach.PromptAt(r.Day, 0, r.Now))[0]; strings.Contains(says, "hung") {
		t.Errorf("the kettle is on for South: %q", says)
	}
}

// While its own kettle boils nothing can be done for fleece that hangs: its alarm rests, and comes
// again once it has boiled. Another tub's kettle silences nothing, nor does a tub to be emptied.
func TestWetFleeceRestsWhileItsKettleBoils(t *testing.T) {
	rings := func(r *sessiontest.Run) bool {
		a, stands := sessiontest.FindAlarm(r.Day, session.WetWaiting)
		return stands && a.Stands()
	}
	r := wetWithoutKettle(t)
	r.Do(session.TellKettle{Tub: 0})
	for now := r.Now; now.Before(r.Day.Kettle.ReadyAt()); now = r.Now {
		if r.Tick(10 * time.Second); r.Now.Before(r.Day.Kettle.ReadyAt()) == rings(r) {
			t.Errorf("%v before it boils: rings %v", r.Day.Kettle.ReadyAt().Sub(r.Now), rings(r))
		}
	}
	if a, _ := sessiontest.FindAlarm(r.Day, session.WetWaiting); !a.Unanswered() || !a.RaisedAt.Equal(r.Now) {
		t.Errorf("it has boiled, and nobody is called: %+v", a)
	}
	other := wetWithoutKettle(t)
	if other.Do(session.TellKettle{Tub: 1}).Wait(1); !rings(other) {
		t.Error("the kettle of South has silenced North")
	}
	full := sessiontest.StartPresoaked(t, func(p *shed.Plan) {
		oneBoil(p)
		p.Method.Steps = slices.Insert(p.Method.Steps, 2, p.Method.Steps[1])
	}).Until(0, shed.ToFill).Until(0, shed.Soaking).Wait(20).Until(0, shed.Draining).Do(session.TellKettle{})
	if full.Tick(full.Day.Tubs[0].WetBy().Add(time.Minute).Sub(full.Now)); full.Day.Tubs[0].WetBy().IsZero() || !rings(full) {
		t.Error("nothing asks to empty the tub meanwhile")
	}
}

// What the kettle was put on for goes into the wash that is washed again first: nothing waits for a
// bath that comes long after, and the key has no other tub's.
func TestKettleGoesIntoTheWashAgain(t *testing.T) {
	r := sessiontest.StartPresoaked(t, func(p *shed.Plan) {
		oneBoil(p)
		p.Method.Steps = slices.Insert(p.Method.Steps, 2, p.Method.Steps[1])
	}).Until(0, shed.ToFill).Until(0, shed.Soaking).Wait(15)
	r.Do(session.TellKettle{}).Tick(r.Day.Kettle.ReadyAt().Sub(r.Now)).Do(session.TellKettle{Sure: true})
	had := r.Day.Kettle
	if had.Step != 2 {
		t.Fatalf("%+v", had)
	}
	r.Until(0, shed.ToFill).Do(session.RepeatStep{Wash: true})
	if k, on := r.Day.KettleOn(); !on || k.Step != 1 || k.StepName != "hot wash" || !k.IsFor(&r.Day.Tubs[0]) || k.VolumeL != had.VolumeL {
		t.Errorf("on %v: %+v", on, k)
	}
	if r.Next(0); !r.Day.Kettle.OnAt.IsZero() {
		t.Errorf("not poured: %+v", r.Day.Kettle)
	}
	sessiontest.CheckReplay(t, r, nil)
}
