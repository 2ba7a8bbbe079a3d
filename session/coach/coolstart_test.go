package coach_test

import (
	"strings"
	"testing"

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
