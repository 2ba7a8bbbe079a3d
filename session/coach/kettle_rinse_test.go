package coach_test

import (
	"testing"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/coach"
	"fleece.example/tubside/session/must"
	"fleece.example/tubside/session/planner"
	"fleece.example/tubside/session/sessiontest"
	"fleece.example/tubside/session/shed"
)

// The kettle water of a rinse behind a soak is that of the tank as it will be: it does not change
// by the minute while nothing is told. And no rinse waits for a kettle when the tank is as soon.
func TestRinseKettleStands(t *testing.T) {
	p := sessiontest.ThreeTubs()
	p.Kit.Tank.VolumeL, p.Kit.Tank.HeaterW, p.Kit.HotTapC = 20, 2000, 60
	r := sessiontest.Start(t, p)
	was, seq, asked := map[int]float64{}, 0, 0
	for i := 0; i < 400 && !r.Day.AllRacked(); i++ {
		plan := must.Get(planner.Schedule(r.Day, r.Now, planner.Quick)).In(t)
		for tub, run := range r.Day.Tubs {
			if run.Phase == shed.ToFill && run.Step().Water == shed.FromHot {
				if k, on := r.Day.KettleOn(); on && k.IsFor(&run) { // it is poured
				} else if f := r.Day.FillAt(tub, r.Now); f.Pour.KettleL > 0 {
					asked++
					tap := r.Day
					tap.Plan.Kit.Kettle = shed.Kettle{}
					at := r.Now.Add(sessiontest.Minutes(session.FillBoilMin(r.Day.Plan.Kit, f)))
					if alone := tap.FillAt(tub, at); !session.TooFar(run.Step(), tap.GapC(tub, alone.AfterC, at)) {
						t.Errorf("%s: %s's rinse waits for %.2f L, and the tap would do by then", r.Now.Format("15:04"), r.Day.TubName(tub), f.Pour.KettleL)
					}
				}
			}
			w, ok := r.Day.WantsKettle(tub, "", session.HeatModel{}, r.Now)
			if run.Phase != shed.Soaking || !ok && was[tub] == 0 {
				was[tub] = 0
				continue
			}
			if w.Fill.Pour.KettleL != was[tub] && int(r.Day.LastSeq) == seq && was[tub] > 0 && r.Now.Before(run.SoakEndAt(r.Now)) {
				t.Errorf("%s: %s's %s wants %.2f L, a minute ago %.2f", r.Now.Format("15:04"), r.Day.TubName(tub), w.Name, w.Fill.Pour.KettleL, was[tub])
			}
			was[tub] = w.Fill.Pour.KettleL
		}
		seq = int(r.Day.LastSeq)
		acts := coach.Next(r.Day, r.Now, plan)
		goOn(r, acts)
		r.Wait(1)
	}
	t.Logf("%d minutes of rinses that wait for a kettle", asked)
}

// goOn tends the kettle that is due, or else does the first act that hands can do now.
func goOn(r *sessiontest.Run, acts []coach.NextAct) {
	switch k, on := r.Day.KettleOn(); {
	case on && (k.Refills(r.Now) || k.BoiledAt.IsZero() && !k.ReadyBy(r.Now).After(r.Now) || k.Stale(r.Now)):
		r.Do(session.TellKettle{Tub: k.Tub, Sure: true})
	case len(acts) == 0 || acts[0].Rank > coach.Now || acts[0].Act == shed.FinishDay:
	case acts[0].Boil:
		r.Do(session.TellKettle{Tub: acts[0].Tub, Batch: acts[0].Batch, Sure: true})
	default:
		r.Do(session.DoNext{Tub: acts[0].Tub, Act: acts[0].Act, Batch: acts[0].Batch, Sooner: true})
	}
}
