package session_test

import (
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"fleece.example/tubside/session"
)

// tankPlan is an invented fleece of 1300 g in tubs of 12, 12 and 9 L on a tank of
// 80 L at 55 °C.
func tankPlan(t reporter, heaterW float64) session.Plan {
	p := mixedTubs()
	p.Kit.HotTapC, p.Kit.ColdTapC, p.Kit.JugL = 55, 9, 0.25
	p.Kit.Tank = session.Tank{VolumeL: 80, HeaterW: heaterW}
	p.Fleeces = []session.Fleece{{ID: "f", Animal: "Invented", Type: session.Fine, RawG: 1300}}
	var err error
	if p.Batches, err = p.Split(session.Part{Fleece: p.Fleeces[0], RawG: 1300}); err != nil {
		t.Fatalf("%v", err)
	}
	return p
}

// livesIt does every act of a timetable at its minute, and gives what the tank has
// left after each fill that draws from it.
func (r *run) livesIt(o session.Outlook) (leftL, drawnL []float64) {
	type act struct {
		at    time.Time
		piece session.Piece
		act   session.Action
	}
	var acts []act
	for _, p := range o.Timetable.Pieces {
		at := p.Start
		for i, a := range p.Acts {
			acts = append(acts, act{at, p, a})
			at = at.Add(ago(p.ActMin[i]))
		}
	}
	slices.SortStableFunc(acts, func(a, b act) int { return a.at.Compare(b.at) })
	for _, a := range acts {
		r.now = a.at
		c := session.DoNext{Tub: a.piece.Tub, Act: a.act, Sooner: true}
		if a.act == session.LoadNext {
			if c.Batch = a.piece.Batch; r.day.Tubs[c.Tub].Batch == c.Batch { // since the start
				continue
			}
		}
		f := r.day.FillAt(c.Tub, r.now)
		r.do(c)
		if hotL := f.Pour.HotL + f.Pour.KettleL; a.act == session.FillTub && hotL > 0 {
			leftL, drawnL = append(leftL, session.HotLeftL(r.day, r.now)), append(drawnL, hotL)
		}
	}
	return leftL, drawnL
}

// A day that is lived as it was planned has in its tank what the plan has, but for
// what its rinses, matched to the real lifts, take more or less.
func TestTankOfPlanAndDay(t *testing.T) {
	for _, heaterW := range []float64{0, 1500, 2000, 3000} {
		p := tankPlan(t, heaterW)
		o, err := session.PlanAhead(p, dawn, session.AsGiven, session.Quick)
		if err != nil {
			t.Fatal(err)
		}
		r := start(t, o.Plan)
		near(t, "left at the start", session.HotLeftL(r.day, r.now), 80, 1e-9)
		leftL, drawnL := r.livesIt(o)
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
		r = start(t, o.Plan)
		r.next(0, 0).wait(20).next(0, 0)
		r.next(0, 0)
		tt, err := r.day.Timetable(r.now, session.Quick)
		if err != nil {
			t.Fatal(err)
		}
		if draws := r.day.HotWater(tt); draws[0].LeftL+draws[0].HotL > 80-11 && heaterW == 0 {
			t.Errorf("%+v after a wash was filled", draws[0])
		}
	}
}

// What is told to be poured and boiled, bath by bath, is the sum that the plan gives,
// with a tank that runs low too.
func TestFillsOfAPlanAddUp(t *testing.T) {
	for _, tankL := range []float64{0, 35, 80} {
		p := tankPlan(t, 1000)
		p.Kit.Tank.VolumeL = tankL
		o, err := session.PlanAhead(p, dawn, session.AsGiven, session.Quick)
		if err != nil {
			t.Fatal(err)
		}
		hot, cold, kettle := 0.0, 0.0, map[string]float64{}
		for _, b := range o.Timetable.Baths {
			f, _ := o.FillOf(b)
			hot, cold = hot+f.Pour.HotL, cold+f.Pour.ColdL
			kettle[b.Batch+b.Step.Name] = f.Pour.KettleL
		}
		near(t, "hot", hot, o.Sums.HotL, 1e-9)
		near(t, "cold", cold, o.Sums.ColdL, 1e-9)
		for _, x := range o.Timetable.Pieces {
			if x.Boil() {
				near(t, "boiled for "+x.Batch, x.BoilL, kettle[x.Batch+x.Name], 1e-9)
			}
		}
	}
}

// A method that has a bath twice under one name fills each as it is planned, with a tank
// or without: the second comes from a warm bath, the first from a cold one.
func TestTwoBathsOfOneName(t *testing.T) {
	for _, tank := range []session.Tank{{}, {VolumeL: 500, HeaterW: 3000}} {
		o, err := session.PlanAhead(oneTub(func(p *session.Plan) {
			steps := p.Method.Steps
			p.Method.Steps, p.Batches[0].Presoak = append([]session.Step{steps[0], steps[1]}, steps[1:]...), session.PresoakAsMethod
			p.Kit.Tank = tank
		}), dawn, session.AsGiven, session.Quick)
		if err != nil {
			t.Fatal(err)
		}
		var washes, boils []float64
		for _, b := range o.Timetable.Baths {
			f, _ := o.FillOf(b)
			near(t, b.Step.Name+", hot", f.Pour.HotL, b.Fill.Pour.HotL, 1e-9)
			near(t, b.Step.Name+", from the kettle", f.Pour.KettleL, b.Fill.Pour.KettleL, 1e-9)
			if b.Step.Kind == session.Wash {
				washes = append(washes, b.Fill.Pour.KettleL)
			}
		}
		for _, p := range o.Timetable.Pieces {
			if p.Boil() {
				boils = append(boils, p.BoilL)
			}
		}
		if same(t, "boiled", boils, washes); len(washes) != 2 || washes[0] == washes[1] {
			t.Errorf("washes of %v L from the kettle: the test proves nothing", washes)
		}
	}
}

// A top-up is boiled from the hot tap, and the tank knows it.
func TestTankKnowsTopUps(t *testing.T) {
	r := start(t, tankPlan(t, 0)).until(0, session.Soaking)
	r.now = r.now.Add(ago(20))
	r.next(0, 0).next(0, 0)
	before := session.HotLeftL(r.day, r.now)
	r.do(session.TopUp{Tub: 0, VolumeL: 2, TempC: 97, Sure: true})
	near(t, "left", session.HotLeftL(r.day, r.now), before-2, 1e-9)
}

// A rinse that comes cooler because the tank is down says so, and what would do: each
// way does, and with a full tank nothing is said.
func TestFillSaysTheTankIsDown(t *testing.T) {
	p := tankPlan(t, 2000)
	o, err := session.PlanAhead(p, dawn, session.AsGiven, session.Quick)
	if err != nil {
		t.Fatal(err)
	}
	seen := 0
	for _, tankL := range []float64{40, 60, 80} {
		o.Plan.Kit.Tank.VolumeL = tankL
		r := start(t, o.Plan)
		for range 400 {
			pr := r.day.Boiled().Prompts(r.now)[0]
			if pr.Act == session.FinishDay {
				break
			}
			if pr.Act == session.FillTub {
				seen += tankSaid(t, r, pr)
			}
			if pr.Rank == session.Coming {
				r.now = r.now.Add(ago(1))
				continue
			}
			r.day, _, err = session.Do(r.day, session.DoNext{Tub: pr.Tub, Act: pr.Act, Sooner: true}, r.now)
			if err != nil {
				t.Fatal(err)
			}
			r.now = r.now.Add(ago(1))
		}
	}
	if seen < 3 {
		t.Errorf("only %d fills were told that the tank is down", seen)
	}
}

// tankSaid holds what a fill says of the tank against the fill; 1 if it says that
// something would do.
func tankSaid(t *testing.T, r *run, pr session.Prompt) int {
	i := slices.IndexFunc(pr.Details, func(l session.Line) bool { return strings.Contains(l.Text, "the tank is down to") })
	d, tub := r.day, pr.Tub
	now, full := d.FillAt(tub, r.now), d.Fill(tub)
	if i < 0 {
		if pr.Doubt == "" && now.AfterC < full.AfterC-1.1 {
			t.Errorf("%.1f °C instead of %.1f °C, and no word why: %q", now.AfterC, full.AfterC, pr.Details)
		}
		return 0
	}
	said := pr.Details[i].String()
	if left := figureAfter(said, "down to"); math.Abs(left-session.HotLeftL(d, r.now)) > 0.06 {
		t.Errorf("%q, and there are %g L", said, session.HotLeftL(d, r.now))
	}
	if !strings.Contains(said, "wait") {
		return 0
	}
	if !pr.Details[i].Must {
		t.Errorf("%q may be cut", said)
	}
	later := d.FillAt(tub, r.now.Add(ago(figureAfter(said, "wait"))))
	if later.AfterC < full.AfterC-1.1 {
		t.Errorf("%q: then it is %.1f °C, not %.1f", said, later.AfterC, full.AfterC)
	}
	if l := session.PourLitres(said, "make ", d.Plan.Kit); strings.Contains(said, "kettle water") {
		tapC := figureAfter(said, "at about")
		if mixC := tapC + (d.Plan.Kit.KettleC()-tapC)*l/now.VolumeL; l < 0.2 || math.Abs(mixC-full.WaterC) > 2.5 {
			t.Errorf("%q: that makes %.1f °C, not %.1f", said, mixC, full.WaterC)
		}
	}
	return 1
}
