package cooling

import "math"

// A FillWish is what a bath should be and what there is to make it from.
type FillWish struct {
	VolumeL float64 // of water, about; with a jug it is rounded to whole marks
	TargetC float64 // once everything is in

	HotC, ColdC, KettleC float64 // KettleC of NaN: no kettle
	KettleMaxL           float64 // most that the kettle gives; 0 or less: no limit

	// StepL is the mark of the jug that tap water is measured with, L; 0 or less
	// pours exactly. A kettle is poured by its own figure: KettleStepL is its
	// mark (0 or less: the jug's), KettleFullL what a full one holds, which needs
	// no mark (0 or less: not known).
	StepL, KettleStepL, KettleFullL float64

	// CapacityL: whole marks never come to more; 0 or less: no limit.
	CapacityL float64

	// Tub is what the water warms before anything is in it; Fleece comes after:
	// the fleece, the water that it carries, its basket.
	Tub    Portion
	Fleece []Portion

	// HottestC: the water itself is never asked to be hotter, whatever the
	// fleece takes from it; 0 or less: no limit.
	HottestC float64
}

// A Fill says what to pour, each as measured at its own temperature, L.
type Fill struct {
	HotL, ColdL, KettleL float64
	WaterC               float64 // in the tub, before the fleece; NaN: nothing can be poured
	AfterC               float64 // with the fleece in
	ShortC               float64 // above 0: how far below the target the best stays
	Need                 FillNeed
}

// A FillNeed says what would reach the target of a fill that stays short, each
// by itself; NaN if that cannot.
type FillNeed struct {
	KettleL float64 // so much kettle water, with the taps as they are
	HotC    float64 // so hot a tap, with the kettle as it is
	VolumeL float64 // no more than so much water
}

// fillToleranceC is how far under its target a fill measured in whole marks may
// stay before one more mark of kettle water is worth it.
const fillToleranceC = 0.5

// boilToleranceC is how far under its target a fill may stay before one more boil
// of the kettle is worth it; our own choice.
const boilToleranceC = 1.0

// leastShortC is what counts as short of a target: less is the thermometer's.
const leastShortC = 0.05

// FillFor finds what to pour for a bath: with the least kettle water that comes
// to within half a degree under the target, and then as near the target as whole
// marks allow. Hot and cold water while the tap is hot enough, hot and kettle
// water above that. A wish with numbers that make no sense, such as
// a hot tap colder than the cold one, gives a WaterC of NaN.
func FillFor(w FillWish) Fill {
	if !(w.VolumeL > 0) || !allFinite(w.VolumeL, w.TargetC, w.HotC, w.ColdC) || w.HotC < w.ColdC {
		return Fill{WaterC: math.NaN(), AfterC: math.NaN()}
	}
	var f Fill
	if w.StepL > 0 && finite(w.StepL) && w.VolumeL/w.StepL < mostMarks {
		f = w.inMarks()
	} else {
		f = w.exact()
	}
	if f.ShortC = max(0, w.reachC()-f.AfterC); f.ShortC < leastShortC {
		f.ShortC = 0
	}
	saved := w.KettleFullL > 0 && f.KettleL < w.mostKettleL()-1e-9
	if w.StepL > 0 && (f.ShortC <= fillToleranceC || saved && f.ShortC <= boilToleranceC) {
		f.ShortC = 0 // rounding or a boil saved, not want of hot water
	}
	if f.ShortC > 0 {
		f.Need = w.need(f)
	}
	return f
}

// mostMarks bounds the search; a bath of more marks is poured exactly.
const mostMarks = 2000

// reachC is the target, or what the hottest water allowed comes to if that is less, °C.
func (w FillWish) reachC() float64 {
	if w.HottestC > 0 {
		return min(w.TargetC, w.after(WaterPortion(w.VolumeL, w.HottestC)))
	}
	return w.TargetC
}

func (w FillWish) after(water Portion) float64 {
	all := make([]Portion, 0, len(w.Fleece)+1)
	return Mix(append(append(all, water), w.Fleece...)...)
}

// pour is what so much of each comes to.
func (w FillWish) pour(hotL, coldL, kettleL float64) Fill {
	f := Fill{HotL: hotL, ColdL: coldL, KettleL: kettleL}
	parts := []Portion{w.Tub, WaterPortion(hotL, w.HotC), WaterPortion(coldL, w.ColdC)}
	if kettleL > 0 {
		parts = append(parts, WaterPortion(kettleL, w.KettleC))
	}
	f.WaterC = Mix(parts...)
	heat := 0.0
	for _, p := range parts {
		heat += max(0, p.HeatJPerK)
	}
	f.AfterC = w.after(Portion{heat, f.WaterC})
	return f
}

// mostKettleL is the most kettle water that may go in.
func (w FillWish) mostKettleL() float64 {
	switch {
	case !(w.KettleC > max(w.HotC, w.ColdC)) || !finite(w.KettleC):
		return 0
	case w.KettleMaxL > 0:
		return min(w.KettleMaxL, w.VolumeL)
	}
	return w.VolumeL
}

func (w FillWish) inMarks() Fill {
	want := w.reachC()
	marks := func(kettleL float64, cold int) Fill {
		return w.pour(float64(w.jugs(kettleL)-cold)*w.StepL, float64(cold)*w.StepL, kettleL)
	}
	// More kettle water is hotter, so the least that serves is found by halving.
	kettle := w.kettleMarks()
	at, over := 0, len(kettle)-1
	for at < over {
		if mid := (at + over) / 2; marks(kettle[mid], 0).AfterC >= want-fillToleranceC {
			over = mid
		} else {
			at = mid + 1
		}
	}
	best := marks(w.fewerBoils(kettle[at], func(l float64) Fill { return marks(l, 0) }), 0)
	if at > 0 { // one mark less was too cool, so no cold water helps
		return best
	}
	total := w.jugs(0)
	low, high := 0, total // most cold water that still reaches the target
	for low < high {
		if mid := (low + high + 1) / 2; marks(0, mid).AfterC >= want {
			low = mid
		} else {
			high = mid - 1
		}
	}
	for cold := low; cold <= min(low+1, total); cold++ {
		f := marks(0, cold)
		if hotter := w.HottestC > 0 && best.WaterC > w.HottestC && f.WaterC < best.WaterC; hotter || math.Abs(f.AfterC-want) < math.Abs(best.AfterC-want) {
			best = f
		}
	}
	return best
}

// jugs is how many marks of tap water go with so much from the kettle.
func (w FillWish) jugs(kettleL float64) int {
	n := int(math.Round((w.VolumeL - kettleL) / w.StepL))
	if w.CapacityL > 0 {
		n = min(n, int((w.CapacityL-kettleL)/w.StepL+1e-9))
	}
	if kettleL > 0 {
		return max(0, n)
	}
	return max(1, n)
}

// kettleMarks are the amounts that a kettle is poured to, none first: whole marks
// of it, boil by boil, and where those end full ones.
func (w FillWish) kettleMarks() []float64 {
	most := min(w.mostKettleL(), float64(w.jugs(0))*w.StepL)
	step, full := w.KettleStepL, w.KettleFullL
	if !(step > 0) {
		step = w.StepL
	}
	step = max(step, most/mostMarks)
	if !(full > 0) || !finite(full) { // one of any size
		full = math.Ceil(most/step+1) * step
	}
	full = max(full, most/mostMarks)
	load := math.Floor(full/step+1e-9) * step // a boil in whole marks
	out, mark := []float64{0}, 1.0
	add := func(l float64) {
		if l <= most+1e-9 && l > out[len(out)-1]+1e-9 {
			out = append(out, l)
		}
	}
	for boils := 1.0; (boils-1)*full < most; boils++ {
		for ; mark*step <= boils*load+1e-9 && mark*step <= most+1e-9; mark++ {
			add(mark * step)
		}
		for filled := 1.0; filled <= boils; filled++ {
			add((boils-filled)*load + filled*full)
		}
	}
	return out
}

// fewerBoils is one boil less than an amount takes, if the bath comes near enough
// with that; else the amount.
func (w FillWish) fewerBoils(kettleL float64, with func(kettleL float64) Fill) float64 {
	if w.KettleFullL > 0 && kettleL > 0 {
		less := (math.Ceil(kettleL/w.KettleFullL-1e-9) - 1) * w.KettleFullL
		if less > 0 && with(less).AfterC >= w.reachC()-boilToleranceC {
			return less
		}
	}
	return kettleL
}

// exact pours without marks: the water's own temperature that leaves the
// target is found by halving, since tub and fleece take their part.
func (w FillWish) exact() Fill {
	want := w.reachC()
	most := w.mostKettleL()
	if w.pour(w.VolumeL, 0, 0).AfterC >= want { // no kettle needed
		cold := solve(0, w.VolumeL, func(l float64) bool { return w.pour(w.VolumeL-l, l, 0).AfterC >= want })
		return w.pour(w.VolumeL-cold, cold, 0)
	}
	kettle := most
	if w.pour(w.VolumeL-most, 0, most).AfterC > want {
		kettle = most - solve(0, most, func(l float64) bool { return w.pour(w.VolumeL-most+l, 0, most-l).AfterC >= want })
	}
	return w.pour(w.VolumeL-kettle, 0, kettle)
}

// solve is the largest value from low to high for which ok holds, given that it
// holds below some point and not above.
func solve(low, high float64, ok func(float64) bool) float64 {
	if ok(high) {
		return high
	}
	for range 60 {
		if mid := (low + high) / 2; ok(mid) {
			low = mid
		} else {
			high = mid
		}
	}
	return low
}

// need says what would bring a short fill to its target.
func (w FillWish) need(f Fill) FillNeed {
	n := FillNeed{KettleL: math.NaN(), HotC: math.NaN(), VolumeL: math.NaN()}
	want := w.reachC()
	free := w
	free.KettleMaxL, free.StepL = 0, 0
	if f := free.exact(); f.AfterC >= want-leastShortC && f.KettleL > 0 {
		n.KettleL = f.KettleL
	}
	hotter := func(c float64) bool { // with what is poured as it is
		h := w
		h.HotC = c
		return h.pour(f.HotL, f.ColdL, f.KettleL).AfterC >= want
	}
	if f.HotL > 0 && w.HotC < hottestTapC && hotter(hottestTapC) {
		n.HotC = hottestTapC - solve(0, hottestTapC-w.HotC, func(d float64) bool { return hotter(hottestTapC - d) })
	}
	lessL := func(l float64) bool {
		s := w
		s.VolumeL, s.StepL = l, 0
		return s.exact().AfterC >= want-leastShortC
	}
	// Too little water is cooled too far by the fleece, so look from above.
	for part := 0.95; part > 0.08; part -= 0.05 {
		if l := part * w.VolumeL; lessL(l) {
			n.VolumeL = solve(l, w.VolumeL, lessL)
			break
		}
	}
	return n
}

// hottestTapC: no household tap is hotter.
const hottestTapC = 70.0
