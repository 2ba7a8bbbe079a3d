package coach_test

import (
	"testing"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/coach"
	"fleece.example/tubside/session/must"
	"fleece.example/tubside/session/planner"
	"fleece.example/tubside/session/sessiontest"
	"fleece.example/tubside/session/shed"
)

// Who comes back in a break and lifts a hot wash that is to be washed again has fleece hanging that cannot wait for
// water boiled after the break: the kettle is that tub's, and its limit stands, to the minute that the break ends too.
func TestHotFleeceLiftedInABreakGoesOn(t *testing.T) {
	t.Parallel()
	for _, forMin := range []float64{20, 30, 36} {
		r := sessiontest.Start(t, sessiontest.ThreeTubs(func(p *shed.Plan) {
			p.Fleeces[0].Wax = shed.High
			p.Kit.Kettle.CapacityL, p.Kit.Kettle.PowerW = 1.7, 2200
		}))
		for r.Day.Tubs[0].Step().Kind != shed.Wash || r.Day.Tubs[0].Phase != shed.Soaking {
			r.Next(0).Wait(2)
		}
		r.Wait(8).Do(session.TakeBreak{ForMin: forMin}).Wait(10)
		r.Next(0).Do(session.RepeatStep{Tub: 0, Wash: true}).Wait(1)
		tt := must.Get(planner.Schedule(r.Day, r.Now, planner.Quick)).In(t)
		a := coach.Next(r.Day, r.Now, tt)[0]
		if a.Tub != 0 || !a.Boil || a.Rank != coach.Now || a.LimitAt(r.Now).IsZero() {
			t.Errorf("a break of %g min: %+v", forMin, a)
		}
	}
}
