package yield

import (
	"errors"
	"fmt"
	"math"
	"strings"
)

// usualStepG is the scale's step where nobody says: a kitchen scale.
const usualStepG = 1

// TooCoarse says that a scale with steps of stepG does not show what FreePart of a batch of massG
// is.
func TooCoarse(massG, stepG float64) bool { return stepG/2 > FreePart*massG }

// SameG is the heaviest weight that counts as the same as one of massG on a scale
// with steps of stepG, in grams.
func SameG(massG, stepG float64) float64 { return massG + max(stepG, 0.005*massG)*(1+1e-9) }

// InDampAirG is the heaviest weight that a day's air makes of a dry batch of massG, in grams.
func InDampAirG(massG, stepG float64) float64 { return massG + max(stepG, dayRise*massG) }

// mostG bounds a mass; what is beyond it is a slip.
const mostG = 1e6

// Yields outside these are asked about: the widest published range is 49.2-77.5
// % for Merino (Western Australian bench scouring study) and 35-80 % over all
// types (US breed lists).
const (
	lowestPlain  = 0.20
	highestPlain = 0.85
)

// Batch is one batch weighed raw and dry. Each mass is taken as it stood on the
// scale, rounded to its step; a tare that was itself weighed is not known here.
type Batch struct {
	RawG     float64 `json:"raw_g"`
	DryG     float64 `json:"dry_g"`
	RawStepG float64 `json:"raw_step_g,omitempty"` // the scale's step; 0 means 1 g
	DryStepG float64 `json:"dry_step_g,omitempty"`
	RawScale string  `json:"raw_scale,omitempty"` // a name, where there are several
	DryScale string  `json:"dry_scale,omitempty"`
	Part     string  `json:"part,omitempty"` // the part of the fleece it came from; "" is from all over
	Sure     bool    `json:"sure,omitempty"` // the person has confirmed an unusual yield
}

// Question is an error that the person may answer with "sure".
type Question struct{ text string }

func (q Question) Error() string { return q.text }

func (b Batch) steps() (rawStepG, dryStepG float64) {
	rawStepG, dryStepG = b.RawStepG, b.DryStepG
	if rawStepG == 0 {
		rawStepG = usualStepG
	}
	if dryStepG == 0 {
		dryStepG = usualStepG
	}
	return rawStepG, dryStepG
}

// twoScales says that raw and dry did not stand on the same scale.
func (b Batch) twoScales() bool {
	raw, dry := b.steps()
	return math.Abs(raw-dry) > 0.005*max(raw, dry) || !strings.EqualFold(b.RawScale, b.DryScale)
}

// Check says in a sentence what is wrong with the two masses. An unusual yield
// is a Question until Sure is set.
func (b Batch) Check(show Show) error {
	rawStepG, dryStepG := b.steps()
	for _, m := range []struct {
		what         string
		massG, stepG float64
	}{{"raw", b.RawG, rawStepG}, {"dry", b.DryG, dryStepG}} {
		switch {
		case !finite(m.massG):
			return fmt.Errorf("the %s weight is not a number: weigh again and give one such as 225", m.what)
		case m.massG <= 0:
			return fmt.Errorf("a %s weight must be more than 0, not %s", m.what, show.mass(m.massG))
		case m.massG > mostG:
			return fmt.Errorf("a %s weight of %s is more than any fleece: is the unit right?", m.what, show.mass(m.massG))
		case !finite(m.stepG) || m.stepG < 0 || m.stepG > 1000:
			return fmt.Errorf("a scale can't have steps of %g g: give one such as 1", m.stepG)
		}
	}
	y := b.DryG / b.RawG
	if y > 1 || y < lowestPlain/2 {
		if hint := b.slip(show); hint != "" {
			return fmt.Errorf("%s dry of %s raw would be a yield of %s: %s", show.mass(b.DryG), show.mass(b.RawG), loose(y), hint)
		}
	}
	switch {
	case y > 1:
		return fmt.Errorf("%s dry is more than the %s it weighed raw: is it dry, and are the two weights the right way round?",
			show.mass(b.DryG), show.mass(b.RawG))
	case rawStepG >= b.RawG || dryStepG >= b.DryG:
		return fmt.Errorf("a scale with steps of %s and %s cannot tell %s raw and %s dry from nothing: use a finer one",
			show.mass(rawStepG), show.mass(dryStepG), show.mass(b.RawG), show.mass(b.DryG))
	case b.Sure:
	case y > highestPlain:
		return Question{fmt.Sprintf("%s dry of %s raw is a yield of %s, more than nearly any raw fleece gives: is it dry, and are you sure?",
			show.mass(b.DryG), show.mass(b.RawG), percent(y))}
	case y < lowestPlain:
		return Question{fmt.Sprintf("%s dry of %s raw is a yield of %s, less than nearly any raw fleece gives: is all of it on the scale, and are you sure?",
			show.mass(b.DryG), show.mass(b.RawG), percent(y))}
	}
	return nil
}

func loose(part float64) string {
	if part > 10 || part < 0.01 {
		return fmt.Sprintf("%.2g times the raw weight", part)
	}
	return wholePercent(part)
}

// slip looks for a unit that would make the pair a plain one: kilograms or
// ounces typed as grams, or the other way round.
func (b Batch) slip(show Show) string {
	const ounceG = 28.349523125
	plain := func(rawG, dryG float64) bool {
		y := dryG / rawG
		return y >= 0.3 && y <= highestPlain && rawG >= 20 && rawG <= 20000
	}
	factors := []float64{1000, 0.001, ounceG, 1 / ounceG}
	for _, by := range factors { // the dry weight is the one just typed, mostly
		if plain(b.RawG, b.DryG*by) {
			return fmt.Sprintf("did you mean %s dry?", show.mass(b.DryG*by))
		}
	}
	for _, by := range factors {
		if plain(b.RawG*by, b.DryG) {
			return fmt.Sprintf("did you mean %s raw?", show.mass(b.RawG*by))
		}
	}
	return ""
}

// Report is the yield of a batch or of a fleece.
type Report struct {
	RawG           float64  `json:"raw_g"`
	DryG           float64  `json:"dry_g"`
	Batches        int      `json:"batches"`
	AsWeighed      Interval `json:"yield_as_weighed_part"`         // dry/raw; the interval is the rounding of the scale
	RoundingSD     float64  `json:"rounding_sd_part"`              // of AsWeighed
	Regain         Interval `json:"regain_part"`                   // of the dry fleece in its room
	RegainSure     bool     `json:"regain_sure"`                   // the humidity is known and the isotherm holds
	StandardRegain float64  `json:"standard_regain_part"`          // what AtStandard is counted at
	AtStandard     Interval `json:"yield_at_standard_regain_part"` // only the dry side is brought to it; raw stays as weighed
	TwoScales      bool     `json:"two_scales"`                    // raw and dry did not stand on the same scale
	Remarks        []string `json:"remarks"`                       // sentences
}

// OfFleece is the yield of several batches together, dry by raw, each mass
// rounded on its own. The batches are taken to have been weighed in the same
// room. standardRegain is a part, such as TradeRegain.
func OfFleece(bs []Batch, room Room, standardRegain float64, show Show) (Report, error) {
	if len(bs) == 0 {
		return Report{}, errors.New("no batch has been weighed: give its raw and its dry weight")
	}
	if err := errors.Join(checkRegain(standardRegain), room.check()); err != nil {
		return Report{}, err
	}
	r := Report{Batches: len(bs), StandardRegain: standardRegain}
	for i, b := range bs {
		if err := b.Check(show); err != nil {
			if len(bs) > 1 {
				return Report{}, fmt.Errorf("batch %d: %w", i+1, err)
			}
			return Report{}, err
		}
		r.RawG += b.RawG
		r.DryG += b.DryG
		r.TwoScales = r.TwoScales || b.twoScales()
	}
	y := r.DryG / r.RawG
	halves := make([]float64, 0, 2*len(bs)) // relative half steps
	for _, b := range bs {
		rawStepG, dryStepG := b.steps()
		halves = append(halves, rawStepG/2/r.RawG, dryStepG/2/r.DryG)
	}
	sd, half := roundings(halves)
	r.RoundingSD = y * sd
	r.AsWeighed = Interval{y * (1 - half), y, y * (1 + half)}.within(0, 1)
	regain, sure, err := RegainIn(room)
	if err != nil {
		return Report{}, err
	}
	r.Regain, r.RegainSure = regain, sure
	r.AtStandard = atStandard(y, sd, room, regain.Likely, standardRegain)
	r.remark(room, show, bs)
	return r, nil
}

// roundings is the standard deviation of a sum of uniform errors with these half
// widths, and the half width that holds 90 % of it: exact for two of them,
// normal for more.
func roundings(halves []float64) (sd, half90 float64) {
	sum, square := 0.0, 0.0
	for _, h := range halves {
		sum += h
		square += h * h / 3
	}
	sd = math.Sqrt(square)
	if len(halves) != 2 {
		return sd, min(z90*sd, sum)
	}
	a, b := max(halves[0], halves[1]), min(halves[0], halves[1])
	if b < a/10 {
		return sd, 0.9 * a
	}
	return sd, a + b - math.Sqrt(0.4*a*b)
}

// atStandard brings a yield to the standard regain, over all that its regain
// may be and all that the rounding may have done.
func atStandard(y, sd float64, room Room, likelyRegain, standard float64) Interval {
	const errs = 9
	regains := room.regains()
	all := make([]sample, 0, errs*len(regains))
	for i := range errs {
		off := sd * math.Sqrt2 * math.Erfinv(2*(float64(i)+0.5)/errs-1)
		for _, r := range regains {
			all = append(all, sample{y * (1 + off) * (1 + standard) / (1 + r.value), r.weight})
		}
	}
	q := interval90(all)
	// Wool brought to a high regain may weigh more than the raw fleece did.
	return Interval{q.Low, y * (1 + standard) / (1 + likelyRegain), q.High}.within(0, math.Inf(1))
}

func (r *Report) remark(room Room, show Show, bs []Batch) {
	say := func(format string, args ...any) { r.Remarks = append(r.Remarks, fmt.Sprintf(format, args...)) }
	r.Remarks = []string{}
	if r.TwoScales {
		for _, b := range bs {
			if raw, dry := b.steps(); show.mass(raw) != show.mass(dry) {
				say("raw and dry were weighed on different scales (steps of %s and %s): two scales may differ by more than their steps, so use the same one", show.mass(raw), show.mass(dry))
				break
			} else if b.twoScales() {
				say("raw and dry were weighed on different scales: two scales may differ by more than their steps, so use the same one")
				break
			}
		}
	}
	switch {
	case !room.Known:
		why := "is not known"
		if room.Told > 0 {
			why = fmt.Sprintf("is known for only %d of the %d batches", room.Told, r.Batches)
		}
		say("the room's humidity %s: the yield at standard regain takes it as anything from %s to %s", why, wholePercent(driestRoom), wholePercent(dampestRoom))
	case !r.RegainSure:
		say("above %s humidity nobody can say well how much water wool holds: weigh in a drier room", wholePercent(SureRH))
	}
}
