package main

import (
	"bytes"
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"testing"

	"fleece.example/tubside/session/planner"
	"fleece.example/tubside/session/shed"
)

// answerOf runs a command and reads its JSON.
func answerOf(t *testing.T, into any, args ...string) {
	t.Helper()
	out, err := os.Create(filepath.Join(t.TempDir(), "out"))
	if err != nil {
		t.Fatal(err)
	}
	var errs bytes.Buffer
	if code := run(append(args, "--json"), system{in: os.Stdin, out: out, errs: &errs, getenv: func(string) string { return "" }}); code != 0 {
		t.Fatalf("%v: %d: %s", args, code, errs.String())
	}
	raw, err := os.ReadFile(out.Name())
	if err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(raw, into); err != nil {
		t.Fatalf("%v: %v\n%s", args, err, raw)
	}
}

// OpenStax, Calculus volume 2, 4.3, exercise: five parts of a drink at 70 °C and
// one part at 1 °C come to 58.5 °C. As a fill the command has to find the five
// parts; water is a little denser cold, so by volume it is 1 % off.
func TestPublishedFiveToOne(t *testing.T) {
	var a fillJSON
	answerOf(t, &a, "fill", "--target", "58.5", "--volume", "6", "--hot", "70", "--cold", "1", "--kettle", "none")
	if math.Abs(a.HotL-5) > 0.06 || math.Abs(a.ColdL-1) > 0.03 || math.Abs(float64(a.AfterC)-58.5) > 1e-6 {
		t.Errorf("%+v", a)
	}
}

// IAPWS-IF97: enthalpies of the liquid at saturation, kJ/kg: 12 °C 50.41, 51 °C
// 213.49 (between the rows of 50 and 55), 97 °C 406.4; the mixture has to have
// the enthalpy of 65.5 °C, 274.2, by mass.
func TestPublishedFillByEnthalpy(t *testing.T) {
	var a fillJSON
	answerOf(t, &a, "fill", "--target", "65.5", "--volume", "8", "--hot", "51", "--cold", "12", "--kettle", "97")
	hotKg, kettleKg := a.HotL*0.98758, a.KettleL*0.96055 // kg/L at 51 and 97 °C, Kell (1975)
	if h := (hotKg*213.49 + kettleKg*406.4) / (hotKg + kettleKg); math.Abs(h-274.2) > 0.4 || a.ColdL != 0 {
		t.Errorf("mixed to %.2f kJ/kg, %+v", h, a)
	}
}

// The plan's parts agree with each other: batches with the fleece, fills with
// the sums, the timetable with the finish.
func TestPlanAddsUp(t *testing.T) {
	var a planJSON
	answerOf(t, &a, "plan", "--fleece", "1300 g", "--tubs", "3", "--tank", "120 L")
	raw, water, scour, last := 0.0, 0.0, 0.0, 0.0
	for _, b := range a.Batches {
		raw += b.RawG
	}
	for _, f := range a.Fills {
		water += f.HotL + f.ColdL + f.KettleL
		scour += f.DoseML
	}
	for _, p := range a.Timetable {
		last = max(last, p.EndMin)
		if p.EndMin < p.StartMin {
			t.Errorf("%+v", p)
		}
	}
	if raw != 1300 || math.Abs(last-a.FinishMin) > 1e-6 || a.BoundMin > a.FinishMin+1e-9 || math.Abs(scour-a.Sums.ScourML) > 1e-6 {
		t.Errorf("raw %g, last %g, %+v", raw, last, a.Sums)
	}
	if math.Abs(water-a.Sums.WaterL) > 1 { // a tap that sags moves a mark from one source to another
		t.Errorf("fills of %g L, sums of %g", water, a.Sums.WaterL)
	}
	if len(a.ByTubs) != 3 || len(a.HotWater) == 0 {
		t.Errorf("%d rows of tubs, %d draws", len(a.ByTubs), len(a.HotWater))
	}
}

// Whatever a file holds, reading it ends in a plan or in a sentence.
func FuzzParseDay(f *testing.F) {
	f.Add([]byte(`{"fleeces":[{"animal":"Invented","raw_g":500}]}`))
	f.Add([]byte(`{"kit":{"tubs":[]},"fleeces":[{"animal":"\u001b[2J","raw_g":1e9}]}`))
	f.Add([]byte(`{"kit":{"jug_l":1e-9,"tubs":[{"name":"a","capacity_l":1e308,"fill_l":1}]},"fleeces":[{"animal":"x","raw_g":20000,"basket_g":5}],"start":"9999-12-31T23:59:59Z"}`))
	f.Fuzz(func(t *testing.T, raw []byte) {
		day, _, start, err := parseDay(raw, shed.DefaultKit())
		if err != nil {
			if err.Error() == "" {
				t.Error("a refusal without a sentence")
			}
			return
		}
		if len(day.Batches) > 12 { // a plan of more takes its time
			return
		}
		if o, err := planner.PlanAhead(day, start, planner.AsGiven, planner.Quick); err == nil && len(o.Plan.Batches) != len(day.Batches) {
			t.Errorf("%d batches of %d", len(o.Plan.Batches), len(day.Batches))
		}
	})
}
