package keep

import (
	"testing"
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/coach"
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
	if err := k.Wake(1, st.Day, now, time.Minute, k.with.Clock.Now()); err != nil {
		t.Fatal(err)
	}
	// That the clock was set is the one alarm there is to raise.
	if d := k.State().Day; len(d.Alarms)+len(d.AlarmLog)-raised != 1 {
		t.Errorf("alarms came: %+v", append(d.AlarmLog, d.Alarms...))
	}
}
