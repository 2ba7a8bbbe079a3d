package planner

import (
	"math"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/session/timetable"
)

// running adds the batch that is in a tub.
func (b *scheduler) running(tub int) {
	t := b.day.Tubs[tub]
	batch, _ := b.day.Batch(t.Batch)
	j := jobOf{batch: *batch, steps: t.Steps, tubs: []int{tub}, first: len(b.p.Tasks), from: t.At, ahead: map[int][]session.BathAhead{}}
	if t.Phase >= shed.ToSink && t.Phase <= shed.Draining { // this bath is made: those after it are to come
		j.from = t.At + 1
	}
	j.ahead[tub] = b.look.Baths(tub, batch, t.Steps, j.from, b.day.Comes(tub, b.now))
	b.problem(unfit(b.look, tub, batch, j.ahead[tub]), batch)
	if stop, ok := b.day.IdleFill(tub, b.now); ok && measure.Finite(stop.WaitMin) {
		j.waitS = secs(stop.WaitMin)
	}
	if till, waits := b.day.FillWaits(tub, b.now); waits {
		j.waitS = max(j.waitS, b.until(till)+1)
	}
	if t.Phase == shed.ToFill && t.Step().Overnight() {
		b.overNight(&j, 0)
	} else if wash, waits := b.day.WashWaits(batch, b.now); waits {
		j.waitS, j.upS = b.until(wash), b.until(wash)
	} else if t.Phase == shed.Soaking && t.Step().Overnight() {
		j.upS = b.until(b.day.Plan.Kit.WhenUp(b.day.Plan.OnTheWall(t.SoakEndAt(b.now))))
	}
	job := len(b.jobs)
	b.jobs = append(b.jobs, j)
	b.p.Jobs = append(b.p.Jobs, timetable.Job{NeedsTub: true, Tubs: []int{tub}, Started: true})
	last := -1
	switch t.Phase {
	case shed.ToSink:
		last = b.sunk(job, tub)
	case shed.Soaking:
		last = b.task(taskOf{job: job, step: t.At, acts: []shed.Action{shed.Lift, shed.DrainTub}, bath: -1}, job)
		b.limitLift(last, tub)
	case shed.Draining:
		last = b.task(taskOf{job: job, step: t.At, acts: []shed.Action{shed.DrainTub}, bath: -1}, job)
	case shed.Idle, shed.ToFill, shed.ToSpin, shed.ToRack:
	}
	b.chain(job, j.from, last, nil)
}

// sunk adds the sink-in of a tub that has its water, and the lift after it.
func (b *scheduler) sunk(job, tub int) int {
	t := b.day.Tubs[tub]
	sink := b.task(taskOf{job: job, step: t.At, acts: []shed.Action{shed.SinkIn}, bath: -1}, job)
	h := b.day.Heat(tub)
	b.p.Tasks[sink].LatestS, b.p.Tasks[sink].LateClass = secs(sinkWait), timetable.Soft
	if low := t.Step().LowestSinkC; low > 0 {
		if early := h.Crossing(low).Early; !early.IsZero() {
			b.p.Tasks[sink].LatestS = min(secs(sinkWait), b.until(early))
		}
	}
	lift := b.task(taskOf{job: job, step: t.At, acts: []shed.Action{shed.Lift, shed.DrainTub}, bath: -1}, job)
	soak, release := b.day.SoaksMin(tub, b.now), math.Inf(1)
	if s := t.Step(); s.HasRelease() { // covered, with the fleece in it
		bath := b.day.SinkInto(tub, b.now)
		h := session.BathHeat(&b.day.Plan, &bath)
		if early := h.Crossing(s.ReleaseC).Early; !early.IsZero() {
			release = measure.MinutesBetween(b.now, early)
		}
	}
	b.soakLags(sink, lift, [][3]float64{{soak, b.noNight(t.Step(), release), longestOf(t.Step())}})
	return lift
}

func longestOf(s *shed.Step) float64 {
	if s.LongestMin > 0 {
		return s.LongestMin
	}
	return math.Inf(1)
}

// limitLift gives the lift of a soaking tub its earliest and latest start.
func (b *scheduler) limitLift(task, tub int) {
	t, h := b.day.Tubs[tub], b.day.Heat(tub)
	lt := &b.p.Tasks[task]
	end := t.SoakEndAt(b.now)
	if t.Step().Overnight() {
		end = b.day.Plan.Kit.WhenUp(b.day.Plan.OnTheWall(end))
	}
	if till, waits := b.day.LiftWaits(tub, b.day.Release(tub, h), b.now); waits {
		end = till
	}
	lt.EarliestS, lt.LateClass = b.until(end), timetable.Soft
	if end := t.LongestAt(); !end.IsZero() {
		lt.LatestS = b.until(end)
	}
	if t.Step().HasRelease() {
		if early := b.day.Release(tub, h).Early; !early.IsZero() && measure.MinutesBetween(b.now, early) < farAheadMin {
			release := b.until(early.Add(-measure.Lasting(b.look.Hands[shed.Lift])))
			lt.EarliestS = min(lt.EarliestS, release) // it will not last the soak
			if lt.LatestS == timetable.None || release <= lt.LatestS {
				lt.LatestS, lt.LateClass = release, timetable.Hard
			} else { // the longest soak comes sooner, and gives sooner
				b.anchor(b.of[task].job, task, release)
			}
		}
	}
	lt = &b.p.Tasks[task]
	if q, ok := b.day.Plan.Quiet.After(b.day.Plan.OnTheWall(b.now)); ok && t.Step().HasRelease() { // before them, or as soon as it may
		if latest := max(lt.EarliestS, b.until(q.From)-lt.DurS); lt.LatestS == timetable.None || lt.LatestS > latest {
			lt.LatestS, lt.LateClass = latest, timetable.Hard
		}
	}
	if lt.LatestS != timetable.None {
		lt.EarliestS = min(lt.EarliestS, lt.LatestS)
	}
}

// anchor gives a task a second latest start, a hard one.
func (b *scheduler) anchor(job, task, latestS int) {
	b.p.Tasks = append(b.p.Tasks, timetable.Task{Job: timetable.None, LatestS: 0, LateClass: timetable.Hard})
	b.of = append(b.of, taskOf{job: job, anchor: true, bath: -1})
	b.lag(len(b.p.Tasks)-1, task, 0, latestS, timetable.Hard)
}
