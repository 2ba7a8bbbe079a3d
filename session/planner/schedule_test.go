package planner_test

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"fleece.example/tubside/cooling"
	"fleece.example/tubside/session"
	"fleece.example/tubside/session/long"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/must"
	"fleece.example/tubside/session/planner"
	"fleece.example/tubside/session/sessiontest"
	"fleece.example/tubside/session/shed"
)

// drawPlan is a random day: fleeces with much and little wax, locks and loose,
// all covers, with and without a kettle.
func drawPlan(t *rapid.T, most int) shed.Plan {
	p := sessiontest.ManyBatches(rapid.IntRange(1, most).Draw(t, "batches"), rapid.IntRange(1, 4).Draw(t, "tubs"))
	p.Fleeces = append(p.Fleeces, shed.Fleece{ID: "g", Animal: "Invented too", Wax: shed.High, RawG: 20000})
	for i := range p.Batches {
		p.Batches[i].FleeceID = rapid.SampledFrom([]string{"f", "g"}).Draw(t, "fleece")
		p.Batches[i].Form = shed.Form(rapid.IntRange(0, 1).Draw(t, "form"))
		p.Batches[i].Presoak = shed.PresoakChoice(rapid.IntRange(0, 2).Draw(t, "presoak"))
		p.Batches[i].RawG = float64(rapid.IntRange(40, 225).Draw(t, "grams"))
	}
	for i := range p.Kit.Tubs {
		p.Kit.Tubs[i].Cover = cooling.Cover(rapid.IntRange(0, 3).Draw(t, "cover"))
	}
	if rapid.Bool().Draw(t, "a wide kettle") {
		p.Kit.Kettle = shed.Kettle{CapacityL: 3, PowerW: 3000}
	}
	p.Kit.Tank = shed.Tank{VolumeL: rapid.Float64Range(0, 200).Draw(t, "tank"), HeaterW: 3000}
	return p
}

// soundTimetable holds a timetable to the day it is of: one person, one batch
// in a tub, soaks within their limits, washes out before the early bound.
func soundTimetable(t interface{ Fatalf(string, ...any) }, d session.Day, tt planner.Timetable) {
	var hands []planner.Piece
	boils := []planner.Piece{}
	for _, p := range tt.Pieces {
		if p.Boil() {
			boils = append(boils, p)
		} else {
			hands = append(hands, p)
		}
	}
	for i := 1; i < len(hands); i++ {
		if hands[i].Start.Before(hands[i-1].End) {
			t.Fatalf("the person is at %s until %v and at %s from %v", hands[i-1].Batch, hands[i-1].End, hands[i].Batch, hands[i].Start)
		}
	}
	for i := 1; i < len(boils); i++ {
		if boils[i].Start.Before(boils[i-1].End) {
			t.Fatalf("the kettle boils for %s until %v and for %s from %v", boils[i-1].Batch, boils[i-1].End, boils[i].Batch, boils[i].Start)
		}
	}
	from, to, tub := map[string]time.Time{}, map[string]time.Time{}, map[string]int{}
	for _, p := range hands {
		if was, seen := tub[p.Batch]; seen && was != p.Tub {
			t.Fatalf("%s is in tubs %d and %d", p.Batch, was, p.Tub)
		}
		tub[p.Batch] = p.Tub
		if from[p.Batch].IsZero() {
			from[p.Batch] = p.Start
		}
		to[p.Batch] = p.End
	}
	if len(tub) != len(d.Plan.Batches) {
		t.Fatalf("%d of %d batches are in the timetable", len(tub), len(d.Plan.Batches))
	}
	for a := range tub {
		for b := range tub {
			if a != b && tub[a] == tub[b] && from[a].Before(to[b]) && from[b].Before(to[a]) {
				t.Fatalf("%s and %s are in tub %d at once", a, b, tub[a])
			}
		}
	}
	late := len(tt.Late()) > 0
	for _, s := range tt.Soaks {
		m := s.End.Sub(s.Start).Minutes()
		if m < min(s.Step.ShortestMin, s.Step.SoakMin)-0.02 {
			t.Fatalf("%s of %s soaks %.1f min, shortest %g", s.Step.Name, s.Batch, m, s.Step.ShortestMin)
		}
		if !late && s.Step.LongestMin > 0 && m > s.Step.LongestMin+0.02 {
			t.Fatalf("%s of %s soaks %.1f min, longest %g", s.Step.Name, s.Batch, m, s.Step.LongestMin)
		}
		if !late && !s.Release.IsZero() && s.End.After(s.Release) {
			t.Fatalf("%s of %s ends %v after its release", s.Step.Name, s.Batch, s.End.Sub(s.Release))
		}
	}
	takes := d.Plan.HandsMin()
	for _, p := range tt.Pieces {
		given, sum := p.End.Sub(p.Start).Minutes(), 0.0
		for i, act := range p.Acts {
			if sum += takes[act]; p.ActMin[i] != takes[act] {
				t.Fatalf("%s is given %g min, the hands take %g", act, p.ActMin[i], takes[act])
			}
		}
		const rounded = 0.5/60 + 1e-6
		if bath, ok := tt.BathOf(p); p.Boil() && !p.On && ok && given < bath.BoilMin-rounded {
			t.Fatalf("%s for %s is given %g min, the kettle takes %g", p.Words(&d.Plan.Kit), p.Batch, given, bath.BoilMin)
		}
		if !p.Boil() && math.Abs(given-sum) > rounded {
			t.Fatalf("%s of %s is given %g min, the hands take %g", p.Words(&d.Plan.Kit), p.Batch, given, sum)
		}
	}
	if tt.Finish.Before(tt.Bound) {
		t.Fatalf("finishes at %v, before its bound %v", tt.Finish, tt.Bound)
	}
}

func TestTimetableIsSound(t *testing.T) {
	t.Parallel()
	long.Check(t, 12, func(t *rapid.T) {
		o, err := planner.PlanAhead(drawPlan(t, 7), sessiontest.Dawn, planner.Order(rapid.IntRange(0, 1).Draw(t, "order")), planner.Effort(rapid.IntRange(0, 1).Draw(t, "effort")))
		if err != nil {
			if !strings.Contains(err.Error(), "cools too fast to wash") {
				t.Fatal(err)
			}
			return
		}
		d, _ := must.Get2(session.Do(session.Day{}, session.StartDay{Plan: o.Plan}, sessiontest.Dawn)).In(t)
		soundTimetable(t, d, o.Timetable)
		if s := o.Sums; s.WaterL <= 0 || math.Abs(s.WaterL-s.HotL-s.ColdL-s.KettleL) > 1e-6 || math.IsNaN(s.Cost) {
			t.Fatalf("sums %+v", s)
		}
	})
}

// follow does what a timetable says, at its times, until it is through.
func follow(t interface{ Fatalf(string, ...any) }, d session.Day, tt planner.Timetable) (session.Day, time.Time) {
	type deed struct {
		at  time.Time
		cmd session.DoNext
		on  session.TellKettle
	}
	var deeds []deed
	for _, p := range tt.Pieces {
		at := p.Start
		if p.Boil() && !p.On {
			deeds = append(deeds, deed{at: at, on: session.TellKettle{Tub: p.Tub, Batch: p.Batch}})
		}
		for i, act := range p.Acts {
			at = at.Add(time.Duration(p.ActMin[i] * float64(time.Minute)))
			deeds = append(deeds, deed{at: at, cmd: session.DoNext{Tub: p.Tub, Act: act, Batch: p.Batch}})
		}
	}
	slices.SortStableFunc(deeds, func(a, b deed) int { return a.at.Compare(b.at) })
	for _, x := range deeds {
		if x.cmd.Act != shed.LoadNext {
			x.cmd.Batch = ""
		}
		d, _ = session.Tick(d, x.at)
		if x.on.Batch != "" {
			if next, _, err := session.Do(d, x.on, x.at); err == nil {
				d = next
			}
			continue
		}
		next, _, err := session.Do(d, x.cmd, x.at)
		if err != nil {
			t.Fatalf("%v at %v in %d: %v", x.cmd.Act, x.at.Sub(tt.From), x.cmd.Tub, err)
		}
		d = next
	}
	return d, d.LastAt
}

// A day that follows its own timetable ends within a minute of the finish that
// was forecast, with no wash ever below its release temperature.
func TestFollowedTimetableKeepsItsWord(t *testing.T) {
	t.Parallel()
	long.Check(t, 30, func(t *rapid.T) {
		o, err := planner.PlanAhead(drawPlan(t, 7), sessiontest.Dawn, planner.AsGiven, planner.Quick)
		if err != nil {
			return
		}
		d, _ := must.Get2(session.Do(session.Day{}, session.StartDay{Plan: o.Plan}, sessiontest.Dawn)).In(t)
		tt := must.Get(planner.Schedule(d, sessiontest.Dawn, planner.Quick)).In(t)
		end, at := follow(t, d, tt)
		if !end.AllRacked() {
			t.Fatalf("not all is racked")
		}
		if off := at.Sub(tt.Finish); off.Abs() > time.Minute {
			t.Fatalf("ends at %v, forecast %v", at.Sub(sessiontest.Dawn), tt.Finish.Sub(sessiontest.Dawn))
		}
		for _, a := range end.AlarmLog {
			if a.Kind == session.BelowRelease && len(tt.Late()) == 0 {
				t.Fatalf("a wash fell below its release temperature: %+v", a)
			}
		}
	})
}

// After every event of a day that does not go as planned the rest is planned
// anew, and the new timetable is sound as well.
func TestReplannedAsItGoes(t *testing.T) {
	t.Parallel()
	long.Check(t, 5, func(t *rapid.T) {
		d, _ := must.Get2(session.Do(session.Day{}, session.StartDay{Plan: drawPlan(t, 3)}, sessiontest.Dawn)).In(t)
		now := sessiontest.Dawn
		for !d.AllRacked() {
			tt, err := planner.Schedule(d, now, planner.Quick)
			if err != nil {
				if !strings.Contains(err.Error(), "cools too fast to wash") {
					t.Fatal(err)
				}
				return
			}
			i := slices.IndexFunc(tt.Pieces, func(p planner.Piece) bool { return !p.Boil() })
			if i < 0 {
				t.Fatalf("work is left and the timetable has none: %+v", tt)
			}
			p := tt.Pieces[i]
			if p.Start.After(now) {
				now = p.Start
			}
			now = now.Add(time.Duration(rapid.IntRange(10, 900).Draw(t, "takes")) * time.Second)
			d, _ = session.Tick(d, now)
			c := session.DoNext{Tub: p.Tub, Act: p.Acts[0], Sooner: true}
			if p.Acts[0] == shed.LoadNext {
				c.Batch = p.Batch
			}
			if d, _, err = session.Do(d, c, now); err != nil {
				t.Fatalf("%+v: %v", c, err)
			}
		}
	})
}

// One more tub never makes the best day longer, where both are proven best.
func TestMoreTubsNeverLater(t *testing.T) {
	long.Check(t, 30, func(t *rapid.T) {
		p := sessiontest.ManyBatches(rapid.IntRange(1, 3).Draw(t, "batches"), 3)
		for i := range p.Kit.Tubs { // alike, so that the first ones do not decide it
			p.Kit.Tubs[i] = p.Kit.Tubs[0]
			p.Kit.Tubs[i].ID, p.Kit.Tubs[i].Name = "", fmt.Sprint("Tub ", i)
		}
		var last planner.WithTubs
		o := must.Get(planner.PlanAhead(p, sessiontest.Dawn, planner.AsGiven, planner.Thorough)).In(t)
		for _, w := range planner.CompareTubs(o, sessiontest.Dawn, planner.AsGiven, nil) {
			if w.Problem != "" {
				t.Fatal(w.Problem)
			}
			if last.Proven && w.Proven && w.Finish.After(last.Finish) {
				t.Fatalf("%d tubs end at %v, %d at %v", len(last.Tubs), last.Finish, len(w.Tubs), w.Finish)
			}
			last = w
		}
	})
}

// A bath that does not last its shortest soak: the sentence has the figures,
// and what would do it.
func TestBathThatDoesNotLast(t *testing.T) {
	p := sessiontest.ManyBatches(2, 1)
	p.Kit.Tubs[0] = shed.Tub{Name: "Pan", CapacityL: 2.5, FillL: 1.5, Shape: cooling.Shallow, Cover: cooling.Open}
	p.Kit.RoomC = 10
	_, err := planner.PlanAhead(p, sessiontest.Dawn, planner.AsGiven, planner.Quick)
	if err == nil || !strings.Contains(err.Error(), "A1's hot wash in Pan cools too fast to wash, ") || !strings.Contains(err.Error(), "perhaps 49 °C after") || !strings.Contains(err.Error(), "before soak and lift are over") {
		t.Fatalf("%v", err)
	}
	if !strings.Contains(err.Error(), "lid on it lasts") {
		t.Errorf("no way out of it: %v", err)
	}
	p.Kit = shed.DefaultKit()
	p.Kit.Kettle = shed.Kettle{}
	if _, err = planner.PlanAhead(p, sessiontest.Dawn, planner.AsGiven, planner.Quick); err == nil || !strings.Contains(err.Error(), "hot wash in North is too cool to wash, 50 °C with the fleece in, and wax sets below 49 °C: raise the tank to 61 °C, or boil 2 L in pans") {
		t.Errorf("without a kettle: %v", err)
	}
	// Beside a tub that lasts, it is left to the tub that lasts.
	p = sessiontest.ManyBatches(4, 2)
	pan := shed.Tub{Name: "Pan", CapacityL: 2.5, FillL: 1.5, Shape: cooling.Shallow, Cover: cooling.Open}
	p.Kit.Tubs = append(p.Kit.Tubs, pan)
	p.Kit.RoomC = 0
	for i := range p.Batches { // little enough to open out in it
		p.Batches[i].RawG = 40
	}
	d, _ := must.Get2(session.Do(session.Day{}, session.StartDay{Plan: p}, sessiontest.Dawn)).In(t)
	tt := must.Get(planner.Schedule(d, sessiontest.Dawn, planner.Quick)).In(t)
	for _, piece := range tt.Pieces {
		if piece.Tub == 2 && piece.Batch == "A4" {
			t.Errorf("A4 is washed in the pan")
		}
	}
}

// What an outlook says of a day that asks too much.
func TestOutlookCautions(t *testing.T) {
	p := sessiontest.ManyBatches(6, 3)
	for i := range p.Batches {
		p.Batches[i].RawG = 300
	}
	p.Kit.Trays = []shed.Tray{{Name: "top", Places: 2}, {Name: "low", Places: 2}}
	p.Kit.Kettle = shed.Kettle{CapacityL: 0.8, PowerW: 1000}
	p.Kit.Tank = shed.Tank{VolumeL: 30, HeaterW: 200}
	o := must.Get(planner.PlanAhead(p, sessiontest.Dawn, planner.AsGiven, planner.Quick)).In(t)
	text := strings.Join(o.Cautions, "\n")
	for _, says := range []string{
		"the rack has room for 4 batches, the plan has 6: wash 4 today",
		"A1, A2, A3, A4, A5 and A6 won't open out in their tubs: take 60 g out of each",
	} {
		if !strings.Contains(text, says) {
			t.Errorf("%q is missing from:\n%s", says, text)
		}
	}
}

// The cost is water, energy and scour at their prices; without a price there
// is none. Reckoned here from the baths themselves.
func TestSums(t *testing.T) {
	p := sessiontest.ManyBatches(1, 1)
	p.Kit.Prices = shed.Prices{PerM3: 4, PerKWh: 0.5, PerLScour: 20, MoneyWords: "EUR"}
	o, err := planner.PlanAhead(p, sessiontest.Dawn, planner.AsGiven, planner.Quick)
	if err != nil {
		t.Fatal(err)
	}
	s := o.Sums
	sessiontest.Near(t, "water", s.WaterL, 8+7.9+7.5+7.25, 1e-9)
	sessiontest.Near(t, "scour", s.ScourML, 2.5, 1e-9) // 2.7 mL, in quarters of a spoon
	// 3 L of the tap's 51 °C to 100 °C at 85 %: m c dT/eta.
	sessiontest.Near(t, "kettle", s.KettleKWh, s.KettleL*0.9876*4.19*49/0.85/3600, 0.005)
	sessiontest.Near(t, "tank", s.TankKWh, (s.HotL+s.KettleL)*0.9876*4.18*39/3600, 0.01)
	sessiontest.Near(t, "cost", s.Cost, s.WaterL*0.004+(s.TankKWh+s.KettleKWh)*0.5+s.ScourML*0.02, 1e-9)
	if got := s.CostText(p.Kit); !strings.HasSuffix(got, " EUR") {
		t.Errorf("shown as %q", got)
	}
	p.Kit.Prices = shed.Prices{}
	p.Kit.Units = measure.US
	if o, err = planner.PlanAhead(p, sessiontest.Dawn, planner.AsGiven, planner.Quick); err != nil || o.Sums.HasCost {
		t.Errorf("a cost without a price: %+v, %v", o.Sums, err)
	}
}

// The table of fewer tubs takes those that do best: with a tub that is used for
// nothing one tub fewer is done as soon.
func TestFewerTubsAreTheBest(t *testing.T) {
	p := sessiontest.ManyBatches(2, 3)
	p.Kit.Tubs[1].CapacityL, p.Kit.Tubs[1].FillL = 3, 2 // too small to open out in
	p.Kit.Tubs[2].CapacityL, p.Kit.Tubs[2].FillL = 10, 8
	p.Batches[0].RawG, p.Batches[1].RawG = 150, 150
	o := must.Get(planner.PlanAhead(p, sessiontest.Dawn, planner.AsGiven, planner.Quick)).In(t)
	rows := planner.CompareTubs(o, sessiontest.Dawn, planner.AsGiven, nil)
	if len(rows) != 3 || !rows[1].Finish.Equal(rows[2].Finish) || !rows[1].Finish.Before(rows[0].Finish) {
		t.Errorf("with 1, 2, 3 tubs done at %v, %v, %v", rows[0].Finish, rows[1].Finish, rows[2].Finish)
	}
}
