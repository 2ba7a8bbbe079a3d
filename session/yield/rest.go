package yield

import (
	"errors"
	"fmt"
	"math"
)

// Mixed is the part of a batch that was drawn from all over its fleece.
const Mixed = "mixed"

// Part is raw fleece that has not been washed yet.
type Part struct {
	Name string  `json:"name,omitempty"` // the part of the fleece, as in Batch.Part
	RawG float64 `json:"raw_g"`
}

// RestForecast says what the rest of a fleece will give.
type RestForecast struct {
	RawG      float64  `json:"raw_g"`
	YieldPart Interval `json:"yield_part"` // 90 % interval of the mean yield of all of the rest
	DryG      Interval `json:"dry_g"`
	Batches   int      `json:"batches"`        // weighed ones it rests on
	Parts     int      `json:"parts"`          // parts of the fleece they came from, unnamed ones as one; 0 when drawn from all over
	SpreadSD  float64  `json:"spread_sd_part"` // between batches of one part, of the mean raw mass
	PartSD    float64  `json:"part_sd_part"`   // between parts; 0 when drawn from all over
	Remarks   []string `json:"remarks"`
}

// How much batches of one fleece differ, before any is weighed: our judgement,
// no source; the data soon outweigh it. Standard deviations, parts of raw mass.
const (
	spreadPrior  = 0.02 // between batches of one part
	spreadWeight = 0.5  // worth so many batches
	partSDPrior  = 0.03 // between parts: scale of a half-t with partFreedom
	partFreedom  = 3.0

	leastSpread   = 0.001
	mostSpread    = 0.2
	spreadSteps   = 24
	mostPartSD    = 0.15
	partSDSteps   = 20
	rangeIsSigmas = 2 * z90 // a type's usual range holds 90 % of its fleeces
)

// ForecastRest says what the rest of a fleece will give, from the batches that
// were weighed (none is allowed) and the usual range of its type ("" if not
// known).
//
// Batches are taken to be more like each other within a part of the fleece than between
// parts, like cores by the bale: the forecast also carries what the other parts may differ
// by. Those that name no part may all be from one, and count as that. Rest without a name
// counts as other parts, each about as heavy as a part weighed so far. Only batches of the
// part Mixed, all of them, are like cores drawn at random from a lot.
//
// The yield of a batch is normal about its part's with a variance that goes with
// one by its raw mass, a part's about the fleece's, a fleece's about its type's (or,
// with the odds of one in five, about that of all types); all spreads are integrated over, not plugged in.
func ForecastRest(batches []Batch, rest []Part, fleeceType string, show Show) (RestForecast, error) {
	usual, err := Usual(fleeceType)
	if err != nil {
		return RestForecast{}, err
	}
	f := RestForecast{Batches: len(batches), Remarks: []string{}}
	for _, p := range rest {
		if !(p.RawG >= 0 && p.RawG <= mostG) {
			return RestForecast{}, fmt.Errorf("the rest can't be %s: give its raw weight, more than 0", show.mass(p.RawG))
		}
		f.RawG += p.RawG
	}
	if f.RawG <= 0 {
		return RestForecast{}, errors.New("nothing is left to forecast: give the raw weight of the rest, more than 0")
	}
	g := newGroups(batches, rest)
	for i, b := range batches {
		if err := b.Check(show); err != nil {
			return RestForecast{}, fmt.Errorf("batch %d: %w", i+1, err)
		}
	}
	predicted, spreadSD, partSD := g.predict(usual)
	f.YieldPart = predicted.interval(0, 1)
	f.DryG = f.YieldPart.times(f.RawG)
	f.SpreadSD, f.PartSD = spreadSD, partSD
	if g.byParts {
		f.Parts = len(g.groups)
	}
	f.remark(g)
	return f, nil
}

func (f *RestForecast) remark(g grouping) {
	switch {
	case f.Batches == 0:
		f.Remarks = append(f.Remarks, "no batch has a dry weight yet: this is what such fleeces usually give")
	case f.Batches == 1:
		f.Remarks = append(f.Remarks, "one batch says little of how much batches differ: the range leans on what is usual")
	case g.unnamed:
		f.Remarks = append(f.Remarks, "the batches may all be from one part, which keeps the range wide: name their parts, or call the part "+Mixed+" if each was drawn from all over the fleece")
	case f.Parts == 1:
		f.Remarks = append(f.Remarks, "all batches are from one part of the fleece: how far other parts differ is a guess until one of them is weighed")
	}
}

// group is the batches of one part of the fleece and what is left of that part.
type group struct {
	yields, weights []float64 // weights: raw mass by the mean raw mass of a batch
	rawG, restG     float64
}

type grouping struct {
	groups  []group
	byParts bool // it is known, or may be, that they are
	unnamed bool // all of them
	batches int
	meanG   float64 // raw mass of a mean batch
	restG   float64
	newG    float64 // rest that belongs to no part weighed so far
	newN    float64 // how many parts that is
}

// usualBatchG is a batch before any is weighed: 115-225 g (common practice, no
// source).
const usualBatchG = 170

func newGroups(batches []Batch, rest []Part) grouping {
	g := grouping{meanG: usualBatchG, batches: len(batches)}
	total := 0.0
	g.unnamed = true
	for _, b := range batches {
		total += b.RawG
		g.byParts = g.byParts || b.Part != Mixed
		g.unnamed = g.unnamed && b.Part == ""
	}
	if len(batches) > 0 {
		g.meanG = total / float64(len(batches))
	}
	at := map[string]int{}
	for _, b := range batches {
		i, ok := at[b.Part]
		if !ok {
			i = len(g.groups)
			at[b.Part] = i
			g.groups = append(g.groups, group{})
		}
		p := &g.groups[i]
		p.yields = append(p.yields, b.DryG/b.RawG)
		p.weights = append(p.weights, b.RawG/g.meanG)
		p.rawG += b.RawG
	}
	named := map[string]bool{}
	unnamedG := 0.0
	for _, p := range rest {
		g.restG += p.RawG
		i, weighed := at[p.Name]
		switch {
		case !g.byParts && len(batches) > 0: // of all over, as they are
			g.groups[0].restG += p.RawG
		case weighed && p.Name != "":
			g.groups[i].restG += p.RawG
		case p.Name != "":
			g.newG += p.RawG
			named[p.Name] = true
		default:
			g.newG += p.RawG
			unnamedG += p.RawG
		}
	}
	g.newN = float64(len(named))
	if len(g.groups) > 0 {
		g.newN += unnamedG / (total / float64(len(g.groups)))
	}
	g.newN = max(g.newN, 1)
	return g
}

// predict is the distribution of the rest's mean yield, as a mixture over the
// spreads between batches and between parts, and the likely spreads.
//
// A fleece lies in its type's range, or, now and then, only in that of all types:
// one that is far off its type's would otherwise be read as a wild spread.
func (g grouping) predict(usual Range) (predicted normals, spreadSD, partSD float64) {
	partSDs := []float64{0}
	if g.byParts {
		partSDs = partSDs[:0]
		for i := range partSDSteps {
			// Denser towards nothing, where most of the prior lies.
			at := (float64(i) + 0.5) / partSDSteps
			partSDs = append(partSDs, mostPartSD*at*at)
		}
	}
	var all normals
	var logs, spreads, parts []float64
	for _, r := range []struct {
		Range
		odds float64
	}{{usual, 1 - anyTypes}, {anyType, anyTypes}} {
		middle, meanSD := (r.Low+r.High)/2, (r.High-r.Low)/rangeIsSigmas
		for i := range spreadSteps {
			s := leastSpread * math.Pow(mostSpread/leastSpread, float64(i)/(spreadSteps-1))
			for _, p := range partSDs {
				log, mean, sd := g.given(s, p, middle, meanSD)
				logs = append(logs, log+math.Log(r.odds/meanSD))
				spreads, parts = append(spreads, s), append(parts, p)
				all.add(1, mean, sd)
			}
		}
	}
	const negligible = 1e-4
	total := 0.0
	for i, w := range expAll(logs) {
		if w < negligible {
			continue
		}
		predicted.add(w, all[i].mean, all[i].sd)
		total += w
		spreadSD += w * spreads[i]
		partSD += w * parts[i]
	}
	return predicted, spreadSD / total, partSD / total
}

// given is the log of the posterior weight of the two spreads and, given them,
// the mean and standard deviation of the rest's mean yield. Everything is linear
// and normal, so it is exact. Yields are counted from middle.
func (g grouping) given(spread, partSD, middle, meanSD float64) (log, mean, sd float64) {
	v, vPart := spread*spread, partSD*partSD
	// Scaled inverse chi-squared on v, evenly spaced in its log.
	log = -spreadWeight/2*math.Log(v) - spreadWeight*spreadPrior*spreadPrior/(2*v)
	if partSD > 0 { // half-t, evenly spaced in its root
		log += math.Log(partSD)/2 - (partFreedom+1)/2*math.Log1p(vPart/(partFreedom*partSDPrior*partSDPrior))
	}
	log -= float64(g.batches) / 2 * math.Log(v)
	precision := 1 / (meanSD * meanSD)
	moment, square := 0.0, 0.0
	// The rest is slope·fleece + fixed, with variance extra.
	slope, fixed, extra := 0.0, 0.0, v*g.meanG/g.restG
	if g.newG > 0 {
		part := g.newG / g.restG
		slope = part
		extra += part * part * vPart / g.newN
	}
	for _, p := range g.groups {
		weight, y := 0.0, 0.0
		for i, w := range p.weights {
			weight += w
			y += w * (p.yields[i] - middle)
		}
		y /= weight
		for i, w := range p.weights {
			d := p.yields[i] - middle - y
			log -= w * d * d / (2 * v)
		}
		ownVar := v / weight // of y about its part's yield
		all := vPart + ownVar
		log += math.Log(ownVar)/2 - math.Log(all)/2
		precision += 1 / all
		moment += y / all
		square += y * y / all
		if p.restG > 0 {
			part, keeps := p.restG/g.restG, vPart/all
			slope += part * (1 - keeps)
			fixed += part * keeps * y
			extra += part * part * vPart * (1 - keeps)
		}
	}
	fleece := moment / precision
	log -= (square - moment*fleece + math.Log(precision)) / 2
	return log, middle + slope*fleece + fixed, math.Sqrt(slope*slope/precision + extra)
}
