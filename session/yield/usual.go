package yield

import (
	"fmt"
	"slices"
	"strings"
)

// Range is what is usual for a type of fleece.
type Range struct {
	Type      string  `json:"type"`
	Low       float64 `json:"low"`  // clean yield, parts of raw
	High      float64 `json:"high"` // clean yield, parts of raw
	WaxLow    float64 `json:"wax_low"`
	WaxHigh   float64 `json:"wax_high"`
	Source    string  `json:"source"`
	WaxSource string  `json:"wax_source"`
}

// ranges in the order of a menu. Yields: US breed lists, the double-coated from
// memory; wax: from memory.
var ranges = []Range{
	{"fine", 0.35, 0.60, 0.10, 0.25, "US breed lists", "from memory"},
	{"medium", 0.45, 0.60, 0.05, 0.15, "US breed lists", "from memory"},
	{"longwool", 0.55, 0.80, 0.02, 0.10, "US breed lists", "from memory"},
	{"double-coated", 0.65, 0.80, 0.02, 0.06, "from memory", "from memory"},
}

// anyType spans all types: what is known of a fleece whose type nobody said.
var anyType = Range{"", 0.35, 0.80, 0.02, 0.25, "US breed lists, all types together", "from memory"}

// anyTypes is how likely a fleece keeps to the range of all types rather than to
// its own type's (our judgement, no source).
const anyTypes = 0.2

// Usual returns the usual range of a type by its word (fine, medium, longwool,
// double-coated); "" gives the range of all types together.
func Usual(fleeceType string) (Range, error) {
	if fleeceType == "" {
		return anyType, nil
	}
	words := make([]string, len(ranges))
	for i, r := range ranges {
		if r.Type == fleeceType {
			return r, nil
		}
		words[i] = r.Type
	}
	return Range{}, fmt.Errorf("%.20q is not a type of fleece: use %s", fleeceType, strings.Join(words, ", "))
}

// What a second wash leaves of a batch's last dry weight: wax that was left, some dust and broken fibre go, and the
// air may be another (our judgement, no source).
const againLow, againHigh = 0.90, 1.02

// WashedAgain is the yield of a batch that is washed again, by what it weighed raw and dry before.
func WashedAgain(rawG, wasDryG float64) Interval {
	part := min(1, wasDryG/rawG)
	return Interval{againLow * part, (againLow + againHigh) / 2 * part, min(1, againHigh*part)}
}

// Types lists the types that have a range.
func Types() []string {
	out := make([]string, len(ranges))
	for i, r := range ranges {
		out[i] = r.Type
	}
	return slices.Clip(out)
}

// Place says where a yield lies by the usual range.
type Place int

// The places.
const (
	Within Place = iota
	Below
	Above
)

var placeWords = []string{"within", "below", "above"}

func (p Place) String() string {
	if p < 0 || int(p) >= len(placeWords) {
		return fmt.Sprintf("Place(%d)", int(p))
	}
	return placeWords[p]
}

// MarshalText writes the word.
func (p Place) MarshalText() ([]byte, error) {
	if p < 0 || int(p) >= len(placeWords) {
		return nil, fmt.Errorf("%d is not a place: use within, below or above", int(p))
	}
	return []byte(placeWords[p]), nil
}

// UnmarshalText reads the word.
func (p *Place) UnmarshalText(text []byte) error {
	for i, w := range placeWords {
		if w == string(text) {
			*p = Place(i)
			return nil
		}
	}
	return fmt.Errorf("%.20q is not a place: use within, below or above", text)
}

// Compare says whether a yield is usual for the type, in words to stand below it.
func Compare(yieldPart float64, fleeceType string) (Place, string, error) {
	r, err := Usual(fleeceType)
	if err != nil {
		return Within, "", err
	}
	if !(yieldPart >= 0 && yieldPart <= 1) {
		return Within, "", fmt.Errorf("a yield can't be %g %%: give from 0 to 100 %%", 100*yieldPart)
	}
	kind := r.Type + " fleece"
	if r.Type == "" {
		kind = "fleece of any type"
	}
	place, word, hint := Within, "within", ""
	switch {
	case yieldPart < r.Low:
		place, word, hint = Below, "below", ": much soil, wax or moisture in the raw fleece, or wool lost"
	case yieldPart > r.High:
		place, word, hint = Above, "above", ": a clean fleece, or wax left in it, or not dry yet"
	}
	return place, fmt.Sprintf("%s the usual %s-%s of %s%s", word,
		wholePercent(r.Low)[:len(wholePercent(r.Low))-2], wholePercent(r.High), kind, hint), nil
}
