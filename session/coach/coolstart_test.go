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

// A wash that would read under the coolest start of its step once the fleece is in is doubted, in the
// person's degrees and with what would do; no other is.
func TestCoolStartIsDoubted(t *testing.T) {
	for _, u := range []measure.System{measure.Metric, measure.US} {
		cool := 0
		for tapC := 58.0; tapC <= 66; tapC += 0.25 {
			r := sessiontest.Start(t, sessiontest.OneTub(func(p *shed.Plan) {
				p.Kit.Units, p.Kit.HotTapC, p.Kit.Kettle = u, tapC, shed.Kettle{}
			}))
			p, f := coach.PromptAt(r.Day, 0, r.Now), r.Day.FillAt(0, r.Now)
			low := r.Day.Tubs[0].Step().LowestSinkC
			is := f.AfterC < low && u.Temp(f.AfterC) != u.Temp(low)
			if p.Stopped() {
				continue
			}
			if is {
				cool++
			}
			want := "North would begin at " + u.Temp(f.AfterC) + ", under the coolest start of " + u.Temp(low) + ": use "
			if is != strings.HasPrefix(p.Doubt, want) || !is && p.Doubt != "" || p.Rank != coach.Now {
				t.Errorf("tap %.2f °C, %.2f °C with the fleece in: %q, rank %v", tapC, f.AfterC, p.Doubt, p.Rank)
			}
		}
		if cool == 0 {
			t.Error("none was under its coolest start")
		}
	}
}

// Where it is the kettle's water that has stood, that is what would put a cool start right.
func TestACoolStartByWaterThatStoodIsBoiledAgain(t *testing.T) {
	seen := 0
	for tapC := 50.0; tapC <= 62; tapC++ {
		r := sessiontest.Start(t, sessiontest.OneTub(func(p *shed.Plan) { p.Kit.HotTapC = tapC }))
		w, ok := r.Day.WantsKettle(0, "", session.HeatModel{}, r.Now)
		if !ok {
			continue
		}
		tell := session.TellKettle{Tub: 0, Batch: w.Batch, Sure: true}
		r.Do(tell)
		for k, on := r.Day.KettleOn(); on && k.BoiledAt.IsZero(); k, on = r.Day.KettleOn() {
			r.Wait(5).Do(tell)
		}
		for range 25 {
			if p := coach.PromptAt(r.Wait(1).Day, 0, r.Now); strings.Contains(p.Doubt, "would begin at") && r.Day.Kettle.Cools(r.Now) {
				if seen++; !strings.HasSuffix(p.Doubt, ": boil the kettle again") {
					t.Errorf("tap %g °C: %s", tapC, p.Doubt)
				}
			}
		}
	}
	if seen == 0 {
		t.Error("no start was cool by water that stood")
	}
}
