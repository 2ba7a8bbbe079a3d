package main

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"fleece.example/tubside/cooling"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/must"
	"fleece.example/tubside/session/planner"
	"fleece.example/tubside/session/shed"
)

// inventedKit is unlike the usual one in every figure that a command may ask for.
func inventedKit() shed.Kit {
	k := shed.DefaultKit().In(measure.US)
	k.RoomC, k.HotTapC, k.ColdTapC, k.JugL, k.AltitudeM = measure.FToC(60), measure.FToC(115), measure.FToC(45), measure.LPerUSQuart/2, 1500
	k.Tubs = []shed.Tub{{ID: "t1", Name: "Copper", CapacityL: 5 * measure.LPerUSGal, FillL: 4 * measure.LPerUSGal, Shape: cooling.Deep, Cover: cooling.Lid}}
	k.Kettle = shed.Kettle{CapacityL: 2 * measure.LPerUSQuart, PowerW: 1200}
	k.Scales = []shed.Scale{{Name: "bathroom", StepG: measure.GPerOz}}
	return k
}

// TestOwnKit: what is left out on the command line is that of the kit in the record, or of
// --kit, and what is said goes before it.
func TestOwnKit(t *testing.T) {
	t.Chdir(t.TempDir())
	s := newRecord(t)
	must.Do(t, errors.Join(s.SaveKit(inventedKit()), s.Close()))
	data := filepath.Dir(s.Path())
	if code, _, errs := says(t, "export", "--data", data, "--json", "kit.json"); code != 0 {
		t.Fatal(errs)
	}
	must.Do(t, os.WriteFile("day.json", []byte(`{"fleeces":[{"animal":"Invented ewe","raw_g":900}]}`), 0o600))
	for call, want := range map[string][]string{
		"plan --fleece 2lb":                               {"Copper", "at the tubs"},
		"plan --file day.json":                            {"Copper"},
		"plan --fleece 2lb --size 4gal --bath 3gal":       {"Tub 1"},
		"fill --target 130 --volume 3":                    {" marks)\n"},
		"fill --target 130 --volume 3 --step 0 --hot 131": {"hot tap   2 gal"},
		"fill --target 130 --volume 3 --hot 40":           {"--hot 40 °F is colder than --cold 45 °F"},
		"fill --help":                                     {"115 °F", "45 °F", "60 °F", "4921 ft"},
		"plan --help":                                     {"1.2 kW", "2 qt", "0 if it never runs out (default none)"},
		"yield --help":                                    {"1 oz"},
	} {
		for _, whose := range [][]string{{"--data", data}, {"--data", "none", "--kit", "kit.json"}} {
			_, out, errs := says(t, append(strings.Fields(call), whose...)...)
			for _, w := range want {
				if !strings.Contains(out+errs, w) && !(w == "2 qt" && strings.Contains(out, "8 cups")) {
					t.Errorf("%s %v: no %q in\n%s%s", call, whose, w, out, errs)
				}
			}
		}
	}
	if _, out, errs := says(t, "rehearse", "--no-screen", "--data", data); !strings.Contains(out, `"name":"Copper"`) || !strings.Contains(out, `"event":"day ended"`) {
		t.Errorf("rehearse: %s%.200s", errs, out)
	}
	for name, text := range map[string]string{"none.json": "{}", "bad.json": "{", "odd.json": `{"kit":{"room_c":900}}`} {
		must.Do(t, os.WriteFile(name, []byte(text), 0o600))
		if code, _, errs := says(t, "plan", "--data", "none", "--fleece", "900g", "--kit", name); code == 0 || !strings.Contains(errs, name) {
			t.Errorf("%s: %d %s", name, code, errs)
		}
	}
}

// TestUsualTubsAreRound: without a kit the usual tubs are of whole measures in these units.
func TestUsualTubsAreRound(t *testing.T) {
	for units, want := range map[string]string{"us": " 2 gal cold", "imperial": " 1 gal 6 pints cold", "metric": " 8 L cold"} {
		if _, out, errs := says(t, "plan", "--data", "none", "--units", units, "--fleece", "450g"); !strings.Contains(out, want) {
			t.Errorf("%s: no %q in\n%s%s", units, want, out, errs)
		}
	}
}

// TestReadyBy: a day is begun as late as it can and is still done in time, with its days
// and with what it asks of a person asleep.
func TestReadyBy(t *testing.T) {
	for call, want := range map[string]string{
		"--start 2026-06-13T07:00:00Z":                                      "at the tubs from 07:00 on Sat 13 Jun: done at ",
		"--start 2026-06-13T07:00:00Z --ready-by 16:00":                     ": done at 15:59",
		"--start 2026-06-13T06:00:00Z --ready-by 16:00":                     "not at 06:00: it is ready by 16:00 all the same",
		"--start 2026-06-13T07:00:00Z --ready-by 16:00 --presoak overnight": " over 2 days at the tubs from 19:00 on Fri 12 Jun: done at 08:",
		"--start 2026-06-13T07:00:00Z --ready-by 4pm":                       ": done at 15:59",
		"--start 2026-06-13T15:00:00Z --ready-by 16:00":                     "the latest start is ",
		"--ready-by 2026-06-13T08:00:00Z":                                   "on Fri 12 Jun: done at 21:59",
		"--start 2026-06-13T21:00:00Z":                                      "and you are up from 07:00",
		"--ready-by 2026-12-24T16:00:00Z --presoak overnight":               " on Thu 24 Dec (",
		"--ready-by 2026-12-24T16:00:00Z --presoak overnight --bin 40":      " on Thu 24 Dec: done at ",
		"--start 2026-06-13T07:00:00Z --presoak overnight":                  " over 2 days at the tubs from 19:00 on Fri 12 Jun: done at 08:",
		"--start 2026-06-13T20:00:00Z --presoak overnight":                  " over 2 days at the tubs from 20:00 on Sat 13 Jun: done at ",
		"--start 2026-06-13T07:00:00Z --ready-by noon":                      ": done at 11:59",
		"--start 2026-06-13T07:00:00Z --ready-by 4 --units us":              ": done at 3:59 pm",
		"--start tonight":    "--start tonight isn't a time: write it such as 07:30",
		"--ready-by noonish": "--ready-by noonish isn't a time",
		"--start yesterday":  "--start yesterday isn't a time",
		"--start 2026-06-13T07:00:00Z --ready-by 23:00 --tubs 1 --tank 1": ": done at 2",
	} {
		_, out, errs := says(t, append([]string{"plan", "--units", "metric", "--fleece", "450g", "--data", "none"}, strings.Fields(call)...)...)
		if !strings.Contains(out+errs, want) {
			t.Errorf("%s: no %q in\n%s%s", call, want, out, errs)
		}
	}
}

// A time of day that one is to be ready by is the next that can still be made; what then falls
// into hours that are kept free is said.
func TestReadyByIsToCome(t *testing.T) {
	day := shed.Plan{Kit: shed.DefaultKit(), Method: shed.BuiltInMethod(), Fleeces: []shed.Fleece{{ID: "f1", Animal: "Moss", RawG: 500}}, Batches: []shed.Batch{{FleeceID: "f1", RawG: 200}}}
	now := time.Now().Truncate(time.Minute)
	for h := range 8 {
		p := &plan{ready: fmt.Sprintf("%d:30", 3*h)}
		o, _, err := p.plan(day, today(8))
		from, done := o.Timetable.From, o.Timetable.Finish.In(time.Local)
		up := done.Hour() >= 7 && done.Hour() < 22
		late := done.Hour() == 3*h && done.Minute() >= 28 || done.Hour() == 21 && done.Minute() >= 50
		if err != nil || from.Before(now) || from.After(now.Add(48*time.Hour)) || !late || !up && len(o.Cautions) == 0 {
			t.Errorf("ready by %s: from %s to %s (%v, %v)", p.ready, from, done, o.Cautions, err)
		}
	}
}

// TestBreaks: half an hour without work is told, less is not, nor is a night; a kettle asks
// for a hand when it is put on.
func TestBreaks(t *testing.T) {
	at := func(min int) time.Time {
		return time.Date(2026, 6, 13, 8, 0, 0, 0, time.UTC).Add(time.Duration(min) * time.Minute)
	}
	work := func(from, to int) planner.Piece {
		return planner.Piece{Start: at(from), End: at(to), Acts: []shed.Action{0}}
	}
	got := breaks([]planner.Piece{work(0, 5), work(34, 40), work(70, 75), {Start: at(80), End: at(90)}, work(110, 112), work(112+360, 480)})
	want := [][2]time.Time{{at(40), at(70)}, {at(80), at(110)}}
	if len(got) != 2 || got[0] != want[0] || got[1] != want[1] {
		t.Errorf("%v, want %v", got, want)
	}
}
