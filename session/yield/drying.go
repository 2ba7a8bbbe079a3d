package yield

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"
)

// Weighing is a batch on the rack: minutes since any fixed moment, and grams.
type Weighing struct {
	AtMin float64 `json:"at_min"`
	MassG float64 `json:"mass_g"`
}

// Moment is a weighing at a point in time.
type Moment struct {
	At    time.Time
	MassG float64
}

// Since turns moments into weighings, minutes since from.
func Since(from time.Time, moments []Moment) []Weighing {
	out := make([]Weighing, len(moments))
	for i, m := range moments {
		out[i] = Weighing{m.At.Sub(from).Minutes(), m.MassG}
	}
	return out
}

// Rack is what is known of a batch that dries.
type Rack struct {
	RawG  float64 `json:"raw_g,omitempty"`  // its raw mass; 0 when not known
	Type  string  `json:"type,omitempty"`   // its type, for the usual yield; "" when not known
	StepG float64 `json:"step_g,omitempty"` // the scale's step; 0 means 1 g
	// LainMin is how long it had dried before its first weighing, minutes.
	LainMin float64 `json:"lain_min,omitempty"`
	// Yield is what the fleece is forecast to give, in place of the type's usual
	// range; zero when not known.
	Yield Interval `json:"yield,omitzero"`
	// Beside are the other batches of the day: what they weighed says how fast this one
	// dries too.
	Beside []Beside `json:"-"`
}

// The rule by which a batch counts as dry: two weighings at least DryApartMin
// apart that differ by no more than the larger of the scale's step and DryPart
// of the mass, and a forecast resting weight within RestPart of the last.
const (
	DryApartMin = 120
	DryPart     = 0.005
	RestPart    = 0.01
)

// DryRule is the rule in words.
const DryRule = "dry: two weighings at least 2 h apart that differ by no more than the scale's step or 0.5 %, whichever is more, and a forecast resting weight within 1 % of the last"

// Before any weighing. Times: common practice, no source (a batch takes from half
// a day to three days). Water: hand squeezed 100-200 % of the dry mass, spun
// 35-50 % (from memory).
const (
	usualTauMin   = 300 // median of the time constant
	tauLogSD      = 0.7
	usualWater    = 0.9 // water to lose, by the resting weight
	usualWaterSD  = 0.6
	mostWeighings = 1000
	mostDryMin    = 60 * 24 * 60 // times are shown no further
	mostLainMin   = 50 * 365 * 24 * 60
	unknownCut    = 6 // without a raw mass: the least resting weight is the lightest weighing by this
)

// What drying fleece does not do (our judgement, no source).
const (
	LeastOfUsual = 0.8  // rest at less than this part of the least its type usually gives
	dampRise     = 0.05 // take up more than this part of its weight from damp air: then it got wet
	// oddBase and oddEach for each weighing bound the squared deviations of those
	// that go together: ten deviations and five. An unusual room stays far inside.
	oddBase, oddEach = 100.0, 25.0
)

// SameG is the heaviest weight that counts as the same as one of massG on a scale
// with steps of stepG, in grams: the part of the dry rule that two weighings tell.
func SameG(massG, stepG float64) float64 { return massG + max(stepG, DryPart*massG)*(1+1e-9) }

// Dampened is the weight above which a drying batch has got wet, grams, or is
// another one: what damp air gives it is less.
func Dampened(lastG, stepG float64) float64 { return lastG*(1+dampRise) + 2*stepG }

// Wet wool may dry steadily at first and exponentially only below some part of
// its water; how large a part, and how restless the room is, nobody knows
// beforehand (our judgement, no source). A drift is a standard deviation by the
// resting weight: one per cent of humidity takes 0.23 % of wool's weight along
// (isotherm at 55 %, drying), so these rooms wander by about 0.7, 2 and 5 %.
var (
	falling = []sample{{1, 0.35}, {0.75, 0.15}, {0.5, 0.2}, {0.35, 0.15}, {0.2, 0.15}}
	drifts  = []sample{{0.0015, 0.3}, {0.004, 0.4}, {0.012, 0.3}}
)

// DryForecast says where a drying batch will come to rest, and when.
type DryForecast struct {
	RestingG    Interval `json:"resting_g"`      // 90 % interval
	TauMin      Interval `json:"tau_min"`        // time in which the water left falls to 37 %
	DryAtMin    Interval `json:"dry_at_min"`     // within RestPart of rest, and so slow that the rule can hold; on the weighings' clock
	WeighNextAt float64  `json:"weigh_next_min"` // on the weighings' clock
	Dry         bool     `json:"dry"`            // the rule holds
	Rising      bool     `json:"rising"`         // it takes up moisture: it was drier than the room
	WetAgain    bool     `json:"wet_again"`      // it gained more than damp air gives it: it got wet, or is another batch
	Remarks     []string `json:"remarks"`
}

// The least that a scale shows of fleece, g, and its finest step: less is a slip,
// and figures below it no longer divide well.
const (
	leastG     = 0.1
	leastStepG = 0.001
)

// ForecastDrying fits the drying law to the weighings of one batch, each rounded to
// the scale's step and taken in a room whose humidity wanders a little: mass =
// rest + water·h(t), where h falls steadily down to some part and then
// exponentially with the time constant tau (from the start, if that part is all).
// Without a weighing the batch dries as such batches do, from minute 0; its raw mass
// has to be known. Given h the law is linear and normal in rest and water and solved exactly;
// tau, the part, the restlessness of the room and whether the fleece is usual for
// its type are integrated over.
func ForecastDrying(ws []Weighing, rack Rack, show Show) (DryForecast, error) {
	d, err := newDrying(ws, rack, show)
	if err != nil {
		return DryForecast{}, err
	}
	f := DryForecast{Remarks: []string{}}
	d.law = lawBeside(rack.Beside)
	if d.again { // as wet as it got, which the others did not
		d.law = beforeWeighing()
	}
	fits := d.fits()
	logs, odd := make([]float64, len(fits)), math.Inf(1)
	for i, fit := range fits {
		inside := math.Log(max(normals{{1, fit.restG, fit.restSD}}.between(d.leastG, d.mostG), 1e-300))
		logs[i] = fit.log + inside
		odd = min(odd, fit.square-2*inside)
	}
	if odd > oddBase+oddEach*float64(len(d.ws)) {
		return DryForecast{}, fmt.Errorf("these weights do not go together, so nothing follows from them: %s", d.listed(show))
	}
	const restNodes, negligible = 5, 1e-4
	var rest normals
	var taus, dryAt []sample
	for i, w := range expAll(logs) {
		fit := fits[i]
		if w < negligible {
			continue
		}
		rest.add(w, fit.restG, fit.restSD)
		taus = append(taus, sample{fit.tau, w})
		for j := range restNodes {
			off := math.Sqrt2 * math.Erfinv(2*(float64(j)+0.5)/restNodes-1)
			g := min(max(fit.restG+off*fit.restSD, d.leastG), d.mostG)
			water := fit.waterG + fit.waterPerRest*(g-fit.restG)
			dryAt = append(dryAt, sample{d.firstMin + d.minutesToDry(g, water, fit.tau, fit.part), w})
		}
	}
	f.RestingG = rest.interval(d.leastG, d.mostG)
	f.RestingG.Likely = min(f.RestingG.Likely, d.lastG) // what dries does not gain
	f.RestingG.Low = min(f.RestingG.Low, f.RestingG.Likely)
	q := quantiles(taus, 0.05, 0.5, 0.95)
	f.TauMin = Interval{q[0], q[1], q[2]}
	q = quantiles(dryAt, 0.05, 0.5, 0.95)
	f.DryAtMin = Interval{q[0], q[1], q[2]}
	f.judge(d)
	return f, nil
}

// drying is the weighings in order with what is known beforehand.
type drying struct {
	ws       []Weighing // AtMin counted from firstMin
	same     []float64  // how many weighings read the same
	firstMin float64    // when it began to dry
	again    bool       // it got wet after it had dried
	stepG    float64
	priors   []restPrior
	leastG   float64 // the resting weight lies between
	mostG    float64
	likelyG  float64 // for the drift
	lastG    float64 // it rests at no more
	law      [][tableSteps]shared
}

// restPrior is what the resting weight may be before any weighing.
type restPrior struct{ weight, restG, sdG float64 }

func newDrying(ws []Weighing, rack Rack, show Show) (drying, error) {
	d := drying{stepG: rack.StepG}
	if len(ws) == 0 && rack.RawG == 0 {
		return d, errors.New("the batch has not been weighed since it went on the rack: weigh it")
	}
	if len(ws) > mostWeighings {
		return d, fmt.Errorf("%d weighings of one batch are more than can be (%d)", len(ws), mostWeighings)
	}
	if d.stepG == 0 {
		d.stepG = usualStepG
	}
	if !(d.stepG >= leastStepG && d.stepG <= 1000) {
		return d, fmt.Errorf("a scale's step of %g g cannot be: give one such as 1", d.stepG)
	}
	usual, err := Usual(rack.Type)
	if err != nil {
		return d, err
	}
	for _, w := range ws {
		switch {
		case !finite(w.AtMin, w.MassG):
			return d, errors.New("a weighing is not a number: give minutes and grams such as 90, 240")
		case !(w.MassG >= leastG && w.MassG <= mostG):
			return d, fmt.Errorf("a weight of %s on the rack cannot be: it is more than nothing, at least %s", show.mass(w.MassG), show.mass(leastG))
		}
	}
	if !(rack.RawG == 0 || rack.RawG >= leastG && rack.RawG <= mostG) {
		return d, fmt.Errorf("a raw weight of %s cannot be: it is more than nothing", show.mass(rack.RawG))
	}
	d.ws = slices.Clone(ws)
	slices.SortStableFunc(d.ws, func(a, b Weighing) int {
		switch {
		case a.AtMin < b.AtMin:
			return -1
		case a.AtMin > b.AtMin:
			return 1
		}
		return 0
	})
	if !(rack.LainMin >= 0 && rack.LainMin <= mostLainMin) {
		return d, fmt.Errorf("%g minutes on the rack cannot be", rack.LainMin)
	}
	first, last := highestPlain*rack.RawG, highestPlain*rack.RawG // not weighed: the most it can rest at
	if n := len(d.ws); n > 0 {
		d.firstMin = d.ws[0].AtMin - rack.LainMin
		first, last = d.ws[0].MassG, d.ws[n-1].MassG
	}
	for i := range d.ws {
		d.ws[i].AtMin -= d.firstMin
	}
	d.lastG = last
	lightest := last
	for _, w := range d.ws {
		lightest = min(lightest, w.MassG)
	}
	d.likelyG = 0.6 * last
	d.priors = []restPrior{{1, d.likelyG, 0.3 * last}}
	d.leastG, d.mostG = lightest/unknownCut, last*(1+dampRise)
	if rack.RawG > 0 {
		low, high := usual.Low, usual.High
		if y := rack.Yield; y != (Interval{}) {
			if !(y.Low >= 0 && y.Low < y.High && y.High <= 1) {
				return d, fmt.Errorf("a forecast yield of %g to %g %% cannot be: give from 0 to 100 %%, the lower first", 100*y.Low, 100*y.High)
			}
			low, high = y.Low, y.High
		}
		d.priors = []restPrior{
			{1 - anyTypes, rack.RawG * (low + high) / 2, rack.RawG * (high - low) / rangeIsSigmas},
			{anyTypes, rack.RawG * (anyType.Low + anyType.High) / 2, rack.RawG * (anyType.High - anyType.Low) / rangeIsSigmas},
		}
		d.likelyG = min(d.priors[0].restG, last)
		d.leastG = min(LeastOfUsual*min(usual.Low, low)*rack.RawG, lightest)
		d.mostG = min(max(highestPlain*rack.RawG, lightest), last*(1+dampRise))
		if last > 10*rack.RawG || first < rack.RawG/20 {
			return d, fmt.Errorf("%s on the rack does not go with %s raw: is the unit right?", show.mass(last), show.mass(rack.RawG))
		}
	}
	if err := d.wetAgain(rack, show); err != nil {
		return d, err
	}
	d.same = make([]float64, len(d.ws))
	for i, w := range d.ws {
		for _, o := range d.ws {
			if math.Abs(w.MassG-o.MassG) < d.stepG/2 {
				d.same[i]++
			}
		}
	}
	return d, nil
}

// wetAgain begins anew at a weighing far heavier than the one before: it was
// rained on or rinsed again. What came before says where it will rest.
func (d *drying) wetAgain(rack Rack, show Show) error {
	for i := len(d.ws) - 1; i > 0; i-- {
		if d.ws[i].MassG <= Dampened(d.ws[i-1].MassG, d.stepG) {
			continue
		}
		before, err := ForecastDrying(d.ws[:i], rack, show)
		if err != nil {
			return err
		}
		rest, at := before.RestingG, d.ws[i].AtMin
		d.priors = []restPrior{{1, rest.Likely, max((rest.High-rest.Low)/rangeIsSigmas, RestPart*rest.Likely)}}
		d.likelyG = rest.Likely
		d.mostG = min(d.mostG, max(rest.High, d.ws[i-1].MassG)*(1+dampRise))
		d.leastG = min(d.leastG, rest.Low)
		d.ws, d.again = slices.Clone(d.ws[i:]), true
		for j := range d.ws {
			d.ws[j].AtMin -= at
		}
		d.firstMin += at
		return nil
	}
	return nil
}

// listed is the weighings as they would be told: "22 oz, 17 oz 6 min later".
func (d drying) listed(show Show) string {
	parts := make([]string, len(d.ws))
	for i, w := range d.ws {
		parts[i] = show.mass(w.MassG)
		if i > 0 {
			parts[i] += fmt.Sprintf(" %.0f min later", w.AtMin-d.ws[i-1].AtMin)
		}
	}
	return strings.Join(parts[max(0, len(parts)-3):], ", ")
}

// dryFit is the normal posterior of resting weight and water for one law.
type dryFit struct {
	log                  float64 // of its weight
	square               float64 // squared deviations of weighings and priors, in standard deviations
	tau, part            float64
	restG, restSD        float64
	waterG, waterPerRest float64 // water at the first weighing, and how it goes with the resting weight
}

// fits solves the law over a grid. tau is gone through coarsely and then finely
// where its weight lies: many weighings pin it to a per cent.
func (d drying) fits() []dryFit {
	const coarse, fine, sigmas, depth = 25, 25, 3.5, 9.0
	var out []dryFit
	for _, prior := range d.priors {
		for j, part := range falling {
			for _, drift := range drifts {
				base := math.Log(prior.weight * drift.weight)
				at := func(off, width float64) dryFit {
					law := lawAt(&d.law[j], off)
					fit := d.given(usualTauMin*math.Exp(tauLogSD*off), part.value, drift.value, prior, law)
					fit.log += base + law.log + math.Log(width)
					return fit
				}
				low, high := d.narrow(coarse, sigmas, depth, func(off float64) float64 { return at(off, 1).log })
				width := (high - low) / (fine - 1)
				for i := range fine {
					out = append(out, at(low+float64(i)*width, width))
				}
			}
		}
	}
	return out
}

// narrow returns the stretch of the line from -sigmas to sigmas in which log
// stays within depth of its top, searching twice.
func (d drying) narrow(steps int, sigmas, depth float64, log func(float64) float64) (low, high float64) {
	low, high = -sigmas, sigmas
	logs := make([]float64, steps)
	for range 2 {
		width, top := (high-low)/float64(steps-1), math.Inf(-1)
		for i := range logs {
			logs[i] = log(low + float64(i)*width)
			top = max(top, logs[i])
		}
		first := slices.IndexFunc(logs, func(l float64) bool { return l >= top-depth })
		last := first
		for i, l := range logs {
			if l >= top-depth {
				last = i
			}
		}
		low, high = low+float64(max(first-1, 0))*width, low+float64(min(last+1, steps-1))*width
	}
	return low, high
}

// left is h: the part of the water that is left after some minutes.
func left(min, tau, part float64) float64 {
	steady := tau * (1 - part) / part
	if min < steady {
		return 1 - min*part/tau
	}
	return part * math.Exp(-(min-steady)/tau)
}

// given solves mass = rest + water·h(t) + noise for a fixed h, both unknowns
// counted from their prior means and in prior deviations, so that the two-by-two
// system is well conditioned.
func (d drying) given(tau, part, drift float64, prior restPrior, law shared) dryFit {
	waterG, waterSDG := law.water*prior.restG, law.waterSD*prior.restG
	driftG := drift * d.likelyG
	rounding := d.stepG * d.stepG / 12
	// Weighings that read the same while nothing shakes the last place are
	// rounded alike: together they say no more than one. alike is the first
	// harmonic of the rounding error's correlation under normal drift.
	alike := math.Exp(-4 * math.Pi * math.Pi * driftG * driftG / (d.stepG * d.stepG))
	a, b, c := 1.0, 0.0, 1.0 // precision matrix
	p, q, square, logs := 0.0, 0.0, 0.0, 0.0
	for i, w := range d.ws {
		h := left(w.AtMin, tau, part)
		v := driftG*driftG + rounding*(1-alike+alike*d.same[i])
		x, y := prior.sdG, waterSDG*h
		r := w.MassG - prior.restG - waterG*h
		a += x * x / v
		b += x * y / v
		c += y * y / v
		p += x * r / v
		q += y * r / v
		square += r * r / v
		logs += math.Log(v)
	}
	det := a*c - b*b
	u, w := (c*p-b*q)/det, (a*q-b*p)/det
	return dryFit{
		square: square - u*p - w*q, log: -(square - u*p - w*q + math.Log(det) + logs) / 2, tau: tau, part: part,
		restG: prior.restG + prior.sdG*u, restSD: prior.sdG * math.Sqrt(c/det),
		waterG: waterG + waterSDG*w, waterPerRest: -b / c * waterSDG / prior.sdG,
	}
}

// minutesToDry is when the water left is within RestPart of the resting weight
// and what goes in DryApartMin more is within the rule.
func (d drying) minutesToDry(restG, waterG, tau, part float64) float64 {
	waterG = math.Abs(waterG)
	near := RestPart * restG
	slow := max(d.stepG, DryPart*restG) / -math.Expm1(-DryApartMin/tau)
	to := min(near, slow)
	switch {
	case waterG <= to:
		return 0
	case to >= part*waterG: // reached while it still dries steadily
		return min((1-to/waterG)*tau/part, mostDryMin)
	}
	return min(tau*(1-part)/part+tau*math.Log(part*waterG/to), mostDryMin)
}

// ruleHolds is the part of the dry rule that two weighings tell.
func (d drying) ruleHolds() bool {
	last := d.ws[len(d.ws)-1]
	for _, w := range slices.Backward(d.ws[:len(d.ws)-1]) {
		if last.AtMin-w.AtMin >= DryApartMin {
			return max(last.MassG, w.MassG) <= SameG(min(last.MassG, w.MassG), d.stepG)
		}
	}
	return false
}

func (f *DryForecast) judge(d drying) {
	if len(d.ws) == 0 { // sooner there is nothing to learn
		f.WeighNextAt = f.DryAtMin.Low
		return
	}
	last := d.ws[len(d.ws)-1]
	f.Dry = d.ruleHolds() && math.Abs(f.RestingG.Likely-last.MassG) <= RestPart*last.MassG
	wobble := max(2*d.stepG, 0.01*last.MassG)
	f.WetAgain = d.again && len(d.ws) == 1
	f.Rising = f.WetAgain || len(d.ws) > 1 && last.MassG > d.ws[len(d.ws)-2].MassG+wobble
	f.WeighNextAt = max(f.DryAtMin.Likely, d.firstMin+last.AtMin+DryApartMin)
	if f.Rising {
		f.Remarks = append(f.Remarks, "it weighs more than before: it takes up moisture from the room, or got wet; weigh again when the room is steady")
	}
	if len(d.ws) == 1 && !d.again {
		f.Remarks = append(f.Remarks, "one weighing says little: the resting weight is what such batches usually give; weigh again in some hours")
	}
}
