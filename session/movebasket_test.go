package session_test

import (
	"strings"
	"testing"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/coach"
	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/must"
	"fleece.example/tubside/session/planner"
	"fleece.example/tubside/session/sessiontest"
	"fleece.example/tubside/session/shed"
)

// A basket goes on in another tub while the first one is still full: the next bath is filled
// there, the timetable follows, and whoever fills the first tub again is told to empty it.
func TestMoveBasket(t *testing.T) {
	r := sessiontest.Start(t, sessiontest.ThreeTubs(func(p *shed.Plan) {
		p.Batches = p.Batches[:1]
		p.Batches[0].Presoak = shed.PresoakNone
	}))
	r.Until(0, shed.Soaking)
	_ = r.Refused(session.MoveBasket{Tub: 0, To: 1}, "lift the basket first")
	r.Wait(20).Next(0)
	hung := r.Day.Tubs[0].WetSince
	_ = r.Refused(session.MoveBasket{Tub: 0, To: 7}, "choose the tub it goes to")
	r.Do(session.MoveBasket{Tub: 0, To: 1})
	from, to := r.Day.Tubs[0], r.Day.Tubs[1]
	sessiontest.Same(t, "from", []any{from.Phase, from.Used.Name}, []any{shed.Idle, "hot wash"})
	sessiontest.Same(t, "to", []any{to.Phase, to.Batch, to.Step().Name, to.Bath.Tub, to.WetSince, r.Day.Fate["A1"].Tub}, []any{shed.ToFill, "A1", "first rinse", 1, hung, 1})
	sessiontest.Same(t, "the wash was in", r.Day.Baths[0].Tub, 0)
	plan := must.Get(planner.Schedule(r.Day, r.Now, planner.Quick)).In(t)
	for _, p := range plan.Pieces {
		sessiontest.Same(t, "planned at", p.Tub, 1)
	}
	r.Do(session.Undo{})
	sessiontest.Same(t, "taken back", []any{r.Day.Tubs[0].Phase, r.Day.Tubs[1].Phase}, []any{shed.Draining, shed.Idle})
	r.Next(0).Do(session.AdjustSoak{ByMin: 7})
	soakMin := r.Day.Tubs[0].Bath.SoakMin
	r.Do(session.MoveBasket{Tub: 0, To: 1})
	sessiontest.Same(t, "the soak that was set, min", r.Day.Tubs[1].Bath.SoakMin, soakMin)
	r.Do(session.Undo{}, session.Undo{}, session.Undo{})
	r.Do(session.MoveBasket{Tub: 0, To: 1}, session.AddBatch{Batch: shed.Batch{FleeceID: "f1", RawG: 150, Presoak: shed.PresoakNone}})
	r.Do(session.DoNext{Tub: 0, Act: shed.LoadNext})
	if said := strings.Join(sessiontest.DetailLines(coach.PromptAt(r.Day, 0, r.Now)), ";"); !strings.Contains(said, "empty the tub first, water outdoors") {
		t.Errorf("at the tub that was left: %s", said)
	}
	_ = r.Refused(session.MoveBasket{Tub: 1, To: 0}, "North has a batch of its own")
	r.Until(1, shed.ToRack)
	_ = r.Refused(session.MoveBasket{Tub: 1, To: 2}, "has had its last bath")
	var tubs []string
	for _, b := range ledger.ReviewOf(r.Day).Batches[0].Baths {
		tubs = append(tubs, b.TubName)
	}
	sessiontest.Same(t, "looked back at", tubs, []string{"North", "South", "South"})
}

// Wet fleece that waits goes on waiting in another tub, its alarm and the kettle for its next
// bath with it: moving it is no answer.
func TestMovedBasketStillWaits(t *testing.T) {
	r := sessiontest.Start(t, sessiontest.ThreeTubs(func(p *shed.Plan) {
		p.Batches = p.Batches[1:2] // much wax: two washes
		p.Batches[0].Presoak = shed.PresoakNone
	}))
	r.Until(0, shed.Soaking).Wait(15).Do(session.TellKettle{Tub: 0, Sure: true}).Wait(5).Next(0)
	for len(r.Day.Alarms) == 0 || r.Day.Alarms[0].Kind != session.WetWaiting {
		r.Wait(1)
	}
	waits, over := r.Day.Alarms[0], len(r.Day.AlarmLog)
	r.Do(session.MoveBasket{Tub: 0, To: 1})
	k, on := r.Day.KettleOn()
	sessiontest.Same(t, "the kettle", []any{k.Tub, on}, []any{1, true})
	there := waits
	there.Tub = 1
	sessiontest.Same(t, "in South", r.Day.Alarms, []session.Alarm{there})
	r.Do(session.Undo{})
	sessiontest.Same(t, "taken back", r.Day.Alarms, []session.Alarm{waits})
	sessiontest.Same(t, "over", len(r.Day.AlarmLog), over)
}

// A tub that leaks is set aside: no batch is started in it, moved to it or planned for it
// until it is taken up again.
func TestTubSetAside(t *testing.T) {
	r := sessiontest.Start(t, sessiontest.ThreeTubs(func(p *shed.Plan) {
		p.Batches = p.Batches[:1]
		p.Batches[0].Presoak = shed.PresoakNone
	}))
	r.Do(session.AddBatch{Batch: shed.Batch{FleeceID: "f1", RawG: 150, Presoak: shed.PresoakNone}})
	where := func() map[int]bool {
		plan := must.Get(planner.Schedule(r.Day, r.Now, planner.Quick)).In(t)
		tubs := map[int]bool{}
		for _, p := range plan.Pieces {
			tubs[p.Tub] = tubs[p.Tub] || p.Batch != "A1"
		}
		return tubs
	}
	if tubs := where(); !tubs[1] {
		t.Errorf("with all tubs the second batch is planned for %v", tubs)
	}
	r.Do(session.Hold{Tub: 1})
	_ = r.Refused(session.DoNext{Tub: 1, Act: shed.LoadNext}, "South is set aside: resume it first")
	sessiontest.Same(t, "asked at South", coach.PromptAt(r.Day, 1, r.Now).Rank, coach.Resting)
	if tubs := where(); tubs[1] {
		t.Errorf("with South set aside the second batch is planned for %v", tubs)
	}
	r.Until(0, shed.Draining)
	_ = r.Refused(session.MoveBasket{Tub: 0, To: 1}, "South is set aside")
	r.Do(session.Hold{Tub: 2})
	_ = r.Refused(session.DoNext{Tub: 2, Act: shed.LoadNext}, "is set aside")
	if _, err := planner.Schedule(r.Day, r.Now, planner.Quick); err != nil {
		t.Error(err)
	}
	r.Do(session.Resume{Tub: 1})
	if tubs := where(); !tubs[1] {
		t.Errorf("then it is planned for %v", tubs)
	}
	r.Do(session.DoNext{Tub: 1, Act: shed.LoadNext})
}
