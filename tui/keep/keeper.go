// Package keep keeps the running day: its state, its clock, the journal, the alarms
// and what tells of them outside. It waits for no screen. A screen gives it commands
// and is given what is so; several may look at one day.
package keep

import (
	"errors"
	"fmt"
	"sync"
	"sync/atomic"
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/compare"
	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/planner"
	"fleece.example/tubside/session/shed"
)

// Clock says what time it is.
type Clock interface{ Now() time.Time }

// Hands is an invented person who acts in a rehearsal: what they do at now.
type Hands interface {
	Act(d session.Day, now time.Time) []session.Command
}

// With is what a keeper works with; nil is without.
type With struct {
	Journal ledger.Journal
	Ledger  ledger.Ledger // told of the last moment that somebody watched
	Clock   Clock
	// Elapsed is time that nobody can set and that goes on while the machine
	// sleeps: it tells a clock that was set from time that has passed.
	Elapsed func() time.Duration
	Bell    Bell
	Outside Outside
	Hands   Hands
	Local   *time.Location // of the quiet hours; nil is time.Local
	Every   time.Duration  // how often Run looks at the clock; 0 is every second
	Pace    float64        // how many times faster than real time Clock runs; 0 is 1
	Rescue  func()         // deferred in every goroutine that may panic
}

// Keeper has the running day. All of it may be called from any goroutine.
type Keeper struct {
	with     With
	saver    *saver
	changed  chan struct{} // something is new for a screen
	due      chan struct{} // something is to be told outside
	stale    chan struct{} // the timetable is behind the day
	moved    chan struct{} // the day is another than when the clock was looked at
	stop     chan struct{}
	watching sync.WaitGroup
	solve    func(session.Day, time.Time, planner.Effort, planner.Timetable) (planner.Timetable, error)

	behind atomic.Int64 // the clock is known to be so far behind: time.Duration

	planning sync.Mutex // one timetable is made at a time; held without mu
	telling  sync.Mutex // what is told outside stays in order; held without mu

	mu       sync.Mutex
	id       shed.DayID
	day      session.Day
	plan     planner.Timetable // of the rest of the day
	planSeq  uint64            // the event it was made after
	planAt   time.Time         // and when
	made     chan struct{}     // closed once the next one is made
	turn     int               // another day or other names: a timetable made meanwhile is not of it
	watched  bool              // Run was called
	closed   bool
	quiet    calm
	acted    time.Time     // to when the invented person has lived
	wallAt   time.Time     // the last moment by the wall clock
	goneAt   time.Duration // and by the one nobody can set
	news     []News
	settings session.AlarmSettings
	rung     session.Priority // the loudest ring since the bell was last asked
	rang     bool

	unsavedAt    time.Time // since when nothing can be written
	unsavedHeard bool
	unheard      bool // an alarm rang while the sound failed or was muted
	proof        session.ProveSound
	provedAt     time.Time
	toldLate     shed.DayID // the day of which it was said that it will not be ready by its time
}

// New makes a keeper without a day. Run lets its time pass; without it Pass does.
func New(w With) *Keeper {
	if w.Every <= 0 {
		w.Every = time.Second
	}
	if w.Rescue == nil {
		w.Rescue = func() {}
	}
	k := &Keeper{with: w, solve: planner.Replan, changed: make(chan struct{}, 1), due: make(chan struct{}, 1), stale: make(chan struct{}, 1), moved: make(chan struct{}, 1), stop: make(chan struct{}), made: make(chan struct{})}
	k.saver = newSaver(w.Journal, func() { signal(k.changed) })
	return k
}

// State is the running day at one moment. Nothing changes it afterwards.
type State struct {
	ID   shed.DayID // 0: none was taken up
	Day  session.Day
	Plan planner.Timetable // as it was made last
}

// State is how the running day stands now.
func (k *Keeper) State() State {
	k.mu.Lock()
	defer k.mu.Unlock()
	return State{k.id, k.day, k.plan}
}

// Wait returns when something is new since the last time; false once closed.
func (k *Keeper) Wait() bool {
	select {
	case <-k.changed:
		return true
	case <-k.stop:
		return false
	}
}

// Saved is how many events are not written yet, and why if the disk takes none.
func (k *Keeper) Saved() (waiting int, err error) { return k.saver.status() }

// Settled waits until all is written, no longer than within.
//
// Errors: a sentence with what keeps it.
func (k *Keeper) Settled(within time.Duration) error {
	late := time.NewTimer(within)
	defer late.Stop()
	select {
	case <-k.saver.written():
		return nil
	case <-late.C:
	}
	if _, err := k.Saved(); err != nil {
		return fmt.Errorf("the last entry isn't saved yet: %w", err)
	}
	return errors.New("the last entry isn't saved yet")
}

// Left is what is not written yet, in order.
func (k *Keeper) Left() []Unsaved { return k.saver.left() }

// News is what the keeper met by itself and a person should hear of.
type News struct {
	SetBy time.Duration // the machine's clock was set by so much, and every timer with it
	Late  string        // or the day will not be ready by its time: so, and what would help
	Err   error         // or something was refused
}

// News brings what came since the last time.
func (k *Keeper) News() []News {
	k.mu.Lock()
	defer k.mu.Unlock()
	n := k.news
	k.news = nil
	return n
}

// Begin starts a new day, with what past days taught about tubs and hands and what
// of the last few still lies on the rack.
func (k *Keeper) Begin(p shed.Plan, now time.Time) error {
	past, err := ledger.ReadPast(k.with.Journal)
	if err != nil {
		return err
	}
	day, recs, err := session.Do(session.Day{}, session.StartDay{Plan: past.Tell(p)}, now)
	if err != nil {
		return err
	}
	id, err := k.with.Journal.NewDay()
	if err != nil {
		return err
	}
	k.mu.Lock()
	k.take(id, day)
	k.keep(recs)
	k.mu.Unlock()
	k.reach()
	return nil
}

// Take makes a day the running one, as it is.
func (k *Keeper) Take(id shed.DayID, d session.Day) {
	k.mu.Lock()
	k.take(id, d)
	k.mu.Unlock()
	k.reach()
}

// take has k.mu.
func (k *Keeper) take(id shed.DayID, d session.Day) {
	k.id, k.day = id, d
	k.plan, k.planSeq, k.planAt, k.turn = planner.Timetable{}, 0, time.Time{}, k.turn+1
	signal(k.changed)
	signal(k.moved)
}

// Wake takes up a loaded day after nobody watched it for away, from when it was last
// seen. Where the clock says something else it is taken as set: what runs moves with it.
// A clock that is behind by so much is the wrong one: what now says is right.
// No time passes for the day in between, whoever looks at the clock meanwhile.
func (k *Keeper) Wake(id shed.DayID, d session.Day, seenAt time.Time, away, behind time.Duration, now time.Time) error {
	defer k.reach()
	k.mu.Lock()
	defer k.mu.Unlock()
	k.putRight(behind)
	k.take(id, d)
	return k.resume(session.SetClock{By: now.Sub(seenAt) - away}, away, now)
}

// WasAway says how long nobody watched a day, by how much that is longer than it was woken with,
// and that its clock is behind by so much: now is right.
func (k *Keeper) WasAway(away, longer, behind time.Duration, now time.Time) error {
	defer k.reach()
	k.mu.Lock()
	defer k.mu.Unlock()
	k.putRight(behind)
	return k.resume(session.SetClock{By: behind, Off: longer}, away, now)
}

// putRight has Now go by a clock that is behind by so much, until somebody sets it; it has k.mu.
func (k *Keeper) putRight(behind time.Duration) {
	k.behind.Add(int64(behind))
	if !k.wallAt.IsZero() {
		k.wallAt = k.wallAt.Add(behind)
	}
}

// resume has the day go on by a clock that was set; it has k.mu.
func (k *Keeper) resume(set session.SetClock, away time.Duration, now time.Time) error {
	cmds := []session.Command{session.ResumeWatch{Away: max(away, 1)}}
	if max(set.By.Abs(), set.Off.Abs()) > JumpMatters {
		cmds = append([]session.Command{set}, cmds...)
	}
	for _, c := range cmds {
		if err := k.apply(func(d session.Day) (session.Day, []session.Recorded, error) { return session.Do(d, c, now) }); err != nil {
			return err
		}
	}
	return nil
}

// run carries out a command on the running day.
func (k *Keeper) run(c session.Command, now time.Time) error {
	st := k.State()
	_, err := k.Do(st.ID, st.Day, c, now)
	return err
}

// Do carries out a command on a day, and returns the day after it; a refusal is a
// sentence and changes nothing. The running day is that of the keeper, which may have
// gone on since d; another is one of the past, whose last event d has: what waits to
// be written must not be of it.
func (k *Keeper) Do(id shed.DayID, d session.Day, c session.Command, now time.Time) (session.Day, error) {
	return k.change(id, d, func(d session.Day) (session.Day, []session.Recorded, error) { return session.Do(d, c, now) })
}

// DoTogether carries out the acts of one movement at a tub; what was done before a
// refusal stays.
func (k *Keeper) DoTogether(id shed.DayID, d session.Day, c session.DoNext, then []shed.Action, now time.Time) (session.Day, error) {
	return k.change(id, d, func(d session.Day) (session.Day, []session.Recorded, error) {
		return session.DoTogether(d, c, then, now)
	})
}

// Enter puts a card of an earlier wash into a day of cards, insisting on its weights, and
// returns the day after it; one without a number begins by plan.
func (k *Keeper) Enter(id shed.DayID, d session.Day, c ledger.Card, plan shed.Plan) (shed.DayID, session.Day, error) {
	if _, _, err := c.Enter(d, plan, true); err != nil || id != 0 {
		if err == nil {
			d, err = k.change(id, d, func(d session.Day) (session.Day, []session.Recorded, error) { return c.Enter(d, plan, true) })
		}
		return id, d, err
	}
	id, err := k.with.Journal.NewDay()
	if err != nil {
		return 0, d, err
	}
	d, err = k.change(id, d, func(d session.Day) (session.Day, []session.Recorded, error) { return c.Enter(d, plan, true) })
	return id, d, err
}

// change is what a day becomes by do, which says what happened.
type change = func(session.Day) (session.Day, []session.Recorded, error)

func (k *Keeper) change(id shed.DayID, d session.Day, do change) (session.Day, error) {
	if day, err, mine := k.changeRunning(id, do); mine {
		k.reach()
		return day, err
	}
	day, recs, err := do(d)
	k.save(id, day, recs)
	return day, err
}

func (k *Keeper) changeRunning(id shed.DayID, do change) (d session.Day, err error, mine bool) {
	k.mu.Lock()
	defer k.mu.Unlock()
	if id != k.id {
		return d, nil, false
	}
	err = k.apply(do)
	return k.day, err, true
}

// apply changes the running day; it has k.mu.
func (k *Keeper) apply(do change) error {
	day, recs, err := do(k.day)
	k.day = day
	k.keep(recs)
	return err
}

// keep saves what happened on the running day and notes what rang; it has k.mu.
func (k *Keeper) keep(recs []session.Recorded) {
	k.save(k.id, k.day, recs)
	for _, r := range recs {
		switch e := r.Event.(type) {
		case session.AlarmRaised:
			k.ring(e.Alarm, e.Tub, r.At)
		case session.AlarmRepeated:
			k.ring(e.Alarm, e.Tub, r.At)
		}
	}
}

func (k *Keeper) save(id shed.DayID, d session.Day, recs []session.Recorded) {
	if len(recs) == 0 {
		return
	}
	k.saver.save(id, recs, compare.Summarise(id, d))
	signal(k.changed)
	signal(k.stale)
	signal(k.moved)
}

// Rename gives the running day the names as they are now.
func (k *Keeper) Rename(n shed.Names) {
	k.mu.Lock()
	defer k.mu.Unlock()
	if !k.day.StartedAt.IsZero() {
		k.day = k.day.Named(n)
		k.planAt, k.turn = time.Time{}, k.turn+1 // what the rest of the day says is said anew
		signal(k.stale)
	}
}

// errSaving refuses what would come before an entry that is still to be written.
var errSaving = errors.New("the last entry isn't saved yet: press again in a moment")

// Delete takes a day out of the journal. What is still being written would bring it
// back, so that comes first.
func (k *Keeper) Delete(id shed.DayID) error {
	k.mu.Lock()
	if waiting, _ := k.saver.status(); waiting > 0 {
		k.mu.Unlock()
		return errSaving
	}
	d, mine := k.day, id == k.id
	if mine { // so that nothing more is written of it
		k.take(0, session.Day{})
	}
	k.mu.Unlock()
	err := k.with.Journal.DeleteDay(id)
	if err != nil && mine {
		k.Take(id, d)
	}
	return err
}

// Close writes what is not saved yet, and that nobody watches a running day any more.
// Nothing happens to the day after it.
func (k *Keeper) Close() error {
	k.mu.Lock()
	if !k.closed {
		k.closed = true
		close(k.stop)
	}
	k.mu.Unlock()
	k.watching.Wait()
	if err := k.saver.close(); err != nil {
		return err
	}
	if st := k.State(); st.Day.Running() && k.with.Ledger != nil {
		_ = k.with.Ledger.SaveLeft(session.Left{Day: st.ID, Seq: st.Day.LastSeq, At: k.Now()}) // without it the last entry counts
	}
	return nil
}

// Now is the time by the clock, as far as it is known to be behind put right.
func (k *Keeper) Now() time.Time { return Now(k.with.Clock).Add(time.Duration(k.behind.Load())) }

// Now is the clock's time without the monotonic part: Go's monotonic clock stops
// while a laptop sleeps, and water does not.
func Now(c Clock) time.Time { return c.Now().Round(0).UTC() }
