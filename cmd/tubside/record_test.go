//go:build unix

package main

import (
	"encoding/csv"
	"os"
	"os/exec"
	"strings"
	"testing"
	"time"

	"fleece.example/tubside/session/must"
	"fleece.example/tubside/session/sessiontest"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/store"
)

// spunDay keeps a day with one batch that waits, spun, for the rack.
func spunDay(t *testing.T, dir string, began time.Time) {
	t.Helper()
	s := must.Get(store.Open(dir + "/" + fileName)).In(t)
	kit := shed.DefaultKit()
	kit.Tubs = kit.Tubs[:1]
	kit.Trays = []shed.Tray{{ID: "r1", Name: "top", Places: 1}, {ID: "r2", Name: "low", Places: 2}}
	kit.Scales = []shed.Scale{{Name: "kitchen", StepG: 1}}
	f := must.Get(s.SaveFleece(shed.Fleece{Animal: "Bramble", Farm: "Nowhere Fold", Year: 2026, RawG: 2500, Colour: "moorit"})).In(t)
	must.Do(t, s.SaveKit(kit))
	plan := shed.Plan{Kit: kit, Method: shed.BuiltInMethod(), Fleeces: []shed.Fleece{f},
		Batches: []shed.Batch{{FleeceID: f.ID, RawG: 200, Presoak: shed.PresoakNone, RawScale: kit.Scales[0]}}}
	r := sessiontest.StartAt(t, plan, began)
	for r.Day.NextAction(0) != shed.RackFibre {
		r.Now = r.Now.Add(time.Minute)
		r.Next(0)
	}
	r.Keep(s)
	must.Do(t, s.Close())
}

// TestBatchFromRackToBag takes one batch through the terminal: spun weight,
// rack, a second weight with its forecast, the dry weight, its tag, and the
// table read back. The clock runs a hundred times as fast.
func TestBatchFromRackToBag(t *testing.T) {
	if testing.Short() {
		t.Skip("takes some seconds of real time")
	}
	t.Parallel()
	dir, path := t.TempDir(), program(t)
	now := time.Now().UTC()
	spunDay(t, dir, now.Add(-20*time.Minute))
	w := open(t, nil, path, "--new", "--data", dir, "--clock-pace", "100", "--clock-from", now.Format(time.RFC3339))
	w.see("still open")
	w.press("enter")
	w.see("RACK AND LABEL")
	w.see("tray top")
	time.Sleep(time.Second)
	w.press("1", "g")
	w.see("WHAT DOES A1 WEIGH SPIN-DRIED?")
	w.write("172")
	w.press("enter")
	w.see("A1: 172 g spin-dried")
	w.press("1", "y")
	w.see("WHICH TRAY?")
	w.press("2")
	w.see("tag: code 001J, A1 Bramble")
	w.see("FINISH THE DAY")
	time.Sleep(1200 * time.Millisecond) // Enter waits a moment after the band has changed
	w.press("enter")
	w.see("Enter again to finish the day")
	w.press("enter")
	w.see("Looking back")
	w.press("esc")
	w.see("Drying rack")
	time.Sleep(4 * time.Second) // some minutes on the rack
	w.press("r")
	w.see("low")
	w.see("172 g")
	w.press("enter")
	w.see("Weight now")
	w.write("151")
	w.press("ctrl+s")
	w.see("it should settle at about")
	w.see("151 g")
	w.press("d")
	w.see("Dry weight")
	w.write("300")
	w.press("ctrl+s")
	w.see("more than the 200 g it weighed raw")
	w.press("\x15") // what was typed
	w.write("118")
	w.press("tab")
	w.write("60")
	w.press("enter", "enter")
	w.see("Is it dry?")
	w.press("down", "enter")
	w.see("wool takes a day or more to dry") // ten minutes on this clock
	time.Sleep(aMoment)                      // it is read
	w.press("enter")
	w.see("118 g dry of 200 g raw, yield 59 %")
	w.see("How it came out")
	time.Sleep(1100 * time.Millisecond) // it is seen first
	w.press("t", "o")
	w.see("tips stuck, soft")
	w.press("esc")
	w.see("Nothing is drying")
	w.press("esc", "f")
	w.see("59 %")
	w.press("ctrl+c")
	w.end()

	run := func(args ...string) string {
		cmd := exec.Command(path, append([]string{"--data", dir}, args...)...)
		cmd.Env = append(os.Environ(), "LANG=C.UTF-8")
		out, err := cmd.CombinedOutput()
		if err != nil {
			t.Fatalf("%v: %v\n%s", args, err, out)
		}
		return string(out)
	}
	tag := run("tags")
	for _, text := range []string{"Bramble", "batch A1, loose", "raw 200 g   dry 118 g   yield 59 %", "colour: moorit", "code 001J"} {
		if !strings.Contains(tag, text) {
			t.Errorf("the tag does not say %q:\n%s", text, tag)
		}
	}
	cells, err := csv.NewReader(strings.NewReader(run("export", "--csv", "-"))).ReadAll()
	if err != nil || len(cells) != 2 {
		t.Fatalf("table %v: %v", cells, err)
	}
	got := map[string]string{}
	for i, name := range cells[0] {
		got[name] = cells[1][i]
	}
	for name, want := range map[string]string{"code": "'001J", "raw_g": "200", "dry_g": "118", "yield_percent": "59", "humidity_percent": "60",
		"tray": "low", "dry_scale": "kitchen", "dry_scale_step_g": "1", "raw_scale": "kitchen", "first_wet_g": "172", "came_out": "tips stuck, soft", "colour": "moorit"} {
		if got[name] != want {
			t.Errorf("%s is %q, want %q", name, got[name], want)
		}
	}
}
