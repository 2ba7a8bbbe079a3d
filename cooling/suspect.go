package cooling

import "math"

// A Mistyping is a way in which a number can have gone wrong between the
// thermometer and the key.
type Mistyping int

// The mistypings that are looked for. Unexplained is the zero value.
const (
	Unexplained   Mistyping = iota
	SwappedDigits           // 36 for 63
	Fahrenheit              // 145 where 63 °C was meant
	Celsius                 // 63 where 145 °F was meant
)

var mistypingNames = [...]string{Unexplained: "unexplained", SwappedDigits: "digits swapped", Fahrenheit: "typed in °F", Celsius: "typed in °C"}

// String is a word or two for it.
func (m Mistyping) String() string { return nameOf(mistypingNames[:], int(m), "mistyping") }

// A Suspect is a reading that does not go with the bath and the other readings.
type Suspect struct {
	Index     int     // in the readings as they were given
	ExpectedC float64 // from the bath and the other readings
	Sigmas    float64 // how far off, in standard deviations of what was to be expected; positive is too hot

	// What may have been meant, if that would fit: MeantC is what to put in its
	// place. Unexplained leaves it 0.
	Meant  Mistyping
	MeantC float64

	Without Fitted // the bath without this and the suspects before it
}

const (
	// accusedFrom is how far off a reading is called a suspect. Four deviations
	// are one good reading in 16 000 if the errors are normal, and leave room
	// for a law that is off by half a degree.
	accusedFrom = 4.0
	// lookedAtFrom is the quick estimate from which it is worth a fit without.
	lookedAtFrom = 2.5
	// fitsWithin is how near, in deviations, another way to read it must come.
	fitsWithin = 2.5
)

// Suspect points out readings that do not belong, worst first: for each it is
// asked what the bath, as it was meant, and the other readings would have had
// it be. The reading whose absence lets all the rest agree best is looked at
// first, since one wrong reading makes the good ones beside it look odd; with it
// set aside the others are asked again. At most a third of the readings (but
// one in any case) can be suspects: where more disagree it is the bath that is
// not as it was told, a lid lifted or water added.
//
// The width of what is expected counts the start, the loss, the other readings
// and this one's own error (readingSDC, with the rules of [Bath.Fit]). So the
// second of only two readings can be a suspect if the start was known, and none
// can be if nothing was. Readings that Fit leaves out are not looked at.
func (b Bath) Suspect(readings []Reading, readingSDC float64) []Suspect {
	if !(readingSDC > 0) {
		readingSDC = plainReadingSDC
	}
	readingSDC = max(readingSDC, leastReadingSDC)
	kept := make([]Reading, 0, len(readings))
	index := make([]int, 0, len(readings))
	for i, r := range readings {
		if !usable(r) {
			continue
		}
		at := len(kept)
		for at > 0 && kept[at-1].AtMin > r.AtMin {
			at--
		}
		kept = append(kept, Reading{})
		copy(kept[at+1:], kept[at:])
		kept[at] = r
		index = append(index, 0)
		copy(index[at+1:], index[at:])
		index[at] = i
	}
	var suspects []Suspect
	most := max(len(kept)/3, 1)
	others := make([]Reading, len(kept))
	for len(suspects) < most && len(kept) > 0 {
		all := b.Fit(kept, readingSDC)
		if math.IsNaN(all.startC) || !all.anyOdd(kept, readingSDC) {
			break
		}
		worst, worstCost, without := -1, math.Inf(1), Fitted{}
		for i := range kept {
			rest := append(append(others[:0], kept[:i]...), kept[i+1:]...)
			f := b.Fit(rest, readingSDC)
			if cost := f.equations(rest, readingSDC, deviation(b.StartSDC, widestStartSDC), deviation(b.LossSDLog, widestLossSDLog)).cost; cost < worstCost {
				worst, worstCost, without = i, cost, f
			}
		}
		if worst < 0 {
			break
		}
		r := kept[worst]
		expectedC, sigmas := without.sigmas(r, readingSDC)
		if !(math.Abs(sigmas) >= accusedFrom) {
			break
		}
		found := Suspect{Index: index[worst], ExpectedC: expectedC, Sigmas: sigmas, Without: without}
		found.explain(r, readingSDC, false)
		suspects = append(suspects, found)
		kept = append(kept[:worst], kept[worst+1:]...)
		index = append(index[:worst], index[worst+1:]...)
	}
	return suspects
}

// anyOdd is the quick look: a residual of the common fit, with what the reading
// itself pulled the curve towards it taken out as for a linear fit. Where no
// residual is odd, no fit without one of them need be made.
func (f *Fitted) anyOdd(readings []Reading, readingSDC float64) bool {
	for _, r := range readings {
		s := f.bath.stateAt(r.AtMin, f.course(0, 0, 0))
		sd := f.deviationOf(s)
		own := sd * sd / (readingSDC * readingSDC) // its leverage, 0 to 1
		miss := (r.TempC - s.tempC) / readingSDC
		if !(miss*miss < lookedAtFrom*lookedAtFrom*(1-own)) {
			return true
		}
	}
	return false
}

// sigmas is what a fit that did not see a reading expected of it, and how many
// deviations off it is. The width is that of the bath moved all of accusedFrom
// deviations towards the reading, not that many times the width of one: a loss
// known to a factor leaves more room below than a straight line says.
func (f *Fitted) sigmas(r Reading, readingSDC float64) (expectedC, sigmas float64) {
	s := f.bath.stateAt(r.AtMin, f.course(0, 0, 0))
	miss := r.TempC - s.tempC
	width := 0.0
	if sd := f.deviationOf(s); sd > 0 {
		on := f.moved(s, math.Copysign(accusedFrom, miss)/sd)
		width = math.Abs(f.bath.stateAt(r.AtMin, on).tempC - s.tempC)
	}
	return s.tempC, accusedFrom * miss / math.Hypot(width, accusedFrom*readingSDC)
}

// ReadInF looks for what was meant by a reading that was typed in °F; Suspect itself
// takes it for °C.
func (s *Suspect) ReadInF(r Reading, readingSDC float64) { s.explain(r, readingSDC, true) }

// explain looks for another way to read what was typed, in °F or °C, that fits.
func (s *Suspect) explain(r Reading, readingSDC float64, inF bool) {
	typed, celsius := r.TempC, func(v float64) float64 { return v }
	other, otherC := Fahrenheit, (r.TempC-32)/1.8
	if inF {
		typed, celsius = r.TempC*1.8+32, func(v float64) float64 { return (v - 32) / 1.8 }
		other, otherC = Celsius, typed
	}
	s.Meant, s.MeantC = Unexplained, 0
	try := func(m Mistyping, tempC float64) {
		if _, off := s.Without.sigmas(Reading{r.AtMin, tempC}, readingSDC); s.Meant == Unexplained && math.Abs(off) <= fitsWithin {
			s.Meant, s.MeantC = m, tempC
		}
	}
	for place := 1.0; place <= 10; place *= 10 {
		try(SwappedDigits, celsius(swapDigits(typed, place)))
	}
	try(other, otherC)
}

// swapDigits is a figure with the digit of a place (1, 10) and the one before it the
// other way round; NaN if it has not both before the point.
func swapDigits(typed, place float64) float64 {
	typed = math.Round(typed*1e6) / 1e6 // 184 °F comes through °C
	whole := math.Floor(typed)
	if !(whole >= 0 && whole < 1000) || place > 1 && whole < 10*place {
		return math.NaN()
	}
	low := math.Mod(math.Floor(whole/place), 10)
	high := math.Mod(math.Floor(whole/place/10), 10)
	return typed + (low-high)*9*place
}
