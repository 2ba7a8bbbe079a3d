package compare

import (
	"errors"
	"math"
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"

	"fleece.example/tubside/cooling"
	"fleece.example/tubside/session"
	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/lookback"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/sessiontest"
	"fleece.example/tubside/session/shed"
)

// An invented day whose figures are worked out by hand: a batch with one wash, whose bath was
// read at the lift.
func TestMeasuresByHand(t *testing.T) {
	p := sessiontest.ManyBatches(1, 1)
	p.Kit.ColdTapC = 10
	steps := p.Method.Steps
	wash := slices.IndexFunc(steps, func(s shed.Step) bool { return s.HasRelease() })
	p.Method.Steps = []shed.Step{steps[wash], steps[len(steps)-1]}
	r := sessiontest.Start(t, p)
	r.Until(0, shed.Soaking)
	r.Do(session.TopUp{VolumeL: 1, TempC: 60})
	r.Wait(15)
	r.Do(session.TakeReading{TempC: 52.5, Sure: true})
	r.Do(session.DoNext{Act: shed.Lift, Sooner: true})
	r.Rack(0)
	r.Do(session.EndDay{Anyway: true})
	all := MeasuresOf(r.Day)
	if len(all) != 1 {
		t.Fatalf("%d batches", len(all))
	}
	b, w := r.Day.Baths[0], all[0]
	// Heat over the cold tap's: litres, kg a litre and kJ/(kg K) at that temperature (water at
	// 60 to 66 °C: 0.983, 4.185; steam tables, from memory).
	kWh := (b.VolumeL*0.981*4.187*(b.FillC-10) + 1*0.983*4.185*50) / 3600
	for _, x := range []struct {
		what      string
		got, want float64
		within    float64
	}{
		{"margin", w.MarginC, 3.5, 1e-9}, {"minutes", w.SoakedMin, b.LiftedAt.Sub(b.SunkAt).Minutes(), 1e-9}, {"litres", w.WaterL, b.VolumeL + 1, 1e-9},
		{"kWh", w.HeatKWh, kWh, 0.01 * kWh}, {"scour", w.ScourML, b.DoseML, 1e-9},
	} {
		if !(math.Abs(x.got-x.want) <= x.within) {
			t.Errorf("%s is %v, not %v", x.what, x.got, x.want)
		}
	}
	if !w.MarginRead || w.Cover != p.Kit.Tubs[0].Cover || w.TubID != r.Day.Plan.Kit.Tubs[0].ID {
		t.Errorf("%+v in %+v", w, p.Kit.Tubs[0])
	}
	if measure.Finite(w.LateMin) {
		t.Errorf("a reading after a pour says that the forecast before it was %v min off", w.LateMin)
	}
}

// A bath that was read half a degree warmer than forecast, where that forecast loses half a
// degree in so many minutes, came so much later.
func TestLateByHand(t *testing.T) {
	r := sessiontest.Start(t, sessiontest.ManyBatches(1, 1))
	for !r.Day.Tubs[0].Step().HasRelease() || r.Day.Tubs[0].Phase != shed.Soaking {
		r.Do(session.DoNext{Act: r.Day.NextAction(0), Sooner: true})
	}
	r.Wait(10)
	h := r.Day.Heat(0)
	nowC, _ := h.At(r.Now)
	thenC, _ := h.At(r.Now.Add(2 * time.Minute))
	r.Do(session.TakeReading{TempC: nowC + 0.5, Sure: true})
	r.Rack(0)
	r.Do(session.EndDay{})
	if got, want := MeasuresOf(r.Day)[0].LateMin, 0.5/((nowC-thenC)/2); math.Abs(got-want) > 0.01*want {
		t.Errorf("it came %v min later, not %v", got, want)
	}
}

func TestWrittenAndRead(t *testing.T) {
	nan := math.NaN()
	all := []Washed{
		{Batch: "A1", TubID: "t1", TubName: "North, by the door; left", Cover: cooling.Film, MarginC: -1.25, MarginRead: true, SoakedMin: 20, LateMin: nan, WaitedMin: 0, WaterL: 31.5, HeatKWh: 1.5, ScourML: 20},
		{Batch: "A2", TubName: "%", MarginC: nan, SoakedMin: nan, LateMin: -3, WaitedMin: nan, WaterL: nan, HeatKWh: nan, ScourML: nan, Powder: true},
	}
	text := written(all)
	got, err := read(text)
	if err != nil || written(got) != text || got[0].TubName != all[0].TubName || got[0].MarginC != -1.25 || !math.IsNaN(got[1].MarginC) {
		t.Errorf("%v: %+v of %s", err, got, text)
	}
	for measures, lacks := range map[string]bool{"": true, none: false, text: false, text + ",7": false, "A1,t1,North,1,4,r,20": true, "A1" + strings.Repeat(",", washedFields): true} {
		if d := (ledger.Summary{EndedAt: time.Unix(1, 0), Measures: measures}); Lacks(d) != lacks {
			t.Errorf("%q lacks measures: %v", measures, !lacks)
		}
	}
	if Lacks(ledger.Summary{}) {
		t.Error("a day that still runs lacks measures")
	}
	if got, err := read(written(nil)); err != nil || got != nil {
		t.Errorf("of none: %v, %v", got, err)
	}
	for _, bad := range []string{"A1", text + ",", strings.Replace(text, "20", "NaN", 1), strings.Replace(text, ",2,", ",9,", 1), strings.Replace(text, "%2C", "%zz", 1)} {
		if got, err := read(bad); err == nil {
			t.Errorf("%s reads as %+v", bad, got)
		}
	}
}

// Three invented days in two tubs, figures by hand.
func TestGroupsByHand(t *testing.T) {
	day := func(id shed.DayID, measures string, rows ...ledger.BatchRow) ledger.Summary {
		at := time.Date(2026, 5, int(id), 8, 0, 0, 0, time.UTC)
		return ledger.Summary{ID: id, StartedAt: at, EndedAt: at.Add(time.Hour), Fleeces: []string{"Bramble", "Curly"}, Method: "m", Measures: measures, Rows: rows}
	}
	days := []ledger.Summary{ // the newest first
		day(3, "A1,t1,North,1,6,r,20,,5,30,1,20,g", ledger.BatchRow{ID: "A1", FleeceID: "f1", RawG: 200, DryG: 90, SunkAt: time.Unix(1, 0), Again: shed.Earlier{Day: 2, Batch: "A1"}}), // with a powder
		day(2, "A1,t1,Old name,1,4,,20,,5,30,1,20,;A2,t1,Old name,1,5,,20,,5,30,1,20,;B1,t2,South,0,2,,20,,5,30,1,20,",
			ledger.BatchRow{ID: "A1", FleeceID: "f1", RawG: 200, DryG: 100}, ledger.BatchRow{ID: "A2", FleeceID: "f1", RawG: 100, DryG: 80}, ledger.BatchRow{ID: "B1", FleeceID: "f2", RawG: 100}),
		day(1, none), {ID: 9, Measures: "A1,t1,North,1,6,r,20,,5,30,1,20,"}, // not ended
	}
	kit := shed.Kit{Names: []shed.MarkName{{Mark: "t1", Name: "Old name"}, {Mark: "t1", Name: "North"}}}
	rows := Rows(days, []shed.Fleece{{ID: "f1", Type: shed.Fine}}, kit)
	figures := func(by By, m Measure) map[string][]float64 {
		out := map[string][]float64{}
		for _, g := range Groups(rows, by, m) {
			out[g.Name] = g.Chart.V
		}
		return out
	}
	for _, x := range []struct {
		by   By
		m    Measure
		want map[string][]float64
	}{
		{ByTub, Margin, map[string][]float64{"North": {4.5, 6}, "South": {2}}},
		{ByFleece, Yield, map[string][]float64{"Bramble": {80.0 / 100, 90.0 / 200}, "Curly": {}}}, // A1 once
		{ByTub, Scour, map[string][]float64{"North": {20}, "South": {20}}},
		{ByCover, Margin, map[string][]float64{"lid": {4.5, 6}, "open": {2}}},
		{ByType, Soaked, map[string][]float64{"fine": {20, 20}, "type not known": {20}}},
		{ByMethod, Water, map[string][]float64{"m": {30, 30}}},
		{ByTub, Late, map[string][]float64{"North": {}, "South": {}}},
	} {
		if got := figures(x.by, x.m); len(got) != len(x.want) {
			t.Errorf("%v of %v: %v", x.m, x.by, got)
		} else {
			for name, want := range x.want {
				if !reflect.DeepEqual(got[name], want) && len(want)+len(got[name]) > 0 {
					t.Errorf("%v of %v, %s: %v, not %v", x.m, x.by, name, got[name], want)
				}
			}
		}
	}
}

// TestTold: what is said of a chart follows its rules.
func TestTold(t *testing.T) {
	w := Words{lookback.Words{Units: measure.Metric, Zone: time.UTC}, shed.Kit{Scour: shed.Scour{PowderGPer100G: 5}}}
	told := func(m Measure, v ...float64) string {
		g := Group{Name: "North", Chart: ChartOf(v, !m.Lopsided())}
		for i, x := range v {
			g.Days = append(g.Days, Point{Day: shed.DayID(i + 1), At: time.Date(2026, 5, i+1, 8, 0, 0, 0, time.UTC), Rows: make([]Row, 1), V: x})
		}
		return strings.Join(w.Tell(g, m), " ")
	}
	eight := []float64{5, 6, 5, 6, 5, 6, 5, 6}
	for _, x := range []struct{ got, has, not string }{
		{told(Margin, eight...), "Nothing unusual. A day outside 2.8 °C to 8.2 °C is unusual. By chance alone 8 days show one 2 % of the time", "Changed"},
		{told(Margin, eight[:7]...), "Too few days to say what is unusual: it takes 8.", "outside"},
		{told(Margin, append(eight, 5, 6, 5, 6, 0)...), "Unusual: Wed 13 May 2026 (0 °C, below the limit).", "Nothing"},
		{told(Margin, append(eight, 9, 10, 9, 10, 9, 10, 9, 10)...), "Changed: the last 8 days all lie above the average, 4 °C more than the days before.", "Nothing"},
		{told(Waited, append(eight, 90)...), "so no limits are drawn", "outside"},
		{told(Margin, append(append(eight, eight...), eight[:4]...)...), "By chance alone 20 days show one 5 % of the time, and up to 46 % where each day is much like the one before.", "Changed"},
		{w.CameOut(cameOut(0, session.FoundClean, session.StillWaxy|session.Soft)), "How 2 of 3 batches came out: clean 1, soft 1, still waxy 1. A fault on Sun 3 May 2026.", ";"},
		{w.CameOut(cameOut(session.StillWaxy, session.StillWaxy, session.StillWaxy, session.FoundClean, session.StillWaxy)), "clean 1. A fault on Tue 5 May 2026; Sun 3 May 2026; Sat 2 May 2026; and 1 before.", "day by day"},
		{w.CameOut(cameOut(session.FoundClean, session.FoundClean)), "How 2 of 2 batches came out: clean 2.", "ault"},
		{told(Yield, 0.5, 0.5, 0.5, 0.5, 0.5, 0.5, 0.5, 0.5), "All days are alike.", "outside"},
		{told(Yield), "no batch is weighed dry yet", "average"},
		{told(Scour, 7.5), "7.5 g on average", "mL"},
	} {
		if !strings.Contains(x.got, x.has) || strings.Contains(x.got, x.not) {
			t.Errorf("it is said: %s\nwith %q, without %q", x.got, x.has, x.not)
		}
	}
}

// cameOut is a group of one batch a day.
func cameOut(found ...session.Found) (g Group) {
	for i, f := range found {
		r := Row{At: time.Date(2026, 5, i+1, 8, 0, 0, 0, time.UTC)}
		r.Out.Found = f
		g.Rows = append(g.Rows, r)
		g.Days = append(g.Days, Point{Rows: []Row{r}})
	}
	return g
}

// Two invented days side by side, figures by hand.
func TestBesideByHand(t *testing.T) {
	at := time.Date(2026, 5, 2, 8, 0, 0, 0, time.UTC)
	a := ledger.Summary{ID: 1, StartedAt: at, EndedAt: at.Add(3 * time.Hour), Fleeces: []string{"Bramble"}, Method: "m", Racked: 2, RawG: 400, DryG: 100, WeighedG: 200, Alarms: 2,
		Measures: "A1,t1,North,1,4,r,20,,10,30,1,20,;A2,t1,North,1,6,r,22,,20,34,1.2,20,", Rows: ledger.BatchRows{{ID: "A1", RawG: 200, DryG: 100}, {ID: "A2", RawG: 200}}}
	b := a
	b.ID, b.StartedAt, b.EndedAt = 2, at.AddDate(0, 0, 1), at.AddDate(0, 0, 1).Add(150*time.Minute)
	b.Measures, b.Rows = "A1,t1,North,1,7.5,r,20,2,4,40,1,20,", ledger.BatchRows{{ID: "A1", RawG: 200}}
	w := Words{Words: lookback.Words{Units: measure.Metric, Zone: time.UTC}}
	pairs, says := w.Beside(a, b)
	rows := map[string]string{}
	for _, p := range pairs {
		rows[p.What] = strings.Join(p.Row()[1:], " | ")
	}
	for what, want := range map[string]string{
		"racked": "2 | 2 | same", "whole day": "3 h | 2 h 30 min | -30 min", "margin": "5 °C | 7.5 °C | +2.5 °C", "all hot washes": "21 min | 20 min | -1 min",
		"forecast": "- | 2 min | -", "yield": "50 % | - | -", "waits": "15 min | 4 min | -11 min", "water": "32 L | 40 L | +8 L", "heat": "1.1 kWh | 1.0 kWh | -0.1 kWh",
	} {
		if rows[what] != want {
			t.Errorf("%s: %s, not %s", what, rows[what], want)
		}
	}
	want := "On Sun 3 May 2026 fleece was lifted 2.5 °C further above the lift-by temperature. On Sun 3 May 2026 a batch waited 11 min less. On Sun 3 May 2026 a batch took 8 L more water. Two days can't tell a change from chance: that takes many."
	if got := strings.Join(says, " "); got != want {
		t.Errorf("it is said: %s", got)
	}
	// A difference is that of the figures beside it, whatever they are rounded from.
	us := w
	us.Units = measure.US
	a.RawG, b.RawG = 10.44*measure.GPerOz, 17.76*measure.GPerOz // shown as 10.4 oz and 1 lb 1.8 oz
	a.Measures, b.Measures = "A1,t1,North,1,4,r,20,,10,36.5,1,20,", "A1,t1,North,1,4,r,20,,10,58,1,20,"
	pairs, _ = us.Beside(a, b)
	for _, p := range pairs {
		rows[p.What] = strings.Join(p.Row()[1:], " | ")
	}
	if got, want := rows["raw"], "10.4 oz | 1 lb 1.8 oz | +7.4 oz"; got != want {
		t.Errorf("raw %s, not %s", got, want)
	}
	if got, want := rows["water"], "9 gal 3 qt | 15 gal 1 qt | +5 gal 2 qt"; got != want {
		t.Errorf("water %s, not %s", got, want)
	}
	b = a
	b.Method, b.Fleeces = "n", []string{"Curly"}
	b.Rows = ledger.BatchRows{{ID: "A2", SunkAt: at.AddDate(0, 0, 1), Again: shed.Earlier{Day: 1, Batch: "A1"}}}
	b.ID, b.StartedAt, b.EndedAt = 2, at.AddDate(0, 0, 1), at.AddDate(0, 0, 1).Add(time.Hour)
	for _, two := range [][2]ledger.Summary{{a, b}, {b, a}} {
		if _, says := w.Beside(two[0], two[1]); !strings.Contains(strings.Join(says, " "), "Not the same fleeces: first "+two[0].Fleeces[0]+", then ") ||
			!strings.Contains(strings.Join(says, " "), "A2 of Sun 3 May 2026 is A1 of Sat 2 May 2026, washed again: its later yield counts.") {
			t.Errorf("it is said: %q", says)
		}
	}
	b.Rows = nil
	if _, says := w.Beside(a, b); len(says) != 4 || !strings.Contains(says[0], "much alike") || !strings.Contains(says[1], "m, then n") || !strings.Contains(says[2], "Curly") {
		t.Errorf("it is said: %q", says)
	}
}

// What a summary of an older version lacks is worked out from its day, and nothing else is read.
func TestFill(t *testing.T) {
	r := sessiontest.Start(t, sessiontest.ManyBatches(1, 1))
	r.Rack(0)
	r.Do(session.EndDay{})
	want := Summarise(1, r.Day)
	old := ledger.Summarise(1, r.Day)
	j := oneDay{day: r.Day}
	rowless := want
	rowless.Rows = nil
	days := []ledger.Summary{old, want, {ID: 3}, rowless}
	if err := Fill(&j, days); err != nil || days[0].Measures != want.Measures || want.Measures == "" || j.read != 2 || len(days[3].Rows) != 1 {
		t.Errorf("%v: %q, not %q; %d days were read", err, days[0].Measures, want.Measures, j.read)
	}
	days = []ledger.Summary{{ID: 9, EndedAt: old.EndedAt}, old}
	if err := Fill(&j, days); err == nil || !strings.Contains(err.Error(), "day 9") || days[1].Measures != want.Measures {
		t.Errorf("a day that does not read: %v, and the next one has %q", err, days[1].Measures)
	}
}

// oneDay is a journal of day 1.
type oneDay struct {
	ledger.Journal
	day  session.Day
	read int
}

func (j *oneDay) Day(id shed.DayID) (session.Day, error) {
	if id != 1 {
		return session.Day{}, errors.New("it is not there")
	}
	j.read++
	return j.day, nil
}

// Two invented batches after each other in one tub, with two washes each: the least margin, the
// minutes and scour of both, and the wait of the first one's fleece, not that of the raw second.
func TestTwoWashesByHand(t *testing.T) {
	waited := func(min float64) (Washed, session.Day) {
		p := sessiontest.ManyBatches(2, 1)
		steps := p.Method.Steps
		wash := steps[slices.IndexFunc(steps, func(s shed.Step) bool { return s.HasRelease() })]
		again := wash
		again.Name = "wash again"
		p.Method.Steps = []shed.Step{wash, again, steps[len(steps)-1]}
		r := sessiontest.Start(t, p)
		lifts := 0
		for !r.Day.AllRacked() {
			act := r.Day.NextAction(0)
			if act == shed.Lift {
				r.Wait(10 + 2*float64(lifts%2))
				r.Do(session.TakeReading{TempC: []float64{52.5, 50.5, 55, 56}[lifts], Sure: true})
				lifts++
			}
			r.Do(session.DoNext{Act: act, Sooner: true})
			if act == shed.Lift && lifts == 1 {
				r.Wait(min)
			}
		}
		r.Do(session.EndDay{})
		all := MeasuresOf(r.Day)
		if len(all) != 2 || all[1].MarginC != 6 || all[1].WaitedMin > 5 {
			t.Fatalf("%+v", all)
		}
		return all[0], r.Day
	}
	w, d := waited(20)
	if w.MarginC != 1.5 || math.Abs(w.SoakedMin-22) > 1e-9 || w.ScourML != d.Baths[0].DoseML+d.Baths[1].DoseML || d.Baths[0].DoseML == 0 || d.Baths[1].DoseML == 0 {
		t.Errorf("%+v", w)
	}
	if more, _ := waited(33); math.Abs(more.WaitedMin-w.WaitedMin-13) > 0.01 || w.WaitedMin < 10 {
		t.Errorf("it waited %v min; with 13 min more %v", w.WaitedMin, more.WaitedMin)
	}
}
