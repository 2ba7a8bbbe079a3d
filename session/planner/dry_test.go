package planner_test

import (
	"testing"

	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/must"
	"fleece.example/tubside/session/planner"
	"fleece.example/tubside/session/sessiontest"
	"fleece.example/tubside/session/shed"
)

// TestSmallTubStaysDry: of a tub that is too small for every batch the plan says that it stays dry, how much it
// holds and how much they need; of one that a batch goes into, or would, it says nothing.
func TestSmallTubStaysDry(t *testing.T) {
	dry := func(change func(*shed.Plan)) string {
		t.Helper()
		o := must.Get(planner.PlanAhead(sessiontest.ThreeTubs(func(p *shed.Plan) { p.Batches, p.Fleeces = p.Batches[:1], p.Fleeces[:1] }, change), sessiontest.Dawn, planner.AsGiven, planner.Quick)).In(t)
		return o.SayDry()
	}
	small := func(p *shed.Plan) {
		p.Kit.Tubs[2] = shed.Tub{ID: "t9", Name: "Bucket", CapacityL: 6, FillL: 4}
	}
	sessiontest.Same(t, "a small one", dry(small), "Bucket stays dry: holds 4 L, batches need 7.9 L")
	sessiontest.Same(t, "in gallons", dry(func(p *shed.Plan) { small(p); p.Kit.Units = measure.US }), "Bucket stays dry: holds 1 gal, batches need 2 gal")
	sessiontest.Same(t, "all large enough", dry(func(p *shed.Plan) { p.Kit.Tubs[2] = p.Kit.Tubs[1]; p.Kit.Tubs[2].ID, p.Kit.Tubs[2].Name = "t8", "East" }), "")
	sessiontest.Same(t, "a small batch", dry(func(p *shed.Plan) { small(p); p.Batches[0].RawG = 90 }), "")
}
