package cooling

import (
	"errors"
	"fmt"
	"math"
)

// SeriesOptions says what is known of a plain series of temperatures before it
// is fitted. What is free is taken from the readings.
type SeriesOptions struct {
	RoomC    float64 // not read if RoomFree
	RoomFree bool

	StartC    float64 // temperature at minute 0; not read if StartFree
	StartFree bool

	// ReadingSDC is the standard deviation of one reading, °C. 0: judged by how
	// far the readings lie from the curve.
	ReadingSDC float64

	// FloorC is the temperature whose crossing is wanted, if HasFloor.
	FloorC   float64
	HasFloor bool

	// Tub is what the water stands in, if anybody knows: then the crossing is that
	// of a bath in it, as [Bath] has it, with the first reading as that of its fill.
	Tub *Tub

	// RateGuessPerMin is where to start looking. 0: looks over all rates that
	// the readings could show. Room and start need no guess: given the rate
	// they follow from a straight-line fit.
	RateGuessPerMin float64
}

// SeriesFit is Newton's law fitted to a series by least squares. A deviation is
// that of the linearised fit, as regression programs quote it, and 0 for what
// was given.
type SeriesFit struct {
	RoomC, RoomSDC           float64
	StartC, StartSDC         float64 // at minute 0
	RatePerMin, RateSDPerMin float64

	RSS        float64 // sum of the squared residuals, °C²
	ReadingSDC float64 // as given, or √(RSS/DF)
	Points, DF int     // DF is points less what was free

	// Crossing of the floor; NaN without one. Likely is that of the curve (of the
	// bath in a tub that is known). Early and late hold what real baths do: each
	// room that there may be, if it is free, and each way in which the loss may
	// follow the temperature; +Inf if the room may well lie above the floor.
	Crossing Crossing

	// LawMissC is how far the readings lie from the likeliest of these, as a standard
	// deviation, °C; 0 without a floor. Where it is more than a degree or two,
	// something happened that no law of cooling has: a stir, a draught, a top-up.
	LawMissC float64

	// LossScale is how many times the handbook's loss a tub that is known loses.
	LossScale float64

	// RoomUntold says that the readings cannot tell the free room: the curve is the
	// best in the nearest room there may be, not in FreeRoomC, which would fit them
	// (NaN: none would).
	RoomUntold bool
	FreeRoomC  float64
}

// FitSeries fits T(t) = room + (start - room)·exp(-rate·t) to readings by least
// squares; the rate is always free, and above 0. Readings may come in any order
// and may warm as well as cool.
//
// The room and the start enter linearly once the rate is given, so what is left
// is a search along one line for the rate (variable projection: G. H. Golub and
// V. Pereyra, SIAM J. Numer. Anal. 10(2):413, 1973). It cannot run away as an
// undamped Gauss-Newton from a far start does.
//
// The error is a sentence for the person: too few readings, all at one time,
// not approaching the room, a number that is not one.
func FitSeries(points []Reading, o SeriesOptions) (SeriesFit, error) {
	s := series{points: points, o: o}
	if err := s.check(); err != nil {
		return SeriesFit{}, err
	}
	if o.Tub != nil {
		return s.inTub()
	}
	rate, err := s.findRate()
	fit := SeriesFit{}
	if err == nil {
		fit, err = s.result(s.project(rate))
	}
	if o.RoomFree && o.HasFloor {
		return s.inSomeRoom(fit, err)
	}
	return fit, err
}

// series is a fit on its way.
type series struct {
	points  []Reading
	o       SeriesOptions
	originM float64 // minute at which the fit's own start lies: 0 if it was given, else the first reading
	lastMin float64 // since originM
	nextMin float64 // the first time after originM, since originM
	free    int     // parameters
}

// projected is the best that one rate can do.
type projected struct {
	rate, roomC, startC float64 // startC at the series' origin
	rss                 float64
	slope               float64 // d rss / d ln(rate)
}

func (s *series) check() error {
	o := s.o
	wild := func(tempC float64) bool { return !(math.Abs(tempC) <= wildestC) }
	if !o.RoomFree && wild(o.RoomC) || !o.StartFree && wild(o.StartC) {
		return errors.New("the room and the start have to be temperatures, or free")
	}
	if !finite(o.ReadingSDC) || o.ReadingSDC < 0 || !finite(o.RateGuessPerMin) || o.RateGuessPerMin < 0 {
		return errors.New("a reading error and a guess of the rate have to be 0 or more")
	}
	if o.HasFloor && wild(o.FloorC) {
		return errors.New("the floor has to be a temperature")
	}
	if s.free = 1; o.RoomFree {
		s.free++
	}
	if o.StartFree {
		s.free++
		s.originM = math.Inf(1)
	}
	low, high := math.Inf(1), math.Inf(-1)
	for i, p := range s.points {
		if !allFinite(p.AtMin, p.TempC) {
			return fmt.Errorf("reading %d is not a number", i+1)
		}
		if p.AtMin > wildestMin || math.Abs(p.TempC) > wildestC {
			return fmt.Errorf("reading %d is beyond all thermometers and clocks", i+1)
		}
		if p.AtMin < 0 {
			return fmt.Errorf("reading %d is from before minute 0", i+1)
		}
		low, high = min(low, p.TempC), max(high, p.TempC)
		if o.StartFree {
			s.originM = min(s.originM, p.AtMin)
		}
	}
	times := s.times()
	if o.Tub != nil { // the handbook knows the loss already
		if len(s.points) < 2 || times < 2 {
			return errors.New("it takes 2 readings at different times")
		}
		return nil
	}
	if s.lastMin < 1/wildestMin {
		times = 0 // within a moment
	}
	if n := len(s.points); n < s.free || o.ReadingSDC == 0 && n < s.free+1 {
		need := s.free + 1
		if o.ReadingSDC > 0 {
			need = s.free
		}
		return fmt.Errorf("%s too few: it takes %d to find %s", count(n), need, s.unknowns())
	}
	if times < s.free {
		return fmt.Errorf("the readings are from too few different times: it takes %d to find %s", s.free, s.unknowns())
	}
	if low == high {
		return errors.New("all readings are alike: nothing is cooling")
	}
	return nil
}

// times is how many different times the readings tell something at, as far as
// four; on the way it notes the span. A start that was given tells all of its
// own minute. A millionth of the span makes no difference.
func (s *series) times() int {
	for _, p := range s.points {
		s.lastMin = max(s.lastMin, p.AtMin-s.originM)
	}
	near := s.lastMin * 1e-6
	var seen []float64
	s.nextMin = math.Inf(1)
	for _, p := range s.points {
		at := p.AtMin - s.originM
		if at > near {
			s.nextMin = min(s.nextMin, at)
		} else if !s.o.StartFree {
			continue
		}
		known := false
		for _, t := range seen {
			known = known || math.Abs(t-at) <= near
		}
		if !known && len(seen) < seriesParameters+1 {
			seen = append(seen, at)
		}
	}
	return len(seen)
}

func (s *series) unknowns() string {
	switch {
	case s.o.RoomFree && s.o.StartFree:
		return "rate, room and start"
	case s.o.RoomFree:
		return "rate and room"
	case s.o.StartFree:
		return "rate and start"
	default:
		return "the rate"
	}
}

func count(n int) string {
	if n == 1 {
		return "1 reading is"
	}
	return fmt.Sprintf("%d readings are", n)
}

// project fits what is linear for one rate. All differences are formed from
// 1-exp(-x) directly, so that a rate too slow to bend the curve still gives
// its digits.
func (s *series) project(rate float64) projected {
	p := projected{rate: rate, roomC: s.o.RoomC, startC: s.o.StartC}
	n := float64(len(s.points))
	switch gone := func(r Reading) float64 { return -math.Expm1(-rate * (r.AtMin - s.originM)) }; {
	case s.o.RoomFree && s.o.StartFree:
		meanGone, meanC := 0.0, 0.0
		for _, r := range s.points {
			meanGone += gone(r) / n
			meanC += r.TempC / n
		}
		xx, xy := 0.0, 0.0
		for _, r := range s.points {
			x := gone(r) - meanGone
			xx += x * x
			xy += x * (r.TempC - meanC)
		}
		fall := xy / xx // room - start
		p.startC = meanC - fall*meanGone
		p.roomC = p.startC + fall
	case s.o.RoomFree:
		xx, xy := 0.0, 0.0
		for _, r := range s.points {
			x := gone(r)
			xx += x * x
			xy += x * (r.TempC - p.startC)
		}
		p.roomC = p.startC + xy/xx
	case s.o.StartFree:
		xx, xy := 0.0, 0.0
		for _, r := range s.points {
			x := 1 - gone(r)
			xx += x * x
			xy += x * (r.TempC - p.roomC)
		}
		p.startC = p.roomC + xy/xx
	}
	for _, r := range s.points {
		at := r.AtMin - s.originM
		decay := rate * at
		miss := p.startC - (p.startC-p.roomC)*-math.Expm1(-decay) - r.TempC
		p.rss += miss * miss
		// What is linear is at its best, so it does not enter the slope.
		p.slope -= 2 * miss * (p.startC - p.roomC) * decay * math.Exp(-decay)
	}
	return p
}

// The rates that readings can show at all: from a curve that bends by a
// hundred-thousandth of its fall over the whole series to one that has fallen
// to nothing by its first step.
const (
	leastDecay     = 1e-5
	mostDecay      = 35.0
	ratesPerDecade = 8
	firstStep      = 0.3 // in ln(rate)

	// Far beyond what is measured, near enough to compute with.
	wildestMin = 1e9
	wildestC   = 1e6
)

// findRate finds the best rate: downhill from the guess if there is one and
// that leads into a valley, else in the lowest valley of all.
func (s *series) findRate() (float64, error) {
	lowest, highest := math.Log(leastDecay/s.lastMin), math.Log(mostDecay/s.nextMin)
	if s.o.RateGuessPerMin > 0 {
		at := min(max(math.Log(s.o.RateGuessPerMin), lowest), highest)
		if rate, err := s.valley(s.downhill(at, lowest, highest)); err == nil {
			return rate, nil
		}
	}
	const step = math.Ln10 / ratesPerDecade
	best, bestRSS := lowest, math.Inf(1)
	for x := lowest; x <= highest; x += step {
		if p := s.project(math.Exp(x)); p.rss < bestRSS {
			best, bestRSS = x, p.rss
		}
	}
	rate, err := s.valley(max(best-step, lowest), min(best+step, highest))
	switch {
	case err == nil:
		return rate, nil
	case best < lowest+step/2 && s.o.RoomFree:
		return 0, errors.New("the readings do not level off: the room cannot be told from them, only given")
	case best < lowest+step/2:
		return 0, errors.New("the readings do not approach the room's temperature")
	case best > highest-step:
		return 0, errors.New("the readings show only the end of the cooling: a rate cannot be told from them")
	default:
		return 0, err
	}
}

// downhill walks from a ln(rate) with growing steps until the slope turns, and
// gives the last step's two ends.
func (s *series) downhill(at, lowest, highest float64) (low, high float64) {
	direction := 1.0
	if s.project(math.Exp(at)).slope > 0 {
		direction = -1
	}
	step := firstStep
	for {
		next := min(max(at+direction*step, lowest), highest)
		if next == at || s.project(math.Exp(next)).slope*direction >= 0 {
			return min(at, next), max(at, next)
		}
		at, step = next, step*1.5
	}
}

// valley is the best rate between two ln(rate), whose slopes have to fall
// towards each other.
func (s *series) valley(low, high float64) (rate float64, err error) {
	slope := func(x float64) float64 { return s.project(math.Exp(x)).slope }
	slopeLow, slopeHigh := slope(low), slope(high)
	if !(slopeLow < 0 && slopeHigh > 0) {
		return 0, errors.New("the readings do not follow a cooling curve")
	}
	return math.Exp(root(slope, low, high, slopeLow, slopeHigh)), nil
}

// root is where f passes 0 between low and high, by the Illinois variant of the
// false position, with halvings when that dawdles.
func root(f func(float64) float64, low, high, fLow, fHigh float64) float64 {
	for i := 0; i < 200; i++ {
		at := low + (high-low)/2
		if i%4 != 3 && fHigh != fLow {
			if guess := low - fLow*(high-low)/(fHigh-fLow); guess > low && guess < high {
				at = guess
			}
		}
		switch value := f(at); {
		case value == 0:
			return at
		case value < 0:
			low, fLow = at, value
			fHigh /= 2
		default:
			high, fHigh = at, value
			fLow /= 2
		}
		if at := low + (high-low)/2; at <= low || at >= high {
			break
		}
	}
	return low + (high-low)/2
}

// result gives the optimum its deviations and the crossing of the floor.
func (s *series) result(p projected) (SeriesFit, error) {
	out := SeriesFit{
		RoomC: p.roomC, StartC: p.startC, RatePerMin: p.rate, RSS: p.rss,
		Points: len(s.points), DF: len(s.points) - s.free, ReadingSDC: s.o.ReadingSDC,
		Crossing: Crossing{math.NaN(), math.NaN(), math.NaN()},
	}
	if out.ReadingSDC == 0 {
		out.ReadingSDC = math.Sqrt(p.rss / float64(out.DF))
	}
	cov, ok := s.covariance(p, out.ReadingSDC)
	if !ok {
		return SeriesFit{}, fmt.Errorf("%s cannot be told apart by these readings", s.unknowns())
	}
	if s.o.HasFloor {
		s.crossing(&out, p)
	}
	// Back from the series' origin to minute 0.
	if back := p.rate * s.originM; back > 0 {
		grown := math.Exp(back)
		fall := p.startC - p.roomC
		out.StartC = p.roomC + fall*grown
		by := vector{1 - grown, grown, fall * grown * s.originM}
		out.StartSDC = math.Sqrt(max(cov.along(by, by), 0))
	} else {
		out.StartSDC = math.Sqrt(cov[startAt][startAt])
	}
	out.RoomSDC = math.Sqrt(cov[roomAt][roomAt])
	out.RateSDPerMin = math.Sqrt(cov[rateAt][rateAt])
	return out, nil
}
