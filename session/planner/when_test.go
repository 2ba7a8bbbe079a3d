package planner_test

import (
	"strings"
	"testing"
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/long"
	"fleece.example/tubside/session/planner"
	"fleece.example/tubside/session/sessiontest"
)

// TestNoTimeIsFree: a day that is to be ready by a time keeps out of quiet hours where it can. Where
// they leave no room it is planned for that time all the same, and says what falls into them.
func TestNoTimeIsFree(t *testing.T) {
	t.Parallel()
	now := time.Date(2026, 6, 13, 8, 0, 0, 0, time.UTC)
	for _, untilH := range []int{10, 5} { // six hours of work: from 14:00 to 10:00 leaves four
		for _, byH := range long.Of([]int{8, 36}, []int{8, 12, 36, 5 * 24}) {
			alarms := session.AlarmSettings{QuietFromMin: 14 * 60, QuietToMin: untilH * 60}
			p := sessiontest.ManyBatches(6, 2).WithQuiet(alarms.QuietHours()) // those of twenty hours leave no room to be planned around
			w := planner.When{Now: now, By: now.Add(time.Duration(byH) * time.Hour), Kit: p.Kit, Alarms: alarms}
			o, at, err := w.Plan(p, planner.AsGiven)
			if err != nil {
				t.Errorf("quiet until %d, ready in %d h: %v", untilH, byH, err)
				continue
			}
			said := strings.Join(o.Cautions, "; ")
			warned := strings.Contains(said, "in your quiet hours: give it more time, or take batches out") || strings.Contains(said, "and you are up from")
			if disturbs := disturbs(w, o); disturbs != (untilH == 10) || warned != disturbs {
				t.Errorf("quiet until %d, ready in %d h: work at %v, said %q", untilH, byH, disturbs, said)
			}
			if late := w.By.Sub(o.Timetable.Finish); untilH == 10 && (late < 0 || late > time.Hour) || at.Before(now) {
				t.Errorf("quiet until %d, ready in %d h: from %v to %v", untilH, byH, at, o.Timetable.Finish)
			}
		}
	}
}

// disturbs says that work falls into quiet hours, or the person's sleep.
func disturbs(w planner.When, o planner.Outlook) bool {
	for _, p := range o.Timetable.Pieces {
		for at := p.Start; !p.Boil() && at.Before(p.End); at = at.Add(time.Minute) {
			if w.Alarms.QuietHours().Has(at.Hour()*60+at.Minute()) || w.Kit.WhenUp(at).After(at) {
				return true
			}
		}
	}
	return false
}
