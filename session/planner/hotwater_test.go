package planner_test

import (
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/coach"
	"fleece.example/tubside/session/must"
	"fleece.example/tubside/session/planner"
	"fleece.example/tubside/session/sessiontest"
	"fleece.example/tubside/session/shed"
)

// A day that is lived as it was planned has in its tank what the plan has, but for
// what its rinses, matched to the real lifts, take more or less.
func TestTankOfPlanAndDay(t *testing.T) {
	t.Parallel()
	for _, heaterW := range []float64{0, 1500, 2000, 3000} {
		p := sessiontest.TankPlan(t, heaterW)
		o := must.Get(planner.PlanAhead(p, sessiontest.Dawn, planner.AsGiven, planner.Quick)).In(t)
		r := sessiontest.Start(t, o.Plan)
		sessiontest.Near(t, "left at the start", sessiontest.HotLeftL(r.Day, r.Now), 80, 1e-9)
		leftL, drawnL := r.Live(o)
		if len(leftL) != len(o.Draws) {
			t.Fatalf("%d fills, planned %d", len(leftL), len(o.Draws))
		}
		most := 0.1
		for i, w := range o.Draws {
			most += math.Abs(w.HotL - drawnL[i])
			if off := math.Abs(leftL[i] - w.LeftL); off > most || most > 12 {
				t.Errorf("%g W, %s of %s: %.1f L left by the plan, %.1f L in the day (others drawn: %.1f L)", heaterW, w.Step.Name, w.Batch, w.LeftL, leftL[i], most)
			}
		}
		// What a timetable of the day draws goes on from there.
		r = sessiontest.Start(t, o.Plan)
		r.Next(0, 0).Wait(20).Next(0, 0)
		r.Next(0, 0)
		tt := must.Get(planner.Schedule(r.Day, r.Now, planner.Quick)).In(t)
		if draws := planner.HotWater(r.Day, tt); draws[0].LeftL+draws[0].HotL > 80-11 && heaterW == 0 {
			t.Errorf("%+v after a wash was filled", draws[0])
		}
	}
}

// What is told to be poured and boiled, bath by bath, is the sum that the plan gives,
// with a tank that runs low too.
func TestFillsOfAPlanAddUp(t *testing.T) {
	for _, tankL := range []float64{0, 35, 80} {
		p := sessiontest.TankPlan(t, 1000)
		p.Kit.Tank.VolumeL = tankL
		o := must.Get(planner.PlanAhead(p, sessiontest.Dawn, planner.AsGiven, planner.Quick)).In(t)
		hot, cold, kettle := 0.0, 0.0, map[string]float64{}
		for _, b := range o.Timetable.Baths {
			f, _ := o.FillOf(b)
			hot, cold = hot+f.Pour.HotL, cold+f.Pour.ColdL
			kettle[b.Batch+b.Step.Name] = f.Pour.KettleL
		}
		sessiontest.Near(t, "hot", hot, o.Sums.HotL, 1e-9)
		sessiontest.Near(t, "cold", cold, o.Sums.ColdL, 1e-9)
		for _, x := range o.Timetable.Pieces {
			if x.Boil() {
				sessiontest.Near(t, "boiled for "+x.Batch, x.BoilL, kettle[x.Batch+x.Name], 1e-9)
			}
		}
	}
}

// A method that has a bath twice under one name fills each as it is planned, with a tank
// or without: the second comes from a warm bath, the first from a cold one.
func TestTwoBathsOfOneName(t *testing.T) {
	for _, tank := range []shed.Tank{{}, {VolumeL: 500, HeaterW: 3000}} {
		o := must.Get(planner.PlanAhead(sessiontest.OneTub(func(p *shed.Plan) {
			steps := p.Method.Steps
			p.Method.Steps, p.Batches[0].Presoak = append([]shed.Step{steps[0], steps[1]}, steps[1:]...), shed.PresoakAsMethod
			p.Kit.Tank = tank
		}), sessiontest.Dawn, planner.AsGiven, planner.Quick)).In(t)
		var washes, boils []float64
		for _, b := range o.Timetable.Baths {
			f, _ := o.FillOf(b)
			sessiontest.Near(t, b.Step.Name+", hot", f.Pour.HotL, b.Fill.Pour.HotL, 1e-9)
			sessiontest.Near(t, b.Step.Name+", from the kettle", f.Pour.KettleL, b.Fill.Pour.KettleL, 1e-9)
			if b.Step.Kind == shed.Wash {
				washes = append(washes, b.Fill.Pour.KettleL)
			}
		}
		for _, p := range o.Timetable.Pieces {
			if p.Boil() {
				boils = append(boils, p.BoilL)
			}
		}
		if sessiontest.Same(t, "boiled", boils, washes); len(washes) != 2 || washes[0] == washes[1] {
			t.Errorf("washes of %v L from the kettle: the test proves nothing", washes)
		}
	}
}

// A top-up is boiled from the hot tap, and the tank knows it.
func TestTankKnowsTopUps(t *testing.T) {
	r := sessiontest.Start(t, sessiontest.TankPlan(t, 0)).Until(0, shed.Soaking)
	r.Now = r.Now.Add(sessiontest.Minutes(20))
	r.Next(0, 0).Next(0, 0)
	before := sessiontest.HotLeftL(r.Day, r.Now)
	r.Do(session.TopUp{Tub: 0, VolumeL: 2, TempC: 97, Sure: true})
	sessiontest.Near(t, "left", sessiontest.HotLeftL(r.Day, r.Now), before-2, 1e-9)

	// It is drawn when it is poured, however long after the fill.
	r = sessiontest.Start(t, sessiontest.TankPlan(t, 3000)).Until(0, shed.Soaking)
	r.Now = r.Now.Add(5 * time.Hour)
	sessiontest.Near(t, "full again", sessiontest.HotLeftL(r.Day, r.Now), 80, 1e-9)
	r.Do(session.TopUp{Tub: 0, VolumeL: 2, TempC: 97, Sure: true})
	sessiontest.Near(t, "left of a full tank", sessiontest.HotLeftL(r.Day, r.Now), 78, 1e-9)
}

// A rinse that comes cooler because the tank is down says so, and what would do: each
// way does, and with a full tank nothing is said.
func TestFillSaysTheTankIsDown(t *testing.T) {
	p := sessiontest.TankPlan(t, 2000)
	o := must.Get(planner.PlanAhead(p, sessiontest.Dawn, planner.AsGiven, planner.Quick)).In(t)
	seen := 0
	for _, tankL := range []float64{40, 60, 80} {
		o.Plan.Kit.Tank.VolumeL = tankL
		r := sessiontest.Start(t, o.Plan)
		for range 400 {
			pr := coach.Prompts(r.Day.Boiled(), r.Now)[0]
			if pr.Act == shed.FinishDay {
				break
			}
			if pr.Act == shed.FillTub {
				seen += tankSaid(t, r, pr)
			}
			if pr.Rank == coach.Coming {
				r.Now = r.Now.Add(sessiontest.Minutes(1))
				continue
			}
			r.Day, _ = must.Get2(session.Do(r.Day, session.DoNext{Tub: pr.Tub, Act: pr.Act, Sooner: true}, r.Now)).In(t)
			r.Now = r.Now.Add(sessiontest.Minutes(1))
		}
	}
	if seen < 3 {
		t.Errorf("only %d fills were told that the tank is down", seen)
	}
}

// tankSaid holds what a fill says of the tank against the fill; 1 if it says that
// something would do.
func tankSaid(t *testing.T, r *sessiontest.Run, pr coach.Prompt) int {
	i := slices.IndexFunc(pr.Details, func(l coach.Line) bool { return strings.Contains(l.Text, "the tank is down to") })
	d, tub := r.Day, pr.Tub
	now, full := d.FillAt(tub, r.Now), d.Fill(tub)
	if i < 0 {
		if pr.Doubt == "" && now.AfterC < full.AfterC-1.1 {
			t.Errorf("%.1f °C instead of %.1f °C, and no word why: %q", now.AfterC, full.AfterC, pr.Details)
		}
		return 0
	}
	said := pr.Details[i].String()
	if left := sessiontest.FigureAfter(said, "down to"); math.Abs(left-sessiontest.HotLeftL(d, r.Now)) > 0.06 {
		t.Errorf("%q, and there are %g L", said, sessiontest.HotLeftL(d, r.Now))
	}
	if !strings.Contains(said, "wait") {
		return 0
	}
	if !pr.Details[i].Must {
		t.Errorf("%q may be cut", said)
	}
	later := d.FillAt(tub, r.Now.Add(sessiontest.Minutes(sessiontest.FigureAfter(said, "wait"))))
	if later.AfterC < full.AfterC-1.1 {
		t.Errorf("%q: then it is %.1f °C, not %.1f", said, later.AfterC, full.AfterC)
	}
	if l := sessiontest.PourAfterL(said, "swap ", d.Plan.Kit); strings.Contains(said, "kettle water") {
		tapC := sessiontest.FigureAfter(said, "at about")
		if mixC := tapC + (d.Plan.Kit.KettleC()-tapC)*l/now.VolumeL; l < 0.2 || math.Abs(mixC-full.WaterC) > 2.5 {
			t.Errorf("%q: that makes %.1f °C, not %.1f", said, mixC, full.WaterC)
		}
	}
	return 1
}
