package store

import (
	"slices"
	"sort"
)

// Keep is what is kept of the copies: the last one of each of so many hours, days and
// months with a copy; 0 is all of them. They count by the hours in which a copy was
// made and not by how long ago that is: weeks without a wash day cost none, and a clock
// that is wrong takes a place for each copy made under it and no more.
type Keep struct{ Hours, Days, Months, Years int }

var (
	// Usually: a whole wash day has its hours, a season its days. A month's last copy is
	// for what is missed late, and stays.
	Usually = Keep{Hours: 24, Days: 31}
	// InNeed is what is kept where there is no room for more.
	InNeed = Keep{Hours: 6, Days: 7, Months: 12}
)

// Thin says which copies are no longer wanted. Copies made before another layout stay.
// Of those made of a harmed record the newest does, and it takes no place of a whole one.
func Thin(all []Copy, k Keep) (drop []Copy) {
	byMoment := slices.Clone(all)
	sort.SliceStable(byMoment, func(i, j int) bool { return byMoment[i].At.After(byMoment[j].At) })
	keep := map[string]bool{}
	for _, rule := range []struct {
		part string // of the moment
		most int
	}{{"2006-01-02 15", k.Hours}, {"2006-01-02", k.Days}, {"2006-01", k.Months}, {"2006", k.Years}} {
		seen := map[string]bool{}
		for _, c := range byMoment {
			part := c.At.UTC().Format(rule.part)
			if c.Kind != Regular || seen[part] || rule.most > 0 && len(seen) == rule.most {
				continue
			}
			seen[part] = true
			keep[c.Path] = true
		}
	}
	harmed := false
	for _, c := range byMoment {
		switch {
		case c.Kind == BeforeLayout || keep[c.Path]:
		case c.Kind == Harmed && !harmed:
			harmed = true
		default:
			drop = append(drop, c)
		}
	}
	return drop
}
