package cooling_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"fleece.example/tubside/cooling"
	"fleece.example/tubside/session/must"
	"gonum.org/v1/gonum/diff/fd"
	"gonum.org/v1/gonum/integrate/quad"
	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/optimize"
	"pgregory.net/rapid"
)

// tiltedBath is the bath of washBath with losses that fall with the
// temperature: open, then covered.
func tiltedBath() cooling.Bath {
	b := washBath()
	b.LossAtC, b.LossTilt = 57, 0.015
	for i := range b.Changes {
		b.Changes[i].LossAtC = 57
		b.Changes[i].LossTilt = map[bool]float64{true: 0.015, false: 0.005}[b.Changes[i].LossWPerK > 3]
	}
	return b
}

// posterior is half the sum of squares that Fit makes least, in prior standard
// deviations from the prior, written from a bath's temperatures alone.
type posterior struct {
	bath      cooling.Bath
	readings  []cooling.Reading
	readingSD float64
}

func (p posterior) at(x []float64) cooling.Fitted {
	return scaledTruth(p.bath, p.bath.StartC+p.bath.StartSDC*x[0], math.Exp(p.bath.LossSDLog*x[1]))
}

// scaledTruth scales the losses of the changes too.
func scaledTruth(b cooling.Bath, startC, lossScale float64) cooling.Fitted {
	b.Changes = append([]cooling.Change(nil), b.Changes...)
	for i := range b.Changes {
		b.Changes[i].LossWPerK *= lossScale
	}
	return truthOf(b, startC, lossScale)
}

func (p posterior) cost(x []float64) float64 {
	sum := (x[0]*x[0] + x[1]*x[1]) / 2
	f := p.at(x)
	for _, r := range p.readings {
		tempC, _ := f.At(r.AtMin)
		miss := (tempC - r.TempC) / p.readingSD
		sum += miss * miss / 2
	}
	return sum
}

// slope of a temperature by both parameters, by differences of high order.
func (p posterior) slope(x []float64, minute float64) (byStart, byLog float64) {
	grad := fd.Gradient(nil, func(x []float64) float64 {
		tempC, _ := p.at(x).At(minute)
		return tempC
	}, x, &fd.Settings{Formula: fifthPoint, Step: 1e-3})
	return grad[0], grad[1]
}

// fifthPoint is the central difference of fourth order.
var fifthPoint = fd.Formula{
	Stencil:    []fd.Point{{Loc: -2, Coeff: 1.0 / 12}, {Loc: -1, Coeff: -2.0 / 3}, {Loc: 1, Coeff: 2.0 / 3}, {Loc: 2, Coeff: -1.0 / 12}},
	Derivative: 1, Step: 1e-3,
}

func (p posterior) problem() optimize.Problem {
	return optimize.Problem{
		Func: p.cost,
		Grad: func(grad, x []float64) {
			grad[0], grad[1] = x[0], x[1]
			f := p.at(x)
			for _, r := range p.readings {
				tempC, _ := f.At(r.AtMin)
				a, b := p.slope(x, r.AtMin)
				miss := (tempC - r.TempC) / p.readingSD / p.readingSD
				grad[0] += miss * a
				grad[1] += miss * b
			}
		},
		Hess: func(hess *mat.SymDense, x []float64) {
			hess.Zero()
			hess.SetSym(0, 0, 1)
			hess.SetSym(1, 1, 1)
			for _, r := range p.readings {
				a, b := p.slope(x, r.AtMin)
				hess.SymRankOne(hess, 1/p.readingSD/p.readingSD, mat.NewVecDense(2, []float64{a, b}))
			}
		},
	}
}

// The optimum against gonum's general optimiser on the same posterior, and the
// deviations against the inverse of its Hessian.
func TestFitAgainstGeneralOptimiser(t *testing.T) {
	random := rand.New(rand.NewPCG(1, 2))
	for i := range 20 {
		b := washBath()
		if i%2 == 1 {
			b = tiltedBath()
		}
		truth := scaledTruth(b, 65+random.NormFloat64(), math.Exp(0.3*random.NormFloat64()))
		p := posterior{bath: b, readingSD: 0.5}
		for m := 2.0; m < 50; m += 3 + 10*random.Float64() {
			tempC, _ := truth.At(m)
			p.readings = append(p.readings, cooling.Reading{AtMin: m, TempC: tempC + 0.5*random.NormFloat64()})
		}
		best, err := optimize.Minimize(p.problem(), []float64{0, 0}, &optimize.Settings{GradientThreshold: 1e-10}, &optimize.Newton{})
		if best == nil {
			t.Fatal(err)
		}
		f := b.Fit(p.readings, p.readingSD)
		near(t, "start", f.StartC()/(b.StartC+b.StartSDC*best.X[0]), 1, 1e-8)
		near(t, "loss scale", f.LossScale()/math.Exp(b.LossSDLog*best.X[1]), 1, 1e-8)
		hess := mat.NewSymDense(2, nil)
		p.problem().Hess(hess, best.X)
		var inverse mat.Dense
		must.Do(t, inverse.Inverse(hess))
		near(t, "start, sd", f.StartSDC()/(b.StartSDC*math.Sqrt(inverse.At(0, 0))), 1, 1e-8)
		near(t, "loss, sd of ln", f.LossSDLog()/(b.LossSDLog*math.Sqrt(inverse.At(1, 1))), 1, 1e-8)
	}
}

// When a tilted bath crosses, against the integral of dT/(dT/dt) by gonum's
// Gauss-Legendre quadrature.
func TestTiltedCrossingAgainstQuadrature(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := cooling.Bath{
			RoomC: rapid.Float64Range(5, 30).Draw(t, "room"), HeatJPerK: 33500,
			StartC:    rapid.Float64Range(55, 80).Draw(t, "start"),
			LossWPerK: rapid.Float64Range(1, 10).Draw(t, "loss"),
			LossAtC:   57, LossTilt: rapid.Float64Range(0, 0.03).Draw(t, "tilt"),
		}
		target := rapid.Float64Range(35, 54).Draw(t, "target")
		// A tenth of the loss is left at the room in any case.
		tilt := min(b.LossTilt, 0.9/(b.LossAtC-b.RoomC))
		want := quad.Fixed(func(c float64) float64 {
			return b.HeatJPerK / 60 / (b.LossWPerK * (1 + tilt*(c-b.LossAtC)) * (c - b.RoomC))
		}, target, b.StartC, 60, quad.Legendre{}, 0)
		f := b.Fit(nil, 0)
		got := f.Crossing(target, 0).LikelyMin
		near(t, "crossing", got/want, 1, 1e-8)
		tempC, _ := f.At(want)
		near(t, "temperature then", tempC/target, 1, 1e-8)
	})
}

// The posterior's middle against moments by quadrature: the fit is the mode,
// which for readings this good is the mean to a small part of a deviation.
func TestPosteriorAgainstQuadrature(t *testing.T) {
	b := tiltedBath()
	b.StartSDC = 0 // one dimension to integrate over
	truth := scaledTruth(b, 65, 1.2)
	p := posterior{bath: b, readingSD: 0.5}
	for m := 4.0; m < 40; m += 4 {
		tempC, _ := truth.At(m)
		p.readings = append(p.readings, cooling.Reading{AtMin: m, TempC: tempC})
	}
	f := b.Fit(p.readings, p.readingSD)
	mode := math.Log(f.LossScale()) / b.LossSDLog
	weight := func(x float64) float64 { return math.Exp(p.cost([]float64{0, mode}) - p.cost([]float64{0, x})) }
	low, high := mode-10*f.LossSDLog()/b.LossSDLog, mode+10*f.LossSDLog()/b.LossSDLog
	total := quad.Fixed(weight, low, high, 200, quad.Legendre{}, 0)
	mean := quad.Fixed(func(x float64) float64 { return x * weight(x) }, low, high, 200, quad.Legendre{}, 0) / total
	variance := quad.Fixed(func(x float64) float64 { return (x - mean) * (x - mean) * weight(x) }, low, high, 200, quad.Legendre{}, 0) / total
	t.Logf("mean of ln scale %.5f, mode %.5f; sd %.5f, linearised %.5f", mean*b.LossSDLog, math.Log(f.LossScale()), math.Sqrt(variance)*b.LossSDLog, f.LossSDLog())
	near(t, "mean of ln scale, in deviations", (mean-mode)*b.LossSDLog/f.LossSDLog(), 0, 0.1)
	near(t, "sd of ln scale", math.Sqrt(variance)*b.LossSDLog/f.LossSDLog(), 1, 0.02)
}

// The exact steps of a tilted bath against many small ones of the plain law,
// through its changes, and the error bars against differences.
func TestTiltedBathAgainstSmallSteps(t *testing.T) {
	b := tiltedBath()
	tempC, heat, now := b.StartC, b.HeatJPerK, 0.0
	loss, tilt := b.LossWPerK, b.LossTilt
	changes := b.Changes
	f := b.Fit(nil, 0)
	const steps = 200
	speed := func(c float64) float64 { return -60 * loss * (1 + tilt*(c-57)) * (c - b.RoomC) / heat }
	for minute := 1.0; minute <= 60; minute++ {
		for range steps { // fourth-order Runge-Kutta
			h := 1.0 / steps
			k1 := speed(tempC)
			k2 := speed(tempC + h/2*k1)
			k3 := speed(tempC + h/2*k2)
			k4 := speed(tempC + h*k3)
			tempC += h / 6 * (k1 + 2*k2 + 2*k3 + k4)
		}
		now = minute
		for len(changes) > 0 && changes[0].AtMin <= now {
			c := changes[0]
			heat -= c.RemoveJPerK
			if c.AddJPerK > 0 {
				tempC = (heat*tempC + c.AddJPerK*c.AddC) / (heat + c.AddJPerK)
				heat += c.AddJPerK
			}
			if c.LossWPerK > 0 {
				loss, tilt = c.LossWPerK, c.LossTilt
			}
			changes = changes[1:]
		}
		got, sd := f.At(now)
		near(t, "temperature", got, tempC, 1e-8)
		p := posterior{bath: b, readingSD: 1}
		byStart, byLog := p.slope([]float64{0, 0}, now)
		near(t, "sd", sd, math.Hypot(byStart, byLog), 1e-8)
	}
}

// A tilt in a bath at or below its room changes nothing and breaks nothing.
func TestTiltNearTheRoom(t *testing.T) {
	b := cooling.Bath{RoomC: 20, StartC: 10, HeatJPerK: 33500, LossWPerK: 4, LossAtC: 57, LossTilt: 0.015, LossSDLog: 0.3}
	last := 10.0
	for m := 0.0; m < 2000; m += 50 {
		tempC, _ := b.Fit(nil, 0).At(m)
		if tempC < last || tempC > 20 {
			t.Fatalf("warming, %v °C at %v min after %v", tempC, m, last)
		}
		last = tempC
	}
	b.StartC = 65
	b.LossAtC, b.LossTilt = 20, 0.02 // nothing above the room to tilt over
	plain := b
	plain.LossTilt = 0
	if b.Fit(nil, 0).Crossing(49, 0) != plain.Fit(nil, 0).Crossing(49, 0) {
		t.Error("a tilt about the room's own temperature counts")
	}
	if cooling.LossTilt(bucket, 8, cooling.Open, 30, 20) != 0 || cooling.LossTilt(bucket, -1, cooling.Open, 57, 20) != 0 || cooling.LossTilt(bucket, 8, cooling.Open, math.NaN(), 20) != 0 {
		t.Error("a tilt where there is none")
	}
}
