package cooling_test

import (
	"math"
	"testing"

	"fleece.example/tubside/cooling"
)

// NIST Statistical Reference Datasets, nonlinear regression, Misra1a:
// y = b1·(1-exp(-b2·x)), certified to eleven digits. It is a cooling curve read
// upside down: the start 0 known, the room b1 and the rate b2 not.
const (
	misraB1, misraSD1 = 2.3894212918e+02, 2.7070075241e+00
	misraB2, misraSD2 = 5.5015643181e-04, 7.2668688436e-06
	misraRSS          = 1.2455138894e-01
	misraDF           = 12
)

func misra(t testing.TB) (points []cooling.Reading) {
	data := published(t, "nist-misra1a.csv")
	for i, x := range data["x"] {
		points = append(points, cooling.Reading{AtMin: x, TempC: data["y"][i]})
	}
	return points
}

// digits is to how many significant digits got agrees with want.
func digits(got, want float64) float64 {
	if got == want {
		return 16
	}
	return -math.Log10(math.Abs(got-want) / math.Abs(want))
}

// From the rates of both published starts, (500, 0.0001) and (250, 0.0005), and
// from none. The published b1 is not asked for: given the rate it follows.
func TestSeriesAgainstCertifiedFit(t *testing.T) {
	points := misra(t)
	for _, guess := range []float64{0.0001, 0.0005, 0, 1e-7, 0.5} {
		f, err := cooling.FitSeries(points, cooling.SeriesOptions{RoomFree: true, RateGuessPerMin: guess})
		if err != nil {
			t.Errorf("from %v: %v", guess, err)
			continue
		}
		if f.DF != misraDF || f.Points != misraDF+2 || f.StartSDC != 0 || f.StartC != 0 {
			t.Errorf("from %v: %+v", guess, f)
		}
		for _, row := range []struct {
			what      string
			got, want float64
		}{
			{"b1", f.RoomC, misraB1}, {"b2", f.RatePerMin, misraB2},
			{"sd of b1", f.RoomSDC, misraSD1}, {"sd of b2", f.RateSDPerMin, misraSD2},
			{"residual sum of squares", f.RSS, misraRSS},
		} {
			d := digits(row.got, row.want)
			t.Logf("from %-6v %-24s %.11e, %.1f digits", guess, row.what, row.got, d)
			if d < 9.5 {
				t.Errorf("from %v, %s: got %.11e, want %.11e: %.1f digits", guess, row.what, row.got, row.want, d)
			}
		}
	}
}

// Undamped Gauss-Newton on both parameters, which the fit avoids. From the far
// published start (500, 0.0001) its first step lands at a room thousands of
// degrees below zero with a sum of squares a thousand times greater; it comes
// back, by luck. With a rate ten times less it does not.
func TestPlainGaussNewtonOnTheSame(t *testing.T) {
	points := misra(t)
	squares := func(b1, b2 float64) (sum float64) {
		for _, p := range points {
			miss := p.TempC - b1*-math.Expm1(-b2*p.AtMin)
			sum += miss * miss
		}
		return sum
	}
	gaussNewton := func(b1, b2 float64) (worse float64, ok bool) {
		from := squares(b1, b2)
		for range 200 {
			var a11, a12, a22, g1, g2 float64
			for _, p := range points {
				left := math.Exp(-b2 * p.AtMin)
				miss := p.TempC - b1*(1-left)
				j1, j2 := 1-left, b1*p.AtMin*left
				a11, a12, a22 = a11+j1*j1, a12+j1*j2, a22+j2*j2
				g1, g2 = g1+j1*miss, g2+j2*miss
			}
			det := a11*a22 - a12*a12
			d1, d2 := (a22*g1-a12*g2)/det, (a11*g2-a12*g1)/det
			b1, b2 = b1+d1, b2+d2
			worse = max(worse, squares(b1, b2)/from)
			if math.Abs(d2) < 1e-13 {
				return worse, digits(b1, misraB1) > 8 && digits(b2, misraB2) > 8
			}
		}
		return worse, false
	}
	for _, row := range []struct {
		b1, b2 float64
		want   bool
	}{{250, 0.0005, true}, {500, 0.0001, true}, {500, 0.00001, false}} {
		worse, ok := gaussNewton(row.b1, row.b2)
		t.Logf("from (%v, %v): arrives %v; the sum of squares rose to %.3g of where it began", row.b1, row.b2, ok, worse)
		if ok != row.want {
			t.Errorf("from (%v, %v): arrives %v", row.b1, row.b2, ok)
		}
		f, err := cooling.FitSeries(points, cooling.SeriesOptions{RoomFree: true, RateGuessPerMin: row.b2})
		if err != nil || digits(f.RoomC, misraB1) < 9.5 {
			t.Errorf("ours from %v: %+v, %v", row.b2, f, err)
		}
	}
}
