package session_test

import (
	"errors"
	"strings"
	"testing"
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/must"
	"fleece.example/tubside/session/shed"
)

// What cannot well be right is asked about, and what is usual is not.
func TestUnlikelyFiguresAreAskedAbout(t *testing.T) {
	tank := func(l, w float64) error {
		k := shed.DefaultKit()
		k.Tank = shed.Tank{VolumeL: l, HeaterW: w}
		return k.AskTank()
	}
	step := func(name string, kind shed.StepKind) error { return shed.Step{Name: name, Kind: kind}.AskKind() }
	twin := func(animal, farm string, year int) error {
		return shed.Fleece{Animal: animal, Farm: farm, Year: year}.AskTwin([]shed.Fleece{{ID: "f1", Animal: "Bramble", Farm: "Invented Hill", Year: 2026}})
	}
	for _, c := range []struct {
		name string
		err  error
		asks string
	}{
		{"a usual heater", tank(150, 3000), ""}, {"a slow heater", tank(150, 300), ""}, {"one too slow", tank(150, 270), "270 W takes 25 hours"}, {"no tank", tank(0, 0), ""},
		{"a lamp's power", tank(150, 130), "130 W takes"}, {"no power", tank(150, 0), "stays cold"},
		{"a wash as a rinse", step("second wash", shed.Rinse), "is set as a rinse"}, {"a rinse as a wash", step("Rinse 1", shed.Wash), "not as a rinse"},
		{"a wash", step("second wash", shed.Wash), ""}, {"no kind in it", step("dip", shed.Rinse), ""}, {"both in it", step("rinse after the wash", shed.Rinse), ""},
		{"a twin", twin("bramble ", "Invented hill", 2026), "f1"}, {"another year", twin("Bramble", "Invented Hill", 2025), ""}, {"another farm", twin("Bramble", "", 2026), ""},
	} {
		switch {
		case c.asks == "" && c.err != nil:
			t.Errorf("%s: %v", c.name, c.err)
		case c.asks != "" && (!errors.Is(c.err, shed.ErrUnlikely) || !strings.Contains(c.err.Error(), c.asks)):
			t.Errorf("%s: %v, want %q asked", c.name, c.err, c.asks)
		}
	}
	one := shed.Fleece{ID: "f1", Animal: "Bramble", Farm: "Invented Hill", Year: 2026}
	if err := one.AskTwin([]shed.Fleece{one}); err != nil {
		t.Errorf("its own twin: %v", err)
	}
}

// Nobody is asked to weigh at night; whose night it is the kit knows.
func TestWeighingWaitsForTheMorning(t *testing.T) {
	at := func(text string) time.Time {
		v := must.Get(time.Parse("02 15:04", text)).In(t)
		return v
	}
	for _, c := range []struct {
		up, bed       int
		moment, wants string
	}{
		{0, 0, "05 01:30", "05 07:00"}, {0, 0, "05 07:00", "05 07:00"}, {0, 0, "05 21:59", "05 21:59"}, {0, 0, "05 22:00", "06 07:00"}, {0, 0, "05 12:15", "05 12:15"},
		{5, 20, "05 20:30", "06 05:00"}, {10, 2, "05 01:30", "05 01:30"}, {10, 2, "05 03:00", "05 10:00"}, {10, 24, "05 23:45", "05 23:45"}, {10, 24, "05 00:15", "05 10:00"},
	} {
		k := shed.Kit{UpH: c.up, BedH: c.bed}
		if got := k.WhenUp(at(c.moment)); !got.Equal(at(c.wants)) {
			t.Errorf("up %d to %d, %s: %s, want %s", c.up, c.bed, c.moment, got.Format("02 15:04"), c.wants)
		}
	}
	k := shed.DefaultKit()
	if k.UpH, k.BedH = 9, 9; k.Validate() == nil {
		t.Error("up for no time at all")
	}
}

// One scale of an eighth of an ounce is one scale, in whatever units it was typed.
func TestAnEighthOfAnOunceIsOneScale(t *testing.T) {
	typed, exact := shed.Scale{Name: "kitchen", StepG: 3.544}, shed.Scale{Name: "Kitchen", StepG: measure.GPerOz / 8}
	if !typed.Same(exact) || typed.Same(shed.Scale{Name: "kitchen", StepG: measure.GPerOz / 10}) || typed.Same(shed.Scale{Name: "post", StepG: 3.544}) {
		t.Error("which scales are the same")
	}
	if got := measure.US.Step(exact.StepG); got != "0.125 oz" {
		t.Errorf("its step is shown as %s", got)
	}
	y, ok, err := ledger.YieldOf([]ledger.BatchRow{{RawG: 225, DryG: 118, RawScale: typed, DryScale: exact}}, shed.Medium, measure.US)
	if err != nil || !ok || y.TwoScales {
		t.Errorf("%+v, %v, %v", y, ok, err)
	}
}

// A batch past the latest time of its forecast should be dry.
func TestALongDryingIsOverdue(t *testing.T) {
	racked := time.Date(2026, 6, 13, 15, 0, 0, 0, time.UTC)
	b := session.DryingBatch{Since: racked, DryLatest: racked.Add(9 * 24 * time.Hour)}
	for _, c := range []struct {
		name string
		at   time.Duration
		b    session.DryingBatch
		want bool
	}{
		{"a day", 24 * time.Hour, b, false},
		{"past its latest", 30 * time.Hour, session.DryingBatch{Since: racked, DryLatest: racked.Add(20 * time.Hour)}, true},
		{"dry", 7 * 24 * time.Hour, session.DryingBatch{Since: racked, Dry: true, DryLatest: racked.Add(20 * time.Hour)}, false},
		{"nothing follows from its weights", 7 * 24 * time.Hour, session.DryingBatch{Since: racked}, false},
	} {
		if got := c.b.Overdue(racked.Add(c.at)); got != c.want {
			t.Errorf("%s: %v", c.name, got)
		}
	}
}
