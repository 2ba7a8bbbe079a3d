package compare

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"
)

// The worked example of the NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.2: the
// flow rate of ten batches, and what it prints of them.
func TestIndividualsAsPublished(t *testing.T) {
	flow := []float64{49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1}
	c := ChartOf(flow, true)
	for _, x := range []struct {
		what      string
		got, want float64
	}{{"centre line", c.Mean, 50.81}, {"mean moving range", c.StepMean, 1.8778}, {"upper limit", c.High, 55.8041}, {"lower limit", c.Low, 45.8159}} {
		if math.Abs(x.got-x.want) > 0.00006 {
			t.Errorf("%s is %.5f, published %.4f", x.what, x.got, x.want)
		}
	}
	for i, unusual := range c.Unusual {
		if unusual {
			t.Errorf("batch %d is called unusual; published: none", i+1)
		}
	}
	if few := ChartOf(flow[:FewestForLimits-1], true); few.HasLimits {
		t.Errorf("%d figures have limits, %d are needed", len(few.V), FewestForLimits)
	}
}

// Worked out by hand: thirteen figures that take turns at 9 and 11 about 10, and one of 20.
func TestUnusualByHand(t *testing.T) {
	v := []float64{9, 11, 9, 11, 9, 11, 9, 11, 9, 11, 9, 11, 20}
	c := ChartOf(v, true) // mean 140/13, steps 11 of 2 and one of 9: 31/12
	half := 3 / 1.128 * 31 / 12
	if math.Abs(c.Mean-140.0/13) > 1e-9 || math.Abs(c.High-(140.0/13+half)) > 1e-9 || math.Abs(c.Low-(140.0/13-half)) > 1e-9 {
		t.Errorf("mean %v, limits %v to %v", c.Mean, c.Low, c.High)
	}
	for i, unusual := range c.Unusual {
		if unusual != (i == 12) {
			t.Errorf("figure %d unusual: %v", i+1, unusual)
		}
	}
	if c.Shift != 0 {
		t.Errorf("a run of %d", c.Shift)
	}
	// Twelve about 10, then eight about 14: all of these lie over the mean of 11.6.
	v = []float64{9, 11, 9, 11, 9, 11, 9, 11, 9, 11, 9, 11, 13, 15, 13, 15, 13, 15, 13, 15}
	if c = ChartOf(v, true); c.Shift != 8 || math.Abs(c.ShiftBy-4) > 1e-9 {
		t.Errorf("a run of %d that lies %v higher, not of 8 by 4", c.Shift, c.ShiftBy)
	}
	if c = ChartOf(v[:19], true); c.Shift != 0 {
		t.Errorf("seven in a row are a run of %d", c.Shift)
	}
	for name, c := range map[string]Chart{"all alike": ChartOf(make([]float64, 20), true), "lopsided": ChartOf(v, false), "nothing": ChartOf(nil, true)} {
		if c.HasLimits || c.Shift != 0 {
			t.Errorf("%s: limits %v to %v", name, c.Low, c.High)
		}
	}
}

// TestFalseAlarms lives many charts in which nothing changes. -v prints the table of the
// package comment.
func TestFalseAlarms(t *testing.T) {
	const seed, charts = 20261129, 4000
	r := rand.New(rand.NewPCG(seed, 0))
	t.Logf("seed %d, %d charts a row: share of charts with a figure beyond the limits; with a run of %d at the end", seed, charts, runOf)
	kinds := []struct {
		name string
		rho  float64
		of   func() float64
	}{
		{"normal", 0, r.NormFloat64},
		{"each like the one before, 0.3", 0.3, r.NormFloat64},
		{"each like the one before, 0.6", 0.6, r.NormFloat64},
		{"exponential, as waits", 0, r.ExpFloat64},
	}
	share := map[string][2]float64{}
	for _, k := range kinds {
		for _, n := range []int{8, 12, 20, 50, 100} {
			beyond, runs := 0, 0
			for range charts {
				if c := ChartOf(inControl(n, k.rho, k.of), true); anyUnusual(c) {
					beyond++
				} else if c.Shift > 0 {
					runs++
				}
			}
			share[fmt.Sprint(k.name, n)] = [2]float64{float64(beyond) / charts, float64(runs) / charts}
			t.Logf("%-32s %3d figures %5.1f %% %5.1f %%", k.name, n, 100*float64(beyond)/charts, 100*float64(runs)/charts)
		}
	}
	for _, n := range []int{8, 12, 20, 50, 100} {
		got, said := share[fmt.Sprint("normal", n)], Chart{V: make([]float64, n)}.ByChance()
		if math.Abs(got[0]-said) > 0.02 || got[1] > 0.01 {
			t.Errorf("of %d figures %.3f of the charts call one unusual and %.3f tell of a run; it is said to be %.3f and no run", n, got[0], got[1], said)
		}
		if got, said := share[fmt.Sprint("each like the one before, 0.6", n)], (Chart{V: make([]float64, n)}).ByDrift(); math.Abs(got[0]-said) > 0.005 {
			t.Errorf("of %d figures that take after each other %.3f of the charts call one unusual, and %.3f are said", n, got[0], said)
		}
	}
	for _, n := range []int{12, 20, 50} {
		found, only := 0, 0
		for range charts {
			v := inControl(n, 0, r.NormFloat64)
			for i := n - 8; i < n; i++ {
				v[i] += 1.5
			}
			c := ChartOf(v, true)
			if anyUnusual(c) {
				found++
			} else if c.Shift > 0 {
				only++
			}
		}
		if n >= 20 && only < charts/15 {
			t.Errorf("the run tells %d of %d changes alone: it is not worth its place", only, charts)
		}
		t.Logf("the last 8 of %3d higher by 1.5 sd: beyond the limits in %4.1f %%, the run alone tells it in %4.1f %%", n, 100*float64(found)/charts, 100*float64(only)/charts)
	}
}

// inControl are n figures with mean 0 and deviation 1 of which each takes after the one
// before.
func inControl(n int, rho float64, of func() float64) []float64 {
	v := make([]float64, n)
	for i := range v {
		v[i] = of()
		if i > 0 {
			v[i] = rho*v[i-1] + math.Sqrt(1-rho*rho)*v[i]
		}
	}
	return v
}

func anyUnusual(c Chart) bool {
	for _, u := range c.Unusual {
		if u {
			return true
		}
	}
	return false
}
