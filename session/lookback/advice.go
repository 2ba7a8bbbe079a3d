package lookback

import (
	"math"
	"slices"
	"sort"
	"strings"

	"fleece.example/tubside/cooling"
	"fleece.example/tubside/session"
	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
)

// Change is what could be set or done otherwise.
type Change int

// The changes that a record can speak for.
const (
	ReachTub     Change = iota // the kit's minutes to reach a tub
	HotterStart                // the temperature a wash begins at
	ShorterSoak                // how long a wash soaks
	LongerSoak                 // likewise
	SecondWash                 // for fleeces with so much wax
	PutCover                   // on a tub that the kit has open
	FewerTubs                  // than one person can serve
	EarlyReading               // of a wash
	HandsMinutes               // what a deed takes
	BoilAsked                  // as much as was asked for
	MoreBoiling                // than the kettle boils
	AwaitTank                  // before a fill
	TapAsRead                  // the kit's hot tap
	TankSize                   // of a kit that has none
	SecondKettle               // beside one that had no rest
)

// Place is where a change is kept.
type Place int

// The places. What nobody can set is for the person to do, or done by itself.
const (
	Nowhere Place = iota
	TheKit
	TheMethod
)

var placeOf = map[Change]Place{ReachTub: TheKit, PutCover: TheKit, FewerTubs: TheKit, TapAsRead: TheKit, TankSize: TheKit,
	HotterStart: TheMethod, ShorterSoak: TheMethod, LongerSoak: TheMethod, SecondWash: TheMethod}

// Place is where the change is kept.
func (a *Advice) Place() Place { return placeOf[a.Change] }

// About is which of a day's baths shows best what the change is for, -1 for none; or the day as a whole does.
func (a *Advice) About(baths []Bath) (i int, ofTheDay bool) {
	if a.Change == FewerTubs || a.Change == SecondKettle || a.Change == HandsMinutes {
		return -1, true
	}
	most, i := math.Inf(-1), -1
	for n := range baths {
		b := &baths[n]
		of := -b.MarginC // NaN of a bath that has none
		if a.Change == ReachTub {
			of = b.Until().Sub(b.SoakEnd()).Minutes()
		}
		if !b.SunkAt.IsZero() && of > most && (a.TubName == "" || b.TubName == a.TubName) && (a.Step == "" || sameStep(b.Step.Name, a.Step)) {
			most, i = of, n
		}
	}
	return i, false
}

// Sureness is how far a ground bears.
type Sureness int

// The degrees of it. What was so k times of n is sure where that would come by chance less
// often than once in twenty if it were so every second time, fairly sure where less often
// than once in five (sign test). What is worked out by the law of cooling is sure where the early
// bound of its forecast holds, fairly sure where the likely one does.
const (
	Hint Sureness = iota
	FairlySure
	Sure
)

// Advice is a change with what it rests on. From and To are minutes, °C or tubs, as it is set
// and as it would be. What does not belong to its change is zero.
type Advice struct {
	_        [0]func() // nobody compares two: no code for it
	Change   Change
	Step     string // the method's step; "" for the kit
	From, To float64
	// Times of all Of were so, on Days days: lifts that came late, washes that did not last
	// their soak, batches that came out waxy, deeds. Least and Most are how late, min; how long
	// a wash lasted or a cover would have brought, min; how far above the release temperature a
	// wash was lifted, or off its forecast it was read, or a tap cooler than the kit has it, °C; how
	// much boiling water was missing, L; how long a tank had still to heat, min. From and To of
	// boiling water and a tank are L.
	Times, Of, Days int
	Least, Most     float64
	Sure            Sureness
	ReleaseC        float64       // of a wash
	Tub, TubName    string        // of PutCover and FewerTubs: its mark, and its name
	Cover           cooling.Cover // of PutCover
	Wax             shed.Level    // of SecondWash
	Clean, CleanOf  int           // of SecondWash: so many of all came out clean after two
	Act             shed.Action   // of HandsMinutes
	BeganC, StartC  float64       // of washes begun too cool: the coolest, and the least to begin at
	BathL           float64       // of MoreBoiling: a bath that kettle and tap would do for
}

// What an advice needs before it is given; our own choices, no source.
const (
	fewestLate   = 3   // late lifts, and at least two in three of all
	nightMin     = 120 // a soak over night is lifted when its person is up, min
	fewestWashes = 2   // washes or batches, and at least half of all
	nearAimC     = 1.5 // a wash began as hot as it was meant to, °C
	livedDays    = 3   // so many days are lived again for their deeds and waits, which takes some ms each
	roundMin     = 5.0 // minutes to reach a tub and of a soak are set in steps of so many
)

// Advise is what these days, the one looked at first, speak for. Only days by the first
// one's method count for its soaks. A day without a fault gets none.
func Advise(days []session.Day) []Advice {
	if len(days) == 0 || days[0].Plan.FromCards() {
		return nil
	}
	all := make([]*looked, len(days))
	for i, d := range days {
		all[i] = &looked{Day: d}
	}
	lived := all[:min(livedDays, len(all))]
	out := append(putCover(all), fewerTubs(lived)...)
	out = append(out, reachTub(lived)...)
	twice := secondWash(all)
	out = append(out, twice...)
	cool := slices.ContainsFunc(all[0].findings(), func(f Finding) bool { return f.Kind == BegunCool }) // what was poured takes some ms
	for _, s := range days[0].Plan.Method.Steps {
		if s.HasRelease() && cool {
			out = append(out, begunCool(lived, s)...)
		}
		if s.HasRelease() {
			out = append(out, ofWash(all, s)...)
			if len(twice) == 0 {
				out = append(out, longerSoak(all, s)...)
			}
			out = append(out, earlyReading(all, s)...)
		}
	}
	if cool {
		out = append(out, coolTap(lived)...)
	}
	return append(append(out, secondKettle(lived)...), handsMinutes(lived)...)
}

// looked is a day with its look back, as far as that was asked for.
type looked struct {
	session.Day
	batches []ledger.BatchReview
	found   []Finding
	walk    *walk
	waits   []Wait
	forYou  map[stepOf]float64
	baths   []session.Bath
	fills   []fill
}

func (l *looked) reviewed() []ledger.BatchReview {
	if l.batches == nil {
		l.batches = ledger.ReviewOf(l.Day).Batches
	}
	return l.batches
}

func (l *looked) findings() []Finding {
	if l.found == nil {
		l.found = Of(l.Day)
	}
	return l.found
}

// waitedForYou are the minutes for which fleece waited to be lifted while the person was at
// another tub, or had a break.
func (l *looked) waitedForYou() map[stepOf]float64 {
	if l.forYou == nil {
		l.forYou = map[stepOf]float64{}
		for _, w := range l.everyWait() {
			if w.Act == shed.Lift {
				l.forYou[stepOf{w.Batch, w.Step}] = w.YouMin
			}
		}
	}
	return l.forYou
}

// everyWait are the waits of the day.
func (l *looked) everyWait() []Wait {
	if l.waits == nil {
		l.waits, _ = l.walked().allWaits(Stretch{})
	}
	return l.waits
}

func (l *looked) walked() *walk {
	if l.walk == nil {
		l.walk = walked(l.Day)
	}
	return l.walk
}

// handsTook are the minutes of each deed that waited for nothing but hands. Of deeds that were
// told by one key nobody knows which took how long.
func (l *looked) handsTook() map[shed.Action][]float64 {
	w, out := l.walked(), map[shed.Action][]float64{}
	for i, f := range w.deeds {
		together := i+1 < len(w.deeds) && w.deeds[i+1].At.To.Equal(f.At.To)
		if !together && f.At.Min() >= session.LeastHandsMin(f.Act) && w.handsAll(i) {
			out[f.Act] = append(out[f.Act], f.At.Min())
		}
	}
	return out
}

// over counts on each day what speaks for the change; it ends where the day that is looked at
// does not.
func (a *Advice) over(days []*looked, count func(*looked)) bool {
	for i, d := range days {
		n := a.Times
		if count(d); a.Times > n {
			a.Days++
		} else if i == 0 {
			return false
		}
	}
	a.Sure = sureOf(a.Times, a.Of)
	return true
}

// sureOf is how sure it is that what was so so many times of all is so more often than not.
func sureOf(times, of int) Sureness {
	chance, term := 0.0, math.Pow(0.5, float64(of)) // all of them
	for k := of; k >= times && k >= 0; k-- {
		chance += term
		term *= float64(k) / float64(of-k+1)
	}
	switch {
	case chance <= 0.05:
		return Sure
	case chance <= 0.2:
		return FairlySure
	}
	return Hint
}

// far takes a figure into the least and the most.
func (a *Advice) far(v float64) {
	if a.Times == 1 {
		a.Least, a.Most = v, v
	}
	a.Least, a.Most = min(a.Least, v), max(a.Most, v)
}

// lateMin is by how much a bath was lifted past its soak's end, min; no number where nobody
// was to come: over night, or the fleece never went in or out.
func lateMin(b session.Bath) float64 {
	if b.SunkAt.IsZero() || b.LiftedAt.IsZero() || b.SoakMin > nightMin {
		return math.NaN()
	}
	return measure.MinutesBetween(b.SunkAt, b.LiftedAt) - b.HeldFor.Minutes() - b.SoakMin
}

// reachTub: who lifted later after a soak's end than the time they said they need, two
// times in three, and was at no other tub meanwhile.
func reachTub(days []*looked) []Advice {
	a := Advice{Change: ReachTub, From: days[0].Plan.Kit.LeadMin}
	var late []float64
	shortestMin := math.Inf(1)
	ok := a.over(days, func(d *looked) {
		for _, b := range d.Baths {
			m := lateMin(b)
			if !measure.Finite(m) || m > a.From && d.waitedForYou()[stepOf{b.Batch, b.StepIndex}] > m/2 {
				continue
			}
			a.Of++
			if b.Step.HasRelease() {
				shortestMin = min(shortestMin, b.SoakMin)
			}
			if m > a.From {
				a.Times++
				a.far(m)
				late = append(late, m)
			}
		}
	})
	if !ok || len(late) < fewestLate || 3*len(late) < 2*a.Of {
		return nil
	}
	sort.Slice(late, func(i, j int) bool { return late[i] < late[j] })
	for a.To = a.From; a.To < late[(len(late)*4-1)/5] && a.To+roundMin <= shortestMin/2; { // four times in five is in time then
		a.To += roundMin
	}
	if a.To <= a.From || (shed.Kit{}).CheckLeadMin(a.To) != nil {
		return nil
	}
	return []Advice{a}
}

// ofWash: a wash that came down to its release temperature before its soak was over, with
// its cover on and begun as hot as it was meant to.
func ofWash(days []*looked, s shed.Step) []Advice {
	a := Advice{Step: s.Name, ReleaseC: s.ReleaseC}
	moreC, lastsMin := 0.0, math.Inf(1)
	mends := true // a hotter start would do
	ok := a.over(days, func(d *looked) {
		if d.Plan.Method.ID != days[0].Plan.Method.ID {
			return
		}
		for _, b := range d.Baths {
			if sameStep(b.Step.Name, s.Name) && !b.SunkAt.IsZero() && !b.LiftedAt.IsZero() {
				a.Of++
			}
		}
		for _, f := range d.findings() {
			x := f.Bath
			beganC := or(x.SinkReadC, x.SinkForecastC)
			if f.Kind != Below || !sameStep(x.Step.Name, s.Name) || f.OffMin > 0 || openAll(x.Bath) || s.Water == shed.Mixed && x.Step.AimC-beganC > nearAimC {
				continue
			}
			lasts := measure.MinutesBetween(x.SunkAt, f.DownAt)
			if lasts >= x.PlannedMin {
				continue // it was left too long: that is no matter of the method
			}
			a.Times++
			moreC, lastsMin, mends = max(moreC, f.HotterC), min(lastsMin, lasts), mends && f.HotterC > 0
		}
	})
	if !ok || a.Times < fewestWashes || 2*a.Times < a.Of {
		return nil
	}
	a.Least = lastsMin
	if to := s.AimC + math.Ceil(moreC); mends && s.Water == shed.Mixed && to <= hottestC {
		a.Change, a.From, a.To = HotterStart, s.AimC, to
		return []Advice{a}
	}
	a.Change, a.From, a.To = ShorterSoak, s.SoakMin, math.Floor(lastsMin)
	if a.To < s.ShortestMin || a.To >= s.SoakMin {
		return nil
	}
	return []Advice{a}
}

// sameStep says that a bath is of the method's step: one that is taken twice has its
// number before its name.
func sameStep(bath, step string) bool {
	return bath == step || strings.HasSuffix(bath, " "+step)
}
