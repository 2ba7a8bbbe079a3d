package cooling

import "math"

// screenedTogether is how many readings are screened at a time: near ones tell of a
// slip better than all do, for over a short way the law has less error.
const screenedTogether = 20

// SuspectReadings points out the readings of a plain series that do not go with the
// others, as [Bath.Suspect] does for a bath, each with its Index in the points. Of
// all the ways in which the series may have come about it goes by the one that
// accuses the fewest; where those are more than a tenth it is the bath that is not
// one, and none is pointed out. What [FitSeries] refuses and what warms has none.
func SuspectReadings(points []Reading, o SeriesOptions) (out []Suspect) {
	sdC := max(o.ReadingSDC, KitchenReadingSDC)
	o.Tub = nil
	for from := 0; from < len(points); {
		to := from + screenedTogether
		if len(points)-to < screenedTogether/2 {
			to = len(points) // not a few left over
		}
		some := series{points: points[from:to], o: o}
		if some.check() != nil || !some.cools() {
			from = to
			continue
		}
		points := append([]Reading(nil), some.points...)
		for i := range points {
			points[i].AtMin -= some.originM
		}
		var found []Suspect
		best := math.Inf(1)
		for i, g := range some.ways() {
			if o.RoomFree && i/len(triedBends)%3 != 0 {
				continue // rooms 9 degrees apart do
			}
			suspects := g.bath.Suspect(points, sdC)
			left := g.bath.Fit(points, sdC)
			if n := len(suspects); n > 0 {
				left = suspects[n-1].Without
			}
			miss := float64(len(suspects)) * accusedFrom * accusedFrom * sdC * sdC
			for k, r := range points {
				accused := false
				for _, s := range suspects {
					accused = accused || s.Index == k
				}
				if tempC, _ := left.At(r.AtMin); !accused {
					miss += (tempC - r.TempC) * (tempC - r.TempC)
				}
			}
			if miss < best {
				best, found = miss, suspects
			}
		}
		if len(found) > max(1, (to-from)/10) {
			found = nil
		}
		for _, s := range found {
			s.Index += from
			out = append(out, s)
		}
		from = to
	}
	return out
}

// cools says that the readings fall more often than they rise.
func (s *series) cools() bool {
	falls := 0
	points := s.together()
	for i := range points[1:] {
		switch step := points[i+1].TempC - points[i].TempC; {
		case step < 0:
			falls++
		case step > 0:
			falls--
		}
	}
	return falls > 0
}
