package session_test

import (
	"fmt"
	"math"
	"testing"
	"time"

	"fleece.example/tubside/cooling"
	"fleece.example/tubside/session"
)

// at lets time pass until so many minutes after dawn.
func (r *run) at(min float64) *run {
	r.t.Helper()
	if to := dawn.Add(ago(min)); to.Before(r.now) {
		r.t.Fatalf("the script goes back to %g min", min)
	}
	return r.wait(dawn.Add(ago(min)).Sub(r.now).Minutes())
}

func (r *run) fill(tub int, readC float64) *run {
	r.t.Helper()
	return r.do(session.DoNext{Tub: tub, Act: session.FillTub, HasTemp: true, TempC: readC})
}

func read(tub int, tempC float64) session.Command { return session.TakeReading{Tub: tub, TempC: tempC} }

// scriptedDay is a whole morning of three tubs: an easy longwool, a fine
// fleece with much wax that is washed twice, and locks in the tray. All
// animals are invented.
func scriptedDay(t reporter) *run {
	const north, south, tray = 0, 1, 2
	r := start(t, threeTubs())
	r.at(2).next(north, south, tray, north, south, tray) // filled and sunk: presoak
	r.at(7.5).next(tray)                                 // over at 7:00
	r.at(9).next(tray)
	r.at(12).fill(tray, 67).next(tray)
	r.at(14).do(read(tray, 64))
	r.at(22.5).next(north, south) // over at 22:00
	r.at(26).next(north, south)
	r.at(28).fill(north, 68)
	r.at(29).next(north).do(read(north, 65.5))
	r.at(30).do(session.AdjustSoak{Tub: tray, ByMin: -1}) // they look clean
	r.at(31).fill(south, 67.5)                            // tray's soak was over at 31:00
	r.at(32).next(south).do(read(south, 65))
	r.at(33).next(tray).do(session.AddNote{Tub: tray, Text: "tips  still\tyellow"})
	r.at(35).next(tray)
	r.at(36).next(tray, tray)                           // first rinse
	r.at(47).do(read(north, 62.5)).at(49.1).next(north) // over at 49:00
	r.at(50).next(north).at(51).next(north, north)      // first rinse
	r.at(51).next(tray).at(52).next(tray, tray, tray)   // second rinse
	r.at(54).next(south).at(55).next(south).at(57).fill(south, 67)
	r.at(57.5).do(session.Undo{}).fill(south, 66) // a slip of the pen
	r.at(58).next(south).do(session.SetCover{Tub: south, Cover: cooling.LidAndFilm})
	r.at(64.2).next(tray, tray, tray, tray)     // spun and racked
	r.at(66.1).next(north, north, north, north) // second rinse
	r.at(78.1).next(south, south, south, south) // first rinse
	r.next(north, north, north, north)
	r.at(93.1).next(south, south, south, south).at(105.1).next(south, south, south, south)
	r.do(session.DoNext{Act: session.FinishDay})
	r.now = r.now.Add(48 * time.Hour) // dry
	return r.do(session.Weigh{Batch: "A1", DryG: 155}, session.Weigh{Batch: "B1", DryG: 72}, session.Weigh{Batch: "C1", DryG: 81})
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
		{"hot wash", "North", 20, 20.1, 65.40, 65.5, 62.18, 62.5, 7.95, 7.5},
		{"first rinse", "North", 15, 15.1, 50.22, nan, 48.51, nan, 7.5, 0},
		{"second rinse", "North", 12, 12, 49.71, nan, 48.35, nan, 7.25, 0},
	},
	"B1": {
		{"presoak", "South", 20, 20.5, 12.18, nan, 12.54, nan, 8, 0},
		{"first hot wash", "South", 20, 22, 65.00, 65, 61.14, nan, 8, 8.75},
		{"second hot wash", "South", 20, 20.1, 64.83, nan, 61.97, nan, 8, 8.75},
		{"first rinse", "South", 15, 15, 50.38, nan, 48.64, nan, 7.5, 0},
		{"second rinse", "South", 12, 12, 49.98, nan, 48.58, nan, 7.25, 0},
	},
	"C1": {
		{"presoak", "Tray", 5, 5.5, 12.24, nan, 12.35, nan, 5, 0},
		{"hot wash", "Tray", 20, 21, 64.39, 64, 60.52, nan, 5, 5},
		{"first rinse", "Tray", 15, 15, 50.03, nan, 48.17, nan, 4.75, 0},
		{"second rinse", "Tray", 12, 12.2, 49.47, nan, 47.94, nan, 4.5, 0},
	},
}

func TestScriptedDay(t *testing.T) {
	r := scriptedDay(t)
	replay(t, r, nil)
	sane(t, r.day)
	review := r.day.Review()
	for _, b := range review.Batches {
		want := scriptedBaths[b.Batch.ID]
		if len(b.Baths) != len(want) {
			t.Fatalf("%s went through %d baths, want %d", b.Batch.ID, len(b.Baths), len(want))
		}
		for i, bath := range b.Baths {
			w := want[i]
			what := b.Batch.ID + " " + w.step + ": "
			same(t, what+"names", []string{bath.Step.Name, bath.TubName}, []string{w.step, w.tub})
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
					near(t, what+f.name, f.got, f.want, f.tol)
				}
			}
		}
	}
	near(t, "longwool yield", review.Batches[0].YieldPart, 155.0/225, 1e-12)
	near(t, "fine yield", review.Batches[1].YieldPart, 72.0/150, 1e-12)
	near(t, "locks yield", review.Batches[2].YieldPart, 81.0/115, 1e-12)
	near(t, "yield of the day", review.YieldPart, (155.0+72+81)/(225+150+115), 1e-12)
	same(t, "note", review.Notes, []session.Note{{At: dawn.Add(33 * time.Minute), Tub: 2, Text: "tips still yellow"}})
	sum := session.Summarise(7, r.day)
	// One bath had readings apart enough to teach how North loses heat.
	if l := sum.Lessons; len(l) != 1 || l[0].Tub != "t1" || l[0].Cover != cooling.Lid || math.Abs(l[0].LogScale) > 2*l[0].SDLog || l[0].SDLog > 0.3 {
		t.Errorf("lessons %+v", l)
	}
	// The script fills within 2 minutes of being free, lifts 21 s after the soak.
	same(t, "hands", sum.Hands, []session.HandsTime{{Act: session.FillTub, Min: 2, Times: 7}, {Act: session.SinkIn, Min: 1, Times: 3},
		{Act: session.Lift, Min: sum.Hands[2].Min, Times: 8}, {Act: session.DrainTub, Min: 1.25, Times: 6}})
	near(t, "hands at a lift", sum.Hands[2].Min, 0.35, 0.01)
	var weighed []string
	for _, row := range sum.Rows {
		weighed = append(weighed, fmt.Sprintf("%s of %s: %s, %g raw, %g dry", row.ID, row.FleeceID, row.State(), row.RawG, row.DryG))
	}
	same(t, "rows", weighed, []string{"A1 of f1: bagged, 225 raw, 155 dry", "B1 of f2: bagged, 150 raw, 72 dry", "C1 of f3: bagged, 115 raw, 81 dry"})
	sum.Lessons, sum.Hands, sum.Rows = nil, nil, nil
	same(t, "summary", sum, session.DaySummary{
		ID: 7, StartedAt: dawn, EndedAt: r.day.EndedAt, Fleeces: []string{"Bramble, Nowhere Fold", "Pip, Nowhere Fold", "Thistle, Made-up Mill"},
		Batches: 3, Sunk: 3, Racked: 3, RawG: 490, DryG: 308, WeighedG: 490, Alarms: 0, // a day that goes well has none
	})
	if r.day.EndEarly || r.day.Running() || !r.day.AllRacked() {
		t.Errorf("the day did not end well: %+v", sum)
	}
}

// Who comes in time has no alarm, and is called where nothing else is to be done:
// each with the seconds until the lift.
func TestScriptedAlarms(t *testing.T) {
	r := scriptedDay(t)
	same(t, "alarms", len(r.day.Review().Alarms), 0)
	type row struct {
		batch, step string
		seconds     float64
	}
	var got []row
	for _, a := range r.day.AlarmLog {
		if a.Kind != session.KettleNow {
			got = append(got, row{a.Batch, a.Step, a.ClearedAt.Sub(a.RaisedAt).Seconds()})
		}
	}
	same(t, "calls", got, []row{
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
	r := start(t, threeTubs()).next(0, 0).wait(20).next(0, 0).fill(0, 68).next(0)
	near(t, "bath after the fleece", r.day.Tubs[0].Bath.SinkC, want, 0.1)
	if drop := 68 - r.day.Tubs[0].Bath.SinkC; drop < 1.8 || drop > 2.8 {
		t.Errorf("a soaked fleece takes %g °C off the bath", drop)
	}
}

// A bath cut short by a repeat or a skip, or by the end of the day, is in the
// look back too.
func TestUnfinishedBathsAreKept(t *testing.T) {
	r := start(t, oneTub()).next(0).do(session.SkipStep{}) // filled for the wash, then thought better of it
	r.next(0, 0).wait(16).next(0).do(session.RepeatStep{}) // first rinse, again
	r.next(0, 0).wait(3).do(session.EndDay{Anyway: true})
	baths := r.day.Review().Batches[0].Baths
	if len(baths) != 3 {
		t.Fatalf("%d baths", len(baths))
	}
	same(t, "skipped wash", []any{baths[0].Step.Name, baths[0].Skipped, math.IsNaN(baths[0].ActualMin)}, []any{"hot wash", true, true})
	same(t, "rinse", []any{baths[1].Step.Name, baths[1].Skipped, baths[1].ActualMin}, []any{"first rinse", false, 16.0})
	same(t, "rinse again", []any{baths[2].Step.Name, baths[2].Skipped, math.IsNaN(baths[2].ActualMin)}, []any{"first rinse", false, true})
}
