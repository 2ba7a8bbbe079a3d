package planner_test

import (
	"testing"
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/coach"
	"fleece.example/tubside/session/planner"
	"fleece.example/tubside/session/sessiontest"
	"fleece.example/tubside/session/shed"
	"pgregory.net/rapid"
)

// Whatever is done on a day with a rinse tub, in whatever order, the rest of it can be planned:
// what a tub asks for next is what its timetable begins with there, and the journal gives the
// same day again.
func TestRinseTubDayAtAnyMoment(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := sessiontest.Start(t, rinseDay(t))
		for range rapid.IntRange(1, 30).Draw(t, "deeds") {
			tub := rapid.IntRange(0, len(r.Day.Tubs)-1).Draw(t, "tub")
			var c session.Command = session.DoNext{Tub: tub, Act: r.Day.NextAction(tub), Sooner: true}
			switch rapid.IntRange(0, 14).Draw(t, "other") {
			case 0:
				c = session.Undo{}
			case 1:
				c = session.Hold{Tub: tub}
			case 2:
				c = session.Resume{Tub: tub}
			case 3:
				c = session.MoveBasket{Tub: tub, To: rapid.IntRange(0, len(r.Day.Tubs)-1).Draw(t, "to")}
			case 4:
				c = session.RepeatStep{Tub: tub, Wash: rapid.Bool().Draw(t, "wash")}
			case 5:
				c = session.SkipStep{Tub: tub}
			case 6:
				c = session.TellKettle{Tub: tub, Sure: true}
			}
			if day, recs, err := session.Do(r.Day, c, r.Now); err == nil {
				r.Day, r.Recs = day, append(r.Recs, recs...)
			}
			r.Tick(rapid.SampledFrom([]time.Duration{time.Second, 2 * time.Minute, 12 * time.Minute, 20 * time.Minute}).Draw(t, "wait"))
			if !r.Day.Running() {
				break
			}
			plan, err := planner.Schedule(r.Day, r.Now, planner.Quick)
			if err != nil {
				t.Fatalf("%v", err)
			}
			first := map[int]planner.Piece{}
			for _, p := range plan.Pieces {
				if _, seen := first[p.Tub]; !seen && !p.Boil() {
					first[p.Tub] = p
				}
			}
			for i, run := range r.Day.Tubs {
				act := r.Day.NextAction(i)
				if p, ok := first[i]; act == shed.DrainTub && run.Batch == "" && (!ok || p.Acts[0] != shed.DrainTub) {
					t.Fatalf("tub %d is to be emptied, its timetable begins with %v", i, p.Acts)
				}
				if act == shed.LoadNext && i == r.Day.RinseTub() {
					t.Fatalf("a batch is started in the rinse tub")
				}
			}
			coach.Next(planner.Planned(r.Day, plan), r.Now, plan)
			coach.Glances(r.Day, r.Now)
		}
		sessiontest.Same(t, "again", session.Replay(r.Recs).Tubs, r.Day.Tubs)
	})
}
