package lookback

import (
	"math"
	"slices"

	"fleece.example/tubside/cooling"
	"fleece.example/tubside/session"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
)

// Our own choices, no source.
const (
	muchLeftC   = 5.0 // a wash that was lifted so far above its release temperature could have soaked on, °C
	spareC      = 2.0 // and is to stay so far above it, °C
	longWaitMin = 5.0 // a wash that waited so long to be lifted lay longer than it was meant to
	offReadC    = 3.0 // a first reading so far off its forecast says that the forecast was off, °C
	readByMin   = 5.0 // when a first reading is early
	fewestHands = 5   // deeds of a kind before their minutes say something
	handsOffMin = 1.0 // a deed that is so far off its plan, and by a third of it
)

// openAll says that a bath lay open all the time with the fleece in, and nothing was poured in.
func openAll(b session.Bath) bool {
	for _, c := range b.Changes {
		if !c.At.Before(b.SunkAt) && (c.Cover != cooling.Open || c.AddL > 0) {
			return false
		}
	}
	return !b.SunkAt.IsZero() && !b.LiftedAt.IsZero()
}

// putCover: a tub that the kit has open, and a wash in it that came down to its release
// temperature before its soak was over. What a cover would have brought follows from the law of
// cooling; so one wash is enough.
func putCover(days []*looked) (out []Advice) {
	for _, tub := range days[0].Plan.Kit.Tubs {
		if tub.Cover != cooling.Open {
			continue
		}
		a := Advice{Change: PutCover, Tub: tub.ID, TubName: tub.Name, Cover: cooling.Lid}
		if tub.Shape == cooling.Shallow { // few lids fit one
			a.Cover = cooling.Film
		}
		lasts := Sure
		ok := a.over(days, func(d *looked) {
			for _, b := range d.reviewed() {
				for _, x := range b.Baths {
					if !x.Step.HasRelease() || !openAll(x.Bath) || d.Plan.Kit.Tubs[x.Tub].ID != tub.ID {
						continue
					}
					a.Of++
					if len(x.Below) == 0 || measure.MinutesBetween(x.SunkAt, x.Below[0].From) >= x.PlannedMin {
						continue
					}
					open, covered := covers(d.Plan, x.Bath, a.Cover)
					if !measure.Finite(covered.LikelyMin - open.LikelyMin) {
						continue
					}
					a.Times++
					a.ReleaseC = x.Step.ReleaseC
					a.far(covered.LikelyMin - open.LikelyMin)
					needMin := measure.MinutesBetween(x.FilledAt, x.SunkAt) + x.PlannedMin
					switch {
					case covered.LikelyMin < needMin:
						lasts = Hint
					case covered.EarlyMin < needMin:
						lasts = min(lasts, FairlySure)
					}
				}
			}
		})
		if a.Sure = lasts; ok && a.Least >= 1 {
			out = append(out, a)
		}
	}
	return out
}

// covers are when an open bath comes down to its release temperature as it was, and under a
// cover since the sink-in.
func covers(p shed.Plan, b session.Bath, c cooling.Cover) (open, covered cooling.Crossing) {
	fit := session.BathHeat(&p, &b).Fit
	atMin, midC := measure.MinutesBetween(b.FilledAt, b.SunkAt), b.FillC-cooling.LossTakenBelowFillC
	l := p.LossUnder(p.Kit.Tubs[b.Tub], b.VolumeL, c, midC, p.Kit.RoomC)
	with := fit.With(cooling.Change{AtMin: atMin, LossWPerK: l.WPerK, LossAtC: midC, LossTilt: l.Tilt})
	return fit.Crossing(b.Step.ReleaseC, atMin), with.Crossing(b.Step.ReleaseC, atMin)
}

// fewerTubs: washes that lay past their longest soak because the person was at another tub. Up to
// it they may: a plan of many tubs has them wait.
func fewerTubs(days []*looked) []Advice {
	kit, baths := days[0].Plan.Kit, map[int]int{}
	for _, b := range days[0].Baths {
		if !b.SunkAt.IsZero() {
			baths[b.Tub]++
		}
	}
	if len(baths) < 2 {
		return nil
	}
	a := Advice{Change: FewerTubs, From: float64(len(baths)), To: float64(len(baths) - 1)}
	out := -1 // the one that was used least
	for i, tub := range kit.Tubs {
		if n := baths[i]; n > 0 && (out < 0 || n <= baths[out]) {
			out, a.Tub, a.TubName = i, tub.ID, tub.Name
		}
	}
	today := 0
	ok := a.over(days, func(d *looked) {
		for _, b := range d.Baths {
			m := lateMin(b)
			if !measure.Finite(m) || !b.Step.HasRelease() {
				continue
			}
			a.Of++
			inMin := b.SoakMin + m - d.Plan.HandsMin()[shed.Lift] // when its lift had to begin
			if b.Step.LongestMin <= 0 || inMin < b.Step.LongestMin+0.5 {
				continue
			}
			if waited := d.waitedForYou()[stepOf{b.Batch, b.StepIndex}]; waited >= longWaitMin {
				a.Times++
				a.far(waited)
			}
		}
		if d == days[0] {
			today = a.Times
		}
	})
	if !ok || today < fewestWashes || 3*a.Times < a.Of {
		return nil
	}
	return []Advice{a}
}

// longerSoak: batches that came out still waxy after a wash that was as long as planned, and
// lifted far above its release temperature.
func longerSoak(days []*looked, s shed.Step) []Advice {
	a := Advice{Change: LongerSoak, Step: s.Name, ReleaseC: s.ReleaseC, From: s.SoakMin, To: s.SoakMin + roundMin}
	if s.LongestMin > 0 {
		a.To = min(a.To, s.LongestMin)
	}
	ok := a.over(days, func(d *looked) {
		if d.Plan.Method.ID != days[0].Plan.Method.ID {
			return
		}
		for _, b := range d.reviewed() {
			if b.Out.Found&(session.FoundClean|session.StillWaxy) == 0 {
				continue
			}
			leftC := math.Inf(1)
			for _, x := range b.Baths {
				if !sameStep(x.Step.Name, s.Name) || x.LiftedAt.IsZero() {
					continue
				}
				in, low, _ := temperatures(&d.Day, &x)
				fellC := (in.TempC - low.TempC) / x.ActualMin * (a.To - x.ActualMin) // by as much a minute, which is more than it will
				if x.ActualMin < x.PlannedMin-1 || low.TempC-s.ReleaseC < muchLeftC || low.TempC-fellC < s.ReleaseC+spareC {
					leftC = 0
				}
				leftC = min(leftC, low.TempC-s.ReleaseC)
			}
			if !measure.Finite(leftC) {
				continue
			}
			a.Of++
			if b.Out.Found&session.StillWaxy != 0 && leftC > 0 {
				a.Times++
				a.far(leftC)
			}
		}
	})
	if !ok || a.Times < fewestWashes || 2*a.Times < a.Of || a.To <= a.From {
		return nil
	}
	return []Advice{a}
}

// secondWash: batches of fleece with so much wax that came out still waxy after one wash, and
// later ones that came out clean after two.
func secondWash(days []*looked) (out []Advice) {
	for _, wax := range shed.Levels() {
		once := slices.ContainsFunc(days[0].Plan.Fleeces, func(f shed.Fleece) bool { return f.Wax == wax }) &&
			washes(days[0].Plan.Method.StepsFor(shed.Fleece{Wax: wax}, shed.PresoakNone)) == 1
		if !once {
			continue
		}
		a := Advice{Change: SecondWash, Wax: wax, From: 1, To: 2}
		for _, s := range days[0].Plan.Method.Steps {
			if s.HasRelease() {
				a.Step = s.Name
			}
		}
		waxy, one := 0, 0
		ok := a.over(days, func(d *looked) {
			for _, b := range d.reviewed() {
				clean := b.Out.Found&session.FoundClean != 0
				if b.Fleece.Wax != wax || !clean && b.Out.Found&session.StillWaxy == 0 {
					continue
				}
				n := 0
				for _, x := range b.Baths {
					if x.Step.HasRelease() && !x.LiftedAt.IsZero() {
						n++
					}
				}
				switch {
				case n == 1:
					if one++; !clean {
						waxy++
						a.Times++
					}
				case n > 1:
					if a.CleanOf++; clean {
						a.Clean++
						a.Times++
					}
				}
			}
		})
		a.Times, a.Of = waxy, one
		a.Sure = sureOf(waxy+a.Clean, one+a.CleanOf)
		if ok && waxy >= fewestWashes && 2*waxy >= one && a.Clean > 0 && 2*a.Clean >= a.CleanOf {
			out = append(out, a)
		}
	}
	return out
}

// washes counts the steps that take wax.
func washes(steps []shed.Step) (n int) {
	for _, s := range steps {
		if s.HasRelease() {
			n++
		}
	}
	return n
}

// earlyReading: washes whose first reading came when half of the soak was over, and showed that
// the forecast was off.
func earlyReading(days []*looked, s shed.Step) []Advice {
	a := Advice{Change: EarlyReading, Step: s.Name, To: readByMin, From: math.Inf(1)}
	ok := a.over(days, func(d *looked) {
		for _, b := range d.reviewed() {
			for _, x := range b.Baths {
				read := within(&x)
				if !sameStep(x.Step.Name, s.Name) || x.LiftedAt.IsZero() || len(read) == 0 {
					continue
				}
				a.Of++
				at, offC := measure.MinutesBetween(x.SunkAt, read[0].At), math.Abs(read[0].TempC-read[0].ForecastC)
				if at >= x.PlannedMin/2 && offC >= offReadC && !x.Readings[0].Doubtful { // which was early, and made the forecast
					a.Times++
					a.far(offC)
					a.From = min(a.From, at)
				}
			}
		}
	})
	if !ok || a.Times < fewestWashes || 2*a.Times < a.Of {
		return nil
	}
	return []Advice{a}
}

// handsOff says that minutes of hands are not those planned.
func handsOff(min, planned float64) bool {
	return math.Abs(min-planned) >= max(handsOffMin, planned/3)
}

// handsMinutes: deeds that took the hands much longer or shorter than planned, on this day and
// before. A lift is none of them: nobody can tell a slow one from a late one.
func handsMinutes(days []*looked) (out []Advice) {
	for act := shed.LoadNext; act < shed.FinishDay; act++ {
		a := Advice{Change: HandsMinutes, Act: act, From: days[0].Plan.HandsMin()[act]}
		var all []float64
		longer := middle(days[0].handsTook()[act]) > a.From
		ok := act != shed.Lift && a.over(days, func(d *looked) {
			planned := d.Plan.HandsMin()[act]
			for _, m := range d.handsTook()[act] {
				all = append(all, m)
				if handsOff(m, planned) && longer == (m > planned) {
					a.Times++
				}
			}
			a.Of = len(all)
		})
		a.To = middle(all)
		if ok && a.Sure > Hint && a.Times >= fewestHands && handsOff(a.To, a.From) {
			out = append(out, a)
		}
	}
	return out
}
