package keep

import (
	"errors"
	"fmt"
	"slices"
	"sync"
	"testing"
	"testing/synctest"
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/coach"
	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/must"
	"fleece.example/tubside/session/planner"
	"fleece.example/tubside/session/rehearse"
	"fleece.example/tubside/session/shed"
)

// journal keeps one day in memory; while it fails or is held it takes nothing.
type journal struct {
	ledger.Journal
	mu   sync.Mutex
	recs []session.Recorded
	err  error
	held chan struct{} // not nil: Append waits for it
}

func (j *journal) NewDay() (shed.DayID, error) { return 1, nil }

func (j *journal) Days(int) ([]ledger.Summary, error) { return nil, nil }

func (j *journal) OpenDay() (id shed.DayID, ok bool, err error) { return 0, false, nil }

func (j *journal) DeleteDay(shed.DayID) error {
	j.mu.Lock()
	defer j.mu.Unlock()
	if j.err == nil {
		j.recs = nil
	}
	return j.err
}

func (j *journal) Append(_ shed.DayID, recs []session.Recorded, _ ledger.Summary) error {
	j.mu.Lock()
	held := j.held
	j.mu.Unlock()
	if held != nil {
		<-held
	}
	j.mu.Lock()
	defer j.mu.Unlock()
	if want := uint64(len(j.recs) + 1); j.err == nil && recs[0].Seq != want {
		return fmt.Errorf("event %d comes, %d is next", recs[0].Seq, want)
	}
	if j.err == nil {
		j.recs = append(j.recs, recs...)
	}
	return j.err
}

func (j *journal) fail(err error) {
	j.mu.Lock()
	defer j.mu.Unlock()
	j.err = err
}

func (j *journal) events() []session.Recorded {
	j.mu.Lock()
	defer j.mu.Unlock()
	return slices.Clone(j.recs)
}

// outside notes what it was told; while held it does not come back.
type outside struct {
	mu    sync.Mutex
	kinds []session.AlarmKind
	now   []coach.AlarmCall
	state OutsideState
	held  chan struct{}
}

func (o *outside) Call(calls []coach.AlarmCall, _ int, _ session.AlarmSettings, _ time.Time) {
	o.mu.Lock()
	held := o.held
	o.now = calls
	for _, c := range calls {
		if !slices.Contains(o.kinds, c.Kind) {
			o.kinds = append(o.kinds, c.Kind)
		}
	}
	o.mu.Unlock()
	if held != nil {
		<-held
	}
}

func (o *outside) Play(session.Priority, session.AlarmSettings) Played { return Played{} }

func (o *outside) Confirm(session.AlarmSettings) error { return nil }

func (o *outside) State() OutsideState {
	o.mu.Lock()
	defer o.mu.Unlock()
	return o.state
}

func (o *outside) called() []session.AlarmKind {
	o.mu.Lock()
	defer o.mu.Unlock()
	return slices.Clone(o.kinds)
}

func (o *outside) rings(k session.AlarmKind) bool {
	o.mu.Lock()
	defer o.mu.Unlock()
	return slices.ContainsFunc(o.now, func(c coach.AlarmCall) bool { return c.Kind == k })
}

// bell counts its rings, and keeps how urgent the last one was.
type bell struct {
	mu    sync.Mutex
	rings int
	last  session.Priority
}

func (b *bell) Ring(p session.Priority) {
	b.mu.Lock()
	defer b.mu.Unlock()
	b.rings++
	b.last = p
}

func (b *bell) count() int {
	b.mu.Lock()
	defer b.mu.Unlock()
	return b.rings
}

// bubbleClock is the fake clock of a synctest bubble.
type bubbleClock struct{}

func (bubbleClock) Now() time.Time { return time.Now() }

// kept is a keeper with all that it works with.
type kept struct {
	*Keeper
	t       *testing.T
	journal *journal
	outside *outside
	bell    *bell
}

// begin starts an invented day in a bubble, with an invented person who leaves after
// twelve minutes, and lets it run.
func begin(t *testing.T, set ...func(*With)) *kept {
	t.Helper()
	script := rehearse.Demo()
	script.Hands.Away = []rehearse.Away{{FromMin: 12, ToMin: 600}}
	x := &kept{t: t, journal: &journal{}, outside: &outside{}, bell: &bell{}}
	time.Sleep(time.Until(script.Start))
	w := With{Journal: x.journal, Clock: bubbleClock{}, Bell: x.bell, Outside: x.outside, Hands: rehearse.NewPlayer(script), Local: time.UTC}
	for _, f := range set {
		f(&w)
	}
	x.Keeper = New(w)
	must.Do(t, x.Begin(script.Plan, time.Now().UTC()))
	return x
}

func (x *kept) end() {
	x.t.Helper()
	if err := x.Close(); err != nil {
		x.t.Error(err)
	}
	d := x.State().Day
	if got := session.Replay(x.journal.events()); got.LastSeq != d.LastSeq || len(got.Alarms) != len(d.Alarms) {
		x.t.Errorf("the journal has %d events, the day %d", got.LastSeq, d.LastSeq)
	}
}

// The day goes on with nobody looking: fleece goes in, alarms are raised, told and
// written down.
func TestRunsByItself(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		x := begin(t)
		x.Run()
		x.Run() // twice is once
		time.Sleep(90 * time.Minute)
		synctest.Wait()
		if k := x.outside.called(); len(k) < 3 || x.bell.count() < 3 {
			t.Errorf("called %v, rung %d times", k, x.bell.count())
		}
		alarms := 0
		for _, r := range x.journal.events() {
			if _, ok := r.Event.(session.AlarmRaised); ok {
				alarms++
			}
		}
		if alarms < 3 {
			t.Errorf("%d alarms in the journal", alarms)
		}
		if st := x.State(); len(st.Plan.Pieces) == 0 || st.Plan.From.Before(time.Now().Add(-time.Minute)) {
			t.Errorf("the rest of the day was planned last at %v", st.Plan.From)
		}
		x.end()
		seq := x.State().Day.LastSeq
		time.Sleep(time.Hour)
		if got := x.State().Day.LastSeq; got != seq {
			t.Errorf("closed, and %d events came", got-seq)
		}
	})
}

// A way outside that is stuck holds up neither the day nor its commands, nor what is
// written; nor does it the end.
func TestStuckOutside(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		x := begin(t)
		x.outside.held = make(chan struct{})
		x.Run()
		time.Sleep(90 * time.Minute)
		st := x.State()
		began := time.Now()
		if _, err := x.Do(st.ID, st.Day, session.AddNote{Tub: -1, Text: "still here"}, time.Now()); err != nil {
			t.Error(err)
		}
		synctest.Wait()
		if n := len(x.journal.events()); n < 10 || uint64(n) != x.State().Day.LastSeq {
			t.Errorf("%d events are written", n)
		}
		x.end()
		if took := time.Since(began); took > time.Second {
			t.Errorf("a note and the end took %v", took)
		}
		close(x.outside.held)
	})
}

// Planning that takes as long as it likes holds up no alarm and no command.
func TestLongPlanning(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		x := begin(t)
		solved := make(chan struct{})
		x.solve = func(d session.Day, now time.Time, e planner.Effort, was planner.Timetable) (planner.Timetable, error) {
			<-solved
			return planner.Replan(d, now, e, was)
		}
		x.Run()
		time.Sleep(60 * time.Minute)
		st := x.State()
		if _, err := x.Do(st.ID, st.Day, session.AddNote{Tub: -1, Text: "still here"}, time.Now()); err != nil {
			t.Error(err)
		}
		synctest.Wait()
		if k := x.outside.called(); len(k) < 2 || len(st.Plan.Pieces) > 0 {
			t.Errorf("called %v, planned %d pieces", k, len(st.Plan.Pieces))
		}
		x.end()
		close(solved)
	})
}

// A disk that takes nothing, or does not answer, holds up no alarm and has one of its
// own; all is written in order afterwards.
func TestDiskTakesNothing(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		x := begin(t)
		x.Run()
		time.Sleep(10 * time.Minute)
		x.journal.fail(errors.New("disk full"))
		time.Sleep(30 * time.Minute)
		synctest.Wait()
		if !x.outside.rings(session.NotSaved) || len(x.outside.called()) < 3 {
			t.Errorf("called %v", x.outside.called())
		}
		if n, err := x.Saved(); n == 0 || err == nil || len(x.Left()) == 0 {
			t.Errorf("%d wait: %v", n, err)
		}
		if !x.HearUnsaved() {
			t.Error("nothing to hear")
		}
		time.Sleep(2 * time.Minute)
		if x.outside.rings(session.NotSaved) {
			t.Error("heard, and it still rings")
		}
		x.journal.fail(nil)
		time.Sleep(2 * time.Second)
		if n, err := x.Saved(); n > 0 || err != nil {
			t.Errorf("%d wait: %v", n, err)
		}
		x.journal.mu.Lock()
		held := make(chan struct{})
		x.journal.held = held
		x.journal.mu.Unlock()
		was := x.State().Day.LastSeq
		time.Sleep(40 * time.Minute)
		if x.State().Day.LastSeq == was {
			t.Error("the day stands still while the disk does not answer")
		}
		close(held)
		x.end()
	})
}

// What could not be written at the end is handed out whole.
func TestLeftAtTheEnd(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		x := begin(t)
		x.Run()
		time.Sleep(10 * time.Minute)
		x.journal.fail(errors.New("disk full"))
		time.Sleep(30 * time.Minute)
		if err := x.Close(); err == nil {
			t.Error("closed without a word")
		}
		recs := x.journal.events()
		for _, u := range x.Left() {
			recs = append(recs, u.Events...)
		}
		for i, r := range recs {
			if r.Seq != uint64(i+1) {
				t.Fatalf("event %d has number %d", i+1, r.Seq)
			}
		}
		if d := x.State().Day; uint64(len(recs)) != d.LastSeq {
			t.Errorf("%d events, %d on the day", len(recs), d.LastSeq)
		}
	})
}

// A clock that was set moves the day with it and is told once; one that drifts is not.
func TestClockWatched(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		began := time.Now()
		var mu sync.Mutex
		var by time.Duration
		x := begin(t, func(w *With) {
			w.Hands = nil
			w.Elapsed = func() time.Duration {
				mu.Lock()
				defer mu.Unlock()
				return time.Since(began) - by
			}
		})
		x.Run()
		time.Sleep(5 * time.Second)
		x.News()
		mu.Lock()
		by = time.Hour
		mu.Unlock()
		time.Sleep(5 * time.Second)
		if n := x.News(); len(n) != 1 || n[0].SetBy != time.Hour {
			t.Errorf("told %+v", n)
		}
		x.end()
		recs := x.journal.events()
		if !slices.ContainsFunc(recs, func(r session.Recorded) bool { _, ok := r.Event.(session.ClockSet); return ok }) {
			t.Error("the journal does not say so")
		}
	})
}

// Screens ask and command from several goroutines while time passes; a snapshot stays
// as it was. Meant for the race detector.
func TestManyScreens(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		x := begin(t)
		x.Run()
		var screens sync.WaitGroup
		for i := range 4 {
			screens.Go(func() {
				for range 20 {
					time.Sleep(time.Duration(17+i) * time.Second)
					st := x.State()
					seq, log := st.Day.LastSeq, len(st.Day.AlarmLog)
					plan, _ := x.Timetable(time.Now(), time.Duration(i)*time.Second)
					coach.Next(st.Day, time.Now(), plan)
					coach.Glances(st.Day, time.Now())
					if _, err := x.Do(st.ID, st.Day, session.AddNote{Tub: -1, Text: "seen"}, time.Now()); err != nil {
						t.Error(err)
					}
					x.SetAlarms(session.AlarmSettings{Speak: i%2 == 0})
					x.Rename(shed.Names{})
					if st.Day.LastSeq != seq || len(st.Day.AlarmLog) != log {
						t.Error("a snapshot has changed")
					}
				}
			})
		}
		listened := make(chan int)
		go func() {
			n := 0
			for x.Wait() {
				n++
				x.News()
			}
			listened <- n
		}()
		screens.Wait()
		x.end()
		if n := <-listened; n < 50 {
			t.Errorf("a listener heard %d times", n)
		}
	})
}

// A day that is dropped stays dropped, and one that the journal keeps stays.
func TestDelete(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		x := begin(t, func(w *With) { w.Hands = nil })
		x.Run()
		synctest.Wait()
		x.journal.fail(errors.New("disk full"))
		d := x.State().Day
		if err := x.Delete(1); err == nil || !d.Running() {
			t.Errorf("%v, running %v", err, d.Running())
		}
		x.journal.fail(nil)
		if err := x.Delete(1); err != nil || x.State().ID != 0 {
			t.Errorf("%v, day %d", err, x.State().ID)
		}
		time.Sleep(time.Hour)
		if n := len(x.journal.events()); n > 0 {
			t.Errorf("%d events came back", n)
		}
		if err := x.Close(); err != nil {
			t.Error(err)
		}
	})
}

// A name that is put right while the rest of the day is being planned is in the next
// plan, though nothing happened on the day.
func TestRenamedWhilePlanning(t *testing.T) {
	x := still(t)
	st := x.State()
	renamed, solved := false, 0
	x.solve = func(d session.Day, now time.Time, e planner.Effort, was planner.Timetable) (planner.Timetable, error) {
		if solved++; !renamed {
			renamed = true
			x.Rename(shed.NamesOf(st.Day.Plan.Kit, nil, nil))
		}
		return planner.Replan(d, now, e, was)
	}
	now := x.with.Clock.Now()
	x.Timetable(now, 0)
	x.Timetable(now, 0)
	if solved != 2 {
		t.Errorf("planned %d times", solved)
	}
	x.Timetable(now, 0)
	if solved != 2 {
		t.Errorf("nothing has changed, and it is planned %d times", solved)
	}
}

// still keeps a day that has just begun and stands still.
func still(t *testing.T) *Keeper {
	t.Helper()
	script := rehearse.Demo()
	k := New(With{Journal: &journal{}, Clock: &fixedClock{script.Start}, Local: time.UTC})
	must.Do(t, k.Begin(script.Plan, script.Start))
	t.Cleanup(func() { _ = k.Close() })
	return k
}
