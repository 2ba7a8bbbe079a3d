package yield

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"sort"
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

// The rule by which a batch counts as dry: weighings at two times of day, and by all of
// them no more than DryRisk that it has more than FreePart of its resting weight still
// to lose. How often that is wrong stands in rooms.txt. On a scale that does not show FreePart of a small
// batch it takes a day more of the same weight: half its step in place of FreePart was tried, and called up to
// one in ten dry that was not.
const (
	FreePart = 0.02
	DryRisk  = 0.03
	RestPart = 0.01 // so much left counts as dry where a time is forecast
	// Two times of day: the room's air has gone from its dampest hour towards its driest.
	twoTimesMin = 6 * 60
	otherMin    = 8 * 60 // after which the other time of day has come
	againMin    = 2 * 60 // sooner there is nothing to learn
)

// DryRule is the rule in words.
const DryRule = "dry: weighed at two times of day, and by all its weights no more than 2 % left to lose"

// Before any weighing. Times: common practice, no source (a batch takes from half
// a day to three days). Water: hand squeezed 100-200 % of the dry mass, spun
// 35-50 % (from memory).
const (
	usualTauMin   = 230 // median of the time constant
	tauLogSD      = 0.65
	usualWater    = 0.9 // water to lose, by the resting weight
	usualWaterSD  = 0.6
	mostWeighings = 1000
	mostTold      = 40           // of these the last are gone by: what was before says no more
	mostDryMin    = 60 * 24 * 60 // times are shown no further
	mostLainMin   = 50 * 365 * 24 * 60
	unknownCut    = 6 // without a raw mass: the least resting weight is the lightest weighing by this
)

// What drying fleece does not do (our judgement, no source).
const (
	LeastOfUsual = 0.8   // rest at less than this part of the least its type usually gives
	dayRise      = 0.025 // take up more than this part of it by day and night: ten points of humidity
	dampRise     = 0.05  // take up more than this part of its weight from damp air: then it got wet
	// oddBase and oddEach for each weighing bound the squared deviations of those
	// that go together: four deviations and two. Unusual rooms and poor scales stay within
	// two and one and a quarter.
	oddBase, oddEach = 16.0, 4.0
)

// anyBatches is how likely a batch is nothing like the others of its fleece (our
// judgement, no source).
const anyBatches = 0.05

// Dampened is the weight above which a drying batch has got wet, grams, or is
// another one: what damp air gives it is less.
func Dampened(lastG, stepG float64) float64 { return lastG*(1+dampRise) + 2*stepG }

// DryForecast says where a drying batch will come to rest, and when.
type DryForecast struct {
	RestingG    Interval `json:"resting_g"`      // what it weighs once dry, in its room and on its scale: 90 % interval
	TauMin      Interval `json:"tau_min"`        // time in which the water left falls to 37 %
	DryAtMin    Interval `json:"dry_at_min"`     // no more than RestPart left to lose; on the weighings' clock
	FreeRisk    float64  `json:"free_risk"`      // by its own weights: that more than FreePart was left at the last; 1 without one
	WeighNextAt float64  `json:"weigh_next_min"` // on the weighings' clock
	Dry         bool     `json:"dry"`            // the rule holds
	OtherTime   bool     `json:"other_time"`     // it would hold, but for a weighing at another time of day
	Heavier     bool     `json:"heavier"`        // OtherTime although it was weighed at two: at the other it was far heavier
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
	d, fits, err := fitted(ws, rack, show)
	if err != nil {
		return DryForecast{}, err
	}
	f := DryForecast{RestingG: d.rests(fits), FreeRisk: freeRisk(fits), Remarks: []string{}}
	const restNodes = 3
	var nodes [restNodes]float64
	for j := range nodes {
		nodes[j] = math.Sqrt2 * math.Erfinv(2*(float64(j)+0.5)/restNodes-1)
	}
	var taus, dryAt []sample
	for _, fit := range fits {
		taus = append(taus, sample{fit.tau, fit.weight})
		for _, off := range nodes {
			g := min(max(fit.restG+off*fit.restSD, d.leastG), d.mostG)
			water := fit.waterG + fit.waterPerRest*(g-fit.restG)
			dryAt = append(dryAt, sample{d.firstMin + fit.law.minutesToDry(g, water, fit.tau), fit.weight})
		}
	}
	f.TauMin, f.DryAtMin = interval90(taus), interval90(dryAt)
	if len(ws) > 0 && len(rack.Beside) > 0 { // the rule goes by its own weights: that of others makes no batch dry
		rack.Beside = nil
		if _, fits, err = fitted(ws, rack, show); err != nil {
			return DryForecast{}, err
		}
		f.FreeRisk = freeRisk(fits)
	}
	f.judge(d)
	return f, nil
}

// RestsAt is ForecastDrying's RestingG alone, for about half its cost.
func RestsAt(ws []Weighing, rack Rack, show Show) (Interval, error) {
	d, fits, err := fitted(ws, rack, show)
	if err != nil {
		return Interval{}, err
	}
	return d.rests(fits), nil
}

func fitted(ws []Weighing, rack Rack, show Show) (drying, []dryFit, error) {
	d, err := newDrying(ws, rack, show)
	if err != nil {
		return d, nil, err
	}
	if !d.again { // else it is as wet as it got, which the others did not
		d.law = lawBeside(rack.Beside)
	}
	fits := d.fits()
	odd := math.Inf(1)
	for _, fit := range fits {
		odd = min(odd, fit.square)
	}
	switch {
	case odd <= oddBase+oddEach*float64(len(d.ws)):
		return d, likely(fits), nil
	case len(d.ws) == 1:
		return d, nil, fmt.Errorf("%s doesn't fit a batch of %s raw: it may be another batch", d.listed(show), show.mass(rack.RawG))
	}
	return d, nil, fmt.Errorf("these weights don't fit together, so they tell nothing: %s", d.listed(show))
}

// drying is the weighings in order with what is known beforehand.
type drying struct {
	ws       []Weighing // AtMin counted from firstMin
	firstMin float64    // when it began to dry
	again    bool       // it got wet after it had dried
	stepG    float64
	priors   []restPrior
	leastG   float64 // the resting weight lies between
	mostG    float64
	likelyG  float64 // for what the air does
	lastG    float64 // it rests at no more
	law      [][tableSteps]shared
}

// restPrior is what the resting weight may be before any weighing.
type restPrior struct{ weight, restG, sdG float64 }

func newDrying(ws []Weighing, rack Rack, show Show) (drying, error) {
	d := drying{stepG: rack.StepG, law: beforeWeighing()}
	if len(ws) == 0 && rack.RawG == 0 {
		return d, errors.New("the batch has not been weighed since it went on the rack: weigh it")
	}
	if len(ws) > mostWeighings {
		return d, fmt.Errorf("one batch takes at most %[2]d weighings, not %[1]d", len(ws), mostWeighings)
	}
	if d.stepG == 0 {
		d.stepG = usualStepG
	}
	if !(d.stepG >= leastStepG && d.stepG <= 1000) {
		return d, fmt.Errorf("a scale can't have steps of %g g: give one such as 1", d.stepG)
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
			return d, fmt.Errorf("a weight of %s on the rack is too little: it must be at least %s", show.mass(w.MassG), show.mass(leastG))
		}
	}
	if !(rack.RawG == 0 || rack.RawG >= leastG && rack.RawG <= mostG) {
		return d, fmt.Errorf("a raw weight must be more than 0, not %s", show.mass(rack.RawG))
	}
	d.ws = slices.Clone(ws)
	sort.SliceStable(d.ws, func(i, j int) bool { return d.ws[i].AtMin < d.ws[j].AtMin })
	if !(rack.LainMin >= 0 && rack.LainMin <= mostLainMin) {
		return d, fmt.Errorf("%g minutes on the rack can't be right", rack.LainMin)
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
				return d, fmt.Errorf("a forecast yield can't be %g to %g %%: give from 0 to 100 %%, the lower first", 100*y.Low, 100*y.High)
			}
			low, high = y.Low, y.High
		}
		odd := anyTypes
		if rack.Yield != (Interval{}) {
			odd = anyBatches
		}
		d.priors = []restPrior{
			{1 - odd, rack.RawG * (low + high) / 2, rack.RawG * (high - low) / rangeIsSigmas},
			{odd, rack.RawG * (anyType.Low + anyType.High) / 2, rack.RawG * (anyType.High - anyType.Low) / rangeIsSigmas},
		}
		d.likelyG = min(d.priors[0].restG, last)
		d.leastG = min(LeastOfUsual*min(usual.Low, low)*rack.RawG, lightest)
		d.mostG = min(max(highestPlain*rack.RawG, lightest), last*(1+dampRise))
		if last > 10*rack.RawG || first < rack.RawG/20 {
			return d, fmt.Errorf("%s on the rack doesn't go with %s raw: is the unit right?", show.mass(last), show.mass(rack.RawG))
		}
	}
	if err := d.wetAgain(rack, show); err != nil {
		return d, err
	}
	d.ws = d.ws[max(0, len(d.ws)-mostTold):]
	return d, nil
}

// wetAgain begins anew at a weighing far heavier than the one before: it was
// rained on or rinsed again. What came before says where it will rest.
func (d *drying) wetAgain(rack Rack, show Show) error {
	for i := len(d.ws) - 1; i > 0; i-- {
		if d.ws[i].MassG <= Dampened(d.ws[i-1].MassG, d.stepG) {
			continue
		}
		rest, err := RestsAt(d.ws[:i], rack, show)
		if err != nil {
			return err
		}
		at := d.ws[i].AtMin
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

// lasting is a time between weighings: "6 min", "22 h 59 min".
func lasting(min float64) string {
	n := int(math.Round(min))
	switch {
	case n < 60:
		return fmt.Sprintf("%d min", n)
	case n%60 == 0:
		return fmt.Sprintf("%d h", n/60)
	}
	return fmt.Sprintf("%d h %d min", n/60, n%60)
}

// listed is the weighings as they would be told: "22 oz, 17 oz 6 min later".
func (d *drying) listed(show Show) string {
	parts := make([]string, len(d.ws))
	for i, w := range d.ws {
		parts[i] = show.mass(w.MassG)
		if i > 0 {
			parts[i] += " " + lasting(w.AtMin-d.ws[i-1].AtMin) + " later"
		}
	}
	return strings.Join(parts[max(0, len(parts)-3):], ", ")
}

// minutesToDry is when no more than RestPart of the resting weight is left to lose.
func (l law) minutesToDry(restG, waterG, tau float64) float64 {
	return min(tau*l.when(RestPart*restG/max(math.Abs(waterG), 1e-9*restG)), mostDryMin)
}

// twoTimes says that it was weighed at another time of day, when it weighed all but what
// it did last.
func (d drying) twoTimes() bool {
	last := d.ws[len(d.ws)-1]
	return slices.ContainsFunc(d.ws, func(w Weighing) bool { return otherTime(w, last) && d.nearly(w) })
}

// otherTime says that two weighings are of two times of day.
func otherTime(a, b Weighing) bool {
	apart := math.Mod(math.Abs(b.AtMin-a.AtMin), dayMin)
	return min(apart, dayMin-apart) >= twoTimesMin
}

// nearly says that air alone may be what a weighing and the last differ by.
func (d drying) nearly(w Weighing) bool {
	last := d.ws[len(d.ws)-1].MassG
	return max(last, w.MassG) <= Dampened(min(last, w.MassG), d.stepG)
}

func (f *DryForecast) judge(d drying) {
	if len(d.ws) == 0 { // sooner there is nothing to learn
		f.WeighNextAt = f.DryAtMin.Low
		return
	}
	last := d.ws[len(d.ws)-1]
	lastAt := d.firstMin + last.AtMin
	dry := f.FreeRisk <= DryRisk
	f.Dry = dry && d.twoTimes()
	f.OtherTime = dry && !f.Dry
	f.Heavier = f.OtherTime && slices.ContainsFunc(d.ws, func(w Weighing) bool { return otherTime(w, last) })
	wobble := max(2*d.stepG, 0.01*last.MassG)
	f.WetAgain = d.again && len(d.ws) == 1
	f.Rising = f.WetAgain || len(d.ws) > 1 && last.MassG > d.ws[len(d.ws)-2].MassG+wobble
	f.WeighNextAt = lastAt + min(max(f.DryAtMin.Likely-lastAt, againMin), dayMin)
	if f.DryAtMin.Likely < lastAt { // it may be dry: what tells more is another time of day
		f.WeighNextAt = lastAt + otherMin
	}
	if f.Rising {
		f.Remarks = append(f.Remarks, "it weighs more than before: it takes up moisture from the room, or got wet; weigh again when the room is steady")
	}
	if len(d.ws) == 1 && !d.again {
		f.Remarks = append(f.Remarks, "one weighing says little: the settled weight is what such batches usually give; weigh again in some hours")
	}
}
