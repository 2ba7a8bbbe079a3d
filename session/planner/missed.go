package planner

import (
	"fmt"
	"slices"
	"sort"
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
)

// missedMin is how far past the time that it is to be ready by a day may end without a word; our
// own choice.
const missedMin = 5

// SayMissed says that a day ends later than it is to be ready by, and with which of the batches that
// have not begun left out it would not; "" while it is in time.
func SayMissed(d session.Day, now time.Time, t Timetable) string {
	by := d.StartedAt.Add(measure.Lasting(d.Plan.ReadyInMin))
	if d.Plan.ReadyInMin == 0 || len(t.Pieces) == 0 || t.Finish.Sub(by) <= missedMin*time.Minute {
		return ""
	}
	clock := func(at time.Time) string {
		at = d.Plan.OnTheWall(at)
		if at.YearDay() != d.Plan.OnTheWall(now).YearDay() {
			return d.Plan.Kit.Units.Moment(at, "Mon 15:04")
		}
		return d.Plan.Kit.Units.Clock(at)
	}
	text := fmt.Sprintf("Running late: done about %s, not by %s", clock(t.Finish), clock(by))
	rest, begins := d, map[string]time.Time{}
	for _, p := range t.Pieces {
		if at, ok := begins[p.Batch]; !ok || p.Start.Before(at) {
			begins[p.Batch] = p.Start
		}
	}
	waiting := slices.Clone(d.Waiting())
	sort.SliceStable(waiting, func(i, j int) bool { return begins[waiting[j].ID].Before(begins[waiting[i].ID]) })
	var out []string
	for _, b := range waiting {
		rest.Plan.Batches = slices.DeleteFunc(slices.Clone(rest.Plan.Batches), func(o shed.Batch) bool { return o.ID == b.ID })
		out = append(out, b.ID)
		slices.Sort(out)
		if less, err := Schedule(rest, now, Quick); err == nil && !less.Finish.After(by) {
			return fmt.Sprintf("%s. Leave %s for another day: done about %s", text, listed(out), clock(less.Finish))
		}
	}
	return text
}
