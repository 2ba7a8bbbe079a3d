package planner_test

import (
	"slices"
	"testing"
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/must"
	"fleece.example/tubside/session/planner"
	"fleece.example/tubside/session/sessiontest"
	"fleece.example/tubside/session/shed"
)

// begun is a started day of so many batches on so many tubs.
func begun(t testing.TB, batches, tubs int) session.Day {
	t.Helper()
	d, _ := must.Get2(session.Do(session.Day{}, session.StartDay{Plan: sessiontest.ManyBatches(batches, tubs)}, sessiontest.Dawn)).In(t)
	return d
}

// How far the timetables of days of all sizes are from the shortest possible,
// and what they cost; with -v it prints the table that DEVELOPERS.md has.
func TestGapOfDays(t *testing.T) {
	t.Parallel()
	proven := map[int]int{2: 9, 3: 5, 5: 5} // up to so many batches on so many tubs
	for _, tubs := range []int{2, 3, 5} {
		for _, batches := range []int{1, 2, 3, 4, 5, 6, 7, 8, 9, 12, 24, 48} {
			d := begun(t, batches, tubs)
			for _, e := range []planner.Effort{planner.Thorough, planner.Quick} {
				begin := time.Now()
				tt, err := planner.Schedule(d, sessiontest.Dawn, e)
				took := time.Since(begin)
				if err != nil {
					t.Fatal(err)
				}
				soundTimetable(t, d, tt)
				t.Logf("%2d batches on %d tubs, effort %d: finish %6.1f min, gap %4.1f %%, proven %5t, late %d, %v", batches, tubs, e,
					tt.Finish.Sub(sessiontest.Dawn).Minutes(), 100*tt.Gap(), tt.Proven, len(tt.Late()), took.Round(100*time.Microsecond))
				if batches == 24 && tubs == 5 && !tt.Proven && tt.Gap() > 0.02 {
					t.Errorf("24 batches on 5 tubs: %.1f %% over the bound", 100*tt.Gap())
				}
				if small := batches <= 3 || e == planner.Thorough && batches <= proven[tubs]; small && !tt.Proven {
					t.Errorf("%d batches on %d tubs, effort %d: not proven", batches, tubs, e)
				}
			}
		}
	}
}

// A day that went as planned for half its length is planned again no later than
// it would have ended, whatever is in the middle of being done, and about as
// near to the shortest possible.
func TestPlannedAgainWhenHalfDone(t *testing.T) {
	for _, n := range [][2]int{{6, 2}, {6, 3}, {12, 3}, {24, 5}, {48, 5}} {
		d, was, now := halfDone(t, n[0], n[1])
		begin := time.Now()
		again, err := planner.Replan(d, now, planner.Quick, was)
		took := time.Since(begin)
		if err != nil {
			t.Fatal(err)
		}
		soundTimes(t, again)
		t.Logf("%d batches on %d tubs: planned %v, again %v, gap %.1f %%, proven %t, late %d, %v", n[0], n[1], was.Finish.Sub(sessiontest.Dawn), again.Finish.Sub(sessiontest.Dawn),
			100*again.Gap(), again.Proven, len(again.Late()), took.Round(100*time.Microsecond))
		// The piece in hand at that moment begins anew.
		var inHand time.Duration
		for _, p := range was.Pieces {
			if p.Start.Before(now) && p.End.After(now) && !p.Boil() {
				inHand = now.Sub(p.Start)
			}
		}
		if !again.Proven && n[0] >= 24 { // the quick search ends within a thousandth of it
			inHand += was.Finish.Sub(sessiontest.Dawn) / 1000
		}
		late := slices.DeleteFunc(again.Late(), func(p planner.Piece) bool { return p.Late <= inHand && !p.LateWash })
		if len(late) > 0 || again.Finish.After(was.Finish.Add(inHand)) {
			t.Errorf("%d batches on %d tubs: planned %v, again %v with %v in hand, late %+v", n[0], n[1], was.Finish.Sub(sessiontest.Dawn), again.Finish.Sub(sessiontest.Dawn), inHand, late)
		}
		if n[0] == 24 && !again.Proven && again.Gap() > 0.05 {
			t.Errorf("24 batches on 5 tubs: %.1f %% over the bound", 100*again.Gap())
		}
	}
}

// soundTimes holds a timetable to one person and one kettle.
func soundTimes(t *testing.T, tt planner.Timetable) {
	t.Helper()
	var last [2]time.Time
	for _, p := range tt.Pieces {
		who := 0
		if p.Boil() {
			who = 1
		}
		if p.Start.Before(last[who]) {
			t.Fatalf("%s begins at %v, the one before it ends at %v", p.Batch, p.Start, last[who])
		}
		last[who] = p.End
	}
}

// Fleece out of a hot bath is in the next one within ten minutes, in every plan; that
// out of the presoak may hang.
func TestHotFleeceHangsNoLongerThanPlanned(t *testing.T) {
	longest := 0.0
	for _, tubs := range []int{2, 3, 5} {
		for _, batches := range []int{2, 4, 7, 12, 24} {
			d := begun(t, batches, tubs)
			tt := must.Get(planner.Schedule(d, sessiontest.Dawn, planner.Quick)).In(t)
			lifted := map[string]time.Time{}
			for _, p := range tt.Pieces {
				if p.Boil() {
					continue
				}
				if at, ok := lifted[p.Batch]; ok {
					longest = max(longest, p.End.Sub(at).Minutes())
					if p.End.Sub(at) > 10*time.Minute+time.Second {
						t.Errorf("%d batches on %d tubs: %s hangs %v before %s", batches, tubs, p.Batch, p.End.Sub(at), p.Name)
					}
					delete(lifted, p.Batch)
				}
				b, _ := d.Batch(p.Batch)
				steps := d.Plan.StepsOf(b)
				if slices.Contains(p.Acts, shed.Lift) && steps[p.Step].Kind != shed.Presoak && steps[p.Step+1].Kind.IsBath() {
					lifted[p.Batch] = p.Start.Add(time.Duration(p.ActMin[0] * float64(time.Minute)))
				}
			}
		}
	}
	if longest < 5 {
		t.Errorf("the longest is %.1f min: was any looked at?", longest)
	}
}
