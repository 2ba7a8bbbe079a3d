package lookback

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
)

// Change is what could be set otherwise in the kit or the method.
type Change int

// The changes that a record can speak for.
const (
	ReachTub    Change = iota // the kit's minutes to reach a tub
	HotterStart               // the temperature a wash begins at
	ShorterSoak               // how long a wash soaks
)

// Advice is a change with what it rests on. From and To are minutes or °C, as it is set and
// as it would be.
type Advice struct {
	Change   Change
	Step     string // the method's step; "" for the kit
	From, To float64
	// Times of all Of were so, on Days days: baths that nobody lifted in time, or washes
	// that did not last their soak. Least and Most are how late, min.
	Times, Of, Days int
	Least, Most     float64
	ReleaseC        float64 // of a wash
}

// What an advice needs before it is given; our own choices, no source.
const (
	fewestLate   = 3   // late lifts, and at least two in three of all
	nightMin     = 120 // a soak over night is lifted when its person is up, min
	fewestWashes = 2   // washes that did not last, and at least half of all
	nearAimC     = 1.5 // a wash began as hot as it was meant to, °C
	roundMin     = 5.0 // minutes to reach a tub are set in steps of so many
)

// Advise is what these days, the one looked at first, speak for. Only days by the first
// one's method count for its washes. A day without a fault gets none.
func Advise(days []session.Day) []Advice {
	if len(days) == 0 {
		return nil
	}
	var out []Advice
	if a, ok := reachTub(days); ok {
		out = append(out, a)
	}
	for _, s := range days[0].Plan.Method.Steps {
		if a, ok := ofWash(days, s); ok {
			out = append(out, a)
		}
	}
	return out
}

// reachTub: who lifted later after a soak's end than the time they said they need, two
// times in three.
func reachTub(days []session.Day) (Advice, bool) {
	a := Advice{Change: ReachTub, From: days[0].Plan.Kit.LeadMin}
	var late []float64
	shortestMin := math.Inf(1)
	for i, d := range days {
		n := len(late)
		for _, b := range d.Baths {
			if b.SunkAt.IsZero() || b.LiftedAt.IsZero() || b.SoakMin > nightMin {
				continue
			}
			a.Of++
			if b.Step.HasRelease() {
				shortestMin = min(shortestMin, b.SoakMin)
			}
			if m := measure.MinutesBetween(b.SunkAt, b.LiftedAt) - b.HeldFor.Minutes() - b.SoakMin; m > a.From {
				late = append(late, m)
			}
		}
		if len(late) > n {
			a.Days++
		} else if i == 0 {
			return a, false // this day does not speak for it
		}
	}
	if len(late) < fewestLate || 3*len(late) < 2*a.Of {
		return a, false
	}
	slices.Sort(late)
	a.Times, a.Least, a.Most = len(late), late[0], late[len(late)-1]
	for a.To = a.From; a.To < late[(len(late)*4-1)/5] && a.To+roundMin <= shortestMin/2; { // four times in five is in time then
		a.To += roundMin
	}
	return a, a.To > a.From && (shed.Kit{}).CheckLeadMin(a.To) == nil
}

// ofWash: a wash that came down to its release temperature before its soak was over, with
// its cover on and begun as hot as it was meant to.
func ofWash(days []session.Day, s shed.Step) (Advice, bool) {
	a := Advice{Step: s.Name, ReleaseC: s.ReleaseC}
	if !s.HasRelease() {
		return a, false
	}
	moreC, lastsMin := 0.0, math.Inf(1)
	mends := true // a hotter start would do
	for i, d := range days {
		if d.Plan.Method.ID != days[0].Plan.Method.ID {
			continue
		}
		n := a.Times
		for _, b := range d.Baths {
			if sameStep(b.Step.Name, s.Name) && !b.SunkAt.IsZero() && !b.LiftedAt.IsZero() {
				a.Of++
			}
		}
		for _, f := range Of(d) {
			x := f.Bath
			beganC := x.SinkForecastC
			if measure.Finite(x.SinkReadC) {
				beganC = x.SinkReadC
			}
			if f.Kind != Below || !sameStep(x.Step.Name, s.Name) || f.OffMin > 0 || s.Water == shed.Mixed && x.Step.AimC-beganC > nearAimC {
				continue
			}
			lasts := measure.MinutesBetween(x.SunkAt, f.DownAt)
			if lasts >= x.PlannedMin {
				continue // it was left too long: that is no matter of the method
			}
			a.Times++
			moreC, lastsMin, mends = max(moreC, f.HotterC), min(lastsMin, lasts), mends && f.HotterC > 0
		}
		if a.Times > n {
			a.Days++
		} else if i == 0 {
			return a, false
		}
	}
	if a.Times < fewestWashes || 2*a.Times < a.Of {
		return a, false
	}
	a.Least = lastsMin
	if to := s.AimC + math.Ceil(moreC); mends && s.Water == shed.Mixed && to <= hottestC {
		a.Change, a.From, a.To = HotterStart, s.AimC, to
		return a, true
	}
	a.Change, a.From, a.To = ShorterSoak, s.SoakMin, math.Floor(lastsMin)
	return a, a.To >= s.ShortestMin && a.To < s.SoakMin
}

// sameStep says that a bath is of the method's step: one that is taken twice has its
// number before its name.
func sameStep(bath, step string) bool {
	return bath == step || strings.HasSuffix(bath, " "+step)
}

// Say is the change, and why, in a person's words and units.
func (a Advice) Say(u measure.System) (what, why string) {
	mins := func(m float64) string { return measure.Minutes(math.Round(m)) }
	late, on := mins(a.Least), ""
	if mins(a.Most) != late {
		late += " to " + mins(a.Most)
	}
	if a.Days > 1 {
		on = fmt.Sprintf(" on %d days", a.Days)
	}
	washes := fmt.Sprintf("%d of %s", a.Times, measure.Counted(a.Of, "wash", "washes"))
	switch a.Change {
	case ReachTub:
		return fmt.Sprintf("Time you need to reach a tub: %s, not %s", mins(a.To), mins(a.From)),
			fmt.Sprintf("You came late to %d of %s%s, by %s. Alarms would come %s earlier.", a.Times, measure.Counted(a.Of, "lift", "lifts"), on, late, mins(a.To-a.From))
	case HotterStart:
		return fmt.Sprintf("Begin the %s at %s, not %s", a.Step, u.Temp(a.To), u.Temp(a.From)),
			fmt.Sprintf("It came down to %s before its soak was over in %s, begun as planned and covered.", u.Temp(a.ReleaseC), washes+on)
	case ShorterSoak:
		return fmt.Sprintf("Soak the %s for %s, not %s", a.Step, mins(a.To), mins(a.From)),
			fmt.Sprintf("It came down to %s after %s in %s, and a hotter start would not mend it.", u.Temp(a.ReleaseC), mins(a.Least), washes+on)
	}
	return "", ""
}

// InKit is the kit with the change, where it is one of the kit.
func (a Advice) InKit(k shed.Kit) (shed.Kit, bool) {
	if a.Change != ReachTub {
		return k, false
	}
	k.LeadMin = a.To
	return k, true
}

// InMethod is the method with the change, where it is one of the method.
func (a Advice) InMethod(m shed.Method) (shed.Method, bool) {
	i := slices.IndexFunc(m.Steps, func(s shed.Step) bool { return s.Name == a.Step })
	if a.Change == ReachTub || i < 0 {
		return m, false
	}
	m.Steps = slices.Clone(m.Steps)
	if a.Change == HotterStart {
		m.Steps[i].AimC = a.To
	} else {
		m.Steps[i].SoakMin = a.To
	}
	return m, true
}
