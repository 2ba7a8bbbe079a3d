package session_test

import (
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"

	"fleece.example/tubside/cooling"
	"fleece.example/tubside/session"
	"fleece.example/tubside/session/measure"
)

// coolTap is North with a tap at 35 °C and no kettle: the bath would be far below
// the release temperature.
func coolTap(p *session.Plan) { p.Kit.HotTapC, p.Kit.Kettle = 35, session.Kettle{} }

// figureAfter is the first figure after some words, -1 without them.
func figureAfter(text, words string) float64 {
	m := regexp.MustCompile(regexp.QuoteMeta(words) + ` ([0-9.]+)`).FindStringSubmatch(text)
	if m == nil {
		return -1
	}
	v, _ := strconv.ParseFloat(m[1], 64)
	return v
}

// A bath that cannot wash is not to be filled: the coach says so before anything
// is poured, and each way out that it names, done, really is one.
func TestNeverToldToFillABathThatCannotWash(t *testing.T) {
	for name, kit := range map[string]func(*session.Plan){
		"a cool tap":           coolTap,
		"a cool tap, a kettle": func(p *session.Plan) { p.Kit.HotTapC, p.Kit.Kettle.CapacityL = 35, 0.5 },
		"a usual tap":          func(p *session.Plan) { p.Kit.Kettle = session.Kettle{} },
		"a usual tap, US units": func(p *session.Plan) {
			p.Kit.Kettle, p.Kit.Units, p.Kit.JugL = session.Kettle{}, measure.US, measure.LPerUSCup
		},
		"a tap that begins too low": func(p *session.Plan) { p.Kit.HotTapC, p.Kit.Kettle = 58, session.Kettle{} },
		"poured exactly":            func(p *session.Plan) { coolTap(p); p.Kit.JugL = 0 },
		"a wash from the hot tap":   func(p *session.Plan) { p.Kit.HotTapC = 45; p.Method.Steps[1].Water = session.FromHot },
		"high up":                   func(p *session.Plan) { coolTap(p); p.Kit.AltitudeM = 3000 },
	} {
		t.Run(name, func(t *testing.T) {
			r := start(t, oneTub(kit))
			p := r.day.Prompt(0, r.now)
			text := details(p)
			if !p.Stopped() || !strings.Contains(p.Title, "do not fill") || strings.Contains(text, "stir in") || strings.Contains(text, "keep the soak short") {
				t.Fatalf("%+v", p)
			}
			plain(t, text)
			tried := 0
			with := func(way string, change func(*session.Kit)) {
				tried++
				k := r.day.Plan.Kit
				k.Tubs = append([]session.Tub(nil), k.Tubs...)
				change(&k)
				day, _, err := session.Do(r.day, session.ChangeKit{Kit: k}, r.now)
				if err != nil {
					t.Fatalf("%s: %v", way, err)
				}
				if p := day.Prompt(0, r.now); p.Stopped() {
					t.Errorf("%s does not do: %q", way, details(p))
				}
			}
			u := r.day.Plan.Kit.Units
			if v := figureAfter(text, "raise the tank to"); v > 0 {
				c, _ := u.ParseTempC(strconv.FormatFloat(v, 'f', -1, 64))
				with("a hotter tank", func(k *session.Kit) { k.HotTapC = c })
			}
			if v := figureAfter(text, "boil"); v > 0 { // three boils of a kettle that gives it
				l := session.PourLitres(text, "boil ", r.day.Plan.Kit)
				with("boiling", func(k *session.Kit) { k.Kettle = session.Kettle{CapacityL: l, PowerW: 2200} })
			}
			if v := figureAfter(text, "fill no more than"); v > 0 {
				l := session.PourLitres(text, "fill no more than ", r.day.Plan.Kit)
				with("a smaller bath", func(k *session.Kit) { k.Tubs[0].FillL = l })
			}
			if tried == 0 {
				t.Errorf("no way out: %q", text)
			}
			_, err := session.PlanAhead(oneTub(kit), dawn, session.AsGiven, session.Quick)
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
	for _, p := range start(t, threeTubs()).day.Prompts(dawn) {
		if p.Stopped() {
			t.Errorf("%+v", p)
		}
	}
}

// A tank that the day has drained: the coach says how long to wait, another tub
// has its turn meanwhile, and after the wait the bath can be filled.
func TestWaitsForTheTank(t *testing.T) {
	r := start(t, threeTubs(func(p *session.Plan) {
		p.Kit.Kettle, p.Kit.HotTapC, p.Kit.Tank = session.Kettle{}, 62, session.Tank{VolumeL: 10, HeaterW: 3000}
		p.Batches[0].Presoak, p.Batches[1].Presoak = session.PresoakNone, session.PresoakNone
	}))
	if p := r.day.Prompt(1, r.now); p.Stopped() {
		t.Fatalf("a full tank: %+v", p)
	}
	r.next(0)
	p := r.day.Prompt(1, r.now)
	wait := figureAfter(details(p), "wait")
	if !p.Stopped() || wait < 2 || p.Rank != session.Coming {
		t.Fatalf("after North has drawn 8 of 10 L: %+v", p)
	}
	if first := r.day.Prompts(r.now)[0]; first.Tub == 1 {
		t.Errorf("it holds the others up: %+v", first)
	}
	near(t, "due when the tank is ready", p.DueAt.Sub(r.now).Minutes(), wait, 1e-6)
	tt, err := r.day.Timetable(r.now, session.Quick)
	if err != nil {
		t.Fatal(err)
	}
	for _, piece := range tt.Pieces {
		if piece.Tub == 1 && piece.Start.Sub(r.now).Minutes() < wait-1e-6 {
			t.Errorf("the timetable begins %v at South after %v", piece.Acts, piece.Start.Sub(r.now))
			break
		}
	}
	if at := r.now.Add(ago(wait - 1)); !r.day.Prompt(1, at).Stopped() {
		t.Error("a minute less would have done")
	}
	r.now = r.now.Add(ago(wait))
	if p = r.day.Prompt(1, r.now); p.Stopped() {
		t.Errorf("waited %g min for nothing: %+v", wait, p)
	}
	r.next(1)
	if got := r.day.Tubs[1].Bath; got.FillC < 59.5 || got.HotL <= 0 {
		t.Errorf("filled with %+v", got)
	}
}

// A soak made shorter by hand is what its bath has to last.
func TestShorterSoakMayBeFilled(t *testing.T) {
	r := start(t, oneTub(func(p *session.Plan) {
		p.Kit.Tubs[0] = session.Tub{Name: "Pan", CapacityL: 2.5, FillL: 1.5, Shape: cooling.Shallow, Cover: cooling.Open}
		p.Kit.RoomC, p.Batches[0].RawG = 0, 40
	}))
	if p := r.day.Prompt(0, r.now); !p.Stopped() || p.Title != "do not fill, cools too fast" || !strings.Contains(details(p), "lid on it lasts") {
		t.Fatalf("%+v", p)
	}
	r.do(session.AdjustSoak{ByMin: -13})
	if p := r.day.Prompt(0, r.now); p.Stopped() {
		t.Errorf("%+v", p)
	}
}

// In the running day such a bath is a problem of the timetable that is said
// first, and what the other tubs need is planned all the same.
func TestTimetableSaysWhatCannotWash(t *testing.T) {
	r := start(t, threeTubs(func(p *session.Plan) { p.Batches = append(p.Batches, session.Batch{FleeceID: "f1", RawG: 200}) }))
	r.next(0, 0)
	k := r.day.Plan.Kit
	k.HotTapC, k.Kettle = 35, session.Kettle{}
	r.do(session.ChangeKit{Kit: k})
	tt, err := r.day.Timetable(r.now, session.Quick)
	if err != nil || len(tt.Pieces) == 0 {
		t.Fatalf("%d pieces, %v", len(tt.Pieces), err)
	}
	if len(tt.Problems) == 0 || !strings.Contains(tt.Problems[0], "too cool to wash") {
		t.Errorf("%q", tt.Problems)
	}
	for _, text := range tt.Problems {
		plain(t, text)
	}
}

// A plan whose tank runs low says the bath that cannot wash before all else.
func TestPlanSaysTheColdBathFirst(t *testing.T) {
	p := manyBatches(6, 3)
	p.Kit.Kettle, p.Kit.HotTapC, p.Kit.Tank = session.Kettle{}, 62, session.Tank{VolumeL: 10, HeaterW: 1500}
	p.Kit.Trays = []session.Tray{{Name: "top", Places: 1}}
	o, err := session.PlanAhead(p, dawn, session.AsGiven, session.Quick)
	if err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(o.Cautions[0], "too cool to wash") || !strings.Contains(o.Cautions[0], "wait ") {
		t.Errorf("first is %q", o.Cautions[0])
	}
}

// What waits for a bath that cannot be filled is not told to fill it.
func TestWetFleeceAlarmDoesNotSayFill(t *testing.T) {
	r := start(t, oneTub(coolTap, func(p *session.Plan) { p.Batches[0].Presoak = session.PresoakQuick }))
	r.until(0, session.ToFill).next(0).next(0)
	r.now = r.now.Add(6 * time.Minute)
	r.until(0, session.ToFill).wait(46)
	calls := r.day.Calls(r.now, session.AlarmSettings{}, 0)
	if len(calls) != 1 || calls[0].Kind != session.WetWaiting || strings.Contains(calls[0].Do, "fill the next bath and") {
		t.Errorf("%+v", calls)
	}
}
