package planner

import (
	"math"
	"slices"
	"time"

	"fleece.example/tubside/cooling"
	"fleece.example/tubside/session"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/session/timetable"
)

// Planned is the day with a timetable. The call for the kettle then follows the list:
// its time and its tub.
func Planned(d session.Day, t Timetable) session.Day {
	for _, p := range t.Pieces {
		if p.Boil() && !p.On {
			return d.WithBoil(session.NextBoil{Batch: p.Batch, Step: p.Step, At: p.Start})
		}
	}
	return d.WithBoil(session.NextBoil{})
}

// Effort is how hard a timetable is thought about.
type Effort int

// The efforts: Quick for every event of a running day, Thorough for a plan.
const (
	Quick Effort = iota
	Thorough
)

func (e Effort) budget() timetable.Budget {
	if e == Thorough {
		return timetable.Budget{Places: 600_000, Nodes: 1_000}
	}
	return timetable.Budget{Places: 60_000, Nodes: 50, Idle: 12_000}
}

// The resources of the timetable. The sink needs none of its own: whoever is
// at it is the one person.
const (
	person = iota
	kettle
	resources
)

const sinkWait = 3.0 // a filled tub for its fleece

const farAheadMin = 30 * 24 * 60.0 // a limit past this is none

const longSoakMin = 4 * 60.0 // a soak that may last longer ties nobody

// fillWay is one way to make a bath from the tank.
type fillWay struct {
	needL, takeL, leftL float64 // that it holds, that it then gives, and that is left at the least
	boilMin             float64
}

// boilParts are how far a fill may come down from the level at which it takes no more from
// the kettle than from a full tank to the one at which it takes as much as is worth boiling.
var boilParts = [...]float64{0, 1, 1.0 / 3, 2.0 / 3}

// scheduler turns a day into a problem and its solution into a timetable.
type scheduler struct {
	day  session.Day
	now  time.Time
	look *session.LookAhead
	p    timetable.Problem
	jobs []jobOf
	of   []taskOf // what each task is
	// problems are those of Timetable.Problems.
	problems []string
	told     []string       // fleeces with one
	night    map[string]int // of the batches that wait and soak over one
	tank     cooling.Tank
	breaks   []shed.Span                        // that the work reaches
	waysOf   map[[3]int][len(boilParts)]fillWay // by job, tub and bath
	rinse    int                                // the rinse tub, -1 for none
	rinses   map[int]int                        // of each job in it, the job that its batch was washed in
	comes    string                             // the batch that goes on there next
}

type jobOf struct {
	batch shed.Batch
	steps []shed.Step
	first int // its first task
	tubs  []int
	ahead map[int][]session.BathAhead // by tub, one for each bath from its first to come
	from  int                         // index of the step that ahead begins with
	on    int                         // the step from which it goes on in the rinse tub; 0: none
	came  shed.Lifted                 // how it comes to that step
	waitS int                         // the first of them waits so long: for hot water, or for the evening
	liftS int                         // and its lift so long, until the person is up
}

type taskOf struct {
	job, step int
	acts      []shed.Action
	boil      bool
	on        bool // of a boil: it has begun
	anchor    bool // no work: the moment of the plan, which a limit is counted from, or a break
	bath      int  // index into ahead, -1 for none
	way       int  // of a fill: of boilParts
}

func secs(min float64) int { return int(math.Round(min * 60)) }

// task adds a piece of work and returns its index.
func (b *scheduler) task(t taskOf, job int) int {
	dur := 0.0
	for _, a := range t.acts {
		dur += b.look.Hands[a]
	}
	b.p.Tasks = append(b.p.Tasks, timetable.Task{Job: job, Resources: []int{person}, DurS: secs(dur), LatestS: timetable.None})
	b.of = append(b.of, t)
	return len(b.p.Tasks) - 1
}

// problem notes why a batch cannot be washed; one of a fleece speaks for all.
func (b *scheduler) problem(why error, batch shed.Batch) {
	if why == nil || slices.Contains(b.told, batch.FleeceID) {
		return
	}
	b.problems, b.told = append(b.problems, why.Error()), append(b.told, batch.FleeceID)
}

// chain adds steps[from:] of a job behind its task last (-1: none), the first
// of them with some acts before it.
func (b *scheduler) chain(job, from, last int, before []shed.Action) {
	j := b.jobs[job]
	bath := baths(j.steps[j.from:from])
	wetBy := time.Time{} // of what hangs already
	if b.p.Jobs[job].Started && b.day.Tubs[j.tubs[0]].Phase != shed.ToSink {
		wetBy = b.day.Tubs[j.tubs[0]].HangsTill()
	}
	link := func(to, step int) {
		t := &b.p.Tasks[to]
		if !wetBy.IsZero() {
			t.LatestS, t.LateClass, wetBy = max(0, b.until(wetBy)-t.DurS), timetable.Soft, time.Time{}
		}
		if last >= 0 { // it hangs from its lift, while the tub is emptied, until it is in
			hang, _ := j.steps[step-1].HangsMin(j.steps[step])
			b.lag(last, to, max(0, secs(hang-b.look.Hands[shed.DrainTub])-t.DurS), timetable.Soft)
		}
	}
	var end []shed.Action
	first, endStep := len(j.steps), 0
	for i := from; i < len(j.steps); i++ {
		s := j.steps[i]
		switch {
		case i == j.on && i > 0:
			b.onward(job, i, last)
			return
		case s.Kind.IsBath():
			fill := b.task(taskOf{job: job, step: i, acts: append(slices.Clone(before), shed.FillTub, shed.SinkIn), bath: bath}, job)
			link(fill, i)
			if bath == 0 {
				b.p.Tasks[fill].EarliestS = j.waitS
			}
			b.boil(job, fill, bath, i)
			lift := b.task(taskOf{job: job, step: i, acts: j.lifts(i), bath: -1}, job)
			if bath == 0 {
				b.p.Tasks[lift].EarliestS = j.liftS
			}
			limits, keys := make([][3]float64, len(b.day.Tubs)), b.keys(job)
			for _, tub := range keys {
				a := j.ahead[tub][bath]
				limits[tub] = [3]float64{a.SoakMin, a.ReleaseMin, a.LongestMin}
			}
			if len(j.tubs) == 1 {
				limits = limits[keys[0] : keys[0]+1]
			}
			b.soakLags(fill, lift, limits)
			last, before = lift, nil
			bath++
		default:
			if len(end) == 0 {
				first = i
			}
			end, endStep = append(end, s.Kind.Facts().Begins.Act()), i
		}
	}
	if end = append(before, end...); len(end) > 0 {
		b.p.Tasks = slices.Clip(b.p.Tasks)
		t := b.task(taskOf{job: job, step: endStep, acts: end, bath: -1}, job)
		link(t, first)
	}
}

// lifts are what a lift from a step goes on with: its tub is emptied, unless the basket goes
// over into the rinse tub first.
func (j jobOf) lifts(step int) []shed.Action {
	if step+1 == j.on {
		return []shed.Action{shed.Lift}
	}
	return []shed.Action{shed.Lift, shed.DrainTub}
}

// soakLags ties a lift to the sink-in before it: soak, release and longest in
// minutes, for each tub or for the only one.
func (b *scheduler) soakLags(sink, lift int, limits [][3]float64) {
	liftMin := b.look.Hands[shed.Lift]
	hard, soft := make([]timetable.Limits, len(limits)), make([]timetable.Limits, len(limits))
	anyHard, anySoft := false, false
	for i, m := range limits {
		shortest := secs(m[0])
		at := func(longest float64) int {
			if longest > longSoakMin {
				return timetable.None
			}
			return max(shortest, secs(longest))
		}
		hard[i] = timetable.Limits{MinS: shortest, MaxS: at(m[1] - liftMin)}
		soft[i] = timetable.Limits{MinS: shortest, MaxS: at(m[2])}
		anyHard, anySoft = anyHard || hard[i].MaxS != timetable.None, anySoft || soft[i].MaxS != timetable.None
	}
	add := func(l []timetable.Limits, c timetable.Class) {
		lag := timetable.Lag{From: sink, To: lift, Limits: l[0], Class: c}
		if len(l) > 1 {
			lag.OnS = l
		}
		b.p.Lags = append(b.p.Lags, lag)
	}
	if anyHard || !anySoft {
		add(hard, timetable.Hard)
	}
	if anySoft {
		add(soft, timetable.Soft)
	}
}

// lag has a task begin so long after another at the most.
func (b *scheduler) lag(from, to, maxS int, c timetable.Class) {
	b.p.Lags = append(b.p.Lags, timetable.Lag{From: from, To: to, Limits: timetable.Limits{MaxS: maxS}, Class: c})
}

// boil puts the kettle on in time for a fill that wants it. Which tub it will
// be is open, so it is the longest boil of any.
func (b *scheduler) boil(job, fill, bath, step int) {
	j, boilMin := b.jobs[job], 0.0
	if k, on := b.day.KettleOn(); on && k.Batch == j.batch.ID && k.Step == step {
		b.boils(fill, taskOf{job: job, step: step, boil: true, on: true, bath: bath}, max(1, b.until(k.ReadyBy(b.now))), 0)
		return
	}
	for _, tub := range b.keys(job) {
		boilMin = max(boilMin, j.ahead[tub][bath].BoilMin)
	}
	if bath == 0 && !b.day.TellsKettle() && b.p.Jobs[job].Started && b.day.Tubs[j.tubs[0]].Phase != shed.Soaking {
		boilMin = 0 // it was put on before
	}
	if boilMin <= 0 {
		return
	}
	upS := j.liftS
	if b.day.Plan.InBin(j.batch) {
		upS = j.waitS
	}
	b.boils(fill, taskOf{job: job, step: step, boil: true, bath: bath}, secs(boilMin), upS)
}

// boils adds a boil before a fill. One that has begun goes on now.
func (b *scheduler) boils(fill int, of taskOf, durS, upS int) {
	t := b.task(of, timetable.None)
	b.p.Tasks[t].Resources, b.p.Tasks[t].DurS = []int{kettle}, durS
	if of.on {
		b.p.Tasks[t].LatestS, b.p.Tasks[t].LateClass = 0, timetable.Hard
	} else { // nobody is up sooner to put it on
		b.p.Tasks[t].EarliestS = upS
	}
	b.p.Lags = append(b.p.Lags, timetable.Lag{From: t, To: fill, Limits: timetable.Limits{MaxS: secs(session.KettleFreshMin)}, Class: timetable.Soft})
	b.p.Holds = append(b.p.Holds, timetable.Hold{Resource: kettle, From: t, To: fill})
}

// until is the seconds from now to a moment, not below 0.
func (b *scheduler) until(at time.Time) int {
	return max(0, secs(measure.MinutesBetween(b.now, at)))
}

// overNight has a job wait for its evening, and its lift for the morning after.
func (b *scheduler) overNight(j *jobOf, night int) {
	p := b.day.Plan
	evening := p.Kit.Evening(p.OnTheWall(b.now)).AddDate(0, 0, night)
	j.waitS, j.liftS = b.until(evening), b.until(p.Kit.Morning(evening))
}

// A batch that goes on in a rinse tub is two jobs: its washes in one tub, its rinses in the
// other. The rinse bath is made ready in the last minutes of the wash; the basket goes over
// from the one to the other, and then the wash tub is emptied.

// washOf is the job that a job goes on from; ok is false for one that is a batch's first.
func (b *scheduler) washOf(job int) (wash int, ok bool) {
	wash, ok = b.rinses[job]
	return wash, ok
}

// keyOf is the tub by which the baths ahead of a job are known: of one in the rinse tub, that
// of its washes.
func (b *scheduler) keyOf(job int, tubs []int) int {
	if wash, ok := b.washOf(job); ok {
		return tubs[wash]
	}
	return tubs[job]
}

// keys are all of them.
func (b *scheduler) keys(job int) []int {
	if wash, ok := b.washOf(job); ok {
		return b.jobs[wash].tubs
	}
	return b.jobs[job].tubs
}

// goesOn says from which step on a batch goes on in the rinse tub; 0: in none.
func (b *scheduler) goesOn(batch shed.Batch, steps []shed.Step) int {
	if step := shed.RinsesFrom(steps); b.rinse >= 0 && step > 0 && b.day.Plan.FitsIn(batch, b.rinse) {
		return step
	}
	return 0
}

// onward adds the rinses of a job behind its last lift (-1: it hangs already).
func (b *scheduler) onward(job, step, lift int) {
	w, tub, leadS := &b.jobs[job], b.rinse, secs(session.ReadyLeadMin)
	rinse := len(b.jobs)
	j := jobOf{batch: w.batch, steps: w.steps, first: len(b.p.Tasks), tubs: []int{tub}, from: step, waitS: w.waitS, liftS: w.liftS, ahead: map[int][]session.BathAhead{}}
	for _, key := range w.tubs {
		j.ahead[key] = b.rinsesAhead(w, key, step)
	}
	b.jobs, b.rinses[rinse] = append(b.jobs, j), job
	ready := b.day.Tubs[tub].Ready() && b.comes == j.batch.ID
	b.p.Jobs = append(b.p.Jobs, timetable.Job{NeedsTub: true, Tubs: j.tubs, Started: ready})
	fill := -1
	if !ready {
		fill = b.task(taskOf{job: rinse, step: step, acts: []shed.Action{shed.FillTub}}, rinse)
		b.boil(rinse, fill, 0, step)
		if lift >= 0 {
			b.fillBefore(job, fill, lift, leadS)
		}
	}
	sink := b.task(taskOf{job: rinse, step: step, acts: []shed.Action{shed.SinkIn}, bath: -1}, rinse)
	if fill >= 0 {
		b.lag(fill, sink, leadS, timetable.Soft)
	}
	if lift >= 0 {
		hang, _ := j.steps[step-1].HangsMin(j.steps[step])
		b.lag(lift, sink, max(0, secs(hang)-b.p.Tasks[sink].DurS), timetable.Soft)
	} else if by := b.day.Tubs[w.tubs[0]].HangsTill(); !by.IsZero() {
		b.p.Tasks[sink].LatestS, b.p.Tasks[sink].LateClass = max(0, b.until(by)-b.p.Tasks[sink].DurS), timetable.Soft
	}
	if lift < 0 && b.day.Tubs[w.tubs[0]].Phase == shed.ToFill { // its tub is empty, and its own until then
		b.p.Tasks = append(b.p.Tasks, timetable.Task{Job: job, LatestS: timetable.None})
		b.of = append(b.of, taskOf{job: job, anchor: true, bath: -1})
	} else {
		b.task(taskOf{job: job, step: step - 1, acts: []shed.Action{shed.DrainTub}, bath: -1}, job)
	}
	left := len(b.p.Tasks) - 1
	b.lag(sink, left, timetable.None, timetable.Soft)
	if lift >= 0 {
		b.lag(lift, left, timetable.None, timetable.Soft)
	}
	next := b.task(taskOf{job: rinse, step: step, acts: []shed.Action{shed.Lift, shed.DrainTub}, bath: -1}, rinse)
	a := j.ahead[w.tubs[0]][0]
	b.soakLags(sink, next, [][3]float64{{a.SoakMin, math.Inf(1), a.LongestMin}})
	b.chain(rinse, step+1, next, nil)
}

// fillBefore has a rinse bath made ready no sooner than so long before its basket can be lifted.
func (b *scheduler) fillBefore(job, fill, lift, leadS int) {
	b.p.Tasks[fill].EarliestS = max(0, b.p.Tasks[lift].EarliestS-leadS)
	sooner := func(m timetable.Limits) timetable.Limits {
		return timetable.Limits{MinS: max(0, m.MinS-leadS), MaxS: timetable.None}
	}
	for _, l := range b.p.Lags {
		if l.To != lift || b.p.Tasks[l.From].Job != job {
			continue
		}
		l.To, l.Limits, l.Class = fill, sooner(l.Limits), timetable.Soft
		on := l.OnS
		l.OnS = nil
		for _, m := range on {
			l.OnS = append(l.OnS, sooner(m))
		}
		b.p.Lags = append(b.p.Lags, l)
		return
	}
}

// rinsesAhead are the baths of a job in the rinse tub, washed in some tub before.
func (b *scheduler) rinsesAhead(w *jobOf, key, step int) []session.BathAhead {
	came := w.came
	if n := baths(w.steps[w.from:step]); n > 0 {
		a := w.ahead[key][n-1]
		came = shed.Lifted{Wet: true, LiftC: a.LiftC, SankC: a.SinkC}
	}
	with := *b.look
	with.From.StandMin = max(0, session.ReadyLeadMin-b.look.Hands[shed.FillTub])
	first := with.Bath(b.rinse, w.batch, w.steps[step], came)
	return append([]session.BathAhead{first}, b.look.Baths(b.rinse, w.batch, w.steps, step+1, shed.Lifted{Wet: true, LiftC: first.LiftC, SankC: first.SinkC})...)
}

// baths counts the baths among some steps.
func baths(steps []shed.Step) (n int) {
	for _, s := range steps {
		if s.Kind.IsBath() {
			n++
		}
	}
	return n
}
