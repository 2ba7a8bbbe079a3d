package coach_test

import (
	"slices"
	"testing"
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/coach"
	"fleece.example/tubside/session/planner"
	"fleece.example/tubside/session/sessiontest"
	"fleece.example/tubside/session/shed"
)

// Emptying, spinning and racking are one movement whatever the timetable has before or between.
func TestAMovementKeepsItsPartsBehindOtherDeeds(t *testing.T) {
	r := sessiontest.Start(t, sessiontest.OneTub()).Until(0, shed.ToSpin)
	for r.Day.Tubs[0].Phase != shed.Draining { // the last bath, lifted
		r.Do(session.Undo{})
	}
	for _, c := range []struct{ beforeMin, betweenMin float64 }{{0, 0}, {15, 0}, {40, 5}, {15, 20}} {
		at := func(min float64) time.Time { return r.Now.Add(sessiontest.Minutes(min)) }
		tt := planner.Timetable{From: r.Now, Pieces: []planner.Piece{
			{Tub: 0, Batch: "A1", Acts: []shed.Action{shed.DrainTub}, Start: at(c.beforeMin), End: at(c.beforeMin + 2)},
			{Tub: 0, Batch: "A1", Acts: []shed.Action{shed.SpinFibre, shed.RackFibre}, Start: at(c.beforeMin + 2 + c.betweenMin), End: at(c.beforeMin + 10 + c.betweenMin)},
		}}
		if p := coach.Next(r.Day, r.Now, tt)[0]; p.Act != shed.DrainTub || !slices.Equal(p.Then, []shed.Action{shed.SpinFibre, shed.RackFibre}) {
			t.Errorf("%+v: %s, then %v", c, p.Title, p.Then)
		}
	}
}
