package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"fleece.example/tubside/cooling"
	"fleece.example/tubside/session"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/must"
	"fleece.example/tubside/session/planner"
	"fleece.example/tubside/session/shed"
)

// answerOf runs a command and reads its JSON.
func answerOf(t *testing.T, into any, args ...string) {
	t.Helper()
	out := must.Get(os.Create(filepath.Join(t.TempDir(), "out"))).In(t)
	var errs bytes.Buffer
	if code := run(append(args, "--json"), system{in: os.Stdin, out: out, errs: &errs, getenv: func(string) string { return "" }}); code != 0 {
		t.Fatalf("%v: %d: %s", args, code, errs.String())
	}
	raw := must.Get(os.ReadFile(out.Name())).In(t)
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

// A time is read with its date as its person writes it, and without its year is one to come.
func TestPlanStartsOnADate(t *testing.T) {
	now := time.Now()
	at := time.Date(now.Year(), now.Month(), now.Day()+3, 7, 30, 0, 0, time.Local)
	for units, layout := range map[string]string{"us": "1/2/06 3:04 pm", "metric": "2.1.2006 15:04", "us,24h": "Jan 2 15:04", "metric,12h": "3:04 pm on Mon 2 Jan"} {
		_, out, errs := says(t, "plan", "--data", filepath.Join(t.TempDir(), "none"), "--units", units, "--fleece", "500 g", "--json", "--start", at.Format(layout))
		if want := at.UTC().Format(`"2006-01-02T15:04:05Z"`); !strings.Contains(out, want) {
			t.Errorf("%s: %.300s%s\nwant %s", at.Format(layout), out, errs, want)
		}
	}
}

// Columns are as wide as the longest name in them.
func TestPlanColumns(t *testing.T) {
	s := newRecord(t)
	k := shed.DefaultKit()
	k.Tubs[0].Name = "Blue tote by the door"
	must.Do(t, errors.Join(s.SaveKit(k), s.Close()))
	_, out, _ := says(t, "plan", "--data", filepath.Dir(s.Path()), "--fleece", "900 g", "--start", "2026-06-13T10:00:00Z")
	_, table, _ := strings.Cut(out, "\nwhen ")
	table, fills, _ := strings.Cut(table, "\nfills\n")
	fills, _, _ = strings.Cut(fills, "\n\n")
	batch := strings.Index(table, "batch") + len("when ")
	for _, l := range strings.Split(table, "\n")[1:] {
		if strings.Contains(l, ":") && !strings.Contains(l, "nothing needs you") && (batch >= len(l) || l[batch-1] != ' ' || l[batch] < 'A' || l[batch] > 'Z') {
			t.Errorf("no batch below its title in %q", l)
		}
	}
	names := map[int]bool{}
	for _, l := range strings.Split(fills, "\n") {
		for _, tub := range k.Tubs {
			if i := strings.Index(l, tub.Name); i >= 0 {
				names[i] = true
			}
		}
	}
	if len(names) != 1 {
		t.Errorf("tubs stand in %d columns:\n%s", len(names), fills)
	}
}

// TestPlanLastsAsItsTimesSay: the length that is said is that between the times beside it, whatever
// second the day begins at.
func TestPlanLastsAsItsTimesSay(t *testing.T) {
	said := regexp.MustCompile(`, (.*) at the tubs from (\d\d:\d\d).*: done at (\d\d:\d\d)`)
	for s := 3; s < 60; s += 14 {
		_, out, _ := says(t, "plan", "--fleece", fmt.Sprint(300+5*s, " g"), "--start", fmt.Sprintf("2026-06-13T10:00:%02dZ", s))
		m := said.FindStringSubmatch(out)
		if m == nil {
			t.Fatal(out)
		}
		from, err1 := time.Parse("15:04", m[2])
		to, err2 := time.Parse("15:04", m[3])
		if err := errors.Join(err1, err2); err != nil || m[1] != measure.Minutes(to.Sub(from).Minutes()) {
			t.Errorf("%s (%v)", m[0], err)
		}
	}
}

// The quiet hours of the record are planned around as on the screen, so are breaks, one that meets
// them with them, and what is said of it is in all forms.
func TestPlanKeepsHoursFree(t *testing.T) {
	t.Parallel()
	s := newRecord(t)
	must.Do(t, errors.Join(s.SaveKit(shed.DefaultKit()), s.SaveAlarmSettings(session.AlarmSettings{QuietFromMin: 13 * 60, QuietToMin: 14 * 60}), s.Close()))
	day := []string{"plan", "--data", filepath.Dir(s.Path()), "--fleece", "900 g", "--start", "2026-06-13T10:00:00Z"}
	for call, want := range map[string]string{
		"":                                     "\nquiet hours 13:00 to 14:00: ",
		"--ready-by 16:00":                     "\nquiet hours 13:00 to 14:00: ",
		"--break 11:10-11:20,12:30-13:15":      "\nbreak 11:10 to 11:20: ",
		"--break 11:10-11:20,12-13,lunch":      "--break \"lunch\" isn't two times: ",
		"--break 12:30-13:15":                  "\nbreak 12:30 to 14:00: ",
		"--break 12:30-13:15 --units us":       "\nbreak 12:30 pm to 2:00 pm: ",
		"--break lunch":                        "--break \"lunch\" isn't two times: type two times such as 12:30-13:15, or none",
		"--ready-by 12:59 --break 11:00-12:00": "to be ready by 12:59 the latest start is ",
	} {
		_, out, errs := says(t, append(slices.Clone(day), strings.Fields("--tubs 2 "+call)...)...)
		if !strings.Contains(out+errs, want) {
			t.Errorf("%s: no %q in\n%s%s", call, want, out, errs)
		}
	}
	var a planJSON
	answerOf(t, &a, append(day, "--break", "12:30-13:15")...)
	if len(a.Breaks) != 1 || a.Breaks[0].StartMin != 150 || a.Breaks[0].EndMin != 240 || a.Breaks[0].Says == "" {
		t.Errorf("breaks %+v", a.Breaks)
	}
	for _, x := range a.Timetable {
		if x.Who == "hands" && x.StartMin < 240 && x.EndMin > 150 {
			t.Errorf("%v of %s from %.1f to %.1f min, in the break", x.Acts, x.Batch, x.StartMin, x.EndMin)
		}
	}
	if n := len(a.ByTubs); n < 2 || len(a.ByTubs[0].Names) != 1 || len(a.ByTubs[n-1].Names) != n {
		t.Errorf("by tubs: %+v", a.ByTubs)
	}
}

// Of a tub that is too small for every batch the command says that it stays dry, as the screen does; of others nothing.
func TestPlanSaysWhichTubStaysDry(t *testing.T) {
	s := newRecord(t)
	k := shed.DefaultKit()
	k.Tubs[2] = shed.Tub{ID: "t9", Name: "Bucket", CapacityL: 4, FillL: 3, Shape: cooling.Deep, Cover: cooling.Lid}
	if err := errors.Join(s.SaveKit(k), s.Close()); err != nil {
		t.Fatal(err)
	}
	const stays = "Bucket stays dry: holds 3 L, batches need"
	day := []string{"plan", "--data", filepath.Dir(s.Path()), "--start", "2026-06-13T10:00:00Z", "--fleece"}
	for fleece, want := range map[string]bool{"225 g": true, "60 g": false} {
		var a planJSON
		answerOf(t, &a, append(day, fleece)...)
		if _, out, _ := says(t, append(day, fleece)...); strings.Contains(out, "\n"+stays) != want || strings.Contains(a.Dry, stays) != want {
			t.Errorf("%s: %q in\n%s", fleece, a.Dry, out)
		}
	}
}

// The mark of an encoding before a day, a kit or a script is no part of it.
func TestMarkBeforeJSON(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	write := func(name, text string) string {
		path := filepath.Join(dir, name)
		must.Do(t, os.WriteFile(path, []byte("\ufeff"+text), 0o600))
		return path
	}
	day := write("day.json", `{"fleeces":[{"id":"f1","animal":"Bramble","raw_g":900}]}`)
	kit := write("kit.json", `{"kit":{}}`)
	for _, args := range [][]string{{"plan", "--file", day}, {"plan", "--kit", kit, "900 g"}, {"rehearse", "--script", write("s.json", `{`)}} {
		if _, said := quietly(t, args...); strings.Contains(said, "invalid character") || strings.Contains(said, "not JSON") {
			t.Errorf("%v: %s", args, said)
		}
	}
}
