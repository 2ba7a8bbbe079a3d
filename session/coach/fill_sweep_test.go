package coach_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"fleece.example/tubside/session/coach"
	"fleece.example/tubside/session/sessiontest"
	"fleece.example/tubside/session/shed"
)

// Of 1260 fills, of six volumes, seven taps, six aims and five marks, each that ends more than
// half a mark under its aim says so, and by how much; no other does.
func TestFillsSayHowFarUnder(t *testing.T) {
	fills, under, silent := 0, 0, 0
	for _, volumeL := range []float64{4, 5, 6.5, 8, 10, 12} {
		for _, tapC := range []float64{40, 45, 48, 51, 55, 60, 65} {
			for _, aimC := range []float64{50, 54, 58, 62, 65.5, 70} {
				for _, markL := range []float64{0.1, 0.25, 0.5, 1, 2} {
					r := sessiontest.Start(t, sessiontest.OneTub(func(p *shed.Plan) {
						p.Kit.Tubs[0].CapacityL, p.Kit.Tubs[0].FillL = volumeL*1.5, volumeL
						p.Kit.HotTapC, p.Kit.JugL = tapC, markL
						for i := range p.Method.Steps {
							if p.Method.Steps[i].AimC > 0 {
								p.Method.Steps[i].AimC, p.Method.Steps[i].LowestSinkC = aimC, 0
							}
						}
					}))
					fills++
					d := r.Day.Boiled()
					f, k := d.FillAt(0, r.Now), d.Plan.Kit
					mark := (tapC - k.ColdTapC) * markL / volumeL
					if f.Pour.KettleL > 0 {
						mark = (k.KettleC() - tapC) * k.KettleMarkL() / volumeL
					}
					byC := aimC - f.AfterC
					says := sessiontest.PromptText(coach.PromptAt(d, 0, r.Now))
					own := strings.Contains(says, " under its aim)")
					said := own || strings.Contains(says, "it would be")
					at := fmt.Sprintf("%g L, tap of %g °C, aim %g °C, marks of %g L: %.1f °C", volumeL, tapC, aimC, markL, f.AfterC)
					if byC > mark/2+0.05 {
						if under++; !said {
							silent++
							t.Errorf("%s, %.1f °C under, half a mark is %.1f: %s", at, byC, mark/2, says)
						}
						if f.Pour.UnderC > 0 && !strings.Contains(says, "it would be") && !strings.Contains(says, fmt.Sprintf("%.0f °C ", max(1, math.RoundToEven(f.Pour.UnderC)))) {
							t.Errorf("%s, %.1f °C under: %s", at, byC, says)
						}
					} else if byC < mark/2-0.05 && own {
						t.Errorf("%s, half a mark is %.1f: %s", at, mark/2, says)
					}
					if math.IsNaN(f.AfterC) {
						t.Errorf("%s", at)
					}
				}
			}
		}
	}
	t.Logf("%d fills, %d more than half a mark under their aim, %d without a word", fills, under, silent)
}
