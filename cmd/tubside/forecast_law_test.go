package main

import (
	"encoding/json"
	"math"
	"os"
	"strings"
	"testing"
	"time"

	"fleece.example/tubside/cooling"
	"fleece.example/tubside/session"
	"fleece.example/tubside/session/must"
	"fleece.example/tubside/session/shed"
)

// With what is known of the tub the command answers as a day does for a bath that was
// filled at the first reading.
func TestForecastOfATubIsTheDays(t *testing.T) {
	plan := shed.Plan{Kit: shed.Kit{RoomC: 19, Tubs: []shed.Tub{{ID: "t1", CapacityL: 10, FillL: 8}}}}
	filled := time.Date(2026, 5, 16, 9, 0, 0, 0, time.UTC)
	bath := session.Bath{FilledAt: filled, FillC: 65, FillRead: true, VolumeL: 8, Changes: []session.HeatChange{{At: filled, Cover: cooling.Lid}}}
	text := "0,65\n"
	for _, r := range []cooling.Reading{{AtMin: 10, TempC: 63}, {AtMin: 20, TempC: 61}, {AtMin: 30, TempC: 59.5}} {
		bath.Readings = append(bath.Readings, session.Reading{At: filled.Add(time.Duration(r.AtMin) * time.Minute), TempC: r.TempC})
		text += jsonNumber(r.AtMin) + "," + jsonNumber(r.TempC) + "\n"
	}
	h := session.BathHeat(&plan, &bath)
	want := h.Crossing(49)
	out := must.Get(runForecast(text, "-", "--room", "19", "--cover", "lid", "--volume", "8 L", "--size", "10 L", "--json")).In(t)
	var got struct {
		CrossingMin struct{ Early, Likely, Late float64 } `json:"crossing_min"`
	}
	must.Do(t, json.Unmarshal([]byte(out), &got))
	for i, at := range []time.Time{want.Early, want.Likely, want.Late} {
		minute := []float64{got.CrossingMin.Early, got.CrossingMin.Likely, got.CrossingMin.Late}[i]
		if math.Abs(at.Sub(filled).Minutes()-minute) > 0.001 {
			t.Errorf("%d: %.3f min, the day has %s", i, minute, at)
		}
	}
	for _, args := range [][]string{{"--cover", "lid"}, {"--volume", "8"}, {"--size", "8"}, {"--cover", "roof", "--volume", "8"}, {"--cover", "lid", "--volume", "8", "--size", "5"}} {
		if _, err := runForecast(text, append([]string{"-", "--room", "19"}, args...)...); err == nil {
			t.Errorf("%v was taken", args)
		}
	}
}

// Times of day, with and without their date, and over midnight: the answer is in them
// too, and says from when minutes count.
func TestForecastTimesOfDay(t *testing.T) {
	for _, c := range []struct{ times, says, at string }{
		{"09:00 09:10 09:20 09:30", "the first reading is of 09:00", "10:1"},
		{"9:00:00 9:10:00 9:20:00 9:30:00", "the first reading is of 09:00", "10:1"},
		{"23:20 23:30 23:40 23:50", "likely 00:3", "00:3"},
		{"23:50 0:00 0:10 0:20", "likely 01:0", "01:0"},
		{"2026-05-16T23:50 2026-05-17T00:00:00 2026-05-17T00:10 2026-05-17T00:20", "likely 2026-05-17 01:0", "2026-05-17T01:0"},
		{"2026-05-16T23:50:00Z 2026-05-17T00:00:00Z 2026-05-17T02:10:00+02:00 2026-05-17T00:20:00Z", "likely 2026-05-17 01:0", "2026-05-17T01:0"},
		{"0 10 20 30", "counted from time 0 of the file", ""},
	} {
		var text strings.Builder
		for i, at := range strings.Fields(c.times) {
			text.WriteString(at + "," + jsonNumber(20+45*math.Exp(-0.06*float64(i))) + "\n")
		}
		out, err := runForecast(text.String(), "-", "--room", "20")
		if err != nil || !strings.Contains(out, c.says) {
			t.Errorf("%s: %v\n%s", c.times, err, out)
		}
		out, err = runForecast(text.String(), "-", "--room", "20", "--json")
		if err != nil || !strings.Contains(out, `"likely":"`+c.at) && c.at != "" || strings.Contains(out, "crossing_at") != (c.at != "") {
			t.Errorf("%s: %v\n%s", c.times, err, out)
		}
	}
	for _, text := range []string{"09:00,65\n10,64\n09:20,63\n", "09:00,65\n2026-05-16T09:10,64\n09:20,63\n", "25:00,65\n"} {
		if out, err := runForecast(text, "-", "--room", "20"); err == nil {
			t.Errorf("%q was taken: %s", text, out)
		}
	}
	if _, err := runForecast("09:00,65\n09:10,64\n09:20,63\n", "-", "--room", "20", "--time-unit", "min"); err == nil {
		t.Error("a unit of times of day was taken")
	}
}

// What was mistyped is named and left out, what lies beside all curves is said, and
// neither is said of readings that are as readings are.
func TestForecastSaysWhatDoesNotFit(t *testing.T) {
	for _, c := range []struct{ text, room, says string }{
		{"0,65\n5,64.1\n10,36\n15,62.2\n20,61.4\n", "18", "line 3 says 36.0 °C where the others have 63.1 °C (was it 63.0 °C, digits swapped?): left out"},
		{"0,65\n5,64.1\n10,53.2\n15,62.2\n20,61.4\n", "free", "line 3 says 53.2 °C"},
		{"0,65\n5,63\n10,61\n15,59\n20,66\n25,64\n30,62\n35,60\n", "18", "two baths in one file?"},
	} {
		if out, err := runForecast(c.text, "-", "--room", c.room); err != nil || !strings.Contains(out, c.says) {
			t.Errorf("%v: it does not say %q:\n%s", err, c.says, out)
		}
	}
	for floor, says := range map[string]string{"80": "down to 80 °C: it was from the start\n", "10": "down to 10 °C: never, as far as can be told\n"} {
		if out, err := runForecast("0,65\n10,60\n20,56\n", "-", "--room", "18", "--floor", floor); err != nil || !strings.Contains(out, says) {
			t.Errorf("%v: it does not say %q:\n%s", err, says, out)
		}
	}
	out, err := runForecast("0,149\n5,147\n10,154\n15,143.9\n20,142.5\n", "-", "--room", "64", "--temp-unit", "f")
	if err != nil || !strings.Contains(out, "line 3 says 154 °F") || !strings.Contains(out, "was it 145 °F, digits swapped?") {
		t.Errorf("%v\n%s", err, out)
	}
	raw := must.Get(os.ReadFile(published("mug-open-and-film.csv"))).In(t)
	for _, args := range [][]string{{"--room", "23"}, {"--room", "free"}, {"--room", "23", "--until", "40"}, {"--room", "23", "--cover", "open", "--volume", "0.3"}} {
		if out, err := runForecast(string(raw), append([]string{"-"}, args...)...); err != nil || strings.Contains(out, "left out") || strings.Contains(out, "stirred") {
			t.Errorf("%v: %v\n%s", args, err, out)
		}
	}
}
