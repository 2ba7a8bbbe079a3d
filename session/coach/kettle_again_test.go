package coach_test

import (
	"testing"
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/coach"
	"fleece.example/tubside/session/sessiontest"
	"fleece.example/tubside/session/shed"
)

// A kettle that boiled and stood has cooled, which the fill knows. It goes on again, which is one
// deed, and boils some time after, which is another: only then can it be poured, and the fill is as it was.
func TestKettleBoiledAgain(t *testing.T) {
	r := sessiontest.Start(t, sessiontest.OneTub(oneBoil))
	fresh := r.Day.FillAt(0, r.Now).AfterC
	r.Do(session.TellKettle{}).Wait(8).Do(session.TellKettle{Sure: true})
	if _, ok := coach.KettleKey(r.Day, r.Now, nil, 0); ok {
		t.Error("a fresh kettle has something to tell")
	}
	r.Wait(15)
	stood := r.Day.FillAt(0, r.Now).AfterC
	if c, ok := coach.KettleKey(r.Day, r.Now, nil, 0); !ok || c.Tub != 0 || stood > fresh-1 {
		t.Errorf("%v, %.1f °C after standing, %.1f fresh", ok, stood, fresh)
	}
	r.Do(session.TellKettle{})
	if left, p := r.Day.Kettle.ReadyAt().Sub(r.Now), coach.PromptAt(r.Day, 0, r.Now); left < 30*time.Second || left > 3*time.Minute || p.Kettle != coach.KettleBoils || p.Doubt != "North's kettle has not boiled" {
		t.Errorf("put on again it boils in %v: %+v", left, p)
	}
	sessiontest.Same(t, "undo", coach.CanUndo(r.Day), "kettle on again")
	r.Tick(r.Day.Kettle.ReadyAt().Sub(r.Now)).Do(session.TellKettle{})
	if again := r.Day.FillAt(0, r.Now).AfterC; again < fresh-0.5 || !r.Day.Kettle.BoiledAt.Equal(r.Now) {
		t.Errorf("%.1f °C once it boils again, %.1f fresh", again, fresh)
	}
	_ = r.Refused(session.TellKettle{}, "the kettle has boiled: pour it")
	sessiontest.Same(t, "phase", r.Day.Tubs[0].Phase, shed.ToFill)
	sessiontest.CheckReplay(t, r, nil)
}

// What waits in the pail is not boiled again with the kettle, unless it stood for long: it has cooled,
// which the fill knows.
func TestPailIsNotBoiledAgain(t *testing.T) {
	r := sessiontest.Start(t, sessiontest.OneTub(func(p *shed.Plan) {
		oneBoil(p)
		p.Kit.Kettle.CapacityL /= 2
	}))
	r.Do(session.TellKettle{}).Wait(6).Do(session.TellKettle{Sure: true}).Wait(6).Do(session.TellKettle{Sure: true})
	fresh := r.Day.FillAt(0, r.Now).AfterC
	r.Wait(20).Do(session.TellKettle{}).Wait(1).Do(session.TellKettle{Sure: true})
	again := r.Day.FillAt(0, r.Now).AfterC
	if k := r.Day.Kettle; k.Loads() != 2 || again > fresh-0.5 || again < fresh-5 {
		t.Errorf("%d boils: %.2f °C, the second boiled again after 20 min, %.2f fresh", k.Loads(), again, fresh)
	}
}

// While the last of several boils, a fill that does not wait for it has what is in the pail.
func TestFillWithWhatHasBoiled(t *testing.T) {
	r := sessiontest.Start(t, sessiontest.OneTub(func(p *shed.Plan) {
		oneBoil(p)
		p.Kit.Kettle.CapacityL /= 2
	}))
	alone := r.Day
	alone.Plan.Kit.Kettle = shed.Kettle{}
	r.Do(session.TellKettle{}).Wait(6).Do(session.TellKettle{Sure: true})
	pail, fresh := r.Day.HasBoiledL(0, r.Now), r.Day.FillAt(0, r.Now).AfterC
	if later := r.Day.FillAt(0, r.Now.Add(sessiontest.Minutes(30))).AfterC; later > fresh-0.5 {
		t.Errorf("half an hour in the pail: %.2f °C, %.2f before", later, fresh)
	}
	r.Do(session.DoNext{Act: shed.FillTub, TapOnly: true})
	if b := r.Day.Tubs[0].Bath; pail != 2 || b.FillC < alone.FillAt(0, r.Now).WaterC+5 {
		t.Errorf("%.2f L in the pail, %.1f °C", pail, b.FillC)
	}
}

// A kettle that goes off, as when a breaker trips: what has boiled is poured, nobody is told
// to boil any more, and when it is back the plan has it again.
func TestKettleGoesOff(t *testing.T) {
	r := sessiontest.Start(t, sessiontest.OneTub(func(p *shed.Plan) {
		oneBoil(p)
		p.Kit.Kettle.CapacityL /= 2
	}))
	r.Do(session.TellKettle{}).Wait(6).Do(session.TellKettle{Sure: true}).Wait(2)
	kit, pail, lived := r.Day.Plan.Kit, r.Day.HasBoiledL(0, r.Now), r.Day
	off, back := kit, kit
	off.Kettle = kit.Kettle.Aside()
	back.Kettle = off.Kettle.Back()
	sessiontest.Same(t, "back as it was", back.Kettle, kit.Kettle)
	r.Do(session.ChangeKit{Kit: off})
	if k, on := r.Day.KettleOn(); !on || k.BoiledAt.IsZero() || k.VolumeL != pail || pail != 2 {
		t.Errorf("the kettle is %+v, of %.2f L in the pail", k, pail)
	}
	_ = r.Refused(session.TellKettle{}, "the kettle has boiled: pour it")
	r.Do(session.Undo{})
	sessiontest.Same(t, "taken back", []any{r.Day.Kettle, r.Day.Plan.Kit.Kettle}, []any{lived.Kettle, kit.Kettle})
	r.Do(session.ChangeKit{Kit: off}, session.DoNext{Act: shed.FillTub})
	sessiontest.Same(t, "poured", r.Day.Baths == nil && r.Day.Kettle == session.KettleRun{}, true)
	if _, wants := r.Day.WantsKettle(0, "", r.Day.Heat(0), r.Now); wants {
		t.Error("a bath wants a kettle that is off")
	}
	r.Do(session.ChangeKit{Kit: back})
	sessiontest.Same(t, "the kettle of the day", r.Day.Plan.Kit.Kettle, kit.Kettle)

	first := sessiontest.Start(t, sessiontest.OneTub(oneBoil))
	first.Do(session.TellKettle{}).Wait(2).Do(session.ChangeKit{Kit: func() shed.Kit { k := first.Day.Plan.Kit; k.Kettle = k.Kettle.Aside(); return k }()})
	if _, on := first.Day.KettleOn(); on {
		t.Error("a kettle that has not boiled is on still")
	}
	_ = first.Refused(session.TellKettle{}, "the kettle is off for now: say it's back first")
}
