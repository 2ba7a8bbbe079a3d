package session_test

import (
	"strings"
	"testing"

	"fleece.example/tubside/session"
)

// kettleTubs is North and South, each in its presoak; the hot wash after it wants
// the kettle at both.
func kettleTubs(t *testing.T) *run {
	t.Helper()
	two := func(p *session.Plan) {
		*p = threeTubs()
		p.Kit.Tubs, p.Batches = p.Kit.Tubs[:2], p.Batches[:2]
		p.Fleeces[1].Wax = session.Average
	}
	r := start(t, oneTub(two))
	return r.next(0, 0, 1, 1).wait(4)
}

// wanted are the boils that the list has, not those that are on, by tub.
func wanted(t *testing.T, r *run) (tubs []int) {
	t.Helper()
	plan, err := r.day.Timetable(r.now, session.Quick)
	if err != nil {
		t.Fatal(err)
	}
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
	plan, err := r.day.Timetable(r.now, session.Quick)
	if err != nil {
		t.Fatal(err)
	}
	acts := r.day.Next(r.now, plan)
	first, ok := r.day.KettleKey(r.now, acts, -1)
	if !ok {
		t.Fatal("no kettle is wanted")
	}
	other := 1 - first.Tub
	if c, ok := r.day.KettleKey(r.now, acts, other); !ok || c.Tub != other {
		t.Errorf("with tub %d in hand: %+v", other, c)
	}
	r.until(other, session.Soaking)
	for r.day.Tubs[other].Step().Kind != session.Rinse || r.day.Tubs[other].Phase != session.Soaking {
		r.next(other)
	}
	if c, ok := r.day.KettleKey(r.now, acts, other); !ok || c.Tub != first.Tub {
		t.Errorf("with a tub in hand that takes none: %+v, want tub %d", c, first.Tub)
	}
}

// The kettle stays with the bath that it was boiled for until it is poured: a fill
// of another tub that takes kettle water empties it, one that takes none does not.
func TestKettlePouredElsewhere(t *testing.T) {
	r := kettleTubs(t)
	r.do(session.TellKettle{Tub: 0}).wait(8)
	r.do(session.TellKettle{Tub: 0, Sure: true})
	_ = r.refused(session.TellKettle{}, "the kettle has boiled: keep it for North's hot wash")
	r.until(0, session.ToFill)
	_ = r.refused(session.TellKettle{}, "the kettle has boiled: pour it into North")
	r.do(session.RepeatStep{Tub: 0}) // the presoak once more, from the cold tap
	r.next(0)
	if k, on := r.day.KettleOn(r.now); !on || k.Tub != 0 {
		t.Errorf("no kettle water poured, and the kettle is %+v, %v", k, on)
	}
	r.until(1, session.ToFill).next(1)
	if k, on := r.day.KettleOn(r.now); on {
		t.Errorf("poured into South, and still %+v", k)
	}
	if tubs := wanted(t, r); len(tubs) == 0 || tubs[0] != 0 {
		t.Errorf("North's boil has not come back: %v", tubs)
	}
	for _, p := range r.day.Prompts(r.now) {
		if text := details(p); strings.Contains(text, "has boiled") {
			t.Errorf("%q", text)
		}
	}
}

// A kettle whose bath will not come is nobody's.
func TestKettleForABathThatIsSkipped(t *testing.T) {
	r := kettleTubs(t)
	r.do(session.TellKettle{Tub: 0})
	r.until(0, session.ToFill).do(session.SkipStep{Tub: 0})
	if k, on := r.day.KettleOn(r.now); on {
		t.Errorf("%+v", k)
	}
}

// There is one kettle and one call for it, which is answered only by the boil of
// its own tub; no other comes while the kettle is on.
func TestKettleAnswersOneCall(t *testing.T) {
	for _, mine := range []bool{true, false} {
		r := kettleTubs(t)
		for range 30 * 60 {
			if r.tick(1e9); len(r.day.Alarms) > 0 {
				break
			}
		}
		if len(r.day.Alarms) != 1 || r.day.Alarms[0].Kind != session.KettleNow {
			t.Fatalf("called: %v", standing(r.day))
		}
		tub := r.day.Alarms[0].Tub
		if !mine {
			tub = 1 - tub
		}
		r.wait(1).do(session.TellKettle{Tub: tub})
		if a := r.day.AlarmLog[0]; (a.DoneBy == "kettle put on") != mine {
			t.Errorf("own %v: done by %q", mine, a.DoneBy)
		}
		r.wait(4)
		if _, again := find(r.day, session.KettleNow); again {
			t.Errorf("called while it is on: %v", standing(r.day))
		}
	}
}

// Of two boils the first is kept hot, of three the first ones.
func TestKettleFirstOnes(t *testing.T) {
	for capacityL, want := range map[float64]string{1.7: "in 2 boils (keep the first hot", 1: "in 3 boils (keep the first ones hot"} {
		r := soaking(t, func(p *session.Plan) { p.Kit.Kettle.CapacityL = capacityL })
		r.wait(2)
		if text := details(r.day.Prompt(0, r.now)); !strings.Contains(text, want) {
			t.Errorf("%g L: %q, want %q", capacityL, text, want)
		}
	}
}

// The boil of a batch that waits for its tub can be told while another is in it.
func TestKettleForABatchToCome(t *testing.T) {
	r := start(t, oneTub(func(p *session.Plan) { p.Batches = append(p.Batches, p.Batches[0]) }))
	r.until(0, session.ToSpin)
	next := r.day.Waiting()[0].ID
	acts := []session.NextAct{{Prompt: session.Prompt{Tub: 0, Batch: next}, Boil: true}}
	c, ok := r.day.KettleKey(r.now, acts, -1)
	if !ok || c.Batch != next {
		t.Fatalf("%+v, %v", c, ok)
	}
	r.do(c)
	if k, on := r.day.KettleOn(r.now); !on || k.Batch != next || k.Step != 0 {
		t.Errorf("%+v, %v", k, on)
	}
}

// A fill that wants kettle water waits for it, and the list, the timetable and the
// tub say so, as long as no kettle has been told of for it.
func TestFillWaitsForItsKettle(t *testing.T) {
	r := kettleTubs(t).until(0, session.ToFill)
	list := func() (boil, fill session.NextAct) {
		t.Helper()
		plan, err := r.day.Timetable(r.now, session.Quick)
		if err != nil {
			t.Fatal(err)
		}
		for _, a := range r.day.Next(r.now, plan) {
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
		if !boil.Boil || boil.BoilOn || boil.Rank != session.Now {
			t.Errorf("the boil: %+v", boil)
		}
		if fill.Kettle != session.KettleFirst || fill.Rank != session.Coming || fill.Doubt == "" || len(fill.Then) > 0 || fill.Title != "kettle first, then fill" {
			t.Errorf("the fill: %+v", fill)
		}
		if text := details(fill.Prompt); !strings.Contains(text, "put the kettle on: ") {
			t.Errorf("%q", text)
		}
		if boils := fill.DueAt.Sub(r.now).Minutes(); boils < 4 || boils > 12 {
			t.Errorf("filled in %g min", boils)
		}
		r.wait(6)
	}
	r.do(session.TellKettle{Tub: 0})
	boil, fill := list()
	if !boil.BoilOn || fill.Kettle != session.KettleBoils || fill.Title != "wait for the kettle until "+r.day.Kettle.ReadyAt().Format("15:04")+", then fill" || !fill.DueAt.Equal(r.day.Kettle.ReadyAt()) || !boil.DueAt.Equal(fill.DueAt) {
		t.Errorf("on: %+v\n%+v", boil, fill)
	}
	r.now = r.day.Kettle.ReadyAt()
	if _, fill := list(); fill.Kettle != session.KettleReady || fill.Rank != session.Now || fill.Doubt != "" || len(fill.Then) != 1 {
		t.Errorf("boiled: %+v", fill)
	}
	// The other tub has to wait until it is poured.
	r.until(1, session.ToFill)
	if p := r.day.Prompt(1, r.now); p.Kettle != session.KettleFirst || !strings.Contains(details(p), "the kettle is on for North") {
		t.Errorf("South: %+v", p)
	}
}

// The kettle is called for as the list has it: the tub of its first boil and no
// other, and when its time has come.
func TestKettleCalledAsListed(t *testing.T) {
	r := kettleTubs(t)
	calls := 0
	for range 40 * 12 {
		plan, err := r.day.Timetable(r.now, session.Quick)
		if err != nil {
			t.Fatal(err)
		}
		r.day = r.day.Planned(plan)
		r.tick(5e9)
		var boils []session.NextAct
		for _, a := range r.day.Next(r.now, plan) {
			if a.Boil {
				boils = append(boils, a)
			}
		}
		for _, a := range r.day.Alarms {
			if a.Kind != session.KettleNow {
				continue
			}
			calls++
			if len(boils) == 0 || boils[0].Tub != a.Tub || boils[0].Rank != session.Now {
				t.Fatalf("at %v: called for tub %d, the list has %+v", r.now, a.Tub, boils)
			}
			if c, ok := r.day.KettleKey(r.now, boils, -1); !ok || c.Tub != a.Tub {
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
	r := start(t, threeTubs())
	boils := 0
	for step := range 60 {
		plan, err := r.day.Timetable(r.now, session.Quick)
		if err != nil {
			t.Fatal(err)
		}
		for _, a := range r.day.Next(r.now, plan) {
			if !a.Boil || a.BoilOn {
				continue
			}
			boils++
			if _, _, err := session.Do(r.day, session.TellKettle{Tub: a.Tub, Batch: a.Batch}, r.now); err != nil {
				if _, on := r.day.KettleOn(r.now); !on {
					t.Errorf("%s at tub %d in %s: %v", a.Title, a.Tub, r.day.Tubs[a.Tub].Phase, err)
				}
			}
		}
		if r.day.NextAction(step%3) != session.Wait {
			r.next(step % 3)
		}
		r.wait(3)
	}
	if boils == 0 {
		t.Error("no boil in the list")
	}
	r = start(t, threeTubs())
	for r.day.Tubs[1].Step().Name != "first hot wash" || r.day.Tubs[1].Phase != session.ToSink {
		r.next(1)
	}
	if c, ok := r.day.KettleKey(r.now, nil, 1); !ok || c.Tub != 1 {
		t.Errorf("filled, and its next boil cannot be told of: %+v", c)
	}
}

// The tap changes after the kettle was put on: the fill is planned with the water
// that has boiled, and what is too much or too little of it is said.
func TestTapChangesAfterTheBoil(t *testing.T) {
	for tapC, says := range map[float64]string{51: "the kettle has boiled: 3.2 L for ", 54: "the kettle has boiled: pour ", 39: " more for "} {
		r := kettleTubs(t).until(0, session.ToFill)
		r.do(session.TellKettle{}).wait(8).do(session.TellKettle{Sure: true})
		k := r.day.Plan.Kit
		k.HotTapC = tapC
		r.do(session.ChangeKit{Kit: k})
		f, had := r.day.FillAt(0, r.now), r.day.Kettle.VolumeL
		if f.Pour.KettleL > had+1e-9 || tapC > 51 && f.Pour.KettleL >= had {
			t.Errorf("%g °C: %.2f L from a kettle of %.2f L", tapC, f.Pour.KettleL, had)
		}
		if text := details(r.day.Prompt(0, r.now)); !strings.Contains(text, says) || strings.Contains(text, "boils)") {
			t.Errorf("%g °C: %q does not say %q", tapC, text, says)
		}
	}
}
