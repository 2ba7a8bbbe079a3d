package coach_test

import (
	"regexp"
	"strconv"
	"strings"
	"testing"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/coach"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/must"
	"fleece.example/tubside/session/planner"
	"fleece.example/tubside/session/sessiontest"
	"fleece.example/tubside/session/shed"
)

// The dose goes by weight, wax and the scour's own figure, in mL with spoons or
// in grams of a powder. What wax changes is our own figure.
func TestDose(t *testing.T) {
	k := shed.DefaultKit()
	sessiontest.Near(t, "medium", k.DoseFor(200, shed.Average), 8.75, 1e-9) // of 9: in quarters of a spoon
	sessiontest.Near(t, "little wax", k.DoseFor(200, shed.Low), 7.5, 1e-9)
	sessiontest.Near(t, "much wax", k.DoseFor(200, shed.High), 11.25, 1e-9)
	sessiontest.Near(t, "too many spoons", k.DoseFor(2000, shed.Low), 72, 1e-9)
	if got := k.DoseText(10); got != "10 mL (2 tsp)" {
		t.Error(got)
	}
	k.Scour.PowderGPer100G = 3
	sessiontest.Near(t, "powder", k.DoseFor(200, shed.Average), 6, 1e-9)
	if got := k.DoseText(6); got != "6 g" {
		t.Error(got)
	}
	k.Scour.PowderGPer100G = -1
	if err := k.Validate(); err == nil || !strings.Contains(err.Error(), "dose of a powder") {
		t.Error(err)
	}
}

// The coach gives the pour in whole marks of the jug, says what it comes to, and
// what would do where it stays short.
func TestFillInWords(t *testing.T) {
	text := sessiontest.PromptText(coach.PromptAt(sessiontest.Start(t, sessiontest.OneTub()).Day, 0, sessiontest.Dawn))
	if !strings.Contains(text, "with the fleece in: 4.75 L hot tap + 3.2 L kettle (1 kettle + 1.5 L)") {
		t.Error(text)
	}
	text = sessiontest.PromptText(coach.PromptAt(sessiontest.Start(t, sessiontest.OneTub(func(p *shed.Plan) { p.Kit.Kettle.CapacityL, p.Method.Steps[1].LowestSinkC = 0.5, 0 })).Day, 0, sessiontest.Dawn))
	if !strings.Contains(text, " under its aim)") || !strings.Contains(text, "from the kettle in all") {
		t.Error(text)
	}
}

// A kettle of 7 cups gives 7 cups a boil whatever the jug is marked in, and a
// wash made with it comes as near as one measured in cups.
func TestKettleIsNotMeasuredInTheJug(t *testing.T) {
	fill := func(jugL, kettleL float64) session.FillPlan {
		r := sessiontest.Start(t, sessiontest.OneTub(func(p *shed.Plan) {
			p.Kit.Units, p.Kit.JugL, p.Kit.Kettle.CapacityL = measure.US, jugL, kettleL
			p.Kit.Tubs[0].CapacityL, p.Kit.Tubs[0].FillL = 3*measure.LPerUSGal, 2*measure.LPerUSGal
		}))
		return r.Day.Fill(0)
	}
	quarts := fill(measure.LPerUSQuart, 7*measure.LPerUSCup)
	sessiontest.Near(t, "in quarts", quarts.AfterC, 65.5, 1.01)
	if quarts.KettleLoads != 2 || quarts.ShortC != 0 || quarts.Pour.KettleL < 8*measure.LPerUSCup {
		t.Errorf("%+v", quarts)
	}
	k := shed.Kit{Units: measure.US, JugL: measure.LPerUSQuart, Kettle: shed.Kettle{CapacityL: 7 * measure.LPerUSCup}}
	if text := coach.PourText(k, quarts); !strings.Contains(text, "cups kettle (2 kettles)") { // as it is to be boiled
		t.Errorf("%q", text)
	}
	// Its sisters: half litres beside 1.7 L, and a jug that holds more than the kettle.
	for _, jugL := range []float64{0.5, 1, 2} {
		f := fill(jugL, 1.7)
		sessiontest.Near(t, "in half litres and more", f.AfterC, 65.5, 1.4) // as whole litres allow
		if f.KettleLoads != 2 {
			t.Errorf("jug of %g L: %d boils, %+v", jugL, f.KettleLoads, f)
		}
	}
}

// The scour of a day is the sum of what is told at its baths, in each column of it:
// spoons and mL, a powder's grams, ounces; US spoons and cups are one figure.
func TestScourAddsUpAsTold(t *testing.T) {
	figures := regexp.MustCompile(`[0-9.]+(?: [0-9]/[0-9])?|[0-9]/[0-9]`)
	columns := func(u measure.System, text string) []float64 {
		var out []float64
		if u == measure.US && !strings.HasSuffix(text, u.MassUnit()) {
			sumML := 0.0
			for part := range strings.SplitSeq(text, " + ") {
				mL := must.Get(u.ParseDoseML(part)).In(t)
				sumML += mL
			}
			return []float64{sumML}
		}
		for _, m := range figures.FindAllString(text, -1) {
			v := 0.0
			for _, part := range strings.Fields(m) {
				whole, of, half := strings.Cut(part, "/")
				a, _ := strconv.ParseFloat(whole, 64)
				if half {
					b, _ := strconv.ParseFloat(of, 64)
					a /= b
				}
				v += a
			}
			out = append(out, v)
		}
		return out
	}
	for _, u := range []measure.System{measure.Metric, measure.US} {
		for _, powder := range []float64{0, 3} {
			p := sessiontest.TankPlan(t, 3000)
			p.Kit.Units, p.Kit.Scour.PowderGPer100G = u, powder
			o := must.Get(planner.PlanAhead(p, sessiontest.Dawn, planner.AsGiven, planner.Quick)).In(t)
			var sum []float64
			for _, b := range o.Timetable.Baths {
				if b.Fill.DoseML == 0 {
					continue
				}
				told := columns(u, o.Plan.Kit.DoseText(b.Fill.DoseML))
				if sum == nil {
					sum = make([]float64, len(told))
				}
				for i, v := range told {
					sum[i] += v
				}
			}
			total := columns(u, o.Plan.Kit.DoseText(o.Sums.ScourML))
			if len(total) < len(sum) || len(sum) == 0 {
				t.Fatalf("%v: %v in all", sum, total)
			}
			for i, v := range sum {
				sessiontest.Near(t, "column of "+o.Plan.Kit.DoseText(o.Sums.ScourML), total[i], v, 1e-6)
			}
		}
	}
}

// A fill from the tap alone takes no kettle water: in a wash, and in a rinse that would
// want a boil to be near its wash.
func TestFillFromTheTapAlone(t *testing.T) {
	for name, c := range map[string]struct {
		kind  shed.StepKind
		tapC  float64
		stage func(*sessiontest.Run)
	}{
		"a wash":  {shed.Wash, 62, func(*sessiontest.Run) {}},
		"a rinse": {shed.Rinse, 45, func(r *sessiontest.Run) { r.Until(0, shed.Draining).Next(0) }},
	} {
		r := sessiontest.Start(t, sessiontest.OneTub(func(p *shed.Plan) { p.Kit.HotTapC, p.Method.Steps[1].LowestSinkC = c.tapC, 0 }))
		c.stage(r)
		if s := r.Day.Tubs[0].Step(); s.Kind != c.kind || !(r.Day.FillAt(0, r.Now).Pour.KettleL > 0) {
			t.Fatalf("%s: %s of %+v: the test proves nothing", name, s.Name, r.Day.FillAt(0, r.Now).Pour)
		}
		r.Do(session.DoNext{Act: shed.FillTub, TapOnly: true, Sooner: true})
		e, ok := r.Recs[len(r.Recs)-1].Event.(session.BathFilled)
		if !ok || e.KettleL != 0 || e.TempC > c.tapC || e.HotL <= 0 || e.HotL > e.VolumeL+1e-9 {
			t.Errorf("%s: %#v", name, r.Recs[len(r.Recs)-1].Event)
		}
	}
}
