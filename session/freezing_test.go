package session_test

import (
	"testing"

	"fleece.example/tubside/session/sessiontest"
	"fleece.example/tubside/session/shed"
)

// A bath from a cold tap into a tub that stood in a frost is no colder than water is, and
// what the program writes of it is what an import takes in.
func TestFillInAFrostIsWater(t *testing.T) {
	r := sessiontest.Start(t, sessiontest.OneTub(func(p *shed.Plan) {
		p.Kit.RoomC, p.Kit.ColdTapC, p.Kit.Tubs[0].CapacityL, p.Kit.Tubs[0].FillL = -10, 0.5, 60, 0.5
		p.Batches[0].Presoak, p.Batches[0].RawG = shed.PresoakQuick, 5
	}))
	if f := r.Day.Fill(0); f.WaterC < 0 || f.AfterC < 0 || f.WaterC > 0.5 {
		t.Errorf("%+v", f)
	}
	r.Next(0)
	if c := r.Day.Tubs[0].Bath.FillC; c < 0 {
		t.Errorf("filled at %g °C", c)
	}
	sessiontest.CheckReplay(t, r, nil)
}
