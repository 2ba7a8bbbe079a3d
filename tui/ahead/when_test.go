package ahead

import (
	"strings"
	"testing"
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/planner"
	"fleece.example/tubside/session/sessiontest"
)

// TestNoTimeIsFree: a day that is to be ready by a time keeps out of quiet hours where it can. Where
// they leave no room it is planned for that time all the same, and says what falls into them.
func TestNoTimeIsFree(t *testing.T) {
	now := time.Date(2026, 6, 13, 8, 0, 0, 0, time.UTC)
	for _, untilH := range []int{10, 5} { // six hours of work: from 14:00 to 10:00 leaves four
		for _, byH := range []int{8, 12, 36, 5 * 24} {
			p := sessiontest.ManyBatches(6, 2)
			w := when{now: now, by: now.Add(time.Duration(byH) * time.Hour), kit: p.Kit,
				alarms: session.AlarmSettings{QuietFromMin: 14 * 60, QuietToMin: untilH * 60}}
			o, at, err := w.plan(p, planner.AsGiven)
			if err != nil {
				t.Errorf("quiet until %d, ready in %d h: %v", untilH, byH, err)
				continue
			}
			said := strings.Join(o.Cautions, "; ")
			warned := strings.Contains(said, "in your quiet hours: b gives it more time, or take batches out") || strings.Contains(said, "and you are up from")
			if disturbs := !w.disturbs(o).IsZero(); disturbs != (untilH == 10) || warned != disturbs {
				t.Errorf("quiet until %d, ready in %d h: work at %v, said %q", untilH, byH, w.disturbs(o), said)
			}
			if late := w.by.Sub(o.Timetable.Finish); untilH == 10 && (late < 0 || late > time.Hour) || at.Before(now) {
				t.Errorf("quiet until %d, ready in %d h: from %v to %v", untilH, byH, at, o.Timetable.Finish)
			}
		}
	}
}
