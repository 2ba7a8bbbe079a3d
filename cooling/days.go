package cooling

import "math"

// What is taken of how much days differ before any has been seen, as a standard
// deviation of ln(loss): its middle, by how much tubs in one place differ in it and by
// how much places do, as deviations of its logarithm. Estimates, no source.
const (
	middlingDaysSDLog = 0.20
	placesDifferLog   = 0.55
	tubsDifferLog     = 0.3
)

// triedDays are how much days may differ: draught, humidity, how the lid sits.
var triedDays = func() (tried [25]float64) {
	const least, most = 0.03, 0.6
	for i := range tried {
		tried[i] = least * math.Pow(most/least, float64(i)/float64(len(tried)-1))
	}
	return tried
}()

// TubDays are what the finished days of one tub under one cover say, a lesson each
// (see [DayOf]).
type TubDays struct {
	HandbookSDLog float64
	Days          []Lesson
}

// Says reports a lesson that says anything.
func (l Lesson) Says() bool {
	w := 1 / (l.SDLog * l.SDLog)
	return allFinite(w, l.LogScale) && w > 0
}

// DayOf is what the baths of one day with one tub and cover say together. They share
// the day: ten baths in one draughty afternoon say little of other afternoons. ok is
// false if none says anything.
func DayOf(lessons ...Lesson) (day Lesson, ok bool) {
	weight := 0.0
	for _, lesson := range lessons {
		if !lesson.Says() {
			continue
		}
		w := 1 / (lesson.SDLog * lesson.SDLog)
		weight += w
		day.LogScale += (lesson.LogScale - day.LogScale) * w / weight
	}
	day.SDLog = 1 / math.Sqrt(weight)
	return day, weight > 0
}

// BetweenDays is by how much the days of each tub differ, as a standard deviation of
// ln(loss): by its own days where it has many, by those of all tubs of the place where
// it has few, and by what is usual where nobody has any. The model has a level more
// than [Learned]:
//
//	ln(place) ~ N(ln 0.2, 0.55²)   ln(between) ~ N(ln(place), 0.3²)
//
// and each tub's days as there. Both are summed over a row of values, without anything
// assumed of their likelihood; the answer is √(mean of between²), so that what is not
// known of it widens the next day.
func BetweenDays(tubs ...TubDays) []float64 {
	const n = len(triedDays)
	// alike[i][j] is how likely a tub has triedDays[j] in a place with triedDays[i].
	var alike [n][n]float64
	var place [n]float64
	for i, of := range triedDays {
		off := math.Log(of/middlingDaysSDLog) / placesDifferLog
		place[i] = -off * off / 2
		sum := 0.0
		for j, own := range triedDays {
			off := math.Log(own/of) / tubsDifferLog
			alike[i][j] = math.Exp(-off * off / 2)
			sum += alike[i][j]
		}
		for j := range alike[i] {
			alike[i][j] /= sum
		}
	}
	likely := make([][n]float64, len(tubs))
	for k, tub := range tubs {
		best := math.Inf(-1)
		for j, between := range triedDays {
			likely[k][j] = tub.lnLikelihood(between)
			best = max(best, likely[k][j])
		}
		for j := range likely[k] {
			likely[k][j] = math.Exp(likely[k][j] - best)
		}
		for i := range place {
			sum := 0.0
			for j := range triedDays {
				sum += alike[i][j] * likely[k][j]
			}
			place[i] += math.Log(sum)
		}
	}
	best := math.Inf(-1)
	for _, x := range place {
		best = max(best, x)
	}
	out := make([]float64, len(tubs))
	for k := range tubs {
		weight, square := 0.0, 0.0
		for i := range place {
			own, ownSquare := 0.0, 0.0
			for j, between := range triedDays {
				p := alike[i][j] * likely[k][j]
				own += p
				ownSquare += p * between * between
			}
			w := math.Exp(place[i] - best)
			weight += w
			square += w * ownSquare / own
		}
		out[k] = math.Sqrt(square / weight)
	}
	return out
}

// lnLikelihood is how well a tub's days go with their differing by so much, with its
// own middle left open as far as the handbook leaves it.
func (t TubDays) lnLikelihood(between float64) float64 {
	own := 1 / tubVariance(t.HandbookSDLog, between)
	ln, weight, sum, square := 0.0, 0.0, 0.0, 0.0
	for _, d := range t.Days {
		w := 1 / (d.SDLog*d.SDLog + between*between)
		ln += math.Log(w) / 2
		weight, sum, square = weight+w, sum+w*d.LogScale, square+w*d.LogScale*d.LogScale
	}
	return ln + math.Log(own/(own+weight))/2 - (square-sum*sum/(own+weight))/2
}

// tubVariance is what the handbook leaves open of a tub's middle. Days that differ more
// than it leaves open say that it was too sure: at least a quarter of its variance is
// the tub's own.
func tubVariance(handbookSDLog, between float64) float64 {
	handbook := handbookSDLog * handbookSDLog
	return max(handbook-between*between, handbook/4)
}
