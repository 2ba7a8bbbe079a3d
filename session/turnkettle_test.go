package session_test

import (
	"testing"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/coach"
	"fleece.example/tubside/session/sessiontest"
	"fleece.example/tubside/session/shed"
)

// TestKettleIsTurned: a kettle that is on for one tub boils on for another whose hot fleece cannot wait; for
// more of it one more boil follows, and the first tub waits for a kettle of its own.
func TestKettleIsTurned(t *testing.T) {
	p := sessiontest.ThreeTubs(func(p *shed.Plan) {
		p.Kit.HotTapC, p.Kit.Kettle = 48, shed.Kettle{CapacityL: 1.7, PowerW: 2200}
		p.Fleeces[0].Wax, p.Fleeces[1].Wax = shed.High, shed.High
		p.Batches = p.Batches[:2]
		for i := range p.Batches {
			p.Batches[i].Presoak = shed.PresoakNone
		}
	})
	r := sessiontest.Start(t, p)
	r.Do(session.TellKettle{Tub: 0, Sure: true}).Wait(12).Next(0, 0).Wait(20).Next(0, 0)
	r.Do(session.TellKettle{Tub: 1, Sure: true}).Wait(2)
	was := r.Day.Kettle
	if by := r.Day.WetBy(0, r.Now); by.IsZero() || was.Tub != 1 {
		t.Fatalf("hangs till %s, the kettle is %d's", by, was.Tub)
	}
	if c, ok := coach.KettleKey(r.Day, r.Now, nil, 1); !ok || c.Turn {
		t.Errorf("at its own tub %+v, %t", c, ok)
	}
	c, ok := coach.KettleKey(r.Day, r.Now, nil, 0)
	if !ok || !c.Turn || c.Tub != 0 {
		t.Fatalf("in hand at North %+v, %t", c, ok)
	}
	r.Do(c)
	k := r.Day.Kettle
	if k.Tub != 0 || k.Batch != r.Day.Tubs[0].Batch || k.Step != r.Day.Tubs[0].At || !k.OnAt.Equal(was.OnAt) || k.VolumeL < k.InL {
		t.Errorf("turned %+v, before %+v", k, was)
	}
	wish, _ := r.Day.WantsKettle(0, "", session.HeatModel{}, r.Now)
	if k.VolumeL < wish.Fill.Pour.KettleL-session.LeastKettleL {
		t.Errorf("%g L for a bath that takes %g L", k.VolumeL, wish.Fill.Pour.KettleL)
	}
	if said := coach.PromptAt(r.Day, 1, r.Now); said.Kettle != coach.KettleFirst {
		t.Errorf("South: %s", said.Title)
	}
	sessiontest.CheckReplay(t, r, nil)
	r.Do(session.Undo{})
	if r.Day.Kettle != was {
		t.Errorf("undone %+v, before %+v", r.Day.Kettle, was)
	}
}
