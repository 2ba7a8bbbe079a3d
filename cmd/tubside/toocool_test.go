package main

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"fleece.example/tubside/session/must"
)

// textOf runs a command and gives its output and its complaint.
func textOf(t *testing.T, args ...string) (out, errs string, code int) {
	t.Helper()
	f := must.Get(os.Create(filepath.Join(t.TempDir(), "out"))).In(t)
	var complaint bytes.Buffer
	code = run(args, system{in: os.Stdin, out: f, errs: &complaint, getenv: func(string) string { return "" }})
	raw := must.Get(os.ReadFile(f.Name())).In(t)
	return string(raw), complaint.String(), code
}

// A bath meant for a wash that cannot be one is said before what to pour; each
// way out that is named, taken, really is one.
func TestFillAndPlanSayTooCoolToWash(t *testing.T) {
	fill := func(more ...string) (string, fillJSON) {
		args := append([]string{"fill", "--target", "65.5", "--volume", "8", "--fleece", "225", "--kettle-volume", "0.3", "--hot", "35"}, more...)
		var a fillJSON
		answerOf(t, &a, args...)
		text, _, _ := textOf(t, args...)
		return text, a
	}
	text, a := fill()
	first, _, _ := strings.Cut(text, "\n")
	if !a.TooCool || !strings.HasPrefix(first, "do not fill: too cool to wash, ") || !strings.Contains(first, "wax sets below 49.0 °C") || !strings.Contains(first, "boil ") {
		t.Fatalf("%s", text)
	}
	_, boil, _ := strings.Cut(first, "boil ")
	boil, _, _ = strings.Cut(boil, " L")
	if text, a = fill("--kettle", "97", "--kettle-volume", boil); a.TooCool {
		t.Errorf("boiling %s L does not do:\n%s", boil, text)
	}
	if text, a = fill("--hot", "70"); a.TooCool {
		t.Errorf("%s", text)
	}
	if text, a = fill("--target", "40"); a.TooCool || strings.Contains(text, "too cool to wash") { // a rinse
		t.Errorf("%s", text)
	}

	for _, small := range [][]string{{"--target", "66", "--hot", "50", "--fleece", "0"}, {"--target", "66", "--hot", "50", "--fleece", "0", "--step", "1"}, {"--target", "40", "--hot", "30"}} { // of so little hot water no bath is made
		if text, _ = fill(append([]string{"--kettle", "98", "--kettle-volume", "0.1"}, small...)...); strings.Contains(text, "no more than") || !strings.Contains(text, "boil ") && !strings.Contains(text, "from the kettle") {
			t.Errorf("%v: %s", small, text)
		}
	}
	if text, _ = fill("--target", "40", "--hot", "37", "--kettle-volume", "0.1"); !strings.Contains(text, "no more than ") || !strings.Contains(text, " L of water\n") {
		t.Errorf("%s", text)
	}

	plan := []string{"plan", "--fleece", "400 g", "--tubs", "1", "--kettle", "0 L", "--hot"}
	_, errs, code := textOf(t, append(plan, "35")...)
	if code == 0 || !strings.Contains(errs, "too cool to wash, ") || !strings.Contains(errs, ": raise the tank to ") || strings.Contains(errs, "after 0 min") {
		t.Fatalf("%d: %s", code, errs)
	}
	_, hot, _ := strings.Cut(errs, "raise the tank to ")
	hot, _, _ = strings.Cut(hot, " ")
	if _, errs, code = textOf(t, append(plan, hot)...); code != 0 {
		t.Errorf("a tank at %s does not do: %s", hot, errs)
	}
}

// Of what a thermometer does not show no tap is asked for that nobody could tell from the one there is.
func TestFillNeedsNothingThatIsThere(t *testing.T) {
	for _, c := range []struct {
		target string
		needs  bool
		says   string
	}{
		{"45.2", false, "short     0.2 °C under the 45.2 °C wanted: less than a kitchen thermometer shows"},
		{"45.5", true, "a hot tap of 46 °C"},
		{"11.8", false, "warm      0.2 °C over the 11.8 °C wanted, of cold water alone: less than a kitchen thermometer shows"},
		{"11.5", true, "cold water of 11.5 °C would do it"},
	} {
		args := []string{"fill", "--target", c.target, "--volume", "8", "--hot", "45", "--cold", "12", "--kettle", "none"}
		var a fillJSON
		answerOf(t, &a, args...)
		if text, _, _ := textOf(t, args...); !strings.Contains(text, c.says) || (a.Needs != nil) != c.needs {
			t.Errorf("%s: needs %v\n%s", c.target, a.Needs, text)
		}
	}
	var a fillJSON
	if answerOf(t, &a, "fill", "--target", "60", "--volume", "8", "--hot", "59.8", "--kettle", "none"); !a.TooCool || a.Needs == nil {
		t.Error("too cool to wash, and nothing would do")
	}
}
