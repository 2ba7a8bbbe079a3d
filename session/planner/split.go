package planner

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
)

// BasketG is what a basket should hold in the largest tub of this plan, g; a
// smaller tub takes less, litre for litre.
func BasketG(p shed.Plan, t shed.FleeceType, f shed.Form) float64 {
	return shed.BasketFor(p.Kit.Units, slices.Max(p.WashesL()), t, f)
}

// Part is so much of one fleece to be split into batches.
type Part struct {
	Fleece  shed.Fleece
	RawG    float64
	Form    shed.Form
	Presoak shed.PresoakChoice
	Name    string // the part of the fleece they are from; "": not known
	Layers  int    // locks: in how many layers they lie; 0: not counted
	// BasketG is the most that any basket takes; 0: what the plan says.
	BasketG float64
}

// basketsG are what a basket of a part takes in each of the plan's tubs, g, in whole
// steps of what is shown. The person may say more than usual for the largest alone.
func basketsG(p shed.Plan, part Part) []float64 {
	out, stepG := p.WashesL(), p.Kit.Units.MassStepG()
	most := slices.Max(out)
	for i, bathL := range out {
		g := shed.BasketFor(p.Kit.Units, bathL, part.Fleece.Type, part.Form)
		if part.BasketG > 0 && (part.BasketG < g || bathL == most) {
			g = part.BasketG
		}
		out[i] = max(1, math.Floor(g/stepG+1e-9)) * stepG
	}
	return out
}

// roundG is what a batch is weighed out to, g, where its basket has room for it and it is
// no small one (smallG); our own choice.
const roundG, smallG = 5.0, 50.0

// sharesG is a part in its baskets, g, in the order of the turns at the tubs: in figures that
// people weigh out, and all that the scale can show.
func sharesG(p shed.Plan, part Part) []float64 {
	baskets := basketsG(p, part)
	turns := inTurn(baskets, turnsAt(baskets, part))
	out, stepG := shares(part.RawG, turns, p.Kit.Units.MassStepG()), roundG
	if len(p.Kit.Scales) > 0 {
		stepG = max(stepG, p.Kit.Scale().ReadToG())
	}
	if p.Kit.Units.Ounces() || slices.Min(out) < smallG { // half an ounce is round
		return out
	}
	round := shares(part.RawG, turns, stepG)
	for i, g := range round {
		most := turns[i]
		if part.BasketG == 0 {
			most *= 1 + shed.PinchPart
		}
		if g <= 0 || g > most {
			return out
		}
	}
	return round
}

// MostG is the most that a part puts into one basket, g: what the person or the plan
// says, or a little more where that saves a batch.
func MostG(p shed.Plan, part Part) float64 {
	most := slices.Max(basketsG(p, part))
	if p.Kit.CheckFleeceG(part.RawG) != nil {
		return most
	}
	return max(most, slices.Max(sharesG(p, part)))
}

// Split puts parts of fleeces into baskets, each for a tub of the kit and sized
// for it: in as few turns at the tubs as hold all, as few batches as do, and
// together exactly what was given. They are in the order of the turns. The error
// says what would be right.
func Split(p shed.Plan, parts ...Part) ([]shed.Batch, error) {
	u := p.Kit.Units
	var out []shed.Batch
	for _, part := range parts {
		name := measure.CleanText(part.Fleece.Title(), 2*shed.MaxName)
		baskets := basketsG(p, part)
		for _, err := range []error{
			measure.About("a basket for "+name+":", p.Kit.CheckBatchG(slices.Max(baskets))), measure.About(name+":", shed.CheckLayers(part.Layers)), measure.About(name+":", p.Kit.CheckFleeceG(part.RawG)),
		} {
			if err != nil {
				return nil, err
			}
		}
		shares := sharesG(p, part)
		if n := len(shares); len(out)+n > shed.MaxBatches {
			most := slices.Max(baskets)
			return nil, fmt.Errorf("%s of %s in baskets of %s are %d batches: a day holds %d in all, so plan up to %s of it for one day",
				u.Mass(part.RawG), name, u.Mass(most), n, shed.MaxBatches, u.Mass(most*float64(shed.MaxBatches-len(out))))
		}
		for _, g := range shares {
			out = append(out, shed.Batch{FleeceID: part.Fleece.ID, RawG: g, Form: part.Form, Presoak: part.Presoak, Part: shed.CleanPart(part.Name), Layers: shed.LayersOf(part.Form, part.Layers)})
		}
	}
	return out, nil
}

// turnsAt is how many batches of a part each tub is given. The day is as long as
// its turns, so there are as few as hold all of it; within them the larger tubs
// take what they can, for a batch costs the hands the same whatever it weighs.
func turnsAt(baskets []float64, part Part) []int {
	left, all := part.RawG, 0.0
	if part.BasketG == 0 {
		left /= 1 + shed.PinchPart
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

// OverfullG is how much of a batch has to come out for it to open out in a tub's wash
// bath, g; 0 if it does.
func OverfullG(p *shed.Plan, b *shed.Batch, tub int) float64 {
	if tub < 0 || tub >= len(p.Kit.Tubs) {
		return 0
	}
	over := b.NowG() - p.MostGPerL(b)*p.Method.WashL(p.Kit.Tubs[tub])
	if over < 1 {
		return 0
	}
	stepG := max(5, p.Kit.Units.MassStepG())
	return math.Ceil(over/stepG) * stepG
}

// SayTooFull says that a batch won't open out in a tub, and what to do.
func SayTooFull(p *shed.Plan, b *shed.Batch, tub int) string {
	name, u := p.Kit.Tubs[tub].Name, p.Kit.Units
	if over := OverfullG(p, b, tub); over > 0 {
		return fmt.Sprintf("%s won't open out in %s: take %s out", b.ID, name, u.Mass(over))
	}
	return fmt.Sprintf("%s crowds %s, which takes %s: a larger tub will have it", b.ID, name, u.Mass(p.TakesG(b, tub)))
}
