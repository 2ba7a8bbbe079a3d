package keep

import (
	"fmt"
	"testing"
	"testing/synctest"
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/must"
	"fleece.example/tubside/session/planner"
	"fleece.example/tubside/session/rehearse"
	"fleece.example/tubside/session/shed"
)

// What time and temperature do comes when it is due: the same that a day has which is
// looked at each second, none of it later, and none left out for a look that was saved.
func TestComesWhenDue(t *testing.T) {
	const hours = 3
	fill := func(d session.Day, do func(session.Command)) {
		for tub := range d.Tubs {
			for _, act := range []shed.Action{shed.FillTub, shed.SinkIn} {
				do(session.DoNext{Tub: tub, Act: act, Sooner: true})
			}
		}
	}
	type times map[string][]time.Time
	note := func(of times, recs []session.Recorded) {
		for _, r := range recs {
			key := fmt.Sprintf("%T %+v", r.Event, r.Event)
			of[key] = append(of[key], r.At)
		}
	}
	script := rehearse.Demo()
	synctest.Test(t, func(t *testing.T) {
		time.Sleep(time.Until(script.Start) + 300*time.Millisecond) // a day begins between two looks
		each := times{}
		d, recs, err := session.Do(session.Day{}, session.StartDay{Plan: script.Plan}, time.Now().UTC())
		do := func(c session.Command) {
			if err == nil {
				var more []session.Recorded
				d, more, err = session.Do(d, c, time.Now().UTC())
				note(each, more)
			}
		}
		note(each, recs)
		fill(d, do)
		if err != nil {
			t.Fatal(err)
		}
		for s := range hours * 3600 {
			var more []session.Recorded
			d, more = session.Tick(planner.Planned(d, planner.Timetable{}), time.Now().UTC().Add(time.Duration(s+1)*time.Second))
			note(each, more)
		}

		j := &journal{}
		k := New(With{Journal: j, Clock: bubbleClock{}, Local: time.UTC})
		k.solve = func(session.Day, time.Time, planner.Effort, planner.Timetable) (planner.Timetable, error) {
			return planner.Timetable{}, nil
		}
		must.Do(t, k.Begin(script.Plan, time.Now().UTC()))
		st := k.State()
		fill(st.Day, func(c session.Command) {
			must.Get(k.Do(st.ID, st.Day, c, time.Now().UTC())).In(t)
		})
		k.Run()
		time.Sleep(hours*time.Hour + 500*time.Millisecond)
		synctest.Wait()
		must.Do(t, k.Close())
		kept, rang := times{}, 0
		note(kept, j.events())
		for key, want := range each {
			got := kept[key]
			if len(got) != len(want) {
				t.Errorf("%s: %d times, %d when looked at each second", key, len(got), len(want))
				continue
			}
			rang += len(got)
			for i, at := range want {
				if late := got[i].Sub(at); late > dueWithin || late < -time.Second {
					t.Errorf("%s: %v after a look each second", key, late)
				}
			}
		}
		if len(kept) != len(each) || rang < 30 {
			t.Errorf("%d kinds of events and %d in all, %d kinds when looked at each second", len(kept), rang, len(each))
		}
	})
}
