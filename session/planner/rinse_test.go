package planner_test

import (
	"math"
	"regexp"
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

// rinses are the plan's rinses with what each is away from the bath before it.
func rinses(t *testing.T, p shed.Plan) (out []planner.PlannedBath, o planner.Outlook) {
	t.Helper()
	o = must.Get(planner.PlanAhead(p, sessiontest.Dawn, planner.AsGiven, planner.Quick)).In(t)
	for _, b := range o.Timetable.Baths {
		if b.Step.Kind == shed.Rinse {
			out = append(out, b)
		}
	}
	return out, o
}

// A tap of 48 °C is an ordinary one: what is ordered from it lies within the
// step that the method allows, or the plan says beforehand that it does not.
func TestRinseFromAnOrdinaryTap(t *testing.T) {
	for _, tapC := range []float64{45, 48, 51, 55, 60} {
		for _, c := range []struct {
			kettleL, stepC float64
			told           bool
		}{{3, 12, false}, {1.7, 12, false}, {1, 2, tapC < 55}} {
			baths, o := rinses(t, sessiontest.OneTub(func(p *shed.Plan) {
				p.Kit.HotTapC, p.Kit.Kettle.CapacityL = tapC, c.kettleL
				p.Method.Steps[1].LowestSinkC, p.Method.Steps[2].MaxGapC = 0, c.stepC
			}))
			first, told := baths[0], strings.Contains(strings.Join(o.Cautions, "; "), "than the bath before")
			if far := math.Abs(first.Fill.GapC) > c.stepC+1; far != told || told != c.told {
				t.Errorf("tap %.0f °C, kettle %.1f L: %.1f °C from the last bath, told %t: %q", tapC, c.kettleL, first.Fill.GapC, told, o.Cautions)
			}
			if told && regexp.MustCompile(`\.\d °C (cool|hott)er`).MatchString(strings.Join(o.Cautions, "; ")) {
				t.Errorf("no whole degrees: %q", o.Cautions)
			}
			if first.Fill.KettleLoads > 1 {
				t.Errorf("tap %.0f °C: a rinse of %d boils", tapC, first.Fill.KettleLoads)
			}
		}
	}
}

// A rinse is never hotter than the bath before it, whatever the tap and the jug.
func TestRinseIsNeverHotterThanItsWash(t *testing.T) {
	for _, tapC := range []float64{51, 60, 65, 75, 90} {
		for _, jugL := range []float64{0, 0.25, 1} {
			baths, o := rinses(t, sessiontest.OneTub(func(p *shed.Plan) { p.Kit.HotTapC, p.Kit.JugL = tapC, jugL }))
			washC, beganC := o.Timetable.Baths[0].Fill.WaterC, o.Timetable.Baths[0].Fill.AfterC
			for _, b := range baths {
				lastC := b.Fill.AfterC + b.Fill.GapC
				tooHot := b.Fill.WaterC > lastC+3 && b.Fill.AfterC > beganC+0.5 || b.Fill.WaterC > washC
				if beganC = b.Fill.AfterC; tooHot {
					t.Errorf("tap %.0f °C, jug %g L: %s of %.1f °C after a bath of %.1f °C", tapC, jugL, b.Step.Name, b.Fill.WaterC, lastC)
				} else if b.Fill.GapC > b.Step.MaxGapC+1 {
					t.Errorf("tap %.0f °C, jug %g L: %s %.1f °C cooler than the last bath", tapC, jugL, b.Step.Name, b.Fill.GapC)
				}
			}
		}
	}
}

// What the coach orders rings at nobody, and is asked about only where it has been
// said that it is outside its step.
func TestNoAlarmForWhatWasOrdered(t *testing.T) {
	for _, tapC := range []float64{40, 44, 48, 51, 75} {
		for _, kettleL := range []float64{0, 1.7} {
			r := sessiontest.Start(t, sessiontest.OneTub(func(p *shed.Plan) {
				p.Kit.HotTapC, p.Kit.Kettle.CapacityL = tapC, kettleL
				p.Method.Steps[1].LowestSinkC = 0
			}))
			r.Until(0, shed.Draining).Next(0)
			for range 2 {
				said := strings.Contains(sessiontest.PromptText(r.Wait(1).Prompt()), " the last bath: ")
				r.Next(0).Wait(3)
				for _, a := range r.Day.Alarms {
					t.Errorf("tap %.0f °C, kettle %.1f L: %s rings at a bath filled as ordered", tapC, kettleL, a.Kind)
				}
				if p := r.Prompt(); p.Doubt != "" && !said {
					t.Errorf("tap %.0f °C, kettle %.1f L: the bath was ordered and is doubted: %s", tapC, kettleL, p.Doubt)
				}
				r.Until(0, shed.Draining).Next(0)
			}
		}
	}
}

// A bath that is not what was ordered rings all the same.
func TestAlarmForWhatWasNotOrdered(t *testing.T) {
	r := sessiontest.Start(t, sessiontest.OneTub())
	r.Until(0, shed.Draining).Next(0).Wait(1)
	r.Do(session.DoNext{Act: shed.FillTub, HasTemp: true, TempC: 35}).Wait(1)
	if len(r.Day.Alarms) != 1 || r.Day.Alarms[0].Kind != session.FarFromLast {
		t.Errorf("a rinse at 35 °C after a wash: %v", r.Day.Alarms)
	}
}

// Advice keeps its own limits: a second rinse that the sagging tank leaves within
// the allowed step needs neither a wait nor the kettle.
func TestNoAdviceWithinTheStep(t *testing.T) {
	o := must.Get(planner.PlanAhead(sessiontest.ThreeTubs(func(p *shed.Plan) {
		p.Kit.Tank = shed.Tank{VolumeL: 50, HeaterW: 300}
		p.Fleeces, p.Batches = p.Fleeces[:1], nil
		for range 4 {
			p.Batches = append(p.Batches, shed.Batch{FleeceID: "f1", RawG: 200, Presoak: shed.PresoakNone})
		}
	}), sessiontest.Dawn, planner.AsGiven, planner.Quick)).In(t)
	sagged := 0
	for _, w := range o.Draws {
		if w.Step.Kind != shed.Rinse || w.SagC < 1 || w.Fill.GapC > w.Step.MaxGapC {
			continue
		}
		sagged++
		if said := w.Say(o.Plan.Kit); w.Fill.Pour.KettleL == 0 && said != "" {
			t.Errorf("%s of %s is %.1f °C from the last bath, within its step of %.0f °C: %s", w.Step.Name, w.Batch, w.Fill.GapC, w.Step.MaxGapC, said)
		}
	}
	if sagged == 0 {
		t.Error("no rinse comes from a sagging tank: the test proves nothing")
	}
}

// A method may have its second rinse lukewarm: that is meant, and nobody complains.
func TestLukewarmSecondRinse(t *testing.T) {
	lukewarm := func(p *shed.Plan) {
		s := &p.Method.Steps[3]
		s.Water, s.AimC, s.MaxGapC = shed.Mixed, 38, 0
	}
	hot, _ := rinses(t, sessiontest.OneTub())
	baths, o := rinses(t, sessiontest.OneTub(lukewarm))
	if len(o.Cautions) > 0 {
		t.Errorf("a lukewarm second rinse is complained of: %q", o.Cautions)
	}
	if got, was := baths[1].Fill.Pour.HotL, hot[1].Fill.Pour.HotL; math.Abs(baths[1].Fill.AfterC-38) > 1.5 || got > 0.75*was {
		t.Errorf("a second rinse of 38 °C is %.1f °C and takes %.2f L from the hot tap, hot it takes %.2f L", baths[1].Fill.AfterC, got, was)
	}
}

// The scald line names the hottest water that is handled: the tap's own, mixed down
// or not, and the kettle's.
func TestScaldLineOfTheHottestWater(t *testing.T) {
	for _, c := range []struct {
		tapC, aimC float64
		wants      string
	}{{75, 65.5, "75 °C water burns in 1 s"}, {51, 65.5, "100 °C water burns in 1 s"}, {62, 60, "62 °C water burns in 2 s"}} {
		r := sessiontest.Start(t, sessiontest.OneTub(func(p *shed.Plan) { p.Kit.HotTapC, p.Method.Steps[1].AimC = c.tapC, c.aimC }))
		if p := r.Prompt(); !strings.HasPrefix(p.Caution.Text, c.wants) {
			t.Errorf("tap %.0f °C: %q, want %q", c.tapC, p.Caution.Text, c.wants)
		}
	}
}

// A caution is read once a day at each kind of step; after that a sign stands for it.
func TestCautionOnce(t *testing.T) {
	r := sessiontest.Start(t, sessiontest.ThreeTubs())
	full := map[string]int{}
	for range 200 {
		if len(coach.Prompts(r.Day, r.Now)) == 0 || r.Day.AllRacked() {
			break
		}
		for tub := range r.Day.Tubs {
			p := coach.PromptAt(r.Day, tub, r.Now)
			if p.Act == shed.Wait {
				continue
			}
			if p.Caution.Text != "" && !p.Warned {
				full[p.Act.String()+" "+r.Day.Tubs[tub].Step().Kind.String()]++
			}
			r.Now = r.Now.Add(20 * time.Minute)
			r.Next(tub)
		}
	}
	if !r.Day.AllRacked() || full["fill wash"] == 0 || full["drain presoak"]+full["drain wash"] != 1 || full["spin spin"] != 1 {
		t.Errorf("%v", full)
	}
	for what, n := range full {
		if n > 1 {
			t.Errorf("%s: the caution stands in full %d times", what, n)
		}
	}
}

// What is hot enough to wash is not called short.
func TestHotEnoughIsNotShort(t *testing.T) {
	for _, kettleL := range []float64{0.5, 0.7, 1, 1.7} {
		o, err := planner.PlanAhead(sessiontest.ThreeTubs(func(p *shed.Plan) { p.Kit.Kettle.CapacityL = kettleL }), sessiontest.Dawn, planner.AsGiven, planner.Quick)
		if err != nil {
			continue
		}
		said, coolest := 0, 99.0
		for _, b := range o.Timetable.Baths {
			if b.Step.Kind == shed.Wash {
				coolest = min(coolest, b.Fill.AfterC)
			}
		}
		for _, c := range o.Cautions {
			said += strings.Count(c, "tap and kettle can't do it")
		}
		if said > 3 || coolest >= 60 && said > 0 {
			t.Errorf("kettle %.1f L, coolest wash %.1f °C: %q", kettleL, coolest, o.Cautions)
		}
	}
}

// A bath is not made so small, to be warm enough, that the fleece does not open out.
func TestNoBathTooSmallForItsFleece(t *testing.T) {
	for _, c := range []struct {
		kettleL, rawG float64
		told          bool
	}{{0.2, 100, false}, {0.8, 100, true}, {0.8, 180, false}} {
		o := must.Get(planner.PlanAhead(sessiontest.OneTub(func(p *shed.Plan) {
			p.Method.Steps[1].LowestSinkC, p.Kit.HotTapC, p.Kit.Kettle.CapacityL, p.Batches[0].RawG = 0, 59.3-15.3*c.kettleL, c.kettleL, c.rawG
		}), sessiontest.Dawn, planner.AsGiven, planner.Quick)).In(t)
		text := strings.Join(o.Cautions, "; ")
		if !strings.Contains(text, "tap and kettle can't do it; it takes ") || strings.Contains(text, "a bath of ") != c.told {
			t.Errorf("a kettle of %g L, %g g: %s", c.kettleL, c.rawG, text)
		}
	}
}

// A rinse of the tap's own water after a rinse of it takes no cold water because the
// shed is cold or the tub has no lid.
func TestRinseOfColdShedTakesNoColdWater(t *testing.T) {
	for name, change := range map[string]func(p *shed.Plan){
		"cold shed": func(p *shed.Plan) { p.Kit.RoomC, p.Kit.ColdTapC = 4, 5 },
		"no cover":  func(p *shed.Plan) { p.Kit.Tubs[0].Cover = 0 },
	} {
		r := sessiontest.Start(t, sessiontest.OneTub(change)).Until(0, shed.ToFill)
		for i := 0; r.Day.Tubs[0].Batch != "" && i < 12; i++ {
			f, s := r.Day.Fill(0), r.Day.Tubs[0].Step()
			if s.Kind == shed.Rinse && r.Day.Tubs[0].LastLiftC < r.Day.Plan.Kit.HotTapC && f.Pour.ColdL > 0 {
				t.Errorf("%s: %s takes %.2f L of cold water, %.1f °C after a lift at %.1f °C", name, s.Name, f.Pour.ColdL, f.WaterC, r.Day.Tubs[0].LastLiftC)
			}
			if !s.Kind.IsBath() {
				break
			}
			r.Until(0, shed.Soaking).Wait(s.SoakMin).Next(0).Next(0)
		}
	}
}
