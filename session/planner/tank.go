package planner

import (
	"cmp"
	"math"
	"slices"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/session/timetable"
)

// A tank that is drawn down is a stock of the timetable. A fill that it cannot give yet
// waits for it, or is made with more from the kettle.

// ways are how a bath can be made from the tank, one for each of boilParts.
func (b *scheduler) ways(job, tub, bath int) [len(boilParts)]fillWay {
	key := [3]int{job, tub, bath}
	if w, ok := b.waysOf[key]; ok {
		return w
	}
	tank, batch, a := b.tank, b.jobs[job].batch, &b.jobs[job].ahead[tub][bath]
	fill := func(storedL float64) session.BathAhead {
		with := *b.look
		of := func(hotC float64) session.BathAhead {
			with.From.HotC = hotC
			return with.Bath(tub, &batch, a.Step, a.From)
		}
		return of(session.FillTapC(tank, storedL, func(hotC float64) session.FillPlan { return of(hotC).Fill }))
	}
	full := fill(tank.VolumeL)
	drawnL := session.FillTapL(full.Fill)
	_, leftL := tank.Draw(tank.VolumeL, drawnL)
	does := func(boiled bool) func(int) bool {
		return func(litres int) bool {
			x := fill(min(float64(litres), tank.VolumeL))
			f := x.Fill
			return (boiled || f.Pour.KettleL <= full.Fill.Pour.KettleL+1e-9) && f.AfterC >= full.Fill.AfterC-sameBathC(&a.Step) &&
				b.look.Idle(x) == b.look.Idle(full) && (!session.TooFar(&a.Step, f.GapC) || session.TooFar(&a.Step, full.Fill.GapC))
		}
	}
	level := func(boiled bool) float64 {
		litres, _ := session.SmallestThat(0, int(math.Ceil(tank.VolumeL)), does(boiled))
		return min(float64(litres), tank.VolumeL)
	}
	var out [len(boilParts)]fillWay
	plainL, leastL := level(false), level(true)
	for i, part := range boilParts {
		needL := plainL - part*(plainL-leastL)
		f := fill(needL)
		_, leastLeftL := tank.Draw(needL, session.FillTapL(f.Fill)) // the tap comes cooler
		out[i] = fillWay{needL, tank.VolumeL - leftL, leastLeftL, f.BoilMin}
	}
	b.waysOf[key] = out
	return out
}

// sameBathC is how much cooler than from a full tank a bath of a step may come, °C: a wash
// by what decides whether one more boil is worth it, a rinse as its step allows.
func sameBathC(s *shed.Step) float64 {
	if s.Water == shed.Mixed {
		return 1
	}
	return math.Inf(1)
}

// posed is a problem and what each of its tasks is.
type posed struct {
	p  timetable.Problem
	of []taskOf
}

// tanked is a problem with what its fills take from the tank, each in its way. Some have a
// boil only because the tank runs low.
func (b *scheduler) tanked(plain *posed, ways []int) *posed {
	p, of := plain.p, slices.Clone(plain.of)
	rate := b.tank.RecoveryLPerMin() / 60
	inS := func(l float64, round func(float64) float64) int { return int(round(l / rate)) }
	p.Stock = timetable.Stock{FullS: inS(b.tank.VolumeL, math.Ceil)}
	p.Stock.FirstS = min(p.Stock.FullS, inS(b.day.HotLeftL(b.now), math.Floor))
	p.Tasks, p.Lags, p.Holds, p.WishS = slices.Clone(p.Tasks), slices.Clip(p.Lags), slices.Clip(p.Holds), slices.Clip(p.WishS)
	boilOf := map[int]int{}
	for _, h := range p.Holds {
		boilOf[h.To] = h.From
	}
	for i := range plain.of {
		fill := &plain.of[i]
		if fill.bath < 0 || fill.boil {
			continue
		}
		j := b.jobs[fill.job]
		if j.ahead[j.tubs[0]][fill.bath].Step.Water == shed.FromCold {
			continue
		}
		boil, boils := boilOf[i]
		part := ways[i]
		if boils && of[boil].on { // it has what it was put on for
			part = 0
		}
		of[i].way = part
		takes, boilMin := make([]timetable.Take, len(b.day.Tubs)), 0.0
		for _, tub := range j.tubs {
			w := b.ways(fill.job, tub, fill.bath)[part]
			boilMin = max(boilMin, w.boilMin)
			need := min(inS(w.needL, math.Ceil), p.Stock.FullS)
			takes[tub] = timetable.Take{NeedS: need, TakeS: min(inS(w.takeL, math.Ceil), p.Stock.FullS), LeftS: min(inS(w.leftL, math.Floor), need)}
		}
		if len(j.tubs) == 1 {
			takes = takes[j.tubs[0] : j.tubs[0]+1]
		}
		p.Tasks[i].Takes = takes
		switch {
		case boils && !of[boil].on:
			p.Tasks[boil].DurS = max(p.Tasks[boil].DurS, secs(boilMin))
		case !boils && boilMin > 0:
			boil := len(p.Tasks)
			p.Tasks = append(p.Tasks, timetable.Task{Job: timetable.None, Resources: []int{kettle}, DurS: secs(boilMin), EarliestS: j.liftS, LatestS: timetable.None})
			of = append(of, taskOf{job: fill.job, step: fill.step, boil: true, bath: fill.bath})
			p.Lags = append(p.Lags, timetable.Lag{From: boil, To: i, Limits: timetable.Limits{MaxS: secs(session.KettleFreshMin)}, Class: timetable.Soft})
			p.Holds = append(p.Holds, timetable.Hold{Resource: kettle, From: boil, To: i})
			if len(p.WishS) > 0 {
				p.WishS = append(p.WishS, timetable.None)
			}
		}
	}
	return &posed{p, of}
}

// solve finds the timetable. Where the tank runs low each fill may wait for it, or be made with
// more from the kettle. First all are tried in one of boilParts, and as they were; what is best
// is then changed fill by fill, for as long as that is better: every one with a plan's effort,
// else the next ones.
func (b *scheduler) solve(e Effort, was Timetable) (timetable.Solution, error) {
	free, err := timetable.Solve(b.p, e.budget())
	if err != nil || !b.tank.Known() || b.tank.RecoveryLPerMin() <= 0 {
		return free, err
	}
	b.waysOf = map[[3]int][len(boilParts)]fillWay{}
	plain := &posed{b.p, b.of}
	ways := make([]int, len(plain.of)) // of the best
	waits := b.tanked(plain, ways)
	if plain.sameWork(waits) {
		if _, ok := timetable.StockSpare(&waits.p, &free); ok { // it never runs low
			b.p, b.of = waits.p, waits.of
			return free, nil
		}
	}
	var best timetable.Solution
	found := false
	try := func(as []int, from []int, budget timetable.Budget) bool {
		x := b.tanked(plain, as)
		if len(from) > 0 { // the boils added may be others
			x.p.WishS = slices.Repeat([]int{timetable.None}, len(x.of))
			copy(x.p.WishS, from[:len(plain.of)])
		}
		s, err := timetable.Solve(x.p, budget)
		if err != nil || found && !sooner(&s, &best) {
			return false
		}
		b.p, b.of, best, found, ways = x.p, x.of, s, true, as
		return true
	}
	for way := range boilParts {
		try(slices.Repeat([]int{way}, len(plain.of)), nil, e.budget())
	}
	if as, ok := b.waysAs(plain, was); ok {
		try(as, nil, e.budget())
	}
	if !found {
		return free, nil
	}
	for tries := wayTries[e]; tries > 0; {
		order, better := b.fillsOf(plain, &best), false
		for _, i := range order {
			at := b.ways(plain.of[i].job, best.Tub[plain.of[i].job], plain.of[i].bath)
			for way := range boilParts {
				if at[way] == at[ways[i]] || tries <= 0 {
					continue
				}
				tries--
				as := slices.Clone(ways)
				as[i] = way
				better = try(as, best.Start, wayBudget) || better
			}
		}
		if !better {
			break
		}
	}
	for again := 0; again < 3 && e == Thorough && len(best.Late) > 0; again++ { // what is late is gone on from
		if !try(ways, best.Start, e.budget()) {
			break
		}
	}
	best.BoundS = min(best.FinishS, max(free.BoundS, b.tankBoundS(plain)))
	best.Proven = len(best.Late) == 0 && best.FinishS == best.BoundS
	return best, nil
}

// How many changes of one fill's way are tried, and how hard each is thought about.
var (
	wayTries  = [...]int{Quick: 6, Thorough: 60}
	wayBudget = timetable.Budget{Places: 12_000, Idle: 3_000}
)

// waysAs are the ways of an earlier timetable; ok is false without one.
func (b *scheduler) waysAs(plain *posed, was Timetable) (ways []int, ok bool) {
	ways = make([]int, len(plain.of))
	for _, x := range was.Baths {
		for i := range plain.of {
			if of := &plain.of[i]; of.bath >= 0 && !of.boil && of.step == x.StepIndex && b.jobs[of.job].batch.ID == x.Batch {
				ways[i] = x.way
			}
		}
	}
	return ways, len(was.Baths) > 0
}

// fillsOf are the fills that take from the tank, in the order of a timetable.
func (b *scheduler) fillsOf(plain *posed, s *timetable.Solution) (fills []int) {
	for i := range plain.of {
		if len(b.p.Tasks[i].Takes) > 0 {
			fills = append(fills, i)
		}
	}
	slices.SortStableFunc(fills, func(x, y int) int { return s.Start[x] - s.Start[y] })
	return fills
}

// tankBoundS is a least finish with the tank, however each fill is made, s.
func (b *scheduler) tankBoundS(plain *posed) int {
	most := b.tanked(plain, slices.Repeat([]int{1}, len(plain.of)))
	p := plain.p
	p.Tasks, p.Stock, p.WishS = slices.Clone(p.Tasks), most.p.Stock, nil
	for i := range p.Tasks {
		p.Tasks[i].Takes = most.p.Tasks[i].Takes
	}
	s, err := timetable.Solve(p, timetable.Budget{Places: 1})
	if err != nil {
		return 0
	}
	return s.BoundS
}

// sameWork says that the tank makes no boil longer, nor more of them.
func (p *posed) sameWork(as *posed) bool {
	if len(p.of) != len(as.of) {
		return false
	}
	for i := range p.of {
		if p.p.Tasks[i].DurS != as.p.Tasks[i].DurS {
			return false
		}
	}
	return true
}

// tankS is for how many seconds a fill, or the lift before it, waits for nothing but the
// tank, of which spareS more is there then.
func (b *scheduler) tankS(s *timetable.Solution, fill, spareS int) int {
	if spareS > 1 { // it would have been given sooner
		return 0
	}
	t := &b.p.Tasks[fill]
	waits := s.Start[fill] - b.readyS(s, fill)
	for i := range b.p.Lags {
		l := &b.p.Lags[i]
		if l.To == fill && b.p.Tasks[l.From].Job == t.Job {
			waits += s.Start[l.From] - b.readyS(s, l.From)
		}
	}
	return waits
}

// readyS is when a task of a timetable could start but for the tank.
func (b *scheduler) readyS(s *timetable.Solution, task int) int {
	t := &b.p.Tasks[task]
	at := t.EarliestS
	end := func(i int) int { return s.Start[i] + b.p.Tasks[i].DurS }
	for i := range b.p.Lags {
		l := &b.p.Lags[i]
		if l.To != task {
			continue
		}
		m := l.Limits
		if len(l.OnS) > 0 {
			m = l.OnS[s.Tub[t.Job]]
		}
		at = max(at, end(l.From)+m.MinS)
	}
	for i := range b.p.Tasks {
		other := &b.p.Tasks[i]
		person := slices.Contains(other.Resources, person)
		tub := other.Job != timetable.None && other.Job != t.Job && s.Tub[other.Job] == s.Tub[t.Job]
		if i != task && s.Start[i] < s.Start[task] && (person || tub) {
			at = max(at, end(i))
		}
	}
	return min(at, s.Start[task])
}

// sooner says that a timetable is better than another: it passes hard limits by less, or is
// done sooner, where a minute past a soft limit weighs as past a wish.
func sooner(a, than *timetable.Solution) bool {
	worth := func(s *timetable.Solution) (hardS, otherS int) {
		otherS = s.FinishS
		for _, l := range s.Late {
			if l.Class == timetable.Hard {
				hardS += l.ByS
			} else {
				otherS += timetable.WishWeighs * l.ByS
			}
		}
		return hardS, otherS
	}
	aHard, aOther := worth(a)
	hard, other := worth(than)
	return cmp.Or(cmp.Compare(aHard, hard), cmp.Compare(aOther, other)) < 0
}
