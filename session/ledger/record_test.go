package ledger_test

import (
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/coach"
	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/sessiontest"
	"fleece.example/tubside/session/shed"
)

// The record of an invented fleece, its figures worked by hand.
func TestScriptedRecord(t *testing.T) {
	r := sessiontest.Start(t, sessiontest.RecordPlan()).Until(0, shed.ToRack)
	r.Do(session.WeighWet{Batch: "A1", MassG: 170, Scale: sessiontest.KitchenScale})
	r.Next(0)
	r.Until(0, shed.ToRack).Next(0)
	sessiontest.Same(t, "trays", []string{r.Day.Fate["A1"].Tray, r.Day.Fate["A2"].Tray}, []string{"r1", "r2"})
	r.Do(session.EndDay{})
	r.Now = r.Now.Add(30 * time.Hour)
	r.Do(session.Weigh{Batch: "A1", DryG: 110, Dry: true, Scale: sessiontest.KitchenScale}, session.Weigh{Batch: "A2", DryG: 130, Dry: true, Scale: sessiontest.KitchenScale, RH: 0.65})

	retained, lain, ok := r.Day.Retention("A1")
	if !ok || lain != 0 || retained.Fits != "rollers" {
		t.Errorf("retention %+v, %v, %v", retained, lain, ok)
	}
	sessiontest.Near(t, "water by dry weight", retained.Ratio, 60.0/110, 1e-12)
	if _, _, ok := r.Day.Retention("A2"); ok {
		t.Error("A2 was never weighed spun and has a retention")
	}

	sum := ledger.Summarise(7, r.Day)
	entry := ledger.Book(r.Day.Plan.Fleeces, []ledger.Summary{sum})[0]
	sessiontest.Same(t, "counts", []int{entry.Washed, entry.Drying, entry.Bagged}, []int{2, 0, 2})
	sessiontest.Near(t, "raw left: 1800 - 450", entry.LeftG, 1350, 1e-9)
	sessiontest.Near(t, "yield: 240 / 450", entry.YieldPart(), 240.0/450, 1e-12)

	one, ok, err := ledger.YieldOf([]ledger.BatchRow{ledger.RowOf(r.Day, "A1")}, shed.Medium, r.Day.Plan.Kit.Units)
	if err != nil || !ok || one.TwoScales || one.RegainSure {
		t.Fatalf("A1: %+v, %v, %v", one, ok, err)
	}
	// Half steps of 1/400 and 1/220: 90 % of their sum lies within
	// a + b - sqrt(0.4 a b) = 0.004913, by which 0.55 may be off.
	sessiontest.Near(t, "A1's yield", one.AsWeighed.Likely, 0.55, 1e-12)
	sessiontest.Near(t, "A1's lowest", one.AsWeighed.Low, 0.55*(1-0.0049135), 1e-6)
	sessiontest.Near(t, "A1's highest", one.AsWeighed.High, 0.55*(1+0.0049135), 1e-6)
	sessiontest.Near(t, "A1's loss", one.Losses[0].LossG.Likely, 90, 1e-9)
	if !strings.Contains(one.Usual, "within the usual") {
		t.Errorf("beside the usual range: %s", one.Usual)
	}
	both, _, err := entry.Yield(r.Day.Plan.Kit.Units)
	if err != nil || both.RegainSure { // A1's room is not known
		t.Errorf("both: %+v, %v", both, err)
	}
	rest, ok, err := entry.Rest(r.Day.Plan.Kit.Units)
	if err != nil || !ok || rest.RawG != 1350 || rest.Batches != 2 || !(rest.YieldPart.Low < 0.5334 && rest.YieldPart.High > 0.5333) {
		t.Errorf("the rest: %+v, %v, %v", rest, ok, err)
	}
	sessiontest.CheckReplay(t, r, nil)
}

// Weights that cannot be, or are not likely, are said and change nothing.
func TestUnlikelyWeights(t *testing.T) {
	r := sessiontest.StartWashed(t)
	r.Now = r.Now.Add(time.Hour)
	hanging := shed.Scale{Name: "hanging", StepG: 5}
	for _, row := range []struct {
		c    session.Command
		say  string
		sure bool // it can be insisted on
	}{
		{session.Weigh{Batch: "A1", DryG: 0, Dry: true}, "more than 0", false},
		{session.Weigh{Batch: "A1", DryG: 110000, Dry: true}, "did you mean 110 g", false},
		{session.Weigh{Batch: "A1", DryG: 0.11, Dry: true}, "did you mean 110 g", false},
		{session.Weigh{Batch: "A1", DryG: 201, Dry: true}, "more than the 200 g it weighed raw", false},
		{session.Weigh{Batch: "A1", DryG: 100, Dry: true, RH: 55}, "between 1 and 100 %", false},
		{session.Weigh{Batch: "A1", DryG: 110, Dry: true, RH: 0.059}, "a room at 5.9 %?", true},
		{session.Weigh{Batch: "A1", DryG: 110, Dry: true, RH: 1}, "a room at 100 %?", true},
		{session.Weigh{Batch: "A1", DryG: 100, Dry: true, Scale: shed.Scale{StepG: 1000}}, "a scale's step", false},
		{session.Weigh{Batch: "A1", DryG: 171, Dry: true}, "more than nearly any raw fleece gives", true},
		{session.Weigh{Batch: "A1", DryG: 39, Dry: true}, "less than nearly any raw fleece gives", true},
		{session.WeighWet{Batch: "A1", MassG: 0}, "more than 0", false},
		{session.WeighWet{Batch: "A1", MassG: math.NaN()}, "more than 0", false},
		{session.WeighWet{Batch: "A1", MassG: 170000}, "is the unit right", false},
		{session.WeighWet{Batch: "A1", MassG: 0.17}, "is the unit right", false},
		{session.WeighWet{Batch: "Z1", MassG: 170}, "no batch", false},
		{session.WeighRaw{Batch: "A1", RawG: 200000}, "a batch of 200000 g is out of range: give between 5 g and 2000 g", false},
		{session.WeighRaw{Batch: "A1", RawG: 1900}, "would add up to 2.15 kg, but the fleece weighs 1.8 kg skirted", false},
		{session.WeighRaw{Batch: "A1", RawG: 401}, "far from it", true},
	} {
		err := r.Refused(row.c, row.say)
		if errors.Is(err, shed.ErrUnlikely) != row.sure {
			t.Errorf("%#v: can be insisted on: %v, want %v", row.c, !row.sure, row.sure)
		}
	}
	r.Do(session.WeighWet{Batch: "A1", MassG: 170, Scale: sessiontest.KitchenScale})
	_ = r.Refused(session.WeighWet{Batch: "A1", MassG: 170, Scale: sessiontest.KitchenScale}, "weighed just now")
	r.Now = r.Now.Add(2 * time.Hour)
	_ = r.Refused(session.WeighWet{Batch: "A1", MassG: 150, Scale: hanging}, "another scale")
	_ = r.Refused(session.WeighWet{Batch: "A1", MassG: 185, Scale: sessiontest.KitchenScale}, "doesn't get heavier")
	r.Do(session.WeighWet{Batch: "A1", MassG: 185, Scale: sessiontest.KitchenScale, Sure: true}, session.Undo{})
	sessiontest.Same(t, "weights", len(r.Day.Fate["A1"].Wet), 1)
	_ = r.Refused(session.Weigh{Batch: "A1", DryG: 110, Dry: true, Scale: hanging}, "two scales differ")
	_ = r.Refused(session.Weigh{Batch: "A1", DryG: 181, Dry: true, Scale: sessiontest.KitchenScale, Sure: false}, "heavier than the 170 g it weighed on")
	r.Do(session.Weigh{Batch: "A1", DryG: 110, Dry: true, Scale: hanging, Sure: true})
	_ = r.Refused(session.Weigh{Batch: "A1", DryG: 110, Dry: true, Scale: hanging}, "weighed dry already, 110 g, and this takes its place")
	_ = r.Refused(session.WeighWet{Batch: "A1", MassG: 140, Scale: sessiontest.KitchenScale}, "is bagged")
	y, _, err := ledger.YieldOf([]ledger.BatchRow{ledger.RowOf(r.Day, "A1")}, shed.Medium, r.Day.Plan.Kit.Units)
	if err != nil || !y.TwoScales || !strings.Contains(y.Remarks[0], "different scales") {
		t.Errorf("raw on the kitchen scale, dry on the hanging one: %+v (%v)", y.Remarks, err)
	}
	sessiontest.CheckReplay(t, r, nil)
}

// A tray has room for so many; what is bagged makes room; a full rack keeps
// nothing in its basket.
func TestTrays(t *testing.T) {
	p := sessiontest.RecordPlan()
	p.Batches = append(p.Batches, p.Batches[0], p.Batches[0])
	p.OnRack = []shed.Lying{{Tray: "r2", Day: 3, Batch: "B1"}}
	r := sessiontest.Start(t, p).Until(0, shed.ToRack)
	_ = r.Refused(session.DoNext{Act: shed.RackFibre, Tray: "r9"}, "no tray")
	_ = r.Refused(session.DoNext{Act: shed.RackFibre, Tray: "r2"}, "low has room for 1, and 1 of 1 are taken")
	if pr := coach.Prompts(r.Day, r.Now)[0]; !strings.Contains(strings.Join(sessiontest.DetailLines(pr), ";"), "on tray top") {
		t.Errorf("the prompt names no tray: %v", pr.Details)
	}
	r.Next(0)
	sessiontest.Same(t, "A1 lies on", r.Day.Fate["A1"].Tray, "r1")
	r.Until(0, shed.ToRack)
	if pr := coach.Prompts(r.Day, r.Now)[0]; !strings.Contains(strings.Join(sessiontest.DetailLines(pr), ";"), "no tray has room for it") {
		t.Errorf("the prompt does not say that the rack is full: %v", pr.Details)
	}
	r.Next(0)
	sessiontest.Same(t, "A2 lies on", r.Day.Fate["A2"].Tray, "")
	r.Do(session.Weigh{Batch: "A1", DryG: 110, Dry: true, Sure: true})
	r.Until(0, shed.ToRack).Next(0)
	sessiontest.Same(t, "A3 lies on", r.Day.Fate["A3"].Tray, "r1")
	sessiontest.CheckReplay(t, r, nil)
}

// Drying follows an exponential: the forecast finds its rest, and the rule
// calls it dry only when it is.
func TestDryingForecast(t *testing.T) {
	r := sessiontest.StartWashed(t)
	from := r.Now
	weighAt := func(h float64) session.DryingBatch {
		r.Now = from.Add(time.Duration(h * float64(time.Hour)))
		g := math.Round(110 + 60*math.Exp(-h/5))
		r.Do(session.WeighWet{Batch: "A1", MassG: g, Scale: sessiontest.KitchenScale, Sure: true})
		x, err := r.Day.Drying("A1")
		if err != nil {
			t.Fatal(err)
		}
		return x
	}
	var x session.DryingBatch
	for _, h := range []float64{0.1, 3, 6, 10} {
		if x = weighAt(h); x.Dry {
			t.Errorf("called dry after %g h, %g g above its rest", h, x.LastG-110)
		}
		if !x.WeighAt.After(r.Now) || x.DryEarliest.After(x.DryAt) || x.DryAt.After(x.DryLatest) {
			t.Errorf("after %g h: weigh again %v, dry %v to %v", h, x.WeighAt, x.DryEarliest, x.DryLatest)
		}
	}
	if f := x.Forecast.RestingG; f.Low > 110 || f.High < 110 {
		t.Errorf("the resting weight 110 g is not in %+v", f)
	}
	sessiontest.Same(t, "lies on", x.Tray, "top")
	for _, h := range []float64{20, 28, 43} {
		x = weighAt(h)
	}
	if !x.Dry || x.LastG != 110 {
		t.Errorf("not called dry after 43 h at %g g: %+v", x.LastG, x.Forecast)
	}
	if _, err := r.Day.Drying("A9"); err == nil {
		t.Error("a batch that is not there dries")
	}
	r.Do(session.Weigh{Batch: "A1", DryG: 110, Dry: true})
	if _, err := r.Day.Drying("A1"); err == nil || !strings.Contains(err.Error(), "bagged") {
		t.Errorf("a bagged batch dries: %v", err)
	}
}

// Rows survive being written and read, whatever is in them.
func TestRowsRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var rows ledger.BatchRows
		name := func(what string) string {
			return strings.TrimSpace(strings.Join(strings.Fields(rapid.StringMatching(`[A-Za-zé羊,;%+ "&<]{0,12}`).Draw(t, what)), " "))
		}
		moment := func(what string) time.Time {
			if rapid.Bool().Draw(t, what+" known") {
				return time.Unix(rapid.Int64Range(1, 4e9).Draw(t, what), 0).UTC()
			}
			return time.Time{}
		}
		grams := func(what string) float64 { return rapid.Float64Range(0, 5000).Draw(t, what) }
		spots := func() (out []shed.Spot) {
			for range rapid.IntRange(0, 3).Draw(t, "spots") {
				from := rapid.IntRange(1, 20).Draw(t, "from")
				out = append(out, shed.Spot{Place: rapid.IntRange(1, 50).Draw(t, "place"), From: from, To: rapid.IntRange(from, 20).Draw(t, "to")})
			}
			return out
		}
		for range rapid.IntRange(1, 5).Draw(t, "rows") {
			rows = append(rows, ledger.BatchRow{
				ID: name("id"), FleeceID: name("fleece"), Form: shed.Form(rapid.IntRange(0, 1).Draw(t, "form")), RawG: grams("raw"), DryG: grams("dry"),
				SunkAt: moment("loaded"), RackedAt: moment("racked"), DryAt: moment("dried"), Tray: name("tray"),
				RawScale: shed.Scale{Name: name("raw scale"), StepG: grams("raw step")}, DryScale: shed.Scale{Name: name("dry scale"), StepG: grams("dry step")},
				DryRH: rapid.Float64Range(0, 1).Draw(t, "rh"), Wet: rapid.IntRange(0, 200).Draw(t, "wet"),
				Part: name("part"), SoakedG: grams("soaked"), Spots: spots(), Out: session.Outcome{Found: session.Found(rapid.IntRange(0, 511).Draw(t, "found")), Note: name("own words"), Place: name("place")}, Mark: name("mark"),
				Again: shed.Earlier{Day: shed.DayID(rapid.Uint32().Draw(t, "again")), Batch: name("again as")}, Soaked: shed.Earlier{Day: shed.DayID(rapid.Uint32().Draw(t, "presoaked")), Batch: name("presoaked as")},
			})
		}
		text, err := json.Marshal(rows)
		if err != nil {
			t.Fatal(err)
		}
		var back ledger.BatchRows
		if err := json.Unmarshal(text, &back); err != nil {
			t.Fatalf("%s: %v", text, err)
		}
		sessiontest.Same(t, string(text), back, rows)
	})
}

func FuzzRows(f *testing.F) {
	for _, s := range []string{`""`, `"A1,f1,loose,180,94.5,1,2,3,r1,kitchen,1,kitchen,1,0.5,2"`, `"A1,f1"`, `"A1,f1,locks,180,94.5,1,2,3,r1,kitchen,1,kitchen,1,0.5,2,shoulder,170,1.2-4+2.1-1"`, `"A1,f1,loose,,,,,,,,,,,,0,,,1.2"`, `"A1,f1,loose,,,,,,,,,,,,0,,,,"`, `"A1,f1,loose,,,,,,,,,,,,0,,,,still%20waxy"`, `"A1,f1,loose,,,,,,,,,,,,0,,,,x"`, `"%G1,,loose,,,,,,,,,,,,0"`, `[]`, `"a;b"`} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, text []byte) {
		var rows ledger.BatchRows
		if err := json.Unmarshal(text, &rows); err != nil {
			return
		}
		again, err := json.Marshal(rows)
		if err != nil {
			t.Fatalf("%q was read and cannot be written: %v", text, err)
		}
		var back ledger.BatchRows
		if err := json.Unmarshal(again, &back); err != nil {
			t.Fatalf("%q: %v", again, err)
		}
	})
}

// oneDay is a journal with one day.
type oneDay struct {
	ledger.Journal
	recs []session.Recorded
	read int
}

func (j *oneDay) Day(id shed.DayID) (session.Day, error) {
	if id != 7 {
		return session.Day{}, fmt.Errorf("no day %d", id)
	}
	j.read++
	return session.Replay(j.recs), nil
}

// Summaries of an older version have no rows: they come from the events, and
// from nothing else where they are there.
func TestFillRows(t *testing.T) {
	r := sessiontest.StartWashed(t)
	j := &oneDay{recs: r.Recs}
	now, old := ledger.Summarise(7, r.Day), ledger.Summarise(7, r.Day)
	old.Rows = nil
	days := []ledger.Summary{now, old, {ID: 9}}
	if err := ledger.FillRows(j, days); err != nil || j.read != 1 {
		t.Fatalf("read %d times: %v", j.read, err)
	}
	sessiontest.Same(t, "rows", days[1].Rows, now.Rows)
	sessiontest.Same(t, "on the rack", ledger.StillDrying(days[:1]), []shed.Lying{{Tray: "r1", Day: 7, Batch: "A1"}, {Tray: "r2", Day: 7, Batch: "A2"}})
	if err := ledger.FillRows(j, []ledger.Summary{{ID: 8, Batches: 1}}); err == nil {
		t.Error("a day that cannot be read has rows")
	}
}

// A fleece's own figures are held against each other.
func TestFleeceRecord(t *testing.T) {
	good := shed.Fleece{Animal: "Bramble", RawG: 2000, SkirtedG: 1800, StapleMM: 95, Colour: "moorit"}
	if err := good.Validate(); err != nil {
		t.Fatal(err)
	}
	for _, row := range []struct {
		change func(*shed.Fleece)
		say    string
	}{
		{func(f *shed.Fleece) { f.SkirtedG = 2100 }, "more than the 2 kg before it"},
		{func(f *shed.Fleece) { f.SkirtedG = 1 }, "a whole fleece of"},
		{func(f *shed.Fleece) { f.StapleMM = 4 }, "a staple should be between 5 mm and 600 mm"},
		{func(f *shed.Fleece) { f.StapleMM = math.NaN() }, "a staple should be"},
	} {
		f := good
		row.change(&f)
		err := f.Validate()
		if err == nil || !strings.Contains(err.Error(), row.say) {
			t.Errorf("%+v: %v, want %q", f, err, row.say)
			continue
		}
		sessiontest.CheckSentence(t, err)
	}
	p := sessiontest.RecordPlan()
	p.Batches[0].RawG, p.Batches[1].RawG = 1000, 900
	if err := p.Clean().Validate(); err == nil || !strings.Contains(err.Error(), "but the fleece weighs 1.8 kg skirted") {
		t.Errorf("1900 g of 1800 g: %v", err)
	}
}

// Summaries of an older version say when a batch got its tub where a batch first
// went into the water now stands: what was left raw is told from the events.
func TestOldSummaryOfADayEndedEarly(t *testing.T) {
	r := sessiontest.Start(t, sessiontest.ThreeTubs()).Until(0, shed.Soaking)
	r.Do(session.EndDay{Anyway: true})
	sum := ledger.Summarise(7, r.Day)
	sessiontest.Same(t, "of a new one", []bool{sum.NeedsRows(), sum.Sunk == 1}, []bool{false, true})
	old := sum
	old.Sunk, old.Rows = 0, slices.Clone(sum.Rows)
	for i := range old.Rows {
		old.Rows[i].SunkAt = sessiontest.Dawn
	}
	days := []ledger.Summary{old}
	if err := ledger.FillRows(&oneDay{recs: r.Recs}, days); err != nil {
		t.Fatal(err)
	}
	sessiontest.Same(t, "filled", days[0], sum)
}

// A question about something else has not said that the last weight goes.
func TestOddWeightMeantSoKeepsTheLastOne(t *testing.T) {
	for name, c := range map[string]struct {
		massG float64
		asks  string
		want  int
	}{
		"less than dry": {60, "less than such fleece weighs dry", 2},
		"more than wet": {700, "more than such fleece weighs squeezed", 2},
		"given again":   {280, "280 g takes its place", 1},
	} {
		r := sessiontest.Start(t, sessiontest.RecordPlan()).Until(0, shed.ToRack)
		r.Do(session.WeighWet{Batch: "A1", MassG: 360, Scale: sessiontest.KitchenScale})
		r.Now = r.Now.Add(2 * time.Minute)
		asked := session.WeighWet{Batch: "A1", MassG: c.massG, Scale: sessiontest.KitchenScale}
		_ = r.Refused(asked, c.asks)
		asked.Sure, asked.AskedAt = true, r.Now
		r.Next(0)
		r.Now = r.Now.Add(3 * time.Hour)
		r.Do(asked)
		sessiontest.Same(t, "weights, "+name, len(r.Day.Fate["A1"].Wet), c.want)
	}
}

// A spun weight that is given again was put right: the first one is gone, and so
// is what would follow from the two.
func TestSpunWeightGivenAgainTakesItsPlace(t *testing.T) {
	r := sessiontest.Start(t, sessiontest.RecordPlan()).Until(0, shed.ToRack)
	r.Do(session.WeighWet{Batch: "A1", MassG: 360, Scale: sessiontest.KitchenScale})
	r.Now = r.Now.Add(6 * time.Minute)
	_ = r.Refused(session.WeighWet{Batch: "A1", MassG: 280, Scale: sessiontest.KitchenScale}, "was weighed just now: 360 g. 280 g takes its place")
	r.Do(session.WeighWet{Batch: "A1", MassG: 280, Scale: sessiontest.KitchenScale, Sure: true})
	if wet := r.Day.Fate["A1"].Wet; len(wet) != 1 || wet[0].MassG != 280 {
		t.Fatalf("%+v", wet)
	}
	x, err := r.Day.Drying("A1")
	if err != nil || x.Forecast.RestingG.Low < 0.36*200 || x.Forecast.DryAtMin.Likely < 120 {
		t.Errorf("%+v, %v", x.Forecast, err)
	}
	// On the rack one of just now is the same weighing, a later one is the next.
	r.Next(0)
	r.Now = r.Now.Add(3 * time.Minute)
	r.Do(session.WeighWet{Batch: "A1", MassG: 270, Scale: sessiontest.KitchenScale, Sure: true})
	sessiontest.Same(t, "weights just after racking", len(r.Day.Fate["A1"].Wet), 1)
	r.Now = r.Now.Add(3 * time.Hour)
	r.Do(session.WeighWet{Batch: "A1", MassG: 200, Scale: sessiontest.KitchenScale})
	sessiontest.Same(t, "weights hours later", len(r.Day.Fate["A1"].Wet), 2)
	r.Do(session.Undo{}, session.Undo{})
	if wet := r.Day.Fate["A1"].Wet; len(wet) != 1 || wet[0].MassG != 280 {
		t.Errorf("taken back: %+v", wet)
	}
}

// How a batch came out is said on the rack or long after, stands in its row and is taken
// back like a weight.
func TestFound(t *testing.T) {
	r := sessiontest.StartWashed(t)
	_ = r.Refused(session.Judge{Batch: "A9", Out: session.Outcome{Found: session.Felted}}, "no batch")
	_ = r.Refused(session.Judge{Batch: "A1", Out: session.Outcome{Found: 1 << 11}}, "is not what is found")
	r.Do(session.EndDay{})
	r.Now = r.Now.Add(48 * time.Hour)
	first, then := session.Outcome{Found: session.TipsStuck}, session.Outcome{Found: session.StillWaxy | session.TipsStuck | session.Soft, Note: "britch end\x1b[2J"}
	r.Do(session.Judge{Batch: "A1", Out: first}, session.Judge{Batch: "A1", Out: then})
	sessiontest.Same(t, "found", ledger.RowOf(r.Day, "A1").Out.String(), "still waxy, tips stuck, soft; britch end")
	sessiontest.Same(t, "undo", []string{coach.CanUndo(r.Day), fmt.Sprint(r.Day.UndoesWeight())}, []string{"how A1 came out", "true"})
	sessiontest.CheckReplay(t, r, nil)
	r.Do(session.Undo{})
	sessiontest.Same(t, "taken back", []session.Outcome{r.Day.Fate["A1"].Out, r.Day.Fate["A2"].Out}, []session.Outcome{first, {}})
}

// Where a bag is stands in its row, and is read back from it; how it came out stays with it, and a
// place too long is not cut behind its writer's back.
func TestWhereABagIs(t *testing.T) {
	r := sessiontest.StartWashed(t)
	_ = r.Refused(session.Judge{Batch: "A1", Out: session.Outcome{Place: strings.Repeat("x", shed.MaxName+1)}}, "the place is too long")
	want := session.Outcome{Found: session.Soft, Note: "fine", Place: "attic, blue; box"}
	r.Do(session.EndDay{}, session.Judge{Batch: "A1", Out: session.Outcome{Found: want.Found, Note: want.Note, Place: " attic, blue;\x1b[2J box "}})
	sessiontest.Same(t, "undo", coach.CanUndo(r.Day), "what is said of A1")
	sessiontest.CheckReplay(t, r, nil)
	text, err := json.Marshal(ledger.BatchRows{ledger.RowOf(r.Day, "A1"), ledger.RowOf(r.Day, "A2")})
	var back ledger.BatchRows
	if err == nil {
		err = json.Unmarshal(text, &back)
	}
	if err != nil || len(back) != 2 || back[0].Out != want || back[1].Out != (session.Outcome{}) {
		t.Errorf("%s reads as %+v (%v)", text, back, err)
	}
}

// A wet weight that fleece of its raw weight hardly has is asked about once, spun or on
// the rack; what a squeeze by hand leaves is not.
func TestWetWeightTooHeavyIsAskedAbout(t *testing.T) {
	spun := sessiontest.Start(t, sessiontest.RecordPlan()).Until(0, shed.ToRack)
	for _, r := range []*sessiontest.Run{spun, sessiontest.StartWashed(t)} {
		_ = r.Refused(session.WeighWet{Batch: "A1", MassG: 620, Scale: sessiontest.KitchenScale}, "A1: 620 g of 200 g raw is more than such fleece weighs squeezed by hand (360 g at most): is it the right batch, without its basket, and dripping wet?")
		_ = r.Refused(session.WeighWet{Batch: "A1", MassG: 370, Scale: sessiontest.KitchenScale, Sure: false}, "without its basket")
		_ = r.Refused(session.WeighWet{Batch: "A1", MassG: 1100, Scale: sessiontest.KitchenScale, Sure: true}, "more than wet fleece of 200 g raw can weigh")
		for _, g := range []float64{100, 360} {
			if _, _, err := session.Do(r.Day, session.WeighWet{Batch: "A1", MassG: g, Scale: sessiontest.KitchenScale}, r.Now); err != nil {
				t.Errorf("%v g: %v", g, err)
			}
		}
		r.Do(session.WeighWet{Batch: "A1", MassG: 620, Scale: sessiontest.KitchenScale, Sure: true})
	}
}

// Weights from which nothing follows are asked about, and give no forecast.
func TestNoForecastFromWeightsThatDoNotGoTogether(t *testing.T) {
	r := sessiontest.StartWashed(t)
	r.Do(session.WeighWet{Batch: "A1", MassG: 355, Scale: sessiontest.KitchenScale})
	r.Now = r.Now.Add(6 * time.Minute)
	_ = r.Refused(session.WeighWet{Batch: "A1", MassG: 250, Scale: sessiontest.KitchenScale}, "don't fit together")
	r.Do(session.WeighWet{Batch: "A1", MassG: 250, Scale: sessiontest.KitchenScale, Sure: true})
	if x, err := r.Day.Drying("A1"); err == nil || !x.DryAt.IsZero() {
		t.Errorf("%+v, %v", x, err)
	}
}

// A batch first weighed after weeks rests at what it weighs.
func TestWeighedAfterWeeks(t *testing.T) {
	r := sessiontest.StartWashed(t)
	r.Do(session.EndDay{Anyway: true})
	r.Now = r.Now.Add(20 * 24 * time.Hour)
	r.Do(session.WeighWet{Batch: "A1", MassG: 132, Scale: sessiontest.KitchenScale})
	x, err := r.Day.Drying("A1")
	if rest := x.Forecast.RestingG; err != nil || rest.Low > 132 || rest.High < 132 || rest.High-rest.Low > 12 {
		t.Errorf("%+v, %v", x.Forecast.RestingG, err)
	}
	r.Now = r.Now.Add(75 * time.Minute)
	_ = r.Refused(session.WeighWet{Batch: "A1", MassG: 178, Scale: sessiontest.KitchenScale}, "heavier than before")
	r.Do(session.WeighWet{Batch: "A1", MassG: 178, Scale: sessiontest.KitchenScale, Sure: true})
	if x, err = r.Day.Drying("A1"); err != nil || !x.Forecast.WetAgain || x.Forecast.RestingG.High > 145 || x.Overdue(r.Now) {
		t.Errorf("%+v, %v", x.Forecast, err)
	}
}

// A dry weight outside of what its weights and its type lead to is asked about.
func TestDryWeightOutsideTheForecast(t *testing.T) {
	r := sessiontest.StartWashed(t)
	r.Do(session.EndDay{Anyway: true})
	r.Now = r.Now.Add(30 * time.Hour)
	_ = r.Refused(session.Weigh{Batch: "A1", DryG: 158, Dry: true, Scale: sessiontest.KitchenScale}, "is outside the expected")
	r.Do(session.Weigh{Batch: "A1", DryG: 158, Dry: true, Scale: sessiontest.KitchenScale, Sure: true}, session.Undo{})
	r.Do(session.WeighWet{Batch: "A1", MassG: 106, Scale: sessiontest.KitchenScale})
	_ = r.Refused(session.Weigh{Batch: "A1", DryG: 90, Dry: true, Scale: sessiontest.KitchenScale}, "is outside the expected")
	r.Do(session.Weigh{Batch: "A1", DryG: 105, Dry: true, Scale: sessiontest.KitchenScale, Sure: true})
}
