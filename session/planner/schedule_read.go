package planner

import (
	"cmp"
	"slices"
	"sort"
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/session/timetable"
)

// read turns a solution into the timetable of the day.
func (b *scheduler) read(s timetable.Solution) (Timetable, error) {
	b.alike(&s)
	b.lowerFirst(&s)
	b.boilLate(&s)
	at := func(sec int) time.Time { return b.now.Add(time.Duration(sec) * time.Second) }
	t := Timetable{From: b.now, Finish: at(s.FinishS), Bound: at(s.BoundS), Proven: s.Proven, Problems: b.problems, Breaks: b.breaks, Unbroken: at(b.freeS)}
	spare, err := timetable.Slack(b.p, s)
	if err != nil {
		return t, err
	}
	pieceOf := make([]int, len(b.p.Tasks))
	stock, _ := timetable.StockSpare(&b.p, &s)
	boiled := map[int]int{} // the boil of a fill
	for _, h := range b.p.Holds {
		boiled[h.To] = h.From
	}
	sunk := map[[2]int]int{} // end of the fill of a job's step
	for i, task := range b.p.Tasks {
		of := b.of[i]
		if of.anchor {
			continue
		}
		j := b.jobs[of.job]
		pieceOf[i] = len(t.Pieces)
		tub := s.Tub[of.job]
		p := Piece{Tub: tub, Batch: j.batch.ID, Step: of.step, Name: j.steps[of.step].Name, Acts: of.acts,
			Start: at(s.Start[i]), End: at(s.Start[i] + task.DurS)}
		for _, a := range of.acts {
			p.ActMin = append(p.ActMin, b.look.Hands[a])
		}
		if spare[i] != timetable.NoLimit {
			p.Spare, p.HasSpare = time.Duration(spare[i])*time.Second, true
		}
		var a *session.BathAhead
		if of.bath >= 0 {
			a = &j.ahead[tub][of.bath]
		}
		switch {
		case of.boil:
			p.BoilL = a.Fill.Pour.KettleL
			if of.on {
				p.On, p.Start, p.End, p.BoilL = true, b.day.Kettle.OnAt, b.day.Kettle.ReadyBy(b.now), b.day.Kettle.VolumeL
			}
		case a != nil:
			p.TankMin = float64(b.tankS(&s, i, stock[i])) / 60
			stoodMin, boilMin := session.KettleLeadMin, 0.0
			if h, ok := boiled[i]; ok {
				stoodMin, boilMin = measure.MinutesBetween(at(s.Start[h]+b.p.Tasks[h].DurS), p.fillAt()), float64(b.p.Tasks[h].DurS)/60
			}
			t.Baths = append(t.Baths, PlannedBath{way: of.way, StoodMin: stoodMin, Tanked: len(task.Takes) > 0, TankMin: p.TankMin, Tub: tub, Batch: j.batch.ID, Step: a.Step, StepIndex: of.step, Fill: a.Fill, FillAt: p.fillAt(), BoilMin: boilMin, SinkC: a.SinkC, LiftC: a.LiftC})
		}
		t.Pieces = append(t.Pieces, p)
		b.soak(&t, sunk, i, p, a)
	}
	for _, l := range s.Late {
		if b.mayHang(b.of[l.Task]) {
			continue
		}
		p := &t.Pieces[pieceOf[l.Task]]
		if by := time.Duration(l.ByS) * time.Second; by > p.Late {
			p.Late = by
		}
		p.LateWash = p.LateWash || l.Class == timetable.Hard
	}
	t.markSpoilt()
	// A boil is there for whichever tub it may be: in the one that was taken the tap may do.
	all := t.Pieces
	t.Pieces = all[:0]
	for i := range all {
		if p := &all[i]; !p.Boil() || p.On || p.BoilL >= session.LeastKettleL {
			t.Pieces = append(t.Pieces, *p)
		}
	}
	sort.SliceStable(t.Pieces, func(i, j int) bool { return t.Pieces[i].Start.Before(t.Pieces[j].Start) })
	sort.SliceStable(t.Soaks, func(i, j int) bool { return t.Soaks[i].Start.Before(t.Soaks[j].Start) })
	sort.SliceStable(t.Baths, func(i, j int) bool { return t.Baths[i].FillAt.Before(t.Baths[j].FillAt) })
	t.turns = map[int]time.Time{}
	for _, p := range t.Pieces {
		if _, has := t.turns[p.Tub]; !has && !p.Boil() {
			t.turns[p.Tub] = p.Start
		}
	}
	return t, nil
}

// boilLate puts each boil off to shortly before its fill, which costs nothing: the kettle is
// that fill's until then. It goes on between two pieces of work, not in the middle of one.
func (b *scheduler) boilLate(s *timetable.Solution) {
	var works []int
	for i, t := range b.p.Tasks {
		if slices.Contains(t.Resources, person) {
			works = append(works, i)
		}
	}
	for _, h := range b.p.Holds {
		if b.p.Tasks[h.From].LatestS == 0 { // it is on, or due
			continue
		}
		latest := s.Start[h.To] - b.p.Tasks[h.From].DurS
		at := latest - secs(session.KettleLeadMin)
		for _, i := range works {
			switch from, end := s.Start[i], s.Start[i]+b.p.Tasks[i].DurS; {
			case at <= from || at >= end:
			case end <= latest:
				at = end
			default:
				at = from
			}
		}
		s.Start[h.From] = max(s.Start[h.From], at)
	}
}

// fillAt is when the water is drawn: after the batch has been loaded.
func (p Piece) fillAt() time.Time {
	at := p.Start
	for i, a := range p.Acts {
		if a == shed.FillTub {
			break
		}
		at = at.Add(measure.Lasting(p.ActMin[i]))
	}
	return at
}

// soak notes the soak that a lift ends.
func (b *scheduler) soak(t *Timetable, sunk map[[2]int]int, task int, p Piece, a *session.BathAhead) {
	of := b.of[task]
	key := [2]int{of.job, of.step}
	if slices.Contains(p.Acts, shed.SinkIn) {
		sunk[key] = len(t.Soaks)
		k := Soak{Tub: p.Tub, Batch: p.Batch, Step: b.jobs[of.job].steps[of.step], StepIndex: of.step, Start: p.End, End: p.End}
		if a != nil && a.ReleaseMin < farAheadMin {
			k.Release = p.End.Add(measure.Lasting(a.ReleaseMin))
		}
		t.Soaks = append(t.Soaks, k)
		return
	}
	if !slices.Contains(p.Acts, shed.Lift) {
		return
	}
	if i, ok := sunk[key]; ok {
		t.Soaks[i].End = p.Start
		return
	}
	run := b.day.Tubs[p.Tub] // it lies in the bath now
	k := Soak{Tub: p.Tub, Batch: p.Batch, Step: *run.Step(), StepIndex: of.step, Start: run.Bath.SunkAt, End: p.Start}
	k.Release = b.day.Release(p.Tub, b.day.Heat(p.Tub)).Early
	t.Soaks = append(t.Soaks, k)
}

// alike gives batches that do not differ their places in the order of the
// plan: the solver does not mind which of them is first, a person does.
func (b *scheduler) alike(s *timetable.Solution) {
	type kind struct {
		rawG    float64
		fleece  string
		form    shed.Form
		presoak shed.PresoakChoice
		was     shed.Earlier // each is itself
	}
	groups := map[kind][]int{}
	var order []kind
	for j, job := range b.jobs {
		if b.p.Jobs[j].Started {
			continue
		}
		k := kind{job.batch.RawG, job.batch.FleeceID, job.batch.Form, job.batch.Presoak, job.batch.Was()}
		if groups[k] == nil {
			order = append(order, k)
		}
		groups[k] = append(groups[k], j)
	}
	for _, k := range order {
		byStart := slices.Clone(groups[k])
		slices.SortStableFunc(byStart, func(x, y int) int { return cmp.Compare(s.Start[b.jobs[x].first], s.Start[b.jobs[y].first]) })
		batches := make([]shed.Batch, len(byStart))
		for i, j := range groups[k] { // in the order of the plan
			batches[i] = b.jobs[j].batch
		}
		for i, j := range byStart {
			b.jobs[j].batch = batches[i]
		}
	}
}

// markSpoilt marks the lifts from washes that outlast their bath whatever the
// order of work: a batch is in a tub already that does not do for it.
func (t *Timetable) markSpoilt() {
	for _, s := range t.Soaks {
		for i, p := range t.Pieces {
			if p.Batch != s.Batch || s.Release.IsZero() || !p.Start.Equal(s.End) || !slices.Contains(p.Acts, shed.Lift) {
				continue
			}
			if over := p.Start.Add(measure.Lasting(p.ActMin[0])).Sub(s.Release); over > time.Second {
				t.Pieces[i].Late, t.Pieces[i].LateWash = max(p.Late, over), true
			}
		}
	}
}

// lowerFirst lets the lower of two tubs go first where it makes no difference:
// both are as far as each other and their rest of the day is the same.
func (b *scheduler) lowerFirst(s *timetable.Solution) {
	tasks := make([][]int, len(b.jobs))
	for i, of := range b.of {
		if of.job >= 0 {
			tasks[of.job] = append(tasks[of.job], i)
		}
	}
	lags := make([][]timetable.Lag, len(b.jobs))
	for _, l := range b.p.Lags {
		j := b.of[l.From].job
		first := tasks[j][0] // counted from the job's own first task
		l.From, l.To = l.From-first, l.To-first
		lags[j] = append(lags[j], l)
	}
	for x := range b.jobs {
		for y := x + 1; y < len(b.jobs); y++ {
			if !b.p.Jobs[x].Started || !b.p.Jobs[y].Started || len(tasks[x]) == 0 || len(tasks[x]) != len(tasks[y]) {
				continue
			}
			same := slices.EqualFunc(lags[x], lags[y], func(l, m timetable.Lag) bool {
				return l.From == m.From && l.To == m.To && l.Limits == m.Limits && l.Class == m.Class
			})
			for i, t := range tasks[x] {
				a, c := b.p.Tasks[t], b.p.Tasks[tasks[y][i]]
				same = same && a.DurS == c.DurS && a.EarliestS == c.EarliestS && a.LatestS == c.LatestS && a.LateClass == c.LateClass
			}
			if !same || s.Start[tasks[x][0]] <= s.Start[tasks[y][0]] || !b.exchange(s, s.Tub[x], s.Tub[y]) {
				continue
			}
			for i, t := range tasks[x] {
				s.Start[t], s.Start[tasks[y][i]] = s.Start[tasks[y][i]], s.Start[t]
			}
		}
	}
}

// exchange puts what waits for one of two tubs into the other; false, and
// nothing done, if that would make a difference to any of it.
func (b *scheduler) exchange(s *timetable.Solution, x, y int) bool {
	kx, ky := b.day.Plan.Kit.Tubs[x], b.day.Plan.Kit.Tubs[y]
	kx.ID, kx.Name = ky.ID, ky.Name
	for j, job := range b.jobs {
		if (s.Tub[j] == x || s.Tub[j] == y) && !b.p.Jobs[j].Started &&
			(kx != ky || !slices.Contains(job.tubs, x) || !slices.Contains(job.tubs, y)) {
			return false
		}
	}
	for _, l := range b.p.Lags { // tubs alike to look at may have learned to cool otherwise
		if j := b.of[l.From].job; len(l.OnS) > 0 && (s.Tub[j] == x || s.Tub[j] == y) && !b.p.Jobs[j].Started && l.OnS[x] != l.OnS[y] {
			return false
		}
	}
	for j := range b.jobs {
		switch {
		case b.p.Jobs[j].Started:
		case s.Tub[j] == x:
			s.Tub[j] = y
		case s.Tub[j] == y:
			s.Tub[j] = x
		}
	}
	return true
}
