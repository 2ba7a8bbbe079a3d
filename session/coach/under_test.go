package coach_test

import (
	"strings"
	"testing"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/coach"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/sessiontest"
	"fleece.example/tubside/session/shed"
)

// A wash that would begin more than a little under its aim says what would do, with how much,
// hot enough to wash as it may be: where the kettle has stood, where there is no kettle, and where the tank runs low.
func TestUnderAimSaysWhatDoes(t *testing.T) {
	cases := map[string]func(r *sessiontest.Run, tapC float64){
		"it stood": func(r *sessiontest.Run, _ float64) {
			for range 9 {
				if k, on := r.Day.KettleOn(); !on || k.BoiledAt.IsZero() {
					r.Do(session.TellKettle{Sure: true}).Wait(1)
				}
			}
			r.Wait(12)
		},
		"no kettle": func(r *sessiontest.Run, tapC float64) {
			k := r.Day.Plan.Kit
			k.Kettle, k.HotTapC = shed.Kettle{}, tapC+20
			r.Do(session.ChangeKit{Kit: k})
		},
		"the tank is low": func(r *sessiontest.Run, tapC float64) {
			k := r.Day.Plan.Kit
			k.Kettle, k.HotTapC, k.Tank = shed.Kettle{}, 70, shed.Tank{VolumeL: tapC - 28, HeaterW: 2000}
			r.Do(session.ChangeKit{Kit: k}).Next(1).Wait(1)
		},
	}
	for name, change := range cases {
		seen := 0
		for _, u := range []measure.System{measure.Metric, measure.US} {
			for tapC := 38.0; tapC <= 50; tapC += 2 {
				p := sessiontest.ThreeTubs()
				p.Kit.Units, p.Kit.HotTapC = u, 51
				for i := range p.Batches {
					p.Batches[i].Presoak = shed.PresoakNone
				}
				r := sessiontest.Start(t, p)
				change(r, tapC)
				f, says := r.Day.FillAt(0, r.Now), coach.PromptAt(r.Day, 0, r.Now)
				if f.Pour.UnderC <= 2 || says.Stopped() {
					continue
				}
				seen++
				text := sessiontest.PromptText(says)
				ok := false
				for _, way := range []string{" more for ", "boil the kettle again", " in all", " use a kettle", "a hot tap of ", "a bath of ", "wait "} {
					ok = ok || strings.Contains(text, way)
				}
				if !ok {
					t.Errorf("%s, tap %.0f °C: %.1f °C under its aim, %.1f °C with the fleece in: %s", name, tapC, f.Pour.UnderC, f.AfterC, text)
				}
			}
		}
		if seen == 0 {
			t.Errorf("%s: never under its aim", name)
		}
		t.Log(name, seen)
	}
}
