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
	for capacityL, want := range map[float64]string{1.7: "in 2 boils (keep the first one hot", 1: "in 3 boils (keep the first ones hot"} {
		r := soaking(t, func(p *session.Plan) { p.Kit.Kettle.CapacityL = capacityL })
		r.wait(2)
		if text := details(r.day.Prompt(0, r.now)); !strings.Contains(text, want) {
			t.Errorf("%g L: %q, want %q", capacityL, text, want)
		}
	}
}
