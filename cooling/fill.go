package cooling

import "math"

// A FillWish is what a bath should be and what there is to make it from.
type FillWish struct {
	VolumeL float64 // of water, about; with a jug it is rounded to whole marks
	TargetC float64 // once everything is in

	HotC, ColdC, KettleC float64 // KettleC of NaN: no kettle
	KettleMaxL           float64 // most that the kettle gives; 0 or less: no limit
	// KettleAtC is how hot so many litres of it come into the tub, °C, no hotter than
	// KettleC: several boils wait for each other. Nil: all at KettleC.
	KettleAtC func(litres float64) float64

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
	// UnderC is how far below the target it comes to, whatever the reason: no hotter
	// water, or a boil more that is not worth it. 0 for less than half a mark.
	UnderC float64
	Need   FillNeed
}

// A FillNeed says what would reach the target of a fill that stays short, each
// by itself; NaN if that cannot.
type FillNeed struct {
	KettleL float64 // so much kettle water, with the taps as they are
	HotC    float64 // so hot a tap, with the kettle as it is
	VolumeL float64 // no more than so much water
}

// boilToleranceC is how far under its target a fill may stay before a boil of the
// kettle is worth it, the first and each further one; our own choice.
var boilToleranceC = [2]float64{0.5, 1.0}

// leastShortC is what counts as short of a target: less is the thermometer's.
const leastShortC = 0.05

// FillFor finds what to pour for a bath: in as few boils of the kettle as are worth it
// the whole marks that come nearest to the target. Hot and cold water while the tap is
// hot enough, hot and kettle water above that. A wish with numbers that make no sense,
// such as a hot tap colder than the cold one, gives a WaterC of NaN.
func FillFor(w FillWish) Fill {
	if !(w.VolumeL > 0) || !allFinite(w.VolumeL, w.TargetC, w.HotC, w.ColdC) || w.HotC < w.ColdC {
		return Fill{WaterC: math.NaN(), AfterC: math.NaN()}
	}
	var f Fill
	inMarks := w.StepL > 0 && finite(w.StepL) && w.VolumeL/w.StepL < mostMarks
	if inMarks {
		f = w.inMarks()
	} else {
		f = w.exact()
	}
	under := max(0, w.reachC()-f.AfterC)
	half, mostL := 0.0, w.mostKettleL()
	if inMarks {
		marks := w.kettleMarks()
		half, mostL = w.halfMarkC(f), marks[len(marks)-1]
	}
	if under < leastShortC || under <= half {
		return f
	}
	f.UnderC = under
	if f.ColdL < leastL && f.KettleL >= mostL-leastL { // nothing hotter is left to pour
		f.ShortC = under
		f.Need = w.need(f)
	}
	return f
}

// leastL: less water is none.
const leastL = 1e-6

// kettleStepL is the mark that the kettle is poured by, L; 0 pours exactly.
func (w *FillWish) kettleStepL() float64 {
	if w.KettleStepL > 0 {
		return w.KettleStepL
	}
	return max(0, w.StepL)
}

// halfMarkC is what half a mark changes a bath by, °C: of kettle water for tap water
// where there is some, else of hot water for cold.
func (w *FillWish) halfMarkC(f Fill) float64 {
	if f.KettleL > 0 {
		return (w.KettleC - w.HotC) * w.kettleStepL() / w.VolumeL / 2
	}
	return (w.HotC - w.ColdC) * w.StepL / w.VolumeL / 2
}

// mostMarks bounds the search; a bath of more marks is poured exactly.
const mostMarks = 2000

// reachC is the target, or what the hottest water allowed comes to if that is less, °C.
func (w *FillWish) reachC() float64 {
	if w.HottestC > 0 {
		return min(w.TargetC, w.after(WaterPortion(w.VolumeL, w.HottestC)))
	}
	return w.TargetC
}

func (w *FillWish) after(water Portion) float64 {
	var all [4]Portion // fleece, its water, a basket: asked too often to take memory each time
	return Mix(append(append(all[:0], water), w.Fleece...)...)
}

// pour is what so much of each comes to.
func (w *FillWish) pour(hotL, coldL, kettleL float64) Fill {
	f := Fill{HotL: hotL, ColdL: coldL, KettleL: kettleL}
	parts := [...]Portion{w.Tub, WaterPortion(hotL, w.HotC), WaterPortion(coldL, w.ColdC), {}}
	if kettleL > 0 {
		parts[3] = WaterPortion(kettleL, w.kettleAtC(kettleL))
	}
	f.WaterC = Mix(parts[:]...)
	heat := 0.0
	for _, p := range parts {
		heat += max(0, p.HeatJPerK)
	}
	f.AfterC = w.after(Portion{heat, f.WaterC})
	return f
}

// kettleAtC is how hot so much kettle water comes into the tub, °C.
func (w *FillWish) kettleAtC(litres float64) float64 {
	if w.KettleAtC == nil {
		return w.KettleC
	}
	return w.KettleAtC(litres)
}

// mostKettleL is the most kettle water that may go in.
func (w *FillWish) mostKettleL() float64 {
	switch {
	case !(w.KettleC > max(w.HotC, w.ColdC)) || !finite(w.KettleC):
		return 0
	case w.KettleMaxL > 0:
		return min(w.KettleMaxL, w.VolumeL)
	}
	return w.VolumeL
}

func (w *FillWish) inMarks() Fill {
	want := w.reachC()
	marks := func(kettleL float64, cold int) Fill {
		return w.pour(float64(w.jugs(kettleL)-cold)*w.StepL, float64(cold)*w.StepL, kettleL)
	}
	best := marks(0, 0)
	if best.AfterC < want { // no cold water
		return w.nearestBoil(want, func(l float64) Fill { return marks(l, 0) })
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
		if f := marks(0, cold); w.nearer(f, best, want) {
			best = f
		}
	}
	return best
}

// nearer says that one way to pour is better than another for a bath wanted at wantC: it
// keeps to the hottest water allowed, or is nearer.
func (w *FillWish) nearer(f, than Fill, wantC float64) bool {
	if w.HottestC > 0 && than.WaterC > w.HottestC {
		return f.WaterC < than.WaterC
	}
	if w.HottestC > 0 && f.WaterC > w.HottestC {
		return false
	}
	return math.Abs(f.AfterC-wantC) < math.Abs(than.AfterC-wantC)-1e-9
}

// nearestBoil is the nearest to wantC of what is poured with so much from the kettle, in
// the fewest boils that come near enough.
func (w *FillWish) nearestBoil(wantC float64, with func(kettleL float64) Fill) Fill {
	nearest := with(0)
	inThis, boils := nearest, 0
	for _, l := range w.kettleMarks()[1:] {
		n := 1
		if w.KettleFullL > 0 {
			n = int(math.Ceil(l/w.KettleFullL - 1e-9))
		}
		f := with(l)
		if n > boils {
			if nearest.AfterC >= wantC-boilToleranceC[min(boils, 1)] {
				return nearest
			}
			inThis, boils = f, n
		}
		if w.nearer(f, inThis, wantC) {
			inThis = f
		}
		if w.nearer(inThis, nearest, wantC) {
			nearest = inThis
		}
	}
	return nearest
}

// jugs is how many marks of tap water go with so much from the kettle.
func (w *FillWish) jugs(kettleL float64) int {
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
func (w *FillWish) kettleMarks() []float64 {
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

// exact pours without marks: the water's own temperature that leaves the
// target is found by halving, since tub and fleece take their part.
func (w *FillWish) exact() Fill {
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
func (w *FillWish) need(f Fill) FillNeed {
	n := FillNeed{KettleL: math.NaN(), HotC: math.NaN(), VolumeL: math.NaN()}
	want := w.reachC()
	free := *w
	free.KettleMaxL, free.StepL = 0, 0
	if f := free.exact(); f.AfterC >= want-leastShortC && f.KettleL > 0 {
		n.KettleL = f.KettleL
	}
	hotter := func(c float64) bool { // with what is poured as it is
		h := *w
		h.HotC = c
		return h.pour(f.HotL, f.ColdL, f.KettleL).AfterC >= want
	}
	if f.HotL > 0 && w.HotC < hottestTapC && hotter(hottestTapC) {
		n.HotC = hottestTapC - solve(0, hottestTapC-w.HotC, func(d float64) bool { return hotter(hottestTapC - d) })
	}
	lessL := func(l float64) bool {
		s := *w
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
