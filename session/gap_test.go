package session_test

import (
	"testing"
	"time"

	"fleece.example/tubside/session"
)

// begun is a started day of so many batches on so many tubs.
func begun(t testing.TB, batches, tubs int) session.Day {
	t.Helper()
	d, _, err := session.Do(session.Day{}, session.StartDay{Plan: manyBatches(batches, tubs)}, dawn)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

// How far the timetables of days of all sizes are from the shortest possible,
// and what they cost; with -v it prints the table that DEVELOPERS.md has.
func TestGapOfDays(t *testing.T) {
	for _, tubs := range []int{2, 3, 5} {
		for _, batches := range []int{1, 2, 3, 4, 5, 6, 12, 24, 48} {
			d := begun(t, batches, tubs)
			for _, e := range []session.Effort{session.Thorough, session.Quick} {
				begin := time.Now()
				tt, err := d.Timetable(dawn, e)
				took := time.Since(begin)
				if err != nil {
					t.Fatal(err)
				}
				soundTimetable(t, d, tt)
				t.Logf("%2d batches on %d tubs, effort %d: finish %6.1f min, gap %4.1f %%, proven %5t, late %d, %v", batches, tubs, e,
					tt.Finish.Sub(dawn).Minutes(), 100*tt.Gap(), tt.Proven, len(tt.Late()), took.Round(100*time.Microsecond))
				if batches == 24 && tubs == 5 && !tt.Proven && tt.Gap() > 0.05 {
					t.Errorf("24 batches on 5 tubs: %.1f %% over the bound", 100*tt.Gap())
				}
				if batches <= 3 && tubs == 2 && !tt.Proven {
					t.Errorf("%d batches on 2 tubs: not proven", batches)
				}
			}
		}
	}
}
