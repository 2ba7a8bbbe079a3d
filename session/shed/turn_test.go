package shed_test

import (
	"testing"
	"time"

	"fleece.example/tubside/session/must"
	"fleece.example/tubside/session/shed"
)

// The clock on the wall of a plan goes as that of its zone does, an hour on or back on the night when the clocks are
// changed too: at 2:00 am on the second Sunday of March and the first of November (15 U.S.C. 260a), at 01:00 UTC on
// the last of March and of October (Directive 2000/84/EC).
func TestClockOnTheWallTurns(t *testing.T) {
	for _, c := range []struct {
		zone string
		turn time.Time
		byH  int
	}{
		{"America/Chicago", time.Date(2026, 3, 8, 8, 0, 0, 0, time.UTC), 1}, {"America/Chicago", time.Date(2026, 11, 1, 7, 0, 0, 0, time.UTC), -1},
		{"Europe/London", time.Date(2026, 3, 29, 1, 0, 0, 0, time.UTC), 1}, {"Europe/London", time.Date(2026, 10, 25, 1, 0, 0, 0, time.UTC), -1},
		{"Australia/Lord_Howe", time.Date(2026, 4, 4, 15, 0, 0, 0, time.UTC), 0}, // by half an hour; from memory
	} {
		zone := must.Get(time.LoadLocation(c.zone)).In(t)
		var p shed.Plan
		begun := c.turn.Add(-9 * time.Hour).In(zone)
		p.GoBy(begun)
		for at := begun.Add(-48 * time.Hour); at.Before(begun.Add(72 * time.Hour)); at = at.Add(15 * time.Minute) {
			if got, want := p.OnTheWall(at).Format(time.DateTime), at.Format(time.DateTime); got != want {
				t.Fatalf("%s: %s is %s", c.zone, want, got)
			}
		}
		if _, before := begun.Zone(); c.byH != 0 {
			if _, after := c.turn.In(zone).Zone(); after-before != c.byH*3600 {
				t.Errorf("%s: by %d s", c.zone, after-before)
			}
		}
		wall := p.OnTheWall(begun)
		morning := time.Date(wall.Year(), wall.Month(), wall.Day()+1, 7, 0, 0, 0, wall.Location())
		if got := morning.In(zone).Format("15:04"); got != "07:00" {
			t.Errorf("%s: 07:00 of the morning behind is %s", c.zone, got)
		}
	}
}
