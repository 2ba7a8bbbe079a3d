package yield

import "math"

// dryFit is the normal posterior of resting weight and water for one law.
type dryFit struct {
	log, weight          float64 // log of its weight; its weight by that of the likeliest
	square               float64 // squared deviations of weighings and priors, in standard deviations
	law                  law
	tau                  float64
	restG, restSD        float64
	strays               float64 // what it then weighs, by its room: a standard deviation by it
	waterG, waterPerRest float64 // water when it began to dry, and how it goes with the resting weight
	over                 float64 // what was left at the last weighing beyond FreePart, in standard deviations
}

// fits solves the laws over a grid. tau is gone through coarsely and then finely
// where its weight lies: many weighings pin it to a per cent.
func (d drying) fits() []dryFit {
	const fine = 13
	air := wanders
	if len(d.ws) == 0 { // nothing has strayed
		air = wanders[:1]
	}
	out := make([]dryFit, 0, len(d.priors)*len(laws)*len(air)*fine)
	rooms := make([]straying, len(air))
	for i, w := range air {
		rooms[i] = d.under(w, d.likelyG)
	}
	h := make([]float64, len(d.ws))
	known := map[float64][]float64{} // what is left by a law at each weighing; the rooms look at much the same time constants
	for j, l := range laws {
		clear(known)
		for i, w := range air {
			strays := w.alone()
			at := func(off, width float64, to []dryFit) []dryFit {
				tau := usualTauMin * math.Exp(tauLogSD*off)
				left := known[off]
				if left == nil {
					left = l.leftAt(d.ws, tau)
					known[off] = left
				}
				law, t := lawAt(&d.law[j], off), rooms[i].through(left, h)
				for _, prior := range d.priors {
					fit := d.given(t, prior, law, w.weight*width)
					fit.law, fit.tau, fit.strays = l, tau, strays
					to = append(to, fit)
				}
				return to
			}
			var tried [2]dryFit
			low, high := narrow(func(off float64) (top float64) {
				top = math.Inf(-1)
				for _, fit := range at(off, 1, tried[:0]) {
					top = max(top, fit.log)
				}
				return top
			})
			width := (high - low) / (fine - 1)
			for i := range fine {
				out = at(low+float64(i)*width, width, out)
			}
		}
	}
	for i := range out {
		f := &out[i]
		inside := math.Log(max(normals{{1, f.restG, f.restSD}}.between(d.leastG, d.mostG), 1e-300))
		f.log += inside
		f.square -= 2 * inside
	}
	return out
}

// narrow returns the stretch of the line around nothing in which log stays near its top,
// looking again as long as that makes it much shorter.
func narrow(log func(float64) float64) (low, high float64) {
	const sigmas, steps, depth, looks = 3.5, 13, 9.0, 4
	low, high = -sigmas, sigmas
	var logs [steps]float64
	for range looks {
		width, top := (high-low)/(steps-1), math.Inf(-1)
		for i := range logs {
			logs[i] = log(low + float64(i)*width)
			top = max(top, logs[i])
		}
		first, last := steps, 0
		for i, l := range logs {
			if l >= top-depth {
				first, last = min(first, i), i
			}
		}
		if first > 0 || last < steps-1 {
			low, high = low+float64(max(first-1, 0))*width, low+float64(min(last+1, steps-1))*width
		}
		if last-first > steps/2 {
			break
		}
	}
	return low, high
}

// given solves mass = rest + water·h(t) + straying for a fixed h, both unknowns
// counted from their prior means and in prior deviations, so that the two-by-two
// system is well conditioned.
func (d drying) given(t through, prior restPrior, law shared, weight float64) dryFit {
	waterG, waterSDG, restG := law.water*prior.restG, law.waterSD*prior.restG, prior.restG-d.likelyG
	a, b, c := 1+prior.sdG*prior.sdG*t.one2, prior.sdG*waterSDG*t.h1, 1+waterSDG*waterSDG*t.hh // precision matrix
	p := prior.sdG * (t.onG - restG*t.one2 - waterG*t.h1)
	q := waterSDG * (t.hm - restG*t.h1 - waterG*t.hh)
	square := t.mass2 + restG*(restG*t.one2-2*t.onG) + waterG*(waterG*t.hh+2*(restG*t.h1-t.hm))
	det := a*c - b*b
	u, w := (c*p-b*q)/det, (a*q-b*p)/det
	square = max(square-u*p-w*q, 0)
	fit := dryFit{
		square: square, log: law.log + math.Log(prior.weight*weight/math.Sqrt(det)) - (square+t.logDet)/2,
		restG: prior.restG + prior.sdG*u, restSD: prior.sdG * math.Sqrt(c/det),
		waterG: waterG + waterSDG*w, waterPerRest: -b / c * waterSDG / prior.sdG, over: math.Inf(1),
	}
	if len(d.ws) > 0 {
		x, y := t.last*waterSDG, FreePart*prior.sdG
		fit.over = (t.last*fit.waterG - FreePart*fit.restG) / math.Sqrt((x*x*a+y*y*c+2*x*y*b)/det)
	}
	return fit
}

// likely gives the fits their weights and leaves out those that are negligible.
func likely(fits []dryFit) []dryFit {
	const negligible = 1e-4
	top := math.Inf(-1)
	for _, fit := range fits {
		top = max(top, fit.log)
	}
	out := fits[:0]
	for _, fit := range fits {
		if fit.weight = math.Exp(fit.log - top); fit.weight >= negligible {
			out = append(out, fit)
		}
	}
	return out
}

// rests is what the scale will show once it is dry: its air and the scale's last place come in.
func (d *drying) rests(fits []dryFit) Interval {
	var rest normals
	for _, fit := range fits {
		shown := math.Hypot(fit.strays*fit.restG, d.stepG*math.Hypot(shakyPart, roundedPart))
		rest.add(fit.weight, fit.restG, math.Hypot(fit.restSD, shown))
	}
	heaviestG := d.lastG
	for _, w := range d.ws {
		if d.nearly(w) {
			heaviestG = max(heaviestG, w.MassG)
		}
	}
	// What weighed more would count as wet again.
	r := rest.interval(d.leastG, min(d.mostG*(1+dampRise), Dampened(heaviestG, d.stepG)))
	r.Likely = min(r.Likely, d.lastG) // what dries does not gain
	r.Low = min(r.Low, r.Likely)
	return r
}

// freeRisk is how likely more than FreePart was left at the last weighing.
func freeRisk(fits []dryFit) float64 {
	risk, total := 0.0, 0.0
	for _, fit := range fits {
		risk, total = risk+fit.weight*math.Erfc(-fit.over/math.Sqrt2)/2, total+fit.weight
	}
	return min(risk/total, 1)
}
