package cooling

import "math"

// crossing is when the fitted curve comes down to the floor. Early and late are
// where a curve made to pass the floor just then, and otherwise at its best,
// fits worse by what so many standard deviations of the readings allow (the
// profile of the likelihood). A few readings say little of a free room, and the
// bent valley of room and rate is then nothing like an ellipse: the linearised
// deviations, which serve for a bath, held only half of the true crossings.
//
// A room that may lie above the floor leaves the late end open.
func (s *series) crossing(p projected, deviations float64) Crossing {
	if !s.o.StartFree && s.o.StartC <= s.o.FloorC {
		return Crossing{0, 0, 0}
	}
	likely := s.passes(p)
	worse := p.rss + deviations*deviations*s.sd2
	at := math.Log(p.rate)
	// misses is how far beyond the allowance the best curve through the floor
	// at such a minute lies. The search for it starts from the rate that was
	// best for the last minute within the allowance.
	misses := func(minute float64) float64 {
		best, rss := s.bestThrough(minute, at)
		if rss <= worse {
			at = best
		}
		return rss - worse
	}
	never := s.originM + 700/p.rate // exp(-700) is as good as the room itself
	c := Crossing{0, likely, math.Inf(1)}
	inside := min(likely, never)
	if math.IsInf(likely, 1) && !(misses(never) < 0) {
		c.EarlyMin = likely // surely never
		return c
	}
	if outside := 0.0; misses(outside) > 0 {
		c.EarlyMin = boundary(misses, outside, inside)
	}
	if math.IsInf(likely, 1) {
		return c
	}
	at = math.Log(p.rate)
	step := max(s.originM+s.lastMin, likely) / 4
	for minute := likely; minute < never; step *= 1.5 {
		next := minute + step
		if misses(next) > 0 {
			c.LateMin = boundary(misses, next, minute)
			break
		}
		minute = next
	}
	return c
}

// boundary halves its way to where misses turns from above 0 (outside) to not
// above 0, to a millionth of a minute or rounding.
func boundary(misses func(float64) float64, outside, inside float64) float64 {
	for range 60 {
		middle := outside + (inside-outside)/2
		if math.Abs(outside-inside) < 1e-6 {
			break
		}
		if misses(middle) > 0 {
			outside = middle
		} else {
			inside = middle
		}
	}
	return inside
}

// passes is the first minute, not before 0, at which the curve is at or below
// the floor; +Inf if it never is.
func (s *series) passes(p projected) float64 {
	floor := s.o.FloorC
	atZero := p.roomC + (p.startC-p.roomC)*math.Exp(p.rate*s.originM)
	if atZero <= floor {
		return 0
	}
	if !(floor > p.roomC) {
		return math.Inf(1)
	}
	return max(s.originM+math.Log((p.startC-p.roomC)/(floor-p.roomC))/p.rate, 0)
}

// through is the sum of squares of the best curve of a rate that is at the
// floor at a minute. It is not finite if there is none.
func (s *series) through(minute, rate float64) float64 {
	o, then := s.o, minute-s.originM
	gone := -math.Expm1(-rate * then)
	var fall, base float64 // curve = base - fall·(1-exp(-rate·t))
	switch {
	case o.RoomFree && o.StartFree:
		xx, xy := 0.0, 0.0
		for _, r := range s.points {
			x := math.Expm1(-rate*(r.AtMin-s.originM)) + gone
			xx += x * x
			xy += x * (r.TempC - o.FloorC)
		}
		fall = xy / xx
		base = o.FloorC + fall*gone
	case o.RoomFree:
		base, fall = o.StartC, (o.StartC-o.FloorC)/gone
	default: // the start to fit; if it was given, the misses say what it costs
		fall = (o.FloorC - o.RoomC) / (1 - gone)
		base = o.RoomC + fall
	}
	rss := 0.0
	for _, r := range s.points {
		miss := base + fall*math.Expm1(-rate*(r.AtMin-s.originM)) - r.TempC
		rss += miss * miss
	}
	return rss
}

// bestThrough finds the rate, near the ln(rate) given, whose curve through the
// floor at a minute fits best.
func (s *series) bestThrough(minute, near float64) (lnRate, rss float64) {
	if !s.o.RoomFree && !s.o.StartFree { // the minute settles the rate
		ratio := (s.o.StartC - s.o.RoomC) / (s.o.FloorC - s.o.RoomC)
		lnRate = math.Log(math.Log(ratio) / minute)
		return lnRate, s.through(minute, math.Exp(lnRate))
	}
	cost := func(x float64) float64 {
		if rss := s.through(minute, math.Exp(x)); !math.IsNaN(rss) {
			return rss
		}
		return math.Inf(1)
	}
	// Walk downhill with growing strides until it rises again, then narrow the
	// valley by the golden section.
	const stride = 0.05
	middle, best := near, cost(near)
	low, high := near-stride, near+stride
	for _, direction := range []float64{1, -1} {
		for step := stride; step < 1e3; step *= 1.6 {
			next := middle + direction*step
			value := cost(next)
			if direction > 0 {
				high = next
			} else {
				low = next
			}
			if !(value < best) {
				break
			}
			if direction > 0 {
				low = middle
			} else {
				high = middle
			}
			middle, best = next, value
		}
		if middle != near {
			break // it went down this way: the other rises
		}
	}
	const golden = 0.6180339887498949
	a, b := high-golden*(high-low), low+golden*(high-low)
	costA, costB := cost(a), cost(b)
	for high-low > 1e-6 {
		if costA < costB {
			high, b, costB = b, a, costA
			a = high - golden*(high-low)
			costA = cost(a)
		} else {
			low, a, costA = a, b, costB
			b = low + golden*(high-low)
			costB = cost(b)
		}
	}
	if costA < best {
		middle, best = a, costA
	}
	return middle, best
}

// studentNinetyFive is the 95 % point of Student's t: exact for 1 and 2 degrees
// of freedom, else by the expansion in 1/df (Abramowitz and Stegun 26.7.5; from
// memory), within 0.003.
func studentNinetyFive(df int) float64 {
	switch {
	case df <= 0:
		return ninetyFive
	case df == 1:
		return math.Tan(math.Pi * 0.45)
	case df == 2:
		return 0.9 * math.Sqrt(2/(1-0.81))
	}
	x, n := ninetyFive, float64(df)
	x2 := x * x
	return x + x*(x2+1)/(4*n) +
		x*polynomial(x2, 3, 16, 5)/(96*n*n) +
		x*polynomial(x2, -15, 17, 19, 3)/(384*n*n*n) +
		x*polynomial(x2, -945, -1920, 1482, 776, 79)/(92160*n*n*n*n)
}
