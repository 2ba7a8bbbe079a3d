package sessiontest

import (
	"fmt"

	"fleece.example/tubside/session/planner"
	"fleece.example/tubside/session/shed"
)

// LongWash is one tub whose soak outlasts its bath: nothing but the water's
// temperature calls the person.
func LongWash(change ...func(*shed.Plan)) shed.Plan {
	return OneTub(append([]func(*shed.Plan){func(p *shed.Plan) {
		p.Method.Steps[1].SoakMin, p.Method.Steps[1].LongestMin = 600, 0
	}}, change...)...)
}

// ThreeTubs is a day of three batches from three animals. Animals and farms
// are invented here and everywhere else in these tests.
func ThreeTubs(change ...func(*shed.Plan)) shed.Plan {
	p := shed.Plan{
		Kit: shed.DefaultKit(), Method: shed.BuiltInMethod(),
		Fleeces: []shed.Fleece{
			{ID: "f1", Animal: "Bramble", Farm: "Nowhere Fold", Year: 2026, Type: shed.Longwool, Wax: shed.Low, RawG: 3200},
			{ID: "f2", Animal: "Pip", Farm: "Nowhere Fold", Year: 2026, Type: shed.Fine, Wax: shed.High, RawG: 2400},
			{ID: "f3", Animal: "Thistle", Farm: "Made-up Mill", Year: 2025, Type: shed.DoubleCoated, RawG: 1500},
		},
		Batches: []shed.Batch{
			{FleeceID: "f1", RawG: 225},
			{FleeceID: "f2", RawG: 150},
			{FleeceID: "f3", RawG: 115, Form: shed.Locks, Presoak: shed.PresoakQuick},
		},
	}
	for _, c := range change {
		c(&p)
	}
	return p
}

// OneTub is a single batch that goes straight into the hot wash of North.
func OneTub(change ...func(*shed.Plan)) shed.Plan {
	return ThreeTubs(append([]func(*shed.Plan){func(p *shed.Plan) {
		p.Kit.Tubs, p.Fleeces, p.Batches = p.Kit.Tubs[:1], p.Fleeces[:1], p.Batches[:1]
		p.Batches[0].Presoak = shed.PresoakNone
	}}, change...)...)
}

// TankPlan is an invented fleece of 1300 g in tubs of 12, 12 and 9 L on a tank of
// 80 L at 55 °C.
func TankPlan(t Reporter, heaterW float64) shed.Plan {
	p := MixedTubs()
	p.Kit.HotTapC, p.Kit.ColdTapC, p.Kit.JugL = 55, 9, 0.25
	p.Kit.Tank = shed.Tank{VolumeL: 80, HeaterW: heaterW}
	p.Fleeces = []shed.Fleece{{ID: "f", Animal: "Invented", Type: shed.Fine, RawG: 1300}}
	var err error
	if p.Batches, err = planner.Split(p, planner.Part{Fleece: p.Fleeces[0], RawG: 1300}); err != nil {
		t.Fatalf("%v", err)
	}
	return p
}

// RecordPlan is one tub, two batches of an invented fleece, a rack of two trays.
func RecordPlan() shed.Plan {
	return OneTub(func(p *shed.Plan) {
		p.Kit.Trays = []shed.Tray{{ID: "r1", Name: "top", Places: 1}, {ID: "r2", Name: "low", Places: 1}}
		p.Fleeces[0].RawG, p.Fleeces[0].SkirtedG, p.Fleeces[0].Type = 2000, 1800, shed.Medium
		p.Batches = []shed.Batch{
			{FleeceID: "f1", RawG: 200, Presoak: shed.PresoakNone, RawScale: KitchenScale},
			{FleeceID: "f1", RawG: 250, Presoak: shed.PresoakNone, RawScale: KitchenScale},
		}
	})
}

// ManyBatches is a plan of n batches of 60 g of one invented fleece, in so many
// tubs of which every third is a tray.
func ManyBatches(n, tubs int) shed.Plan {
	k := shed.DefaultKit()
	k.Tubs = nil
	for i := range tubs {
		t := shed.DefaultKit().Tubs[i%3]
		t.ID, t.Name = "", fmt.Sprintf("Tub %d", i+1)
		k.Tubs = append(k.Tubs, t)
	}
	f := shed.Fleece{ID: "f", Animal: "Invented", Type: shed.Medium, RawG: 20000}
	p := shed.Plan{Kit: k, Method: shed.BuiltInMethod(), Fleeces: []shed.Fleece{f}}
	for range n {
		p.Batches = append(p.Batches, shed.Batch{FleeceID: "f", RawG: 60})
	}
	return p
}

// MixedTubs is a kit of two tubs with 12 L wash baths and one with 9 L.
func MixedTubs() shed.Plan {
	p := SplitPlan(12)
	p.Kit.Tubs[2].CapacityL, p.Kit.Tubs[2].FillL = 12, 9
	p.Kit.Kettle.CapacityL = 1.7
	return p
}

// SplitPlan is the usual kit with every usual bath so large, L, and nothing to wash yet.
func SplitPlan(fillL float64) shed.Plan {
	k := shed.DefaultKit()
	for i := range k.Tubs {
		k.Tubs[i].CapacityL, k.Tubs[i].FillL = fillL*1.5, fillL
	}
	return shed.Plan{Kit: k, Method: shed.BuiltInMethod()}
}
