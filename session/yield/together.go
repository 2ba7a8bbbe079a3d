package yield

import "math"

// Beside is another batch of the same day on the same rack, with its weighings on its
// own clock.
type Beside struct {
	Weighings []Weighing
	Rack      Rack    // LainMin too; its own Beside is not looked at
	DryG      float64 // its dry weight, 0 while it dries
}

// Batches of a day were spun by the same hands and dry in the same room. How far they
// still differ from each other nobody published (our judgement): the deviation of the
// time constant, as a logarithm, and of the water, by the resting weight.
const (
	besideTauSD   = 0.25
	besideWaterSD = 0.25
)

// The table of what is shared: time constants by deviations of their prior.
const (
	tableSigmas = 3.6
	tableSteps  = 37
	besideRoom  = 1 // of wanders, the usual one
)

func tableOff(k int) float64 { return tableSigmas * (2*float64(k)/(tableSteps-1) - 1) }

// shared is what a time constant of tableOff deviations has for it, and the water a
// batch then began with, by its resting weight.
type shared struct{ log, water, waterSD float64 }

// beforeWeighing is what is shared where nothing is known, for each of laws.
func beforeWeighing() (table [][tableSteps]shared) {
	table = make([][tableSteps]shared, len(laws))
	for j, law := range laws {
		for k := range table[j] {
			off := tableOff(k)
			table[j][k] = shared{math.Log(law.weight) - off*off/2, usualWater, usualWaterSD}
		}
	}
	return table
}

// lawBeside is beforeWeighing once the batches beside it have been weighed.
func lawBeside(all []Beside) [][tableSteps]shared {
	table := beforeWeighing()
	var told [][][tableSteps]evidence
	for _, b := range all {
		if e, ok := b.evidence(); ok {
			told = append(told, e)
		}
	}
	if len(told) == 0 {
		return table
	}
	commonSD := math.Sqrt(1 - besideTau*besideTau)
	for j, law := range laws {
		var common [tableSteps]shared
		for k := range common {
			e := evidence{}
			for _, t := range told {
				e.add(t[j][k])
			}
			off := tableOff(k) / commonSD
			common[k] = e.shared()
			common[k].log += math.Log(law.weight) - off*off/2
		}
		table[j] = blurred(&common)
		for k := range table[j] {
			table[j][k].waterSD = math.Hypot(table[j][k].waterSD, besideWaterSD)
		}
	}
	return table
}

// besideTau is besideTauSD in deviations of the prior; commonWaterVar the variance of
// the water that is common to a day.
const (
	besideTau      = besideTauSD / tauLogSD
	commonWaterVar = usualWaterSD*usualWaterSD - besideWaterSD*besideWaterSD
)

// blurs are the weights by which a batch may differ from another, by steps of the table.
var blurs = func() (out [tableSteps]float64) {
	for i := range out {
		far := (tableOff(i) - tableOff(0)) / besideTau
		out[i] = math.Exp(-far * far / 2)
	}
	return out
}()

// blurred is the table where what was told is of a batch that may differ.
func blurred(of *[tableSteps]shared) (out [tableSteps]shared) {
	const least = 1e-200 // by the most likely one; with the blur no weight becomes nothing
	top := math.Inf(-1)
	for _, c := range of {
		top = max(top, c.log)
	}
	var weights [tableSteps]float64
	for i, c := range of {
		weights[i] = max(math.Exp(c.log-top), least)
	}
	for k := range out {
		sum, mean, square := 0.0, 0.0, 0.0
		for i, c := range of {
			w := weights[i] * blurs[max(k-i, i-k)]
			sum += w
			mean += w * c.water
			square += w * (c.water*c.water + c.waterSD*c.waterSD)
		}
		mean /= sum
		out[k] = shared{top + math.Log(sum), mean, math.Sqrt(square/sum - mean*mean)}
	}
	return out
}

// evidence is what one batch says of the common water, for one law: the squared
// deviations are rr - 2·ar·water + aa·water².
type evidence struct{ aa, ar, rr, logs float64 }

// shared is the evidence with the common water integrated over.
func (e evidence) shared() shared {
	precision := 1/commonWaterVar + e.aa
	mean := (usualWater/commonWaterVar + e.ar) / precision
	square := e.rr + usualWater*usualWater/commonWaterVar - mean*mean*precision
	return shared{-(square + e.logs + math.Log(precision*commonWaterVar)) / 2, mean, math.Sqrt(1 / precision)}
}

// evidence is the other way round.
func (s shared) evidence() evidence {
	v := min(s.waterSD*s.waterSD, 0.999*commonWaterVar)
	return evidence{
		aa: 1/v - 1/commonWaterVar, ar: s.water/v - usualWater/commonWaterVar,
		rr: s.water*s.water/v - usualWater*usualWater/commonWaterVar, logs: -2*s.log - math.Log(commonWaterVar/v),
	}
}

func (e *evidence) add(o evidence) {
	e.aa, e.ar, e.rr, e.logs = e.aa+o.aa, e.ar+o.ar, e.rr+o.rr, e.logs+o.logs
}

// evidence goes through the laws; ok is false where the batch says nothing of them: not
// weighed, got wet again, or weights that do not go together.
func (b Beside) evidence() (all [][tableSteps]evidence, ok bool) {
	rack := b.Rack
	rack.Beside = nil
	d, err := newDrying(b.Weighings, rack, nil)
	if err != nil || len(d.ws) == 0 || d.again {
		return nil, false
	}
	prior := d.priors[0]
	if b.DryG > 0 {
		prior = restPrior{1, b.DryG, RestPart * b.DryG}
	}
	all = make([][tableSteps]evidence, len(laws))
	odd, best := math.Inf(1), -1
	room, h := d.under(wanders[besideRoom], prior.restG), make([]float64, len(d.ws))
	for j, law := range laws {
		for k := range all[j] {
			e := evidenceOf(room.through(law.leftAt(d.ws, usualTauMin*math.Exp(tauLogSD*tableOff(k))), h), prior)
			all[j][k] = e
			if o := e.rr - e.ar*e.ar/max(e.aa, 1e-300) + tableOff(k)*tableOff(k); o < odd {
				odd, best = o, k
			}
		}
	}
	for j := range all { // it may differ from what is common
		var own [tableSteps]shared
		for k, e := range all[j] {
			own[k] = e.shared()
		}
		for k, differs := range blurred(&own) {
			all[j][k] = differs.evidence()
		}
	}
	inside := best > 0 && best < tableSteps-1 // at its ends nothing dries so fast, or so slowly
	return all, inside && odd <= oddBase+oddEach*float64(len(d.ws))
}

// evidenceOf is of mass = rest + (water + own)·rest·h + straying, with the resting weight
// and the batch's own water integrated over.
func evidenceOf(t through, prior restPrior) evidence {
	g, own := prior.restG, besideWaterSD*prior.restG
	m00, m01, m11 := 1+prior.sdG*prior.sdG*t.one2, prior.sdG*own*t.h1, 1+own*own*t.hh // precision of rest and own water, in deviations
	r0, r1 := prior.sdG*t.onG, own*t.hm
	a0, a1 := prior.sdG*g*t.h1, own*g*t.hh
	det := m00*m11 - m01*m01
	less := func(p0, p1, q0, q1 float64) float64 {
		return (p0*(m11*q0-m01*q1) + p1*(m00*q1-m01*q0)) / det
	}
	return evidence{
		aa: g*g*t.hh - less(a0, a1, a0, a1), ar: g*t.hm - less(a0, a1, r0, r1),
		rr: t.mass2 - less(r0, r1, r0, r1), logs: t.logDet + math.Log(det),
	}
}

// lawAt reads the table between its steps.
func lawAt(of *[tableSteps]shared, off float64) shared {
	at := min(max((off/tableSigmas+1)/2, 0), 1) * (tableSteps - 1)
	k := min(int(at), tableSteps-2)
	x := at - float64(k)
	a, b := of[k], of[k+1]
	return shared{a.log + x*(b.log-a.log), a.water + x*(b.water-a.water), a.waterSD + x*(b.waterSD-a.waterSD)}
}
