package coach_test

import (
	"strings"
	"testing"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/coach"
	"fleece.example/tubside/session/must"
	"fleece.example/tubside/session/planner"
	"fleece.example/tubside/session/sessiontest"
	"fleece.example/tubside/session/shed"
)

// kettleTubs is North and South, each in its presoak; the hot wash after it wants
// the kettle at both.
func kettleTubs(t *testing.T) *sessiontest.Run {
	t.Helper()
	two := func(p *shed.Plan) {
		*p = sessiontest.ThreeTubs()
		p.Kit.Tubs, p.Batches = p.Kit.Tubs[:2], p.Batches[:2]
		p.Fleeces[1].Wax = shed.Average
		oneBoil(p)
	}
	r := sessiontest.Start(t, sessiontest.OneTub(two))
	return r.Next(0, 0, 1, 1).Wait(4)
}

// oneBoil is a kettle that holds what any bath wants.
func oneBoil(p *shed.Plan) { p.Kit.Kettle.CapacityL = 4 }

// wanted are the boils that the list has, not those that are on, by tub.
func wanted(t *testing.T, r *sessiontest.Run) (tubs []int) {
	t.Helper()
	plan := must.Get(planner.Schedule(r.Day, r.Now, planner.Quick)).In(t)
	for _, p := range plan.Pieces {
		if p.Boil() && !p.On {
			tubs = append(tubs, p.Tub)
		}
	}
	return tubs
}

// A tub in hand comes before the list; one whose next bath takes none does not.
func TestKettleForTheTubInHand(t *testing.T) {
	r := kettleTubs(t)
	plan := must.Get(planner.Schedule(r.Day, r.Now, planner.Quick)).In(t)
	acts := coach.Next(r.Day, r.Now, plan)
	first, ok := coach.KettleKey(r.Day, r.Now, acts, -1)
	if !ok {
		t.Fatal("no kettle is wanted")
	}
	other := 1 - first.Tub
	if c, ok := coach.KettleKey(r.Day, r.Now, acts, other); !ok || c.Tub != other {
		t.Errorf("with tub %d in hand: %+v", other, c)
	}
	r.Until(other, shed.Soaking)
	for r.Day.Tubs[other].Step().Kind != shed.Rinse || r.Day.Tubs[other].Phase != shed.Soaking {
		r.Next(other)
	}
	if c, ok := coach.KettleKey(r.Day, r.Now, acts, other); !ok || c.Tub != first.Tub {
		t.Errorf("with a tub in hand that takes none: %+v, want tub %d", c, first.Tub)
	}
}

// The kettle stays with the bath that it was boiled for until it is poured: a fill
// of another tub that takes kettle water empties it, one that takes none does not.
func TestKettlePouredElsewhere(t *testing.T) {
	r := kettleTubs(t)
	r.Do(session.TellKettle{Tub: 0}).Wait(8)
	r.Do(session.TellKettle{Tub: 0, Sure: true})
	_ = r.Refused(session.TellKettle{}, "the kettle has boiled: keep it for North's hot wash")
	r.Until(0, shed.ToFill)
	_ = r.Refused(session.TellKettle{}, "the kettle has boiled: pour it into North")
	r.Do(session.RepeatStep{Tub: 0}) // the presoak once more, from the cold tap
	r.Next(0)
	if k, on := r.Day.KettleOn(); !on || k.Tub != 0 {
		t.Errorf("no kettle water poured, and the kettle is %+v, %v", k, on)
	}
	r.Until(1, shed.ToFill).Next(1)
	if k, on := r.Day.KettleOn(); on {
		t.Errorf("poured into South, and still %+v", k)
	}
	if tubs := wanted(t, r); len(tubs) == 0 || tubs[0] != 0 {
		t.Errorf("North's boil has not come back: %v", tubs)
	}
	for _, p := range coach.Prompts(r.Day, r.Now) {
		if text := sessiontest.PromptText(p); strings.Contains(text, "has boiled") {
			t.Errorf("%q", text)
		}
	}
}

// A kettle whose bath will not come is nobody's.
func TestKettleForABathThatIsSkipped(t *testing.T) {
	r := kettleTubs(t)
	r.Do(session.TellKettle{Tub: 0})
	r.Until(0, shed.ToFill).Do(session.SkipStep{Tub: 0})
	if k, on := r.Day.KettleOn(); on {
		t.Errorf("%+v", k)
	}
}

// There is one kettle and one call for it, which is answered only by the boil of
// its own tub; no other comes while the kettle is on.
func TestKettleAnswersOneCall(t *testing.T) {
	for _, mine := range []bool{true, false} {
		r := kettleTubs(t)
		for range 30 * 60 {
			if r.Tick(1e9); len(r.Day.Alarms) > 0 {
				break
			}
		}
		if len(r.Day.Alarms) != 1 || r.Day.Alarms[0].Kind != session.KettleNow {
			t.Fatalf("called: %v", sessiontest.StandingAlarms(r.Day))
		}
		tub := r.Day.Alarms[0].Tub
		if !mine {
			tub = 1 - tub
		}
		r.Wait(1).Do(session.TellKettle{Tub: tub})
		if a := r.Day.AlarmLog[0]; (a.DoneBy == "kettle put on") != mine {
			t.Errorf("own %v: done by %q", mine, a.DoneBy)
		}
		r.Wait(4)
		if _, again := sessiontest.FindAlarm(r.Day, session.KettleNow); again {
			t.Errorf("called while it is on: %v", sessiontest.StandingAlarms(r.Day))
		}
	}
}

// Of two boils the first is kept hot, of three the first ones.
func TestKettleFirstOnes(t *testing.T) {
	for capacityL, want := range map[float64]string{2.2: "in 2 boils (keep the first in", 1.4: "in 3 boils (keep the first ones in"} {
		r := sessiontest.StartPresoaked(t, func(p *shed.Plan) { p.Kit.Kettle.CapacityL = capacityL })
		r.Wait(2)
		if text := sessiontest.PromptText(coach.PromptAt(r.Day, 0, r.Now)); !strings.Contains(text, want) {
			t.Errorf("%g L: %q, want %q", capacityL, text, want)
		}
	}
}

// The boil of a batch that waits for its tub can be told while another is in it.
func TestKettleForABatchToCome(t *testing.T) {
	r := sessiontest.Start(t, sessiontest.OneTub(func(p *shed.Plan) { p.Batches = append(p.Batches, p.Batches[0]) }))
	r.Until(0, shed.ToSpin)
	next := r.Day.Waiting()[0].ID
	acts := []coach.NextAct{{Prompt: coach.Prompt{Tub: 0, Batch: next}, Boil: true}}
	c, ok := coach.KettleKey(r.Day, r.Now, acts, -1)
	if !ok || c.Batch != next {
		t.Fatalf("%+v, %v", c, ok)
	}
	r.Do(c)
	if k, on := r.Day.KettleOn(); !on || k.Batch != next || k.Step != 0 {
		t.Errorf("%+v, %v", k, on)
	}
}

// A fill that wants kettle water waits for it, and the list, the timetable and the
// tub say so, as long as no kettle has been told of for it.
func TestFillWaitsForItsKettle(t *testing.T) {
	r := kettleTubs(t).Until(0, shed.ToFill)
	list := func() (boil, fill coach.NextAct) {
		t.Helper()
		plan := must.Get(planner.Schedule(r.Day, r.Now, planner.Quick)).In(t)
		for _, a := range coach.Next(r.Day, r.Now, plan) {
			switch {
			case a.Tub == 0 && a.Boil:
				boil = a
			case a.Tub == 0:
				fill = a
			}
		}
		return boil, fill
	}
	for range 3 { // however long nobody tells
		boil, fill := list()
		if !boil.Boil || boil.BoilOn || boil.Rank != coach.Now {
			t.Errorf("the boil: %+v", boil)
		}
		if fill.Kettle != coach.KettleFirst || fill.Rank != coach.Coming || fill.Doubt == "" || len(fill.Then) > 0 || fill.Title != "kettle first, then fill" {
			t.Errorf("the fill: %+v", fill)
		}
		if text := sessiontest.PromptText(fill.Prompt); !strings.Contains(text, "put the kettle on: ") {
			t.Errorf("%q", text)
		}
		if boils := fill.DueAt.Sub(r.Now).Minutes(); boils < 4 || boils > 12 {
			t.Errorf("filled in %g min", boils)
		}
		r.Wait(6)
	}
	r.Do(session.TellKettle{Tub: 0})
	boil, fill := list()
	if !boil.BoilOn || fill.Kettle != coach.KettleBoils || fill.Title != "fill when the kettle boils at "+r.Day.Kettle.ReadyAt().Format("15:04") || !fill.DueAt.Equal(r.Day.Kettle.ReadyAt()) || !boil.DueAt.Equal(fill.DueAt) {
		t.Errorf("on: %+v\n%+v", boil, fill)
	}
	r.Now = r.Day.Kettle.ReadyAt()
	if _, fill := list(); fill.Kettle != coach.KettleReady || fill.Rank != coach.Now || fill.Doubt != "" || len(fill.Then) != 1 {
		t.Errorf("boiled: %+v", fill)
	}
	// The other tub has to wait until it is poured.
	r.Until(1, shed.ToFill)
	if p := coach.PromptAt(r.Day, 1, r.Now); p.Kettle != coach.KettleFirst || !strings.Contains(sessiontest.PromptText(p), "the kettle is on for North") {
		t.Errorf("South: %+v", p)
	}
}

// The kettle is called for as the list has it: the tub of its first boil and no
// other, and when its time has come.
func TestKettleCalledAsListed(t *testing.T) {
	r := kettleTubs(t)
	calls := 0
	for range 40 * 12 {
		plan := must.Get(planner.Schedule(r.Day, r.Now, planner.Quick)).In(t)
		r.Day = planner.Planned(r.Day, plan)
		r.Tick(5e9)
		var boils []coach.NextAct
		for _, a := range coach.Next(r.Day, r.Now, plan) {
			if a.Boil {
				boils = append(boils, a)
			}
		}
		for _, a := range r.Day.Alarms {
			if a.Kind != session.KettleNow {
				continue
			}
			calls++
			if len(boils) == 0 || boils[0].Tub != a.Tub || boils[0].Rank != coach.Now {
				t.Fatalf("at %v: called for tub %d, the list has %+v", r.Now, a.Tub, boils)
			}
			if c, ok := coach.KettleKey(r.Day, r.Now, boils, -1); !ok || c.Tub != a.Tub {
				t.Fatalf("called for tub %d, the key tells %+v", a.Tub, c)
			}
		}
	}
	if calls == 0 {
		t.Error("nobody was called")
	}
}

// Every boil that the list has can be told of, also while the tub waits for its
// fleece.
func TestListedBoilCanBeTold(t *testing.T) {
	r := sessiontest.Start(t, sessiontest.ThreeTubs())
	boils := 0
	for step := range 60 {
		plan := must.Get(planner.Schedule(r.Day, r.Now, planner.Quick)).In(t)
		for _, a := range coach.Next(r.Day, r.Now, plan) {
			if !a.Boil || a.BoilOn {
				continue
			}
			boils++
			if _, _, err := session.Do(r.Day, session.TellKettle{Tub: a.Tub, Batch: a.Batch}, r.Now); err != nil {
				if _, on := r.Day.KettleOn(); !on {
					t.Errorf("%s at tub %d in %s: %v", a.Title, a.Tub, r.Day.Tubs[a.Tub].Phase, err)
				}
			}
		}
		if r.Day.NextAction(step%3) != shed.Wait {
			r.Next(step % 3)
		}
		r.Wait(3)
	}
	if boils == 0 {
		t.Error("no boil in the list")
	}
	r = sessiontest.Start(t, sessiontest.ThreeTubs())
	for r.Day.Tubs[1].Step().Name != "first hot wash" || r.Day.Tubs[1].Phase != shed.ToSink {
		r.Next(1)
	}
	if c, ok := coach.KettleKey(r.Day, r.Now, nil, 1); !ok || c.Tub != 1 {
		t.Errorf("filled, and its next boil cannot be told of: %+v", c)
	}
}

// The tap changes after the kettle has boiled: the fill is planned with the water that has boiled,
// and what is too much of it is said; what is far too little is to boil first.
func TestTapChangesAfterTheBoil(t *testing.T) {
	for tapC, says := range map[float64]string{51: "the kettle has boiled: 3.25 L for ", 54: "the kettle has boiled: pour ", 39: "boil 1.5 L more, then fill"} {
		r := kettleTubs(t).Until(0, shed.ToFill)
		r.Do(session.TellKettle{}).Wait(8).Do(session.TellKettle{Sure: true})
		k := r.Day.Plan.Kit
		k.HotTapC = tapC
		r.Do(session.ChangeKit{Kit: k})
		f, had := r.Day.FillAt(0, r.Now), r.Day.Kettle.VolumeL
		if (f.Pour.KettleL > had+1e-9) != (tapC < 51) || tapC > 51 && f.Pour.KettleL >= had {
			t.Errorf("%g °C: %.2f L from a kettle of %.2f L", tapC, f.Pour.KettleL, had)
		}
		if text := sessiontest.PromptText(coach.PromptAt(r.Day, 0, r.Now)); !strings.Contains(text, says) || strings.Contains(text, "boils)") {
			t.Errorf("%g °C: %q does not say %q", tapC, text, says)
		}
	}
}
