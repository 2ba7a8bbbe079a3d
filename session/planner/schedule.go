package planner

import (
	"fmt"
	"math"
	"slices"
	"strings"
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

// nightGap is how long nobody works over a night at the least; our own choice.
const nightGap = 6 * time.Hour

const sinkWait = 3.0 // a filled tub for its fleece

const farAheadMin = 30 * 24 * 60.0 // a limit past this is none

const longSoakMin = 4 * 60.0 // a soak that may last longer ties nobody

// Piece is a stretch of work in the timetable: what the hands do in one go at a
// tub, or the kettle coming to the boil (Acts is empty then).
type Piece struct {
	Tub    int
	Batch  string
	Step   int // index into the batch's steps
	Name   string
	Acts   []shed.Action // done one after the other, in this stretch
	ActMin []float64
	Start  time.Time
	End    time.Time
	// Spare is how long it may wait, the order of work kept, before a wash bath
	// may fall below its release temperature; HasSpare is false if nothing of
	// the kind hangs on it.
	Spare    time.Duration
	HasSpare bool
	// Late is how far it begins past a limit: a rinse over its longest soak,
	// or, where nothing else is possible, a wash.
	Late     time.Duration
	LateWash bool
	BoilL    float64 // a boil: litres for the fill of this step
	TankMin  float64 // a fill: for so long it is waited for nothing but the tank
	On       bool    // of a boil: the kettle is on, since Start; it boils at End
}

// Boil says the piece is the kettle's.
func (p Piece) Boil() bool { return len(p.Acts) == 0 }

// Words say what is done: "boil 3 L of hot tap water for the second wash", "rinse: fill, lower in".
func (p Piece) Words(k *shed.Kit) string {
	if p.Boil() {
		return fmt.Sprintf("boil %s of hot tap water for the %s", k.BoilText(p.BoilL), p.Name)
	}
	acts := make([]string, len(p.Acts))
	for i, a := range p.Acts {
		acts[i] = a.Shown()
	}
	text := p.Name + ": " + strings.Join(acts, ", ")
	if p.TankMin >= 1 {
		text += fmt.Sprintf(", once the tank is hot (%s)", measure.Minutes(math.Round(p.TankMin)))
	}
	return text
}

// Soak is fleece lying in a bath in the timetable.
type Soak struct {
	Tub        int
	Batch      string
	Step       shed.Step
	StepIndex  int // into the batch's steps
	Start, End time.Time
	Release    time.Time // early bound of its release temperature; zero: none
}

// Timetable is the rest of a day as it is best done.
type Timetable struct {
	From   time.Time
	Pieces []Piece // by start
	Soaks  []Soak  // by start
	Finish time.Time
	// Bound: whatever is done, the day does not finish earlier.
	Bound  time.Time
	Proven bool          // Finish cannot be beaten
	Baths  []PlannedBath // every bath to come, by its fill
	Breaks []shed.Span   // that it is made around
	// Unbroken is when it would finish without them.
	Unbroken time.Time
	// turns are when each tub had its turn, in the first plan since somebody last did something.
	turns map[int]time.Time
	// Problems are the baths to come that cannot wash as things are, one sentence
	// each with what would do.
	Problems []string
}

// PlannedBath is a bath to come with what goes into it.
type PlannedBath struct {
	_         [0]func() // nobody compares two: no code for it
	Tub       int
	Batch     string
	Step      shed.Step
	StepIndex int // into the batch's steps: a method may have a name twice
	Fill      session.FillPlan
	FillAt    time.Time // when its fill begins
	BoilMin   float64
	StoodMin  float64 // for so long its kettle has boiled by then
	Tanked    bool    // its wait for the tank, or what it boils instead, is in the timetable
	TankMin   float64 // as of its piece
	way       int     // how it is made from the tank, of boilParts
	SinkC     float64
	LiftC     float64
}

// BathOf is the bath that a piece fills or boils for; ok is false if it is not to come.
func (t *Timetable) BathOf(p Piece) (b PlannedBath, ok bool) {
	i := slices.IndexFunc(t.Baths, func(b PlannedBath) bool { return b.Batch == p.Batch && b.StepIndex == p.Step })
	if i < 0 {
		return PlannedBath{}, false
	}
	return t.Baths[i], true
}

// works is how long it is, between its ends as they are shown, without the nights between two of its pieces.
func (t *Timetable) works() (lasts float64, nights int) {
	lasts, busy := measure.ShownMin(t.From, t.Finish), t.From
	for i := range t.Pieces {
		if p := &t.Pieces[i]; p.Start.Sub(busy) >= nightGap {
			lasts, nights = lasts-measure.ShownMin(busy, p.Start), nights+1
		}
		if t.Pieces[i].End.After(busy) {
			busy = t.Pieces[i].End
		}
	}
	if nights > 0 { // nor is the wait for the first evening
		lasts -= measure.ShownMin(t.From, t.Pieces[0].Start)
	}
	return lasts, nights
}

// Lasts is how long it is; a night between two of its pieces is none of it.
func (t *Timetable) Lasts() string {
	lasts, nights := t.works()
	if nights == 0 {
		return measure.Minutes(lasts)
	}
	midnight := func(at time.Time) time.Time { return time.Date(at.Year(), at.Month(), at.Day(), 0, 0, 0, 0, time.UTC) }
	dates := 1 + int(midnight(t.Finish).Sub(midnight(t.From)).Hours()/24)
	return measure.Minutes(lasts) + " over " + measure.Counted(dates, "day", "days")
}

// Gap is by what part of its length the timetable may be longer than the
// shortest possible.
func (t *Timetable) Gap() float64 {
	length := t.Finish.Sub(t.From)
	if t.Proven || length <= 0 {
		return 0
	}
	return float64(t.Finish.Sub(t.Bound)) / float64(length)
}

// tightest is the least spare time of any lift from a wash; ok is false
// without a wash to come.
func (t *Timetable) tightest() (spare time.Duration, ok bool) {
	for _, p := range t.Pieces {
		if p.HasSpare && slices.Contains(p.Acts, shed.Lift) && (!ok || p.Spare < spare) {
			spare, ok = p.Spare, true
		}
	}
	return spare, ok
}

// Late lists the pieces past a limit.
func (t *Timetable) Late() (out []Piece) {
	for i := range t.Pieces {
		if t.Pieces[i].Late > 0 {
			out = append(out, t.Pieces[i])
		}
	}
	return out
}

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
	freeS    int                                // the finish without them
	waysOf   map[[3]int][len(boilParts)]fillWay // by job, tub and bath
}

type jobOf struct {
	batch shed.Batch
	steps []shed.Step
	first int // its first task
	tubs  []int
	ahead map[int][]session.BathAhead // by tub, one for each bath from its first to come
	from  int                         // index of the step that ahead begins with
	waitS int                         // the first of them waits so long: for hot water, or for the evening
	liftS int                         // and its lift so long, until the person is up
	upS   int                         // nothing boils for it before that
	night float64                     // for so long it soaks over the night at the least, min; 0: as its step says
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
func (b *scheduler) problem(why error, batch *shed.Batch) {
	if why == nil || slices.Contains(b.told, batch.FleeceID) {
		return
	}
	b.problems, b.told = append(b.problems, why.Error()), append(b.told, batch.FleeceID)
}

// chain adds steps[from:] of a job behind its task last (-1: none), the first
// of them with some acts before it.
func (b *scheduler) chain(job, from, last int, before []shed.Action) {
	j := b.jobs[job]
	bath := 0
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
			hang, _ := j.steps[step-1].HangsMin(&j.steps[step])
			b.lag(last, to, 0, max(0, secs(hang-b.look.Hands[shed.DrainTub])-t.DurS), timetable.Soft)
		}
	}
	var end []shed.Action
	first, endStep := len(j.steps), 0
	for i := from; i < len(j.steps); i++ {
		s := j.steps[i]
		switch {
		case s.Kind.IsBath():
			fill := b.task(taskOf{job: job, step: i, acts: append(slices.Clone(before), shed.FillTub, shed.SinkIn), bath: bath}, job)
			link(fill, i)
			if bath == 0 {
				b.p.Tasks[fill].EarliestS = j.waitS
			}
			b.boil(job, fill, bath, i)
			lift := b.task(taskOf{job: job, step: i, acts: []shed.Action{shed.Lift, shed.DrainTub}, bath: -1}, job)
			if bath == 0 {
				b.p.Tasks[lift].EarliestS = j.liftS
			}
			limits := make([][3]float64, len(b.day.Tubs))
			for _, tub := range j.tubs {
				a := j.ahead[tub][bath]
				if bath == 0 && j.night > 0 {
					a.SoakMin = min(a.SoakMin, j.night)
				}
				limits[tub] = [3]float64{a.SoakMin, b.noNight(&s, a.ReleaseMin), a.LongestMin}
			}
			if len(j.tubs) == 1 {
				limits = limits[j.tubs[0] : j.tubs[0]+1]
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

// noNight is how long a soak may last, min, that its release bounds: a hot wash never lies through
// quiet hours. Through those shorter than two of its soaks it may, as through a break: to rule that out
// would leave no lift of the day time to spare.
func (b *scheduler) noNight(s *shed.Step, releaseMin float64) float64 {
	if q := b.day.Plan.Quiet; s.HasRelease() && q.FromMin != q.ToMin && q.LastsMin() >= 2*s.SoakMin {
		return min(releaseMin, q.LastsMin(), longSoakMin)
	}
	return releaseMin
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

func (b *scheduler) lag(from, to, minS, maxS int, c timetable.Class) {
	b.p.Lags = append(b.p.Lags, timetable.Lag{From: from, To: to, Limits: timetable.Limits{MinS: minS, MaxS: maxS}, Class: c})
}

// boil puts the kettle on in time for a fill that wants it. Which tub it will
// be is open, so it is the longest boil of any.
func (b *scheduler) boil(job, fill, bath, step int) {
	j, boilMin := b.jobs[job], 0.0
	if k, on := b.day.KettleDue(b.now); on && k.Batch == j.batch.ID && k.Step == step {
		b.boils(fill, taskOf{job: job, step: step, boil: true, on: true, bath: bath}, max(1, b.until(k.ReadyBy(b.now))), 0)
		return
	}
	for _, tub := range j.tubs {
		boilMin = max(boilMin, j.ahead[tub][bath].BoilMin)
	}
	if bath == 0 && !b.day.TellsKettle() && b.p.Jobs[job].Started && b.day.Tubs[j.tubs[0]].Phase != shed.Soaking {
		boilMin = 0 // it was put on before
	}
	if boilMin <= 0 {
		return
	}
	upS := max(j.liftS, j.upS)
	if b.day.Plan.InBin(&j.batch) {
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
	evening, morning := b.day.Plan.NightFrom(b.day.StartedAt, b.now, night)
	j.waitS, j.liftS = b.until(evening), b.until(morning)
	if b.day.Plan.WashInMin > 0 { // sunk in late, it soaks till then all the same
		j.night = measure.MinutesBetween(evening, morning) - 60
	}
}
