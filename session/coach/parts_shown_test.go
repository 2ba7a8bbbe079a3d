package coach_test

import (
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"fleece.example/tubside/session/coach"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/sessiontest"
	"fleece.example/tubside/session/shed"
)

// shownL adds up what a text of pours shows, L.
func shownL(t *testing.T, text string) (l float64) {
	t.Helper()
	size := map[string]float64{"L": 1, "mL": 0.001, "gal": 16 * measure.LPerUSCup, "qt": 4 * measure.LPerUSCup, "cup": measure.LPerUSCup, "cups": measure.LPerUSCup}
	for _, m := range regexp.MustCompile(`(\d[\d./ ]*?) ?(mL|L|gal|qt|cups|cup)\b`).FindAllStringSubmatch(text, -1) {
		n := 0.0
		for _, part := range strings.Fields(m[1]) {
			a, b, frac := strings.Cut(part, "/")
			x, err := strconv.ParseFloat(a, 64)
			if err != nil {
				t.Fatal(text)
			}
			if frac {
				y, _ := strconv.ParseFloat(b, 64)
				x /= y
			}
			n += x
		}
		l += n * size[m[2]]
	}
	return l
}

var inKettles = regexp.MustCompile(` \(\d kettle[^)]*\)`)

// What is shown of a bath's parts adds up to what is shown of the whole, whatever
// jug and kettle there are.
func TestPartsAddUpAsShown(t *testing.T) {
	for _, u := range []measure.System{measure.Metric, measure.US} {
		for _, jugL := range []float64{0.1, 0.125, 0.25, 1, measure.LPerUSCup / 2, measure.LPerUSCup, 2 * measure.LPerUSCup, 4 * measure.LPerUSCup} {
			for _, kettleL := range []float64{0, 0.8, 1.255, 1.5, 1.66, 1.7, 7 * measure.LPerUSCup} {
				for _, fillL := range []float64{5, 8, 9.33, 13.25} {
					r := sessiontest.Start(t, sessiontest.OneTub(func(p *shed.Plan) {
						p.Kit.Units, p.Kit.JugL, p.Kit.Kettle.CapacityL = u, jugL, kettleL
						p.Kit.Tubs[0].CapacityL, p.Kit.Tubs[0].FillL = 20, fillL
						p.Batches[0].RawG = 100
					}))
					for _, line := range sessiontest.DetailLines(coach.PromptAt(r.Day, 0, r.Now)) {
						whole, parts, ok := strings.Cut(line, ": ")
						whole, _, _ = strings.Cut(whole, " at ")
						parts = inKettles.ReplaceAllString(parts, "") // the same water once more
						if !ok || strings.Contains(line, "marks") || strings.HasPrefix(line, "put the kettle") || !strings.Contains(parts, " hot tap") || strings.Contains(line, "or ") {
							continue
						}
						if w, p := shownL(t, whole), shownL(t, parts); math.Abs(w-p) > 1e-6 {
							t.Errorf("jug %.3g, kettle %.3g, bath %.3g: %q is %.4g, %q is %.4g", jugL, kettleL, fillL, whole, w, parts, p)
						}
					}
				}
			}
		}
	}
}
