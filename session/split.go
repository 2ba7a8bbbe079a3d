package session

import (
	"fmt"
	"math"

	"fleece.example/tubside/session/measure"
)

// bathCeilingGPerL is the most raw wool that a litre of bath should hold: no
// more than 12 g (ASTM D584-10 (2018), 5.2.1, of the bowl that core samples are
// scoured in). Common practice packs baskets fuller; where the two differ the
// plan keeps to the standard and says so.
const bathCeilingGPerL = 12.0

// What one basket takes, raw grams: full but loose (common practice, no source).
// Springy fine fleece takes more room; locks lie in layers.
const (
	basketLongG    = 225.0
	basketMediumG  = 205.0
	basketSpringyG = 180.0
	basketLocksG   = 115.0
)

// UsualBasketG is what one basket of such fleece takes by common practice, g.
func UsualBasketG(t FleeceType, f Form) float64 {
	if f == Locks {
		return basketLocksG
	}
	switch t {
	case Fine:
		return basketSpringyG
	case Longwool:
		return basketLongG
	case Medium, DoubleCoated:
	}
	return basketMediumG
}

// washL is the water of the wash bath in a tub, L; of the first bath in a
// method that has no wash.
func (m Method) washL(t Tub) float64 {
	part := 1.0
	for _, s := range m.Steps {
		if s.Kind.IsBath() {
			part = s.FillPart
		}
		if s.Kind == Wash {
			break
		}
	}
	return min(t.FillL*part, t.CapacityL)
}

// LeanestBathL is the wash bath of the kit's smallest one, L: any batch may come
// into any tub.
func (p Plan) LeanestBathL() float64 {
	least := math.Inf(1)
	for _, t := range p.Kit.Tubs {
		least = min(least, p.Method.washL(t))
	}
	return least
}

// BasketG is what a basket should hold in this plan, g: as usual for the type
// and form, and no more than the water can take.
func (p Plan) BasketG(t FleeceType, f Form) float64 {
	usual := UsualBasketG(t, f)
	if bath := p.LeanestBathL(); finite(bath) {
		return min(usual, bathCeilingGPerL*bath)
	}
	return usual
}

// A Part is so much of one fleece to be split into batches.
type Part struct {
	Fleece  Fleece
	RawG    float64
	Form    Form
	Presoak PresoakChoice
	Name    string // the part of the fleece they are from; "": from all over
	Layers  int    // locks: in how many layers they lie; 0: not counted
	// BasketG is the most that a basket takes; 0: what the plan says.
	BasketG float64
}

// Split puts parts of fleeces into baskets: as few as hold them, all of a part
// alike to the gram, and together exactly what was given. The error says what
// would be right.
func (p Plan) Split(parts ...Part) ([]Batch, error) {
	u := p.Kit.Units
	var out []Batch
	for _, part := range parts {
		name := clean(part.Fleece.Title(), 2*maxName)
		most := part.BasketG
		if most == 0 {
			most = p.BasketG(part.Fleece.Type, part.Form)
		}
		if err := checkBatchG(u, most); err != nil {
			return nil, fmt.Errorf("a basket for %s: %w", name, err)
		}
		if err := CheckLayers(part.Layers); err != nil {
			return nil, fmt.Errorf("%s: %w", name, err)
		}
		if err := checkFleeceG(u, part.RawG); err != nil {
			return nil, fmt.Errorf("%s: %w", name, err)
		}
		n := int(math.Ceil(part.RawG/most - 1e-9))
		if len(out)+n > maxBatches {
			return nil, fmt.Errorf("%s of %s in baskets of %s are %d batches: a day holds %d in all, so plan up to %s of it for one day",
				u.Mass(part.RawG), name, u.Mass(most), n, maxBatches, u.Mass(most*float64(maxBatches-len(out))))
		}
		for _, g := range evenly(part.RawG, n) {
			out = append(out, Batch{FleeceID: part.Fleece.ID, RawG: g, Form: part.Form, Presoak: part.Presoak, Part: cleanPart(part.Name), Layers: layersOf(part.Form, part.Layers)})
		}
	}
	return out, nil
}

// layersOf is a batch's count of layers: loose fleece has none.
func layersOf(f Form, n int) int {
	if f != Locks {
		return 0
	}
	return n
}

// evenly splits grams into n that differ by at most one whole gram, larger ones
// first; what is less than a gram stays with the last. They add up exactly.
func evenly(rawG float64, n int) []float64 {
	whole := int(math.Floor(rawG))
	out := make([]float64, n)
	sum := 0.0
	for i := range out {
		out[i] = float64(whole / n)
		if i < whole%n {
			out[i]++
		}
		if i < n-1 {
			sum += out[i]
		}
	}
	out[n-1] = rawG - sum
	return out
}

// Crowded is a batch with more fleece in a litre of its bath than a scouring
// test allows.
type Crowded struct {
	Batch, Tub string
	GPerL      float64
	MostG      float64 // what that bath takes
	NeedL      float64 // the bath that would take it
}

// CrowdedIn says whether a batch is too much for a tub's wash bath.
func (p Plan) CrowdedIn(b Batch, t Tub) (Crowded, bool) {
	bath := p.Method.washL(t)
	c := Crowded{Batch: b.ID, Tub: t.Name, GPerL: b.RawG / bath, MostG: bathCeilingGPerL * bath, NeedL: b.RawG / bathCeilingGPerL}
	return c, c.GPerL > bathCeilingGPerL*(1+1e-9)
}

// Say is the caution in a sentence.
func (c Crowded) Say(k Kit) string {
	u := k.Units
	per, by := 1.0, "litre"
	if u == measure.US {
		per, by = measure.LPerUSGal, "gallon"
	}
	return fmt.Sprintf("%s is full for %s: %s in each %s, a test bath holds at most %s; %s or a bath of %s keeps to it",
		c.Batch, c.Tub, u.Mass(math.Round(c.GPerL)*per), by, u.Mass(bathCeilingGPerL*per), u.Mass(c.MostG), u.Volume(c.NeedL))
}
