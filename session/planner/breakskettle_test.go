package planner_test

import (
	"slices"
	"strings"
	"testing"
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/must"
	"fleece.example/tubside/session/planner"
	"fleece.example/tubside/session/sessiontest"
	"fleece.example/tubside/session/shed"
)

// lunchDay is a day of an invented fleece in three tubs, from a minute of the day, with a break from 12:30 to 13:15.
func lunchDay(t *testing.T, rawG float64, beginsMin int) *sessiontest.Run {
	return sessiontest.StartAt(t, sessiontest.ThreeTubs(func(p *shed.Plan) {
		f := shed.Fleece{ID: "f", Animal: "Invented", Type: shed.Medium, RawG: rawG}
		p.Fleeces, p.Break = []shed.Fleece{f}, shed.Breaks{{FromMin: 12*60 + 30, ToMin: 13*60 + 15}}
		var err error
		if p.Batches, err = planner.Split(*p, planner.Part{Fleece: f, RawG: rawG}); err != nil {
			t.Fatal(err)
		}
	}), sessiontest.Dawn.Truncate(24*time.Hour).Add(sessiontest.Minutes(float64(beginsMin))))
}

// A kettle that is on for a fill is poured before a break that it can be poured before, and no other goes on
// in one or stands over it.
func TestNoKettleStandsOverABreak(t *testing.T) {
	for _, begins := range []int{10*60 + 20, 10*60 + 35, 10*60 + 50} {
		r := lunchDay(t, 900, begins).Until(0, shed.Soaking).Tick(sessiontest.Minutes(20))
		kettle := session.TellKettle{Tub: 0, Batch: r.Day.Tubs[0].Batch, Sure: true}
		r.Do(kettle).Tick(sessiontest.Minutes(1))
		kettlesBefore(t, r)
		r.Tick(sessiontest.Minutes(2)).Next(0).Until(1, shed.Soaking).Tick(sessiontest.Minutes(7)).Do(kettle).Tick(sessiontest.Minutes(2))
		kettlesBefore(t, r)
	}
}

// kettlesBefore holds each boil that begins before the end of a break to a fill before that.
func kettlesBefore(t *testing.T, r *sessiontest.Run) {
	t.Helper()
	tt := must.Get(planner.Schedule(r.Day, r.Now, planner.Quick)).In(t)
	s, boils := tt.Breaks[0], 0
	for _, p := range tt.Pieces {
		if !p.Boil() {
			continue
		}
		fill := tt.Pieces[slices.IndexFunc(tt.Pieces, func(f planner.Piece) bool {
			return f.Batch == p.Batch && f.Step == p.Step && slices.Contains(f.Acts, shed.FillTub)
		})]
		if boils++; p.Start.Before(s.To) && !fill.Start.Before(s.From) {
			t.Errorf("at %s: boiled at %s (on %t), poured at %s", r.Now.Format("15:04"), p.Start.Format("15:04"), p.On, fill.Start.Format("15:04"))
		}
	}
	if boils < 2 {
		t.Errorf("%d boils", boils)
	}
}

// A break that makes the day longer by more than its own time says by how much, and why; another does not.
func TestABreakSaysWhatItCosts(t *testing.T) {
	for _, x := range []struct {
		rawG   float64
		begins int
		costs  string
	}{{900, 9 * 60, "; it makes the day 2 h 1 min longer; nothing begun after 11:09 would be out before it"}, {600, 10*60 + 20, ""}} {
		r := lunchDay(t, x.rawG, x.begins)
		o, err := planner.PlanAhead(r.Day.Plan, r.Now, planner.AsGiven, planner.Quick)
		if err != nil || len(o.Timetable.Breaks) != 1 {
			t.Fatal(err, o.Timetable.Breaks)
		}
		said := o.Timetable.SayBreak(o.Timetable.Breaks[0], &o.Plan)
		if !strings.HasSuffix(said, x.costs) || x.costs == "" && strings.Contains(said, "longer") {
			t.Errorf("begun at %d min: %q", x.begins, said)
		}
	}
}
