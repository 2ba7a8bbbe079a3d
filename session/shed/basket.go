package shed

import (
	"math"
	"slices"

	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/yield"
)

// fullness is how much raw fleece a litre of wash bath takes, g: what a basket
// is usually given, and the most that common practice gives it. Past that the
// fleece cannot be pushed under and does not open out.
type fullness struct{ usual, most float64 }

// fullnessOf is common practice, no source: about 225 g of loose fleece in a
// bucket bath of 8 to 11 L, 115 g of locks in 4 to 6 L, 20 to 30 g for each
// litre. Springy fine fleece leaves 30 to 60 g of the 225 g out; locks are never
// pressed under.
func fullnessOf(t FleeceType, f Form) fullness {
	if f == Locks {
		return fullness{115.0 / 5, 115.0 / 4}
	}
	if t == Fine {
		return fullness{180.0 / 8, 26}
	}
	return fullness{225.0 / 8, 30}
}

const (
	// liftG is the most that one basket is given however large its tub: wet it
	// weighs three times that, and it is lifted by hand. Our own choice.
	liftG = 1000.0
	// PinchPart is by what part a basket is filled over its size, rather than that there is one
	// batch more; our own choice.
	PinchPart = 0.03
	// usualBathL is the bath that is reckoned with where a kit has no tub yet.
	usualBathL = 8.0
)

// WashL is the water of the wash bath in a tub, L; of the first bath in a
// method that has no wash.
func (m Method) WashL(t Tub) float64 {
	part := 1.0
	for _, s := range m.Steps {
		if s.Kind.IsBath() {
			part = s.FillPart
		}
		if s.Kind.Facts().Sizes {
			break
		}
	}
	return min(t.FillL*part, t.CapacityL)
}

// WashesL are the wash baths of the plan's tubs, L.
func (p *Plan) WashesL() []float64 {
	out := make([]float64, len(p.Kit.Tubs))
	for i, t := range p.Kit.Tubs {
		out[i] = p.Method.WashL(t)
	}
	if len(out) == 0 {
		return []float64{usualBathL}
	}
	return out
}

// BasketFor is the usual basket for a wash bath, g, on a figure that people weigh out.
func BasketFor(u measure.System, bathL float64, t FleeceType, f Form) float64 {
	g := min(liftG, fullnessOf(t, f).usual*bathL)
	stepG := weighedOutG(u, g)
	return max(1, math.Floor(g/stepG+1e-9)) * stepG
}

// weighedOutG is what people weigh out so much by, g.
func weighedOutG(u measure.System, g float64) float64 {
	if g < 50 {
		return u.MassStepG()
	}
	return max(u.MassStepG(), 5)
}

// LayersOf is a batch's count of layers: loose fleece has none.
func LayersOf(f Form, n int) int {
	if f != Locks {
		return 0
	}
	return n
}

// MostGPerL is the most that common practice gives a litre of a batch's bath, g.
func (p *Plan) MostGPerL(b *Batch) float64 { return fullnessOf(p.typeOf(b), b.Form).most }

// typeOf is the type of a batch's fleece.
func (p *Plan) typeOf(b *Batch) FleeceType {
	if i := slices.IndexFunc(p.Fleeces, func(f Fleece) bool { return f.ID == b.FleeceID }); i >= 0 {
		return p.Fleeces[i].Type
	}
	return Medium
}

// ComesG is what a batch weighs when it comes to a bath, g, without its water: its last dry weight, raw, or what is
// left of it after a first wash, on an earlier day or by washed: by what the others of its fleece gave, else by what
// its type gives.
func (p *Plan) ComesG(b *Batch, washed bool) float64 {
	if b.WasDryG > 0 || b.Raw() && !washed {
		return b.NowG()
	}
	rawG, dryG := 0.0, 0.0
	for _, g := range p.Gave {
		if g.Fleece == b.FleeceID {
			rawG, dryG = rawG+g.RawG, dryG+g.DryG
		}
	}
	if !(rawG > 0) {
		usual, err := yield.Usual(p.typeOf(b).String())
		if err != nil {
			return b.RawG
		}
		rawG, dryG = 2, usual.Low+usual.High
	}
	return b.RawG * dryG / rawG
}

// UsualG is what a basket usually takes of a batch's fleece in a tub, g.
func (p *Plan) UsualG(b *Batch, tub int) float64 {
	return BasketFor(p.Kit.Units, p.Method.WashL(p.Kit.Tubs[tub]), p.typeOf(b), b.Form)
}

// TakesG is the most of a batch's fleece that the split puts into a tub, g.
func (p *Plan) TakesG(b *Batch, tub int) float64 { return p.UsualG(b, tub) * (1 + PinchPart) }

// NeedsL is the least wash bath, L, of a tub that a batch fits in.
func (p *Plan) NeedsL(b *Batch) float64 {
	g := (b.NowG() - p.Kit.Units.MassStepG()) / (1 + PinchPart)
	stepG := weighedOutG(p.Kit.Units, g)
	return math.Ceil(10*math.Ceil(g/stepG-1e-9)*stepG/fullnessOf(p.typeOf(b), b.Form).usual) / 10
}

// FitsIn says that a batch may go into a tub: it is no larger than the split would put
// there, to a step of what is shown, or no tub is larger.
func (p *Plan) FitsIn(b *Batch, tub int) bool {
	return b.NowG() <= p.TakesG(b, tub)+p.Kit.Units.MassStepG() || p.Method.WashL(p.Kit.Tubs[tub]) >= slices.Max(p.WashesL())
}
