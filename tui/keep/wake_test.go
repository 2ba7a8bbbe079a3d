package keep

import (
	"testing"
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/coach"
	"fleece.example/tubside/session/must"
)

// passing lets time pass at its first call, as Run may at any moment.
type passing struct {
	outside
	k *Keeper
}

func (o *passing) Call([]coach.AlarmCall, int, session.AlarmSettings, time.Time) {
	if k := o.k; k != nil {
		o.k = nil
		k.passTo()
	}
}

// A day that is taken up by a clock that is three days off lives none of them: nothing
// is raised before the clock counts as set.
func TestNoTimePassesWhileADayIsTakenUp(t *testing.T) {
	from := still(t)
	now := from.with.Clock.Now()
	st := from.State()
	for range 40 {
		now = now.Add(time.Minute)
		st.Day, _ = session.Tick(st.Day, now)
		if p := coach.Prompts(st.Day, now); p[0].Rank != coach.Coming {
			if d, _, err := session.Do(st.Day, session.DoNext{Tub: p[0].Tub, Act: p[0].Act, Sooner: true}, now); err == nil {
				st.Day = d
			}
		}
	}
	o := &passing{}
	k := New(With{Journal: &journal{}, Clock: &fixedClock{now.Add(72 * time.Hour)}, Outside: o, Local: time.UTC})
	o.k = k
	raised := len(st.Day.Alarms) + len(st.Day.AlarmLog)
	must.Do(t, k.Wake(1, st.Day, now, time.Minute, 0, k.with.Clock.Now()))
	// That the clock was set is the one alarm there is to raise.
	if d := k.State().Day; len(d.Alarms)+len(d.AlarmLog)-raised != 1 {
		t.Errorf("alarms came: %+v", append(d.AlarmLog, d.Alarms...))
	}
}

// A clock that went back was fast before, or is wrong now: the past moves with it in the one
// case and stays in the other. What runs goes on alike in both, and no alarm comes of it.
func TestWhicheverClockIsRight(t *testing.T) {
	const back, away = 2 * time.Hour, 6 * time.Minute
	for _, behind := range []time.Duration{0, back + away} {
		clock := &fixedClock{still(t).with.Clock.Now()}
		k := New(With{Journal: &journal{}, Clock: clock, Local: time.UTC})
		d := still(t).State().Day
		began, seen := d.StartedAt, d.LastAt
		clock.at = seen.Add(-back)
		must.Do(t, k.Wake(1, d, seen, 0, 0, k.Now()))
		must.Do(t, k.WasAway(away, away, behind, k.Now().Add(behind)))
		k.Pass()
		st, now := k.State(), k.Now()
		moved, past := -back-away, now.Sub(st.Day.StartedAt)
		if behind > 0 {
			moved = 0
		}
		if got := st.Day.StartedAt.Sub(began); got != moved || past != seen.Sub(began)+away || now != clock.at.Add(behind) {
			t.Errorf("behind %v: the begin moved by %v, %v ago; it is %v", behind, got, past, now)
		}
		for _, a := range append(st.Day.AlarmLog, st.Day.Alarms...) {
			if a.Kind != session.ClockJumped {
				t.Errorf("behind %v: %+v", behind, a)
			}
		}
	}
}

// TestOrdinaryLookSetsNoClock: without elapsed time, a clock that is known to be minutes behind is
// not taken for set by an ordinary look, late or not; set by about so much it is.
func TestOrdinaryLookSetsNoClock(t *testing.T) {
	for _, row := range []struct {
		behind, leap time.Duration
		set          bool
	}{
		{4 * time.Minute, 3 * time.Second, false}, {4 * time.Minute, 90 * time.Second, false}, {-4 * time.Minute, 20 * time.Second, false},
		{4 * time.Minute, 3 * time.Minute, true}, {2 * time.Hour, 2*time.Hour + 4*time.Minute, true}, {2 * time.Hour, time.Hour, false}, {0, time.Minute, false},
	} {
		k := still(t)
		clock := k.with.Clock.(*fixedClock)
		k.WatchClock()
		k.behind.Store(int64(row.behind))
		k.wallAt = clock.at
		clock.at = clock.at.Add(row.leap)
		k.watchClock(clock.at)
		if set := k.behind.Load() != int64(row.behind); set != row.set {
			t.Errorf("%v behind, on by %v: set %v", row.behind, row.leap, set)
		}
	}
}
