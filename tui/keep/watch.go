package keep

import (
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/planner"
)

// Run lets time pass until Close, whatever the screens do. One goroutine looks at the
// clock each second and whenever something is due, one passes on what has to be heard
// outside the screen, one replans the rest of the day. None waits for another.
func (k *Keeper) Run() {
	k.mu.Lock()
	defer k.mu.Unlock()
	if k.watched || k.closed {
		return
	}
	k.watched = true
	k.watching.Add(1)
	go k.watch()
	go k.forever(k.due, k.tell)
	go k.forever(k.stale, func() { k.replan(k.Now()) })
}

func (k *Keeper) watch() {
	defer k.watching.Done()
	defer k.with.Rescue()
	t := time.NewTicker(k.with.Every)
	defer t.Stop()
	var due <-chan time.Time
	for {
		select {
		case <-t.C:
		case <-due:
		case <-k.moved:
		case <-k.stop:
			return
		}
		due = nil
		if in := k.pass(); in > 0 {
			due = time.After(in)
		}
		signal(k.stale)
	}
}

// forever does something whenever it is due.
func (k *Keeper) forever(due <-chan struct{}, do func()) {
	defer k.with.Rescue()
	for {
		select {
		case <-due:
			do()
		case <-k.stop:
			return
		}
	}
}

// Pass lets time pass to what the clock says. Where Run does that it does nothing.
func (k *Keeper) Pass() {
	k.mu.Lock()
	watched := k.watched
	k.mu.Unlock()
	if !watched {
		k.pass()
	}
}

func (k *Keeper) pass() (dueIn time.Duration) {
	dueIn = k.passTo()
	k.reach()
	return dueIn
}

// passTo has the running day live up to now, and says what dueIn does. An invented person
// lives every second of it, however fast the clock runs: else a fast rehearsal would be
// another day than a slow one.
func (k *Keeper) passTo() time.Duration {
	k.mu.Lock()
	defer k.mu.Unlock()
	now := k.watchClock(k.Now())
	if k.with.Hands == nil {
		if k.quiet != k.calm(k.quiet.to) || now.After(k.quiet.to) {
			k.tick(now)
		}
		return k.dueIn(now)
	}
	if k.acted.IsZero() {
		k.acted = k.day.StartedAt.Add(-time.Second)
	}
	for at := k.acted.Add(time.Second); !at.After(now); at = at.Add(time.Second) {
		k.acted = at
		k.tick(at)
		for _, c := range k.with.Hands.Act(k.day, at) {
			k.command(c, at)
		}
	}
	return 0
}

// calm is a day as it stands on which nothing happens by itself up to a moment.
type calm struct {
	turn   int
	seq    uint64
	planAt time.Time
	to     time.Time
}

func (k *Keeper) calm(to time.Time) calm { return calm{k.turn, k.day.LastSeq, k.planAt, to} }

// A look at the clock reaches lookOver beyond the next one, which may come late, and
// finds what is due to dueWithin.
const (
	lookOver  = 50 * time.Millisecond
	dueWithin = 4 * time.Millisecond
)

// dueIn looks ahead to the next look at the clock: how long it is until something happens
// by itself, 0 if nothing does till then. That saves the next look its own. It has k.mu.
func (k *Keeper) dueIn(now time.Time) time.Duration {
	if !k.watched || !k.day.Running() {
		return 0
	}
	happens := func(at time.Time) bool {
		_, recs := session.Tick(k.day, at)
		return len(recs) > 0
	}
	pace := max(1, k.with.Pace)
	near, far := now, now.Add(time.Duration(float64(k.with.Every+lookOver)*pace))
	if k.quiet = k.calm(far); !happens(far) {
		return 0
	}
	for far.Sub(near) > dueWithin {
		if mid := near.Add(far.Sub(near) / 2); happens(mid) {
			far = mid
		} else {
			near = mid
		}
	}
	k.quiet.to = near
	return max(time.Millisecond, time.Duration(float64(far.Sub(now))/pace))
}

// tick has k.mu, and so has command.
func (k *Keeper) tick(now time.Time) {
	if !k.day.Running() {
		return
	}
	var recs []session.Recorded
	k.day, recs = session.Tick(k.day, now)
	k.keep(recs)
}

func (k *Keeper) command(c session.Command, now time.Time) bool {
	err := k.apply(func(d session.Day) (session.Day, []session.Recorded, error) { return session.Do(d, c, now) })
	if err != nil {
		k.tellNews(News{Err: err})
	}
	return err == nil
}

func (k *Keeper) tellNews(n News) {
	k.news = append(k.news, n)
	signal(k.changed)
}

// JumpMatters is how far clocks drift apart before one of them counts as set.
const JumpMatters = 2 * time.Second

// setSoNear: without elapsed time a clock that leaps by what it was behind, give or take so
// much and nearer to that than to none, was set as the person was told to. Who says how long
// the program was off is minutes out.
const setSoNear = 5 * time.Minute

// WatchClock looks at the clock between two looks of Run, so that what comes next goes by the
// right one.
func (k *Keeper) WatchClock() {
	k.mu.Lock()
	defer k.mu.Unlock()
	k.watchClock(k.Now())
}

// watchClock tells a clock that was set from time that has passed: the elapsed
// time goes on while the machine sleeps, and nobody can set it. Without it only a clock that
// goes back, or on by what it was known to be behind, was set for sure: a look has passed then.
// A clock that was known to be wrong is believed again once it is set; it returns the time then.
func (k *Keeper) watchClock(wall time.Time) time.Time {
	leap, behind := wall.Sub(k.wallAt), time.Duration(k.behind.Load())
	gone := k.goneAt + leap
	switch {
	case k.with.Elapsed != nil:
		gone = k.with.Elapsed()
	case leap < 0, (leap - behind).Abs() < min(setSoNear, leap.Abs()):
		gone = k.goneAt + k.with.Every
	}
	by := leap - (gone - k.goneAt)
	if !k.wallAt.IsZero() && by.Abs() > JumpMatters {
		k.behind.Add(int64(-behind))
		wall, by = wall.Add(-behind), by-behind
	}
	if !k.wallAt.IsZero() && k.day.Running() && by.Abs() > JumpMatters && k.command(session.SetClock{By: by}, wall) {
		k.tellNews(News{SetBy: by})
	}
	k.wallAt, k.goneAt = wall, gone
	return wall
}

// replanAfter: without an event the rest of the day is planned anew this often.
const replanAfter = 30 * time.Second

// Timetable is the plan of the rest of the day. Before Run it is made here. After it a
// goroutine of its own makes it, and who asks waits for one of the day as it stands no
// longer than so; fresh is false if what comes is still of the day before. The next is
// told of as any change.
func (k *Keeper) Timetable(now time.Time, within time.Duration) (t planner.Timetable, fresh bool) {
	k.mu.Lock()
	t, fresh = k.planned()
	made, watched := k.made, k.watched
	k.mu.Unlock()
	if !watched {
		return k.replan(now), true
	}
	if fresh || within <= 0 {
		return t, fresh
	}
	timer := time.NewTimer(within)
	defer timer.Stop()
	for !fresh {
		select {
		case <-made:
		case <-timer.C:
			return t, false
		}
		k.mu.Lock()
		t, fresh = k.planned()
		made = k.made
		k.mu.Unlock()
	}
	return t, true
}

// planned is the plan made last, and whether it is of the day as it stands; it has k.mu.
func (k *Keeper) planned() (t planner.Timetable, fresh bool) {
	if !k.day.Running() {
		return planner.Timetable{}, true
	}
	return k.plan, k.planSeq == k.day.LastSeq && !k.planAt.IsZero()
}

// replan makes the timetable if it is behind the day or aged. It takes tens of
// milliseconds, and neither an alarm nor, after Run, a screen waits for it.
func (k *Keeper) replan(now time.Time) planner.Timetable {
	k.planning.Lock()
	defer k.planning.Unlock()
	k.mu.Lock()
	turn, d, told := k.turn, k.day, k.toldLate == k.id
	was, fresh := k.planned()
	gone := now.Sub(k.planAt)
	k.mu.Unlock()
	every := time.Duration(float64(replanAfter) * max(1, k.with.Pace))
	if !d.Running() || fresh && gone >= 0 && gone < every {
		return was
	}
	effort := planner.Quick
	if len(was.Pieces) == 0 { // the first of the day is gone on from
		effort = planner.Thorough
	}
	plan, _ := k.solve(d, now, effort, was) // without one the tubs' own order is shown
	late := ""
	if !told {
		late = planner.SayMissed(d, now, plan)
	}
	k.mu.Lock()
	defer k.mu.Unlock()
	if k.turn == turn {
		if late != "" {
			k.toldLate = k.id
			k.tellNews(News{Late: late})
		}
		k.plan, k.planSeq, k.planAt = plan, d.LastSeq, now
		k.day = planner.Planned(k.day, plan)
	}
	close(k.made)
	k.made = make(chan struct{})
	if k.watched {
		signal(k.changed)
	}
	return plan
}

func signal(c chan struct{}) {
	select {
	case c <- struct{}{}:
	default:
	}
}
