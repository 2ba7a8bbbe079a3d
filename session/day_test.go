package session_test

import (
	"fmt"
	"math"
	"testing"
	"time"
	"unsafe"

	"fleece.example/tubside/cooling"
	"fleece.example/tubside/session"
	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/sessiontest"
	"fleece.example/tubside/session/shed"
)

// scriptedDay is a whole morning of three tubs: an easy longwool, a fine
// fleece with much wax that is washed twice, and locks in the tray. All
// animals are invented.
func scriptedDay(t sessiontest.Reporter) *sessiontest.Run {
	const north, south, tray = 0, 1, 2
	r := sessiontest.Start(t, sessiontest.ThreeTubs())
	r.Step = time.Second
	r.At(2).Next(north, south, tray, north, south, tray) // filled and sunk: presoak
	r.At(7.5).Next(tray)                                 // over at 7:00
	r.At(9).Next(tray)
	r.At(12).Fill(tray, 67).Next(tray)
	r.At(14).Do(sessiontest.ReadC(tray, 64))
	r.At(22.5).Next(north, south) // over at 22:00
	r.At(26).Next(north, south)
	r.At(28).Fill(north, 68)
	r.At(29).Next(north).Do(sessiontest.ReadC(north, 65.5))
	r.At(30).Do(session.AdjustSoak{Tub: tray, ByMin: -1}) // they look clean
	r.At(31).Fill(south, 67.5)                            // tray's soak was over at 31:00
	r.At(32).Next(south).Do(sessiontest.ReadC(south, 65))
	r.At(33).Next(tray).Do(session.AddNote{Tub: tray, Text: "tips  still\tyellow"})
	r.At(35).Next(tray)
	r.At(36).Next(tray, tray)                                        // first rinse
	r.At(47).Do(sessiontest.ReadC(north, 62.5)).At(49.1).Next(north) // over at 49:00
	r.At(50).Next(north).At(51).Next(north, north)                   // first rinse
	r.At(51).Next(tray).At(52).Next(tray, tray, tray)                // second rinse
	r.At(54).Next(south).At(55).Next(south).At(57).Fill(south, 67)
	r.At(57.5).Do(session.Undo{}).Fill(south, 66) // a slip of the pen
	r.At(58).Next(south).Do(session.SetCover{Tub: south, Cover: cooling.LidAndFilm})
	r.At(64.2).Next(tray, tray, tray, tray)     // spun and racked
	r.At(66.1).Next(north, north, north, north) // second rinse
	r.At(78.1).Next(south, south, south, south) // first rinse
	r.Next(north, north, north, north)
	r.At(93.1).Next(south, south, south, south).At(105.1).Next(south, south, south, south)
	r.Do(session.DoNext{Act: shed.FinishDay})
	r.Now = r.Now.Add(48 * time.Hour) // dry
	return r.Do(session.Weigh{Batch: "A1", DryG: 155, Dry: true}, session.Weigh{Batch: "B1", DryG: 72, Dry: true}, session.Weigh{Batch: "C1", DryG: 81, Dry: true})
}

// bathRow is a bath as the look back shows it; nan where nobody read.
type bathRow struct {
	step, tub                                      string
	planned, actual                                float64
	sinkForecast, sinkRead, liftForecast, liftRead float64
	volumeL, doseML                                float64
}

var nan = math.NaN()

// The look back at that day. Minutes, readings, volumes and doses are what the
// script did; estimates are the program's own, through the readings, held to a twentieth of a degree.
var scriptedBaths = map[string][]bathRow{
	"A1": {
		{"presoak", "North", 20, 20.5, 12.20, nan, 12.55, nan, 8, 0},
		{"hot wash", "North", 20, 20.1, 65.40, 65.5, 62.18, nan, 8, 7.5},
		{"first rinse", "North", 15, 15.1, 50.38, nan, 48.63, nan, 7.5, 0},
		{"second rinse", "North", 12, 12, 49.98, nan, 48.57, nan, 7.25, 0},
	},
	"B1": {
		{"presoak", "South", 20, 20.5, 12.18, nan, 12.54, nan, 8, 0},
		{"first hot wash", "South", 20, 22, 65.00, 65, 61.08, nan, 7.9, 8.75},
		{"second hot wash", "South", 20, 20.1, 65.22, nan, 62.28, nan, 7.95, 8.75},
		{"first rinse", "South", 15, 15, 50.56, nan, 48.78, nan, 7.5, 0},
		{"second rinse", "South", 12, 12, 50.27, nan, 48.83, nan, 7.25, 0},
	},
	"C1": {
		{"presoak", "Tray", 5, 5.5, 12.24, nan, 12.35, nan, 5, 0},
		{"hot wash", "Tray", 20, 21, 64.39, nan, 60.54, nan, 5, 5},
		{"first rinse", "Tray", 15, 15, 50.19, nan, 48.29, nan, 4.75, 0},
		{"second rinse", "Tray", 12, 12.2, 49.71, nan, 48.14, nan, 4.5, 0},
	},
}

func TestScriptedDay(t *testing.T) {
	r := scriptedDay(t)
	sessiontest.CheckReplay(t, r, nil)
	sane(t, r.Day)
	review := ledger.ReviewOf(r.Day)
	for _, b := range review.Batches {
		want := scriptedBaths[b.Batch.ID]
		if len(b.Baths) != len(want) {
			t.Fatalf("%s went through %d baths, want %d", b.Batch.ID, len(b.Baths), len(want))
		}
		for i, bath := range b.Baths {
			w := want[i]
			what := b.Batch.ID + " " + w.step + ": "
			sessiontest.Same(t, what+"names", []string{bath.Step.Name, bath.TubName}, []string{w.step, w.tub})
			for _, f := range []struct {
				name           string
				got, want, tol float64
			}{
				{"planned", bath.PlannedMin, w.planned, 0}, {"actual", bath.ActualMin, w.actual, 1e-6},
				{"forecast at sink-in", bath.SinkForecastC, w.sinkForecast, 0.05}, {"read at sink-in", bath.SinkReadC, w.sinkRead, 0},
				{"forecast at lift", bath.LiftForecastC, w.liftForecast, 0.05}, {"read at lift", bath.LiftReadC, w.liftRead, 0},
				{"litres", bath.VolumeL, w.volumeL, 1e-9}, {"scour", bath.DoseML, w.doseML, 1e-9},
			} {
				if math.IsNaN(f.want) != math.IsNaN(f.got) {
					t.Errorf("%s%s: %g, want %g", what, f.name, f.got, f.want)
				} else if !math.IsNaN(f.want) {
					sessiontest.Near(t, what+f.name, f.got, f.want, f.tol)
				}
			}
		}
	}
	sessiontest.Near(t, "longwool, dry", review.Batches[0].DryG, 155, 1e-12)
	sessiontest.Near(t, "fine, dry", review.Batches[1].DryG, 72, 1e-12)
	sessiontest.Near(t, "locks, dry", review.Batches[2].DryG, 81, 1e-12)
	sessiontest.Near(t, "yield of the day", review.YieldPart, (155.0+72+81)/(225+150+115), 1e-12)
	sessiontest.Same(t, "note", review.Notes, []shed.Note{{At: sessiontest.Dawn.Add(33 * time.Minute), Tub: 2, Text: "tips still yellow"}})
	sum := ledger.Summarise(7, r.Day)
	// One bath had readings apart enough to teach how North loses heat.
	if l := sum.Lessons; len(l) != 1 || l[0].Tub != "t1" || l[0].Cover != cooling.Lid || math.Abs(l[0].LogScale) > 2*l[0].SDLog || l[0].SDLog > 0.31 {
		t.Errorf("lessons %+v", l)
	}
	// The script fills within 2 minutes of being free, lifts 21 s after the soak.
	sessiontest.Same(t, "hands", sum.Hands, []shed.HandsTime{{Act: shed.FillTub, Min: 2, Times: 7}, {Act: shed.SinkIn, Min: 1, Times: 3},
		{Act: shed.Lift, Min: sum.Hands[2].Min, Times: 8}, {Act: shed.DrainTub, Min: 1.25, Times: 6}})
	sessiontest.Near(t, "hands at a lift", sum.Hands[2].Min, 0.35, 0.01)
	var weighed []string
	for _, row := range sum.Rows {
		weighed = append(weighed, fmt.Sprintf("%s of %s: %s, %g raw, %g dry", row.ID, row.FleeceID, row.State(), row.RawG, row.DryG))
	}
	sessiontest.Same(t, "rows", weighed, []string{"A1 of f1: bagged, 225 raw, 155 dry", "B1 of f2: bagged, 150 raw, 72 dry", "C1 of f3: bagged, 115 raw, 81 dry"})
	sum.Lessons, sum.Hands, sum.Rows = nil, nil, nil
	sessiontest.Same(t, "summary", sum, ledger.Summary{
		ID: 7, Method: r.Day.Plan.Method.Name, MethodID: shed.BuiltInMethodID, StartedAt: sessiontest.Dawn, EndedAt: r.Day.EndedAt, Fleeces: []string{"Bramble, Nowhere Fold", "Pip, Nowhere Fold", "Thistle, Made-up Mill"}, FleeceIDs: []string{"f1", "f2", "f3"},
		Batches: 3, Sunk: 3, Racked: 3, RawG: 490, DryG: 308, WeighedG: 490, Alarms: 0, // a day that goes well has none
	})
	if r.Day.EndEarly || r.Day.Running() || !r.Day.AllRacked() {
		t.Errorf("the day did not end well: %+v", sum)
	}
}

// Who comes in time has no alarm, and is called where nothing else is to be done:
// each with the seconds until the lift.
func TestScriptedAlarms(t *testing.T) {
	r := scriptedDay(t)
	sessiontest.Same(t, "alarms", len(ledger.ReviewOf(r.Day).Alarms), 0)
	type row struct {
		batch, step string
		seconds     float64
	}
	var got []row
	for _, a := range r.Day.AlarmLog {
		if a.Kind != session.KettleNow {
			got = append(got, row{a.Batch, a.Step, a.ClearedAt.Sub(a.RaisedAt).Seconds()})
		}
	}
	sessiontest.Same(t, "calls", got, []row{
		{"C1", "presoak", 30}, {"A1", "presoak", 30}, {"B1", "first hot wash", 0}, {"C1", "second rinse", 12},
		{"B1", "second hot wash", 6}, {"B1", "first rinse", 0}, {"B1", "second rinse", 0},
	})
}

// Worked by hand, apart from the program: 8 L of water at 68 °C weigh 7.83 kg
// (0.9788 kg/L, Kell 1975) and hold 32.8 kJ/K, the wetted tub 0.6; 225 g of raw
// fleece with 1.3 times its weight of water holds 1.53 kJ/K, its basket 0.27, and
// both come in at 15.2 °C, halfway between the presoak it was lifted from and the room.
func TestSinkInByHand(t *testing.T) {
	const water, tub, fleece = 7.830 * 4.188, 0.6, 0.225*(1.36+1.3*4.186) + 0.27
	want := ((water+tub)*68 + fleece*15.2) / (water + tub + fleece)
	r := sessiontest.Start(t, sessiontest.ThreeTubs()).Next(0, 0).Wait(20).Next(0, 0).Fill(0, 68).Next(0)
	sessiontest.Near(t, "bath after the fleece", r.Day.Tubs[0].Bath.SinkC, want, 0.1)
	if drop := 68 - r.Day.Tubs[0].Bath.SinkC; drop < 1.8 || drop > 2.8 {
		t.Errorf("a soaked fleece takes %g °C off the bath", drop)
	}
}

// A bath cut short by a repeat or a skip, or by the end of the day, is in the
// look back too.
func TestUnfinishedBathsAreKept(t *testing.T) {
	r := sessiontest.Start(t, sessiontest.OneTub()).Next(0).Do(session.SkipStep{}) // filled for the wash, then thought better of it
	r.Next(0, 0).Wait(16).Next(0).Do(session.RepeatStep{})                         // first rinse, again
	r.Next(0, 0).Wait(3).Do(session.EndDay{Anyway: true})
	baths := ledger.ReviewOf(r.Day).Batches[0].Baths
	if len(baths) != 3 {
		t.Fatalf("%d baths", len(baths))
	}
	sessiontest.Same(t, "skipped wash", []any{baths[0].Step.Name, baths[0].Skipped, math.IsNaN(baths[0].ActualMin)}, []any{"hot wash", true, true})
	sessiontest.Same(t, "rinse", []any{baths[1].Step.Name, baths[1].Skipped, baths[1].ActualMin}, []any{"first rinse", false, 16.0})
	sessiontest.Same(t, "rinse again", []any{baths[2].Step.Name, baths[2].Skipped, math.IsNaN(baths[2].ActualMin)}, []any{"first rinse", false, true})
}

// A day that runs is looked back at as of now, one that has ended as it ended.
func TestAsOf(t *testing.T) {
	r := sessiontest.Start(t, sessiontest.OneTub()).Next(0)
	later := r.Now.Add(40 * time.Minute)
	sessiontest.Same(t, "running", r.Day.AsOf(later).LastAt, later)
	sessiontest.Same(t, "never before its last event", r.Day.AsOf(r.Day.LastAt.Add(-time.Hour)).LastAt, r.Day.LastAt)
	r.Do(session.EndDay{Anyway: true})
	sessiontest.Same(t, "ended", r.Day.AsOf(later).LastAt, r.Day.LastAt)
}

// Days are copied in hundreds of places. Where a day's size is not a multiple of 64 bytes, each takes
// more code: 62 kB of the program in all for one 8 bytes smaller.
func TestDaysAreCopiedInLittleCode(t *testing.T) {
	if size := unsafe.Sizeof(session.Day{}); unsafe.Sizeof(size) == 8 && size%64 != 0 {
		t.Errorf("a day is %d bytes: put small fields together, or leave room", size)
	}
}
