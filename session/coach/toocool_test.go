package coach_test

import (
	"slices"
	"strconv"
	"strings"
	"testing"

	"fleece.example/tubside/cooling"
	"fleece.example/tubside/session"
	"fleece.example/tubside/session/coach"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/must"
	"fleece.example/tubside/session/planner"
	"fleece.example/tubside/session/sessiontest"
	"fleece.example/tubside/session/shed"
)

// coolTap is North with a tap at 35 °C and no kettle: the bath would be far below
// the release temperature.
func coolTap(p *shed.Plan) { p.Kit.HotTapC, p.Kit.Kettle = 35, shed.Kettle{} }

// A bath that cannot wash is not to be filled: the coach says so before anything
// is poured, and each way out that it names, done, really is one.
func TestNeverToldToFillABathThatCannotWash(t *testing.T) {
	for name, kit := range map[string]func(*shed.Plan){
		"a cool tap":           coolTap,
		"a cool tap, a kettle": func(p *shed.Plan) { p.Kit.HotTapC, p.Kit.Kettle.CapacityL = 35, 0.5 },
		"a usual tap":          func(p *shed.Plan) { p.Kit.Kettle = shed.Kettle{} },
		"a usual tap, US units": func(p *shed.Plan) {
			p.Kit.Kettle, p.Kit.Units, p.Kit.JugL = shed.Kettle{}, measure.US, measure.LPerUSCup
		},
		"a tap that begins too low": func(p *shed.Plan) { p.Kit.HotTapC, p.Kit.Kettle = 58, shed.Kettle{} },
		"poured exactly":            func(p *shed.Plan) { coolTap(p); p.Kit.JugL = 0 },
		"a wash from the hot tap":   func(p *shed.Plan) { p.Kit.HotTapC = 45; p.Method.Steps[1].Water = shed.FromHot },
		"high up":                   func(p *shed.Plan) { coolTap(p); p.Kit.AltitudeM = 3000 },
	} {
		t.Run(name, func(t *testing.T) {
			r := sessiontest.Start(t, sessiontest.OneTub(kit))
			p := coach.PromptAt(r.Day, 0, r.Now)
			text := sessiontest.PromptText(p)
			if !p.Stopped() || !strings.Contains(p.Title, "do not fill") || strings.Contains(text, "stir in") || strings.Contains(text, "keep the soak short") {
				t.Fatalf("%+v", p)
			}
			sessiontest.CheckPlain(t, text)
			plan, err := planner.Schedule(r.Day, r.Now, planner.Quick)
			if err != nil {
				t.Fatal(err)
			}
			day := planner.Planned(r.Day, plan)
			if i := slices.IndexFunc(coach.Next(day, r.Now, plan), func(a coach.NextAct) bool { return a.Boil && a.Tub == 0 }); i >= 0 {
				t.Error("a boil for it is in the list")
			}
			if day, _ = session.Tick(day, r.Now.Add(sessiontest.Minutes(1))); day.FindAlarm(session.KettleNow, 0) >= 0 {
				t.Error("the kettle is called for")
			}
			tried := 0
			with := func(way string, change func(*shed.Kit)) {
				tried++
				k := r.Day.Plan.Kit
				k.Tubs = append([]shed.Tub(nil), k.Tubs...)
				change(&k)
				day, _, err := session.Do(r.Day, session.ChangeKit{Kit: k}, r.Now)
				if err != nil {
					t.Fatalf("%s: %v", way, err)
				}
				if p := coach.PromptAt(day, 0, r.Now); p.Stopped() {
					t.Errorf("%s does not do: %q", way, sessiontest.PromptText(p))
				}
			}
			u := r.Day.Plan.Kit.Units
			if v := sessiontest.FigureAfter(text, "raise the tank to"); v > 0 {
				c, _ := u.ParseTempC(strconv.FormatFloat(v, 'f', -1, 64))
				with("a hotter tank", func(k *shed.Kit) { k.HotTapC = c })
			}
			if v := sessiontest.FigureAfter(text, "boil"); v > 0 { // three boils of a kettle that gives it
				l := sessiontest.PourAfterL(text, "boil ", r.Day.Plan.Kit)
				with("boiling", func(k *shed.Kit) { k.Kettle = shed.Kettle{CapacityL: l, PowerW: 2200} })
			}
			if v := sessiontest.FigureAfter(text, "fill no more than"); v > 0 {
				l := sessiontest.PourAfterL(text, "fill no more than ", r.Day.Plan.Kit)
				with("a smaller bath", func(k *shed.Kit) { k.Tubs[0].FillL = l })
			}
			if tried == 0 {
				t.Errorf("no way out: %q", text)
			}
			_, err = planner.PlanAhead(sessiontest.OneTub(kit), sessiontest.Dawn, planner.AsGiven, planner.Quick)
			if err != nil && !strings.Contains(err.Error(), "too cool to wash") {
				t.Errorf("the plan says %v", err)
			}
			if err != nil && strings.Contains(err.Error(), "after 0 min") {
				t.Errorf("the plan says %v", err)
			}
		})
	}
}

// The coach does not warn of a bath that can wash.
func TestGoodBathIsFilled(t *testing.T) {
	for _, p := range coach.Prompts(sessiontest.Start(t, sessiontest.ThreeTubs()).Day, sessiontest.Dawn) {
		if p.Stopped() {
			t.Errorf("%+v", p)
		}
	}
}

// A tank that the day has drained: the coach says how long to wait, another tub
// has its turn meanwhile, and after the wait the bath can be filled.
func TestWaitsForTheTank(t *testing.T) {
	r := sessiontest.Start(t, sessiontest.ThreeTubs(func(p *shed.Plan) {
		p.Kit.Kettle, p.Kit.HotTapC, p.Kit.Tank = shed.Kettle{}, 62, shed.Tank{VolumeL: 10, HeaterW: 3000}
		p.Batches[0].Presoak, p.Batches[1].Presoak = shed.PresoakNone, shed.PresoakNone
	}))
	if p := coach.PromptAt(r.Day, 1, r.Now); p.Stopped() {
		t.Fatalf("a full tank: %+v", p)
	}
	r.Next(0)
	p := coach.PromptAt(r.Day, 1, r.Now)
	wait := sessiontest.FigureAfter(sessiontest.PromptText(p), "wait")
	if !p.Stopped() || wait < 2 || p.Rank != coach.Coming {
		t.Fatalf("after North has drawn 8 of 10 L: %+v", p)
	}
	if first := coach.Prompts(r.Day, r.Now)[0]; first.Tub == 1 {
		t.Errorf("it holds the others up: %+v", first)
	}
	sessiontest.Near(t, "due when the tank is ready", p.DueAt.Sub(r.Now).Minutes(), wait, 1e-6)
	tt := must.Get(planner.Schedule(r.Day, r.Now, planner.Quick)).In(t)
	for _, piece := range tt.Pieces {
		if piece.Tub == 1 && piece.Start.Sub(r.Now).Minutes() < wait-1e-6 {
			t.Errorf("the timetable begins %v at South after %v", piece.Acts, piece.Start.Sub(r.Now))
			break
		}
	}
	if at := r.Now.Add(sessiontest.Minutes(wait - 1)); !coach.PromptAt(r.Day, 1, at).Stopped() {
		t.Error("a minute less would have done")
	}
	r.Now = r.Now.Add(sessiontest.Minutes(wait))
	if p = coach.PromptAt(r.Day, 1, r.Now); p.Stopped() {
		t.Errorf("waited %g min for nothing: %+v", wait, p)
	}
	r.Next(1)
	if got := r.Day.Tubs[1].Bath; got.FillC < 59.5 || got.HotL <= 0 {
		t.Errorf("filled with %+v", got)
	}
}

// A soak made shorter by hand is what its bath has to last.
func TestShorterSoakMayBeFilled(t *testing.T) {
	r := sessiontest.Start(t, sessiontest.OneTub(func(p *shed.Plan) {
		p.Kit.Tubs[0] = shed.Tub{Name: "Pan", CapacityL: 2.5, FillL: 1.5, Shape: cooling.Shallow, Cover: cooling.Open}
		p.Kit.RoomC, p.Batches[0].RawG = 5, 40
	}))
	if p := coach.PromptAt(r.Day, 0, r.Now); !p.Stopped() || p.Title != "do not fill, cools too fast" || !strings.Contains(sessiontest.PromptText(p), "lid on it lasts") {
		t.Fatalf("%+v", p)
	}
	r.Do(session.AdjustSoak{ByMin: -15})
	if p := coach.PromptAt(r.Day, 0, r.Now); p.Stopped() {
		t.Errorf("%+v", p)
	}
}

// In the running day such a bath is a problem of the timetable that is said
// first, and what the other tubs need is planned all the same.
func TestTimetableSaysWhatCannotWash(t *testing.T) {
	r := sessiontest.Start(t, sessiontest.ThreeTubs(func(p *shed.Plan) { p.Batches = append(p.Batches, shed.Batch{FleeceID: "f1", RawG: 200}) }))
	r.Next(0, 0)
	k := r.Day.Plan.Kit
	k.HotTapC, k.Kettle = 35, shed.Kettle{}
	r.Do(session.ChangeKit{Kit: k})
	tt, err := planner.Schedule(r.Day, r.Now, planner.Quick)
	if err != nil || len(tt.Pieces) == 0 {
		t.Fatalf("%d pieces, %v", len(tt.Pieces), err)
	}
	if len(tt.Problems) == 0 || !strings.Contains(tt.Problems[0], "too cool to wash") {
		t.Errorf("%q", tt.Problems)
	}
	for _, text := range tt.Problems {
		sessiontest.CheckPlain(t, text)
	}
	for _, b := range r.Day.Plan.Batches {
		if !slices.ContainsFunc(tt.Pieces, func(p planner.Piece) bool { return p.Batch == b.ID }) {
			t.Errorf("%s is not in the timetable", b.ID)
		}
	}
}

// A plan whose tank runs low and has no heater says the bath that cannot wash before all else;
// with one the plan waits for it, and asks for no wait beside that.
func TestPlanSaysTheColdBathFirst(t *testing.T) {
	for _, heaterW := range []float64{0, 1500} {
		p := sessiontest.ManyBatches(6, 3)
		p.Kit.Kettle, p.Kit.HotTapC, p.Kit.Tank = shed.Kettle{}, 62, shed.Tank{VolumeL: 10, HeaterW: heaterW}
		p.Kit.Trays = []shed.Tray{{Name: "top", Places: 1}}
		o := must.Get(planner.PlanAhead(p, sessiontest.Dawn, planner.AsGiven, planner.Quick)).In(t)
		if heaterW == 0 && !strings.Contains(o.Cautions[0], "too cool to wash") {
			t.Errorf("first is %q", o.Cautions[0])
		}
		if all := strings.Join(o.Cautions, "\n"); heaterW > 0 && (strings.Contains(all, "too cool to wash") || strings.Contains(all, "wait ")) {
			t.Errorf("it asks for %q", all)
		}
	}
}

// What waits for a bath that cannot be filled is not told to fill it.
func TestWetFleeceAlarmDoesNotSayFill(t *testing.T) {
	r := sessiontest.Start(t, sessiontest.OneTub(coolTap)).Until(0, shed.Soaking).Wait(20)
	r.Next(0, 0).Do(session.RepeatStep{Wash: true}).Wait(46)
	calls := coach.Calls(r.Day, r.Now, session.AlarmSettings{}, 0)
	if len(calls) != 1 || calls[0].Kind != session.WetWaiting || strings.Contains(calls[0].Do, "fill the next bath and") {
		t.Errorf("%+v", calls)
	}
}
