package main

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"fleece.example/tubside/session/long"
)

// The table by tubs says of n tubs what plan --tubs n says: batches are sized for those n,
// put in the best order and timed as hard. Of a day that is to be ready by some time it says what so many
// tubs come to from the same begin. Days are drawn.
func TestByTubsIsThePlanOfSoMany(t *testing.T) {
	t.Parallel()
	const seed = 72
	t.Logf("seed %d", seed)
	r := rand.New(rand.NewPCG(seed, 2))
	for i := range long.Of(1, 40) {
		tubs := 2 + r.IntN(3)
		day := []string{"plan", "--fleece", fmt.Sprintf("%d g", 400+100*r.IntN(16)), "--type", []string{"fine", "medium", "longwool"}[r.IntN(3)],
			"--wax", []string{"low", "high"}[r.IntN(2)], "--presoak", []string{"none", "quick dunk", "as the method"}[r.IntN(3)],
			"--kettle", []string{"1.7 L", "3 L"}[r.IntN(2)], "--tank", []string{"0", "80 L", "150 L"}[r.IntN(3)], "--break", []string{"none", "12:30-13:15", "9:40-10:00"}[r.IntN(3)]}
		begin := []string{"--start", "2026-05-16T08:00:00Z"}
		if i%2 == 0 {
			begin = []string{"--ready-by", "tomorrow 19:00"}
		}
		var all planJSON
		answerOf(t, &all, append(slices.Concat(day, begin), "--tubs", fmt.Sprint(tubs))...)
		day = append(day, "--start", all.Start.Format(time.RFC3339))
		for n := 1; n <= tubs; n++ {
			var one planJSON
			answerOf(t, &one, append(day, "--tubs", fmt.Sprint(n))...)
			row, own := all.ByTubs[n-1], one.ByTubs[n-1]
			if math.Abs(row.FinishMin-one.FinishMin) > 1e-6 || math.Abs(row.HotL-one.Sums.HotL) > 1e-6 || math.Abs(row.KettleL-one.Sums.KettleL) > 1e-6 || row.Gap != one.Gap || (row.SpareMin == nil) != (own.SpareMin == nil) || row.SpareMin != nil && *row.SpareMin != *own.SpareMin {
				t.Errorf("%v with %d tubs: by_tubs says done after %.1f min with %.1f L hot, %.1f L boiled, plan --tubs %d %.1f min with %.1f L, %.1f L", day, n, row.FinishMin, row.HotL, row.KettleL, n, one.FinishMin, one.Sums.HotL, one.Sums.KettleL)
			}
		}
	}
}
