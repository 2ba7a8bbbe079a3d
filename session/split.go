package session

import (
	"cmp"
	"fmt"
	"math"
	"slices"
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
	// pinch: rather so much more in each basket than one batch more; our own choice.
	pinch = 0.03
	// usualBathL is the bath that is reckoned with where a kit has no tub yet.
	usualBathL = 8.0
)

// washL is the water of the wash bath in a tub, L; of the first bath in a
// method that has no wash.
func (m Method) washL(t Tub) float64 {
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

// washesL are the wash baths of the plan's tubs, L.
func (p Plan) washesL() []float64 {
	out := make([]float64, len(p.Kit.Tubs))
	for i, t := range p.Kit.Tubs {
		out[i] = p.Method.washL(t)
	}
	if len(out) == 0 {
		return []float64{usualBathL}
	}
	return out
}

// BasketG is what a basket should hold in the largest tub of this plan, g; a
// smaller tub takes less, litre for litre.
func (p Plan) BasketG(t FleeceType, f Form) float64 {
	return basketFor(slices.Max(p.washesL()), t, f)
}

// basketFor is the usual basket for a wash bath, g, on a figure that a scale is
// read to.
func basketFor(bathL float64, t FleeceType, f Form) float64 {
	g := min(liftG, fullnessOf(t, f).usual*bathL)
	if g < 50 {
		return max(1, math.Floor(g+1e-9))
	}
	return math.Floor(g/5+1e-9) * 5
}

// A Part is so much of one fleece to be split into batches.
type Part struct {
	Fleece  Fleece
	RawG    float64
	Form    Form
	Presoak PresoakChoice
	Name    string // the part of the fleece they are from; "": from all over
	Layers  int    // locks: in how many layers they lie; 0: not counted
	// BasketG is the most that any basket takes; 0: what the plan says.
	BasketG float64
}

// basketsG are what a basket of a part takes in each of the plan's tubs, g, in whole
// steps of what is shown. The person may say more than usual for the largest alone.
func (p Plan) basketsG(part Part) []float64 {
	out, stepG := p.washesL(), p.Kit.Units.MassStepG()
	most := slices.Max(out)
	for i, bathL := range out {
		g := basketFor(bathL, part.Fleece.Type, part.Form)
		if part.BasketG > 0 && (part.BasketG < g || bathL == most) {
			g = part.BasketG
		}
		out[i] = max(1, math.Floor(g/stepG+1e-9)) * stepG
	}
	return out
}

// sharesG is a part in its baskets, g, in the order of the turns at the tubs.
func (p Plan) sharesG(part Part) []float64 {
	baskets := p.basketsG(part)
	return shares(part.RawG, inTurn(baskets, turnsAt(baskets, part)), p.Kit.Units.MassStepG())
}

// MostG is the most that a part puts into one basket, g: what the person or the plan
// says, or a little more where that saves a batch.
func (p Plan) MostG(part Part) float64 {
	most := slices.Max(p.basketsG(part))
	if checkFleeceG(p.Kit.Units, part.RawG) != nil {
		return most
	}
	return max(most, slices.Max(p.sharesG(part)))
}

// Split puts parts of fleeces into baskets, each for a tub of the kit and sized
// for it: in as few turns at the tubs as hold all, as few batches as do, and
// together exactly what was given. They are in the order of the turns. The error
// says what would be right.
func (p Plan) Split(parts ...Part) ([]Batch, error) {
	u := p.Kit.Units
	var out []Batch
	for _, part := range parts {
		name := clean(part.Fleece.Title(), 2*maxName)
		baskets := p.basketsG(part)
		for _, err := range []error{
			about("a basket for "+name+":", checkBatchG(u, slices.Max(baskets))), about(name+":", CheckLayers(part.Layers)), about(name+":", checkFleeceG(u, part.RawG)),
		} {
			if err != nil {
				return nil, err
			}
		}
		shares := p.sharesG(part)
		if n := len(shares); len(out)+n > maxBatches {
			most := slices.Max(baskets)
			return nil, fmt.Errorf("%s of %s in baskets of %s are %d batches: a day holds %d in all, so plan up to %s of it for one day",
				u.Mass(part.RawG), name, u.Mass(most), n, maxBatches, u.Mass(most*float64(maxBatches-len(out))))
		}
		for _, g := range shares {
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

// turnsAt is how many batches of a part each tub is given. The day is as long as
// its turns, so there are as few as hold all of it; within them the larger tubs
// take what they can, for a batch costs the hands the same whatever it weighs.
func turnsAt(baskets []float64, part Part) []int {
	left, all := part.RawG, 0.0
	if part.BasketG == 0 {
		left /= 1 + pinch
	}
	order := make([]int, len(baskets))
	for i, g := range baskets {
		order[i] = i
		all += g
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(baskets[b], baskets[a]) })
	most := ceil(left / all)
	out := make([]int, len(baskets))
	for _, i := range order {
		out[i] = min(most, ceil(left/baskets[i]))
		left = max(0, left-float64(out[i])*baskets[i])
	}
	return out
}

func ceil(v float64) int { return int(math.Ceil(v - 1e-9)) }

// inTurn are the baskets in the order in which they are washed: all tubs once,
// then those that have another.
func inTurn(baskets []float64, turns []int) []float64 {
	var out []float64
	for turn := range slices.Max(turns) {
		for i, n := range turns {
			if turn < n {
				out = append(out, baskets[i])
			}
		}
	}
	return out
}

// shares splits grams in proportion to the baskets, in whole steps of what is shown.
// They add up exactly, and baskets alike differ by no more than a step. What is less
// than one goes where there is room for it.
func shares(rawG float64, baskets []float64, stepG float64) []float64 {
	all := 0.0
	for _, g := range baskets {
		all += g
	}
	out, order := make([]float64, len(baskets)), make([]int, len(baskets))
	part := func(i int) float64 { return rawG / stepG * baskets[i] / all }
	left := math.Floor(rawG/stepG + 1e-9)
	for i := range baskets {
		order[i], out[i] = i, math.Floor(part(i)+1e-9)
		left -= out[i]
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(part(b)-out[b], part(a)-out[a]) })
	more := max(0, int(left))
	for _, i := range order[:more] {
		out[i]++
	}
	rest := rawG
	last := order[min(more, len(order)-1)]
	for i := range out {
		out[i] *= stepG
		if i != last {
			rest -= out[i]
		}
	}
	out[last] = rest
	return out
}

// OverG is how much of a batch has to come out for it to open out in a tub's wash
// bath, g; 0 if it does.
func (p Plan) OverG(b Batch, tub int) float64 {
	if tub < 0 || tub >= len(p.Kit.Tubs) {
		return 0
	}
	over := b.RawG - p.mostGPerL(b)*p.Method.washL(p.Kit.Tubs[tub])
	if over < 1 {
		return 0
	}
	return math.Ceil(over/5) * 5
}

// mostGPerL is the most that common practice gives a litre of a batch's bath, g.
func (p Plan) mostGPerL(b Batch) float64 { return fullnessOf(p.typeOf(b), b.Form).most }

// typeOf is the type of a batch's fleece.
func (p Plan) typeOf(b Batch) FleeceType {
	if i := slices.IndexFunc(p.Fleeces, func(f Fleece) bool { return f.ID == b.FleeceID }); i >= 0 {
		return p.Fleeces[i].Type
	}
	return Medium
}

// takesG is the most of a batch's fleece that the split puts into a tub, g.
func (p Plan) takesG(b Batch, tub int) float64 {
	return basketFor(p.Method.washL(p.Kit.Tubs[tub]), p.typeOf(b), b.Form) * (1 + pinch)
}

// fitsIn says that a batch may go into a tub: it is no larger than the split would put
// there, to a step of what is shown, or no tub is larger.
func (p Plan) fitsIn(b Batch, tub int) bool {
	return b.RawG <= p.takesG(b, tub)+p.Kit.Units.MassStepG() || p.Method.washL(p.Kit.Tubs[tub]) >= slices.Max(p.washesL())
}

// FirstTubs is the tub that each batch begins the day in, -1 for one that waits:
// the first of the plan that goes into it.
func (p Plan) FirstTubs() []int {
	out := make([]int, len(p.Batches))
	for i := range out {
		out[i] = -1
	}
	for tub := range p.Kit.Tubs {
		for i, b := range p.Batches {
			if out[i] < 0 && p.fitsIn(b, tub) {
				out[i] = tub
				break
			}
		}
	}
	return out
}

// sayTooFull says that a batch will not open out in a tub, and what to do.
func (p Plan) sayTooFull(b Batch, tub int) string {
	name, u := p.Kit.Tubs[tub].Name, p.Kit.Units
	if over := p.OverG(b, tub); over > 0 {
		return fmt.Sprintf("%s will not open out in %s: take %s out", b.ID, name, u.Mass(over))
	}
	return fmt.Sprintf("%s crowds %s, which takes %s: a larger tub will have it", b.ID, name, u.Mass(p.takesG(b, tub)))
}
