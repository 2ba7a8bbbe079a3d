package yield

import (
	"fmt"
	"math"
)

// Losses are the masses that say where the difference of raw and dry went.
type Losses struct {
	RawG   float64 `json:"raw_g"`
	DryG   float64 `json:"dry_g"`
	StepG  float64 `json:"step_g,omitempty"`  // the scale's step; 0 means 1 g
	AfterG float64 `json:"after_g,omitempty"` // after the presoak and dried again; 0 when not weighed
	Type   string  `json:"type,omitempty"`    // for the usual wax; "" when not known
	Sure   bool    `json:"sure,omitempty"`
}

// Loss is one thing that went, or an honest range for it.
type Loss struct {
	What  string   `json:"what"`
	LossG Interval `json:"loss_g"`
	Known bool     `json:"known"` // weighed; else only what is usual
	Text  string   `json:"text"`
}

// rawMoisture is the regain that a raw fleece is stored at, parts of its dry
// fibre: between a dry and a damp room.
func rawMoisture() (low, high float64) {
	low, _, _ = Regain(driestRoom, TakingUp)
	high, _, _ = Regain(dampestRoom, Drying)
	return low, high
}

// Breakdown says where raw minus dry went, as far as weights can tell. The first
// Loss is the whole, the known ones among the others add up to it, and the
// unknown ones are ranges of what lies hidden in them.
func Breakdown(l Losses, room Room, show Show) ([]Loss, error) {
	b := Batch{RawG: l.RawG, DryG: l.DryG, RawStepG: l.StepG, DryStepG: l.StepG, Sure: l.Sure}
	if err := b.Check(show); err != nil {
		return nil, err
	}
	usual, err := Usual(l.Type)
	if err != nil {
		return nil, err
	}
	regain, _, err := RegainIn(room)
	if err != nil {
		return nil, err
	}
	stepG, _ := b.steps()
	_, half := roundings([]float64{stepG / 2, stepG / 2})
	weighed := func(what string, lossG float64) Loss {
		i := Interval{lossG - half, lossG, lossG + half}.within(0, l.RawG)
		return Loss{what, i, true, fmt.Sprintf("%s: %s, %s of the raw fleece", what, show.mass(lossG), percent(lossG/l.RawG))}
	}
	lossG := l.RawG - l.DryG
	out := []Loss{weighed("total loss", lossG)}
	washG := lossG
	if l.AfterG != 0 {
		if !(l.AfterG >= l.DryG && l.AfterG <= l.RawG) {
			return nil, fmt.Errorf("%s after the presoak does not lie between %s dry and %s raw: weigh it dried, not wet, or leave it out",
				show.mass(l.AfterG), show.mass(l.DryG), show.mass(l.RawG))
		}
		washG = l.AfterG - l.DryG
		out = append(out, weighed("soil and suint in the presoak", l.RawG-l.AfterG), weighed("wax and the rest in the wash", washG))
	}
	guess := func(what string, i Interval, how string) {
		i.Likely = (i.Low + i.High) / 2
		out = append(out, Loss{what, i, false, fmt.Sprintf("%s: not known; usually %s to %s (%s)", what, show.mass(i.Low), show.mass(i.High), how)})
	}
	guess("wax", Interval{Low: min(usual.WaxLow*l.RawG, washG), High: min(usual.WaxHigh*l.RawG, washG)},
		wholePercent(usual.WaxLow)+" to "+wholePercent(usual.WaxHigh)+" of raw, a rule of thumb")
	low, high := rawMoisture()
	fibreG := l.DryG / (1 + regain.Likely)
	water := Interval{Low: fibreG * (low - regain.High), High: fibreG * (high - regain.Low)}
	guess("moisture, raw against dry", water, "the raw fleece's own moisture was not measured; minus means dry wool held more")
	if l.AfterG == 0 {
		out = append(out, Loss{"soil, suint and wool", Interval{max(lossG-out[1].LossG.High-math.Max(water.High, 0), 0),
			max(lossG-out[1].LossG.Likely-water.Likely, 0), max(lossG-out[1].LossG.Low-math.Min(water.Low, 0), 0)}.within(0, math.Inf(1)), false,
			"soil, suint and lost wool: what is left over; a weight after the presoak, dried, would tell more"})
	}
	return out, nil
}

// Retention is the water in wet fleece by its dry mass.
type Retention struct {
	Ratio float64 `json:"water_by_dry_part"`
	Held  string  `json:"held"` // the ratio in words
	Text  string  `json:"text"` // and what it fits
	Fits  string  `json:"fits"` // spinner, rollers, hand, wetter, or too dry
}

// MostSqueezed is the most water that a squeeze by hand leaves, by the dry mass (from
// memory); wool that drips holds more.
const MostSqueezed = 2.0

// leastRetention: nothing mechanical goes below 33-35 % of the dry mass.
const leastRetention = 0.33

// Retained says how much water a batch held after it was squeezed or spun, from
// its weight then and when dry, and what that fits: spinner 35-50 %, by hand
// 100-200 % (both from memory), rollers 50-100 % (published). regain is that of
// the dry weight, 0 when not known; the water of it counts.
func Retained(wetG, dryG, regain float64, show Show) (Retention, error) {
	if !(wetG > 0 && wetG <= mostG && dryG > 0 && dryG <= mostG) {
		return Retention{}, fmt.Errorf("%s wet and %s dry can't be right: both must be more than 0", show.mass(wetG), show.mass(dryG))
	}
	bone, err := BoneDryG(dryG, regain)
	if err != nil {
		return Retention{}, err
	}
	if wetG < dryG {
		return Retention{}, fmt.Errorf("%s wet is less than %s dry: are the two the right way round?", show.mass(wetG), show.mass(dryG))
	}
	r := Retention{Ratio: (wetG - bone) / bone}
	fits := ""
	switch x := r.Ratio; {
	case x < leastRetention:
		r.Fits, fits = "too dry", "nothing mechanical goes below 33-35 %: it had begun to dry, or a weight is wrong"
	case x <= 0.5:
		r.Fits, fits = "spinner", "like a spin dryer, 35-50 %"
	case x < 1:
		r.Fits, fits = "rollers", "between a spin dryer, 35-50 %, and a hand squeeze, 100-200 %"
	case x <= MostSqueezed:
		r.Fits, fits = "hand", "like a hand squeeze, 100-200 %: a spin dryer gets it to 35-50 %"
	default:
		r.Fits, fits = "wetter", "wetter than a hand squeeze leaves it, 100-200 %"
	}
	by := "dry weight"
	if regain > 0 {
		by = "bone-dry weight"
	}
	r.Held = fmt.Sprintf("%s water by its %s", wholePercent(r.Ratio), by)
	r.Text = "held " + r.Held + ": " + fits
	return r, nil
}
