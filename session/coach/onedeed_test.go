package coach_test

import (
	"strings"
	"testing"
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/coach"
	"fleece.example/tubside/session/shed"
)

// TestAlarmAndListNameOneDeed: what a standing alarm says to do is what the list has at its
// tub: a lift where it asks for one, the boil where it calls for the kettle, and the very
// words of the deed where wet fleece waits.
func TestAlarmAndListNameOneDeed(t *testing.T) {
	t.Parallel()
	seen := map[session.AlarmKind]int{}
	for _, slow := range []int{2, 12, 90} {
		slowDay(t, slow, func(d session.Day, now time.Time, acts []coach.NextAct, _ int) {
			for _, a := range d.Alarms {
				if !a.Stands() || a.Tub < 0 {
					continue
				}
				var act, boil *coach.NextAct
				for i := range acts {
					if acts[i].Tub == a.Tub && acts[i].Boil {
						boil = &acts[i]
					} else if acts[i].Tub == a.Tub {
						act = &acts[i]
					}
				}
				do := coach.WhatToDo(d, a, now).String()
				wrong := false
				switch a.Kind {
				case session.SoakDone, session.NotLifted, session.LeftSoaking, session.OverLongest, session.NearRelease, session.BelowRelease:
					wrong = act == nil || act.Act != shed.Lift || !strings.HasPrefix(do, "lift")
				case session.WetWaiting:
					wrong = act == nil || !strings.HasPrefix(do, "do not fill") && !strings.Contains(act.Title, strings.TrimPrefix(do, "empty the tub"))
				case session.KettleNow:
					wrong = boil == nil && d.Kettle.OnAt.IsZero()
				default:
					continue
				}
				if seen[a.Kind]++; wrong {
					t.Errorf("%s: %s at %d says %q, and the list has %+v", now.Format("15:04"), a.Kind, a.Tub, do, act)
				}
			}
		})
	}
	for _, must := range []session.AlarmKind{session.SoakDone, session.NotLifted, session.OverLongest, session.WetWaiting, session.KettleNow} {
		if seen[must] == 0 {
			t.Errorf("%s never stood", must)
		}
	}
	t.Log(seen)
}

// TestLimitsHaveOneName: what a limit is called in a narrow window is part of its name.
func TestLimitsHaveOneName(t *testing.T) {
	for l := coach.NoLimit; l <= coach.HangsWet; l++ {
		if !strings.Contains(l.String(), l.Brief()) {
			t.Errorf("%q is called %q too", l, l.Brief())
		}
	}
}
