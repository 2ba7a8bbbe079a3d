package coach_test

import (
	"slices"
	"strings"
	"testing"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/coach"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/must"
	"fleece.example/tubside/session/planner"
	"fleece.example/tubside/session/sessiontest"
	"fleece.example/tubside/session/shed"
)

// The tap comes cooler once a kettle is on for a bath: what is to be boiled beyond that is a deed of
// the list, from then on and with its amount, whether it boils still or has boiled, in the soak
// before or at the fill. The key counts each boil once, and the bath comes to what it was to have.
func TestCoolerTapBoilsMore(t *testing.T) {
	for _, u := range []measure.System{measure.Metric, measure.US} {
		for _, boiled := range []bool{false, true} {
			for _, soaks := range []bool{false, true} {
				r := sessiontest.StartPresoaked(t, func(p *shed.Plan) {
					oneBoil(p)
					p.Kit = p.Kit.In(u)
				})
				if r.Wait(1); !soaks {
					r.Until(0, shed.ToFill)
				}
				aimC := func() float64 { d := r.Day; d.Kettle = session.KettleRun{}; return d.FillAt(0, r.Now).AfterC }
				r.Do(session.TellKettle{})
				had, through := r.Day.Kettle.VolumeL, r.Day.Kettle.ReadyAt()
				if boiled {
					r.Tick(through.Sub(r.Now)).Do(session.TellKettle{Sure: true})
				}
				k := r.Day.Plan.Kit
				k.HotTapC = 40
				r.Do(session.ChangeKit{Kit: k})
				list := func() coach.NextAct {
					plan := must.Get(planner.Schedule(r.Day, r.Now, planner.Quick)).In(t)
					acts := coach.Next(r.Day, r.Now, plan)
					return acts[slices.IndexFunc(acts, func(a coach.NextAct) bool { return a.Boil })]
				}
				if !boiled {
					if a := list(); !a.BoilOn || a.Title != "kettle 1 of 2 for the hot wash" {
						t.Errorf("it boils: %+v", a)
					}
					r.Tick(through.Sub(r.Now))
				}
				a := list()
				if !a.Refill || a.Again || a.Rank != coach.Now || a.BoilL < 0.5 || a.Title != "boil "+k.KettleText(a.BoilL)+" more for the hot wash" {
					t.Fatalf("%+v", a)
				}
				if c, ok := coach.KettleKey(r.Day, r.Now, nil, -1); !ok || c.Tub != 0 {
					t.Error("no key for it")
				}
				r.Do(session.TellKettle{})
				if k := r.Day.Kettle; k.PailL != had || k.InL != a.BoilL || k.Follows() || !k.BoiledAt.IsZero() || k.ReadyAt().Sub(r.Now) < sessiontest.Minutes(1) {
					t.Errorf("%.2f L had boiled: %+v", had, k)
				}
				r.Tick(r.Day.Kettle.ReadyAt().Sub(r.Now)).Do(session.TellKettle{Sure: true})
				if _, ok := coach.KettleKey(r.Day, r.Now, nil, -1); ok {
					t.Error("all has boiled, and there is something to tell")
				}
				if r.Until(0, shed.ToFill); r.Day.FillAt(0, r.Now).AfterC < aimC()-1.5 {
					t.Errorf("%.1f °C, %.1f with all boiled for it", r.Day.FillAt(0, r.Now).AfterC, aimC())
				}
				if text := sessiontest.PromptText(coach.PromptAt(r.Day, 0, r.Now)); strings.Contains(text, " more") {
					t.Error(text)
				}
				sessiontest.CheckReplay(t, r, nil)
			}
		}
	}
}

// A fill that does not wait for that has what has boiled.
func TestFillsWithoutTheMore(t *testing.T) {
	r := sessiontest.Start(t, sessiontest.OneTub(oneBoil))
	r.Do(session.TellKettle{}).Wait(8).Do(session.TellKettle{Sure: true})
	had, k := r.Day.Kettle.VolumeL, r.Day.Plan.Kit
	k.HotTapC = 40
	r.Do(session.ChangeKit{Kit: k})
	if all := r.Day.FillAt(0, r.Now); all.Pour.KettleL < had+0.5 {
		t.Fatalf("%.2f L of the kettle's %.2f", all.Pour.KettleL, had)
	}
	r.Do(session.DoNext{Act: shed.FillTub, TapOnly: true})
	e := r.Recs[len(r.Recs)-1].Event.(session.BathFilled)
	if _, on := r.Day.KettleOn(); on || e.KettleL != had {
		t.Errorf("%.2f L poured of %.2f, on %v", e.KettleL, had, on)
	}
}
