package planner

import (
	"cmp"
	"fmt"
	"slices"
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/session/timetable"
)

// Schedule plans the rest of the day from now. The error is a sentence: what
// cannot be planned and why. It is a pure function of the day and now.
func Schedule(d session.Day, now time.Time, e Effort) (Timetable, error) {
	return Replan(d, now, e, Timetable{})
}

// Replan is Timetable with the one that was made before: its order of work is
// gone on from, so that little changes where nothing has to.
func Replan(d session.Day, now time.Time, e Effort, was Timetable) (Timetable, error) {
	if !d.Running() {
		return Timetable{}, fmt.Errorf("there is no day to plan: start one first")
	}
	b := newScheduler(d, now)
	b.build()
	if len(b.p.Tasks) == 0 {
		return Timetable{From: now, Finish: now, Bound: now, Proven: true, Problems: b.problems}, nil
	}
	b.wish(was)
	b.stillDue(was)
	s, err := b.solveAround(e, was)
	if err != nil {
		return Timetable{}, fmt.Errorf("the rest of the day couldn't be planned: %w", err)
	}
	if e == Quick && b.standsOver(&s) { // a quick search may miss that it can be poured before
		t, err := Replan(d, now, Thorough, Timetable{})
		t.keepTurns(&d, was)
		return t, err
	}
	t, err := b.read(s)
	t.keepTurns(&d, was)
	return t, err
}

// keepTurns leaves tubs the turns that they had, where nobody has done anything since and no other order gains much.
func (t *Timetable) keepTurns(d *session.Day, was Timetable) {
	if len(was.turns) == 0 || d.FreeAt().After(was.From) || t.gains(was) >= worthTurning {
		return
	}
	for tub := range t.turns {
		if at, had := was.turns[tub]; had {
			t.turns[tub] = at
		}
	}
}

// worthTurning is what another order has to gain before it is told while nobody has done anything: hands are
// at what the list said first, or on their way. Our own choice.
const worthTurning = 10 * time.Minute

// gains is by how much a timetable is better than the one before, begun as late.
func (t Timetable) gains(was Timetable) time.Duration {
	return max(was.Finish.Add(t.From.Sub(was.From)).Sub(t.Finish), was.lateBy()-t.lateBy())
}

// Turn is when a tub has its turn among those that are all the same otherwise. It stands till somebody does
// something, or another order gains much.
func (t Timetable) Turn(tub int) time.Time { return t.turns[tub] }

// standsOver says that a kettle which is on would stand over a break.
func (b *scheduler) standsOver(s *timetable.Solution) bool {
	return len(b.breaks) > 0 && slices.ContainsFunc(s.Late, func(l timetable.Late) bool {
		return l.Lag != timetable.None && b.of[b.p.Lags[l.Lag].From].on && l.ByS > secs(b.breaks[0].To.Sub(b.breaks[0].From).Minutes())
	})
}

// wish hands the starts of an earlier timetable on.
func (b *scheduler) wish(was Timetable) {
	if len(was.Pieces) == 0 {
		return
	}
	type key struct {
		batch string
		step  int
		boil  bool
		last  shed.Action
	}
	of := func(batch string, step int, acts []shed.Action) key {
		k := key{batch: batch, step: step, boil: len(acts) == 0}
		if !k.boil { // the first acts of a piece may be done by now
			k.last = acts[len(acts)-1]
		}
		return k
	}
	starts := map[key]time.Time{}
	for _, p := range was.Pieces {
		starts[of(p.Batch, p.Step, p.Acts)] = p.Start
	}
	b.p.WishS = make([]int, len(b.p.Tasks))
	for i, t := range b.of {
		b.p.WishS[i] = timetable.None
		if at, ok := starts[of(b.jobs[t.job].batch.ID, t.step, t.acts)]; ok {
			b.p.WishS[i] = b.until(at)
		}
	}
}

// stillDue keeps a boil that an earlier timetable had due first, and due now: whoever was
// told to put the kettle on is not told to wait, or that it is another tub's, because they are late.
func (b *scheduler) stillDue(was Timetable) {
	for _, p := range was.Pieces {
		if p.Start.After(b.now) {
			return
		}
		for _, h := range b.p.Holds {
			of, boil := b.of[h.From], &b.p.Tasks[h.From]
			if p.Boil() && !p.On && !of.on && of.step == p.Step && b.jobs[of.job].batch.ID == p.Batch {
				if b.soonestS(h.To, p.Tub) <= boil.DurS+secs(session.KettleFreshMin) {
					boil.LatestS, boil.LateClass = 0, timetable.Soft
				}
				return
			}
		}
	}
}

// soonestS is how soon a task can come for what its batch has to do before it, and for the
// batch that is in its tub, s.
func (b *scheduler) soonestS(task, tub int) int {
	t := &b.p.Tasks[task]
	at := t.EarliestS
	for _, l := range b.p.Lags {
		if l.To != task || b.p.Tasks[l.From].Job != t.Job {
			continue
		}
		m := l.Limits
		if len(l.OnS) > 0 {
			m = l.OnS[tub]
		}
		at = max(at, b.soonestS(l.From, tub)+b.p.Tasks[l.From].DurS+m.MinS)
	}
	if b.p.Jobs[t.Job].Started {
		return at
	}
	for i := len(b.p.Tasks) - 1; i >= 0; i-- {
		if j := b.p.Tasks[i].Job; j != timetable.None && b.p.Jobs[j].Started && b.p.Jobs[j].Tubs[0] == tub {
			return max(at, b.soonestS(i, tub)+b.p.Tasks[i].DurS)
		}
	}
	return at
}

func newScheduler(d session.Day, now time.Time) *scheduler {
	b := &scheduler{day: d, now: now, look: d.LookAhead(), tank: d.Plan.Kit.HotWater()}
	b.p.Resources, b.p.Tubs = resources, len(d.Tubs)
	return b
}

func (b *scheduler) build() {
	var soaking []int // in the night to come
	evening, _ := b.day.Plan.NightFrom(b.day.StartedAt, b.now, 0)
	for i, t := range b.day.Tubs {
		if t.Batch != "" {
			b.running(i)
		}
		if t.Phase <= shed.Soaking && t.Step().Overnight() && (t.Phase < shed.Soaking || t.SoakEndAt(b.now).After(evening)) {
			soaking = append(soaking, i)
		}
	}
	b.night = b.day.Plan.NightOf(b.day.Waiting(), soaking)
	for _, batch := range b.day.Waiting() {
		b.waiting(&batch)
	}
}

// waiting adds a batch that has not begun, in whichever tub does for it.
func (b *scheduler) waiting(batch *shed.Batch) {
	j := jobOf{batch: *batch, steps: b.day.Plan.StepsOf(batch), first: len(b.p.Tasks), ahead: map[int][]session.BathAhead{}}
	if till := b.day.SoaksTill(batch); !till.IsZero() {
		j.waitS = b.until(till)
	} else if night, ok := b.night[batch.ID]; ok {
		b.overNight(&j, night)
	} else if wash, waits := b.day.WashWaits(batch, b.now); waits {
		j.waitS, j.upS = b.until(wash), b.until(wash)
	}
	var why error
	var small []int // it does not open out there, or it is set aside: taken where no other tub lasts
	for tub := range b.day.Tubs {
		j.ahead[tub] = b.look.Baths(tub, batch, j.steps, 0, b.day.Plan.FromBin(batch))
		switch err := unfit(b.look, tub, batch, j.ahead[tub]); {
		case err != nil:
			why = cmp.Or(why, err)
		case b.day.Plan.FitsIn(batch, tub) && !b.day.Tubs[tub].Aside():
			j.tubs = append(j.tubs, tub)
		default:
			small = append(small, tub)
		}
	}
	if len(j.tubs) == 0 {
		j.tubs = small
	}
	if len(j.tubs) == 0 { // what the others need is planned all the same
		b.problem(why, batch)
		for tub := range b.day.Tubs {
			j.tubs = append(j.tubs, tub)
		}
	}
	job := len(b.jobs)
	b.jobs = append(b.jobs, j)
	b.p.Jobs = append(b.p.Jobs, timetable.Job{NeedsTub: true, Tubs: j.tubs})
	b.chain(job, 0, -1, []shed.Action{shed.LoadNext})
}

// problems are the baths to come that cannot wash as things are.
func problems(d session.Day) []string {
	b := newScheduler(d, d.StartedAt)
	b.build()
	return b.problems
}

// breather is how much later a day with breaks is tried too.
const breather = 10 * time.Minute

// scheduleAhead is Schedule for a day that is planned. Around a break the search may miss an order
// that it finds for the same day begun minutes later: that one is gone on from where it is better.
func scheduleAhead(d session.Day, start time.Time, e Effort) (Timetable, error) {
	t, err := Schedule(d, start, e)
	if err != nil || e == Quick || len(t.Breaks) == 0 {
		return t, err
	}
	if later, err := Schedule(d, start.Add(breather), e); err == nil && later.Finish.Before(t.Finish) && later.lateBy() <= t.lateBy() {
		if again, err := Replan(d, start, e, later); err == nil && again.Finish.Before(t.Finish) && again.lateBy() <= t.lateBy() {
			return again, nil
		}
	}
	return t, nil
}

// lateBy is by how much the work of a timetable is late, all together.
func (t *Timetable) lateBy() (by time.Duration) {
	for _, p := range t.Pieces {
		by += p.Late
	}
	return by
}
