package main

import (
	"errors"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/spf13/cobra"

	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/must"
	"fleece.example/tubside/session/shed"
)

var (
	britishWords  = regexp.MustCompile(`(?i)litre|[^-]colour|\bgrey|fibre|[^o]metre|washing-up|mangle|\bRCD\b|\bgrams?\b|per cent|\bjugs?\b|above the sea`)
	americanWords = regexp.MustCompile(`(?i)liter[^a]|color[^f]|\bgray|fiber|[^o]meter\b|dishpan|wringer|\bGFCI\b|gallon|ounce|pounds`)
	metricFigures = regexp.MustCompile(`°C|\d ?(C|L|mL|g|kg|mm|cm)\b`)
	clockOf12     = regexp.MustCompile(`\d [ap]m\b`)
	clockOf24     = regexp.MustCompile(`\b(0\d|1[3-9]|2\d):\d\d`)
	bareMark      = regexp.MustCompile(`\{\d`)
	usFigures     = regexp.MustCompile(`°F|\d ?(F|oz|lb|US gal|gal|cups?)\b`)
)

// finds tells of every place where a text has what it should not.
func finds(t *testing.T, text string, of ...*regexp.Regexp) {
	t.Helper()
	for _, re := range of {
		for _, at := range re.FindAllStringIndex(text, -1) {
			t.Errorf("%q in\n%s", text[at[0]:at[1]], text)
		}
	}
}

// TestAnswersInOwnUnits: what a command answers and refuses has words and figures of
// the units that it is asked for, and none of the others.
func TestAnswersInOwnUnits(t *testing.T) {
	t.Chdir(t.TempDir())
	for name, text := range map[string]string{
		"us.csv": "0,150\n10,143\n20,138\n30,133.5\n", "metric.csv": "0,65\n10,62\n20,59\n30,56.4\n", "flat.csv": "0,60\n1,60\n2,60\n",
		"us.json":     `{"kit":{"units":"us"},"fleeces":[{"animal":"Invented ewe","raw_g":900,"wax":"high"}]}`,
		"metric.json": `{"fleeces":[{"animal":"Invented ewe","raw_g":900,"wax":"high"}]}`,
	} {
		must.Do(t, os.WriteFile(name, []byte(text), 0o600))
	}
	for _, x := range []struct {
		units   string
		foreign []*regexp.Regexp
		calls   []string
	}{
		{"us", []*regexp.Regexp{britishWords, metricFigures}, []string{
			"fill --target 150 --volume 2", "fill --target 150 --volume 2 --kettle none", "fill --target 150 --volume 2 --step 1cup --kettle-volume 0.1",
			"fill --target 45 --volume 2", "fill --target 150 --volume 2 --hot 50 --cold 60", "fill --target 110 --volume 2 --tub 2 --step 0.7", "fill --target x --volume 2", "fill --target 150 --volume 2 --step 3", "fill --target 150 --volume 2 --altitude 99999ft", "fill --target 150 --volume 2 --altitude 25,000",
			"plan --fleece 40", "plan --fleece 12lb --tubs 2", "plan --fleece 14 --kettle 0", "plan --fleece 14 --hot 70 --cold 75", "plan", "plan --fleece 9999lb",
			"yield --raw 8 --dry 4.2 --rest 30", "yield --raw 8 --dry 9", "yield --raw 8 --dry 2", "yield --raw 8 --dry 4 --scale-step 99lb", "yield --raw 8 --dry 4 --humidity 120", "yield --raw 8 --dry 4 --humidity x",
		}},
		{"metric", []*regexp.Regexp{americanWords, usFigures}, []string{
			"fill --target 65 --volume 8", "fill --target 65 --volume 8 --kettle none", "fill --target 65 --volume 8 --step 0.25 --kettle-volume 0.3",
			"fill --target 5 --volume 8", "fill --target 65 --volume 8 --hot 10 --cold 20", "fill --target 40 --volume 8 --tub 8 --step 3", "fill --target x --volume 8",
			"plan --fleece 1200", "plan --fleece 5kg --tubs 2", "plan --fleece 400 --kettle 0", "plan --fleece 400 --hot 20 --cold 25", "plan", "plan --fleece 500kg",
			"yield --raw 225 --dry 118 --rest 900", "yield --raw 225 --dry 260", "yield --raw 225 --dry 60", "yield --raw 225 --dry 110 --scale-step 5kg",
		}},
	} {
		scale := map[string]string{"us": "f", "metric": "c"}[x.units]
		for _, call := range x.calls {
			_, out, errs := says(t, append(strings.Fields(call), "--units", x.units)...)
			finds(t, call+": "+strings.ReplaceAll(out+errs, call, ""), x.foreign...)
		}
		for _, call := range []string{"plan --file " + x.units + ".json", "forecast " + x.units + ".csv --room free --temp-unit " + scale,
			"forecast flat.csv --room 15 --temp-unit " + scale, "forecast " + x.units + ".csv --temp-unit " + scale, "forecast us.csv --room 400 --temp-unit " + scale} {
			_, out, errs := says(t, strings.Fields(call)...)
			finds(t, out+errs, x.foreign...)
		}
	}
}

// pieces is what a flag's line does not say by itself: what its word stands for, whose it is.
var pieces = regexp.MustCompile(`--[a-z-]+ (string|many|moment)\b|  (its|of) |the standard (in|out)put`)

// TestHelpInBothSpellings: help is spelled by the units that a command goes by, and
// what is usual stands in them.
func TestHelpInBothSpellings(t *testing.T) {
	everyCommand(newRoot(system{errs: os.Stderr, getenv: os.Getenv}), nil, func(c *cobra.Command, words []string) {
		for lang, foreign := range map[string][]*regexp.Regexp{"en_GB.UTF-8": {americanWords}, "en_US.UTF-8": {britishWords}} {
			_, out, errs := saysIn(t, lang, append(words, "--data", "none", "--help")...)
			out = strings.NewReplacer("COLORFGBG", "", "NO_COLOR", "").Replace(out) // names
			finds(t, out+errs, foreign...)
			finds(t, out, pieces)
			_, flags, _ := strings.Cut(strings.ReplaceAll(out, "57x32mm or 2x1in", ""), "\nUsage:")
			for _, own := range map[string][]*regexp.Regexp{"en_GB.UTF-8": {usFigures, clockOf12}, "en_US.UTF-8": {metricFigures, clockOf24}}[lang] {
				finds(t, flags, own, bareMark)
			}
			for _, l := range strings.Split(out, "\n") {
				if _, usual, ok := strings.Cut(l, "(default "); ok && lang == "en_US.UTF-8" {
					finds(t, usual, metricFigures)
				}
			}
		}
	})
	for _, name := range []string{"--no-color", "--no-colour"} {
		if code, _, errs := says(t, "fill", name, "--target", "40", "--volume", "8"); code != 0 {
			t.Errorf("%s: %s", name, errs)
		}
	}
}

// TestUnitsOfKitAndLanguage: a command goes by --units, else by the kit in the store,
// else by the machine's language, and a store in use is no error.
func TestUnitsOfKitAndLanguage(t *testing.T) {
	t.Chdir(t.TempDir())
	for name, text := range map[string]string{
		"us.csv": "0,150\n10,143\n20,138\n30,133.5\n", "metric.csv": "0,65\n10,62\n20,59\n30,56.4\n",
	} {
		must.Do(t, os.WriteFile(name, []byte(text), 0o600))
	}
	s := newRecord(t)
	f, err := s.SaveFleece(shed.Fleece{Animal: "Invented ewe", RawG: 900})
	must.Do(t, errors.Join(err, s.SaveKit(shed.DefaultKit().In(measure.US))))
	keepDayOf(t, s, nil, f)
	kit := filepath.Dir(s.Path())
	const american, british = "en_US.UTF-8", "en_GB.UTF-8"
	calls := [][]string{
		{"fill", "--target", "150", "--volume", "3", "--hot", "120", "--cold", "55", "--tub", "5 gal", "--step", "1 cup"}, {"fill", "--target", "150", "--volume", "7 qt"},
		{"plan", "--fleece", "2 lb", "--bath", "3 gal"}, {"yield", "--raw", "8 oz", "--dry", "5 oz"}, {"forecast", "us.csv", "--room", "68"},
	}
	ask := func(lang, data string, us bool, call ...string) {
		t.Helper()
		code, out, errs := saysIn(t, lang, append(call, "--data", data)...)
		if !us {
			if code == 0 && !metricFigures.MatchString(out) {
				t.Errorf("%s %v: not metric: %s", lang, call, out)
			}
			return
		}
		if code != 0 {
			t.Errorf("%s %v: %s", lang, call, errs)
		}
		finds(t, out+errs, metricFigures)
	}
	for _, call := range calls { // while a window has it open
		ask(american, kit, true, call...)
	}
	ask(british, kit, true, calls[3]...) // its kit is read all the same
	must.Do(t, s.Close())
	before := must.Get(os.ReadFile(s.Path())).In(t)
	for _, call := range calls {
		ask(british, kit, true, call...)
		ask(american, "none", true, call...)
		ask(american, kit, false, append(call[:len(call):len(call)], "--units", "metric")...)
	}
	if after, err := os.ReadFile(s.Path()); err != nil || string(after) != string(before) {
		t.Errorf("the store was written to (%v)", err)
	}
	if _, err := os.Stat("none"); err == nil {
		t.Error("a store was made")
	}
	ask(british, kit, true, "tags")
	ask(british, kit, false, "tags", "--units", "metric")
	_, _, errs := saysIn(t, british, append(calls[0], "--data", "none")...)
	if !strings.Contains(errs, "--units us") {
		t.Errorf("no word of the other units: %s", errs)
	}
}

// TestFillAsTheScreensHaveIt: what is poured is in whole units of the person's own
// measure with the marks beside it, the kettle's too, and without a kettle nothing is
// to be boiled.
func TestFillAsTheScreensHaveIt(t *testing.T) {
	for call, want := range map[string][]string{
		"--units us --target 150 --volume 3 --hot 120 --cold 55 --step 1cup":                         {"hot tap   1 gal 3 qt 3 cups (31 marks)\n", "kettle    1 gal 1 cup (17 marks)\n"},
		"--units us --target 150 --volume 3 --hot 120 --cold 55":                                     {"hot tap   1 gal 3 qt 3 1/4 cups\n"},
		"--units us --target 150 --volume 3 --hot 120 --cold 55 --step 2cups":                        {"(15 marks)\n", " marks of 1 cup)\n"},
		"--units us --target 150 --volume 2 --hot 125 --kettle-volume 7cups --step 1cup":             {"kettle    10 cups (10 marks): 1 kettle + 3 cups\n"},
		"--units us --target 150 --volume 2 --hot 120 --kettle none":                                 {"raise the tank to 150 °F\n"},
		"--units us --target 110 --volume 2 --tub 2 --step 0.7":                                      {"holds 2 gal, but", "come to 2 gal 1 1/2 cups"},
		"--units metric --target 65.5 --volume 8 --fleece 200 --carried 260 --step 0.25":             {"hot tap   5.00 L (20 marks)\n", "kettle    3.00 L (12 marks)\n"},
		"--units metric --target 65.5 --volume 8 --hot 35 --kettle none":                             {"raise the tank to 66 °C\n"},
		"--units metric --target 65.5 --volume 8 --fleece 200 --kettle-volume 0.3 --hot 35 --step 1": {"(7 marks)\n", "raise the tank to 62 °C, or boil ", " L in all"},
	} {
		_, out, errs := says(t, append([]string{"fill"}, strings.Fields(call)...)...)
		for _, w := range want {
			if !strings.Contains(out+errs, w) {
				t.Errorf("%s: no %q in\n%s%s", call, w, out, errs)
			}
		}
		if strings.Contains(call, "none") && strings.Contains(out, "boil") {
			t.Errorf("%s: what is to boil it?\n%s", call, out)
		}
	}
}

// What a file's kit leaves out is usual in the units that the file names.
func TestUsualKitOfAFile(t *testing.T) {
	const fleeces = `"fleeces":[{"animal":"Invented ewe","raw_g":900}]`
	for text, want := range map[string]measure.System{`{"kit":{"units":"us"},` + fleeces + `}`: measure.US, `{` + fleeces + `}`: measure.Metric, `{"kit":{"room_c":20},` + fleeces + `}`: measure.Metric} {
		day, _, _, err := parseDay([]byte(text), shed.DefaultKit())
		if k := day.Kit; err != nil || k.Units != want || k.JugL != shed.JugFor(want) || k.Kettle.PowerW != shed.KettleFor(want) || k.Tank.HeaterW != shed.HeaterFor(want) || k.Tubs[0].CapacityL != want.RoundVolumeL(12) || k.HotTapC != want.RoundTempC(51) {
			t.Errorf("%s: %+v (%v)", text, k, err)
		}
	}
}

// TestTagsInOwnUnits: what a person typed stands on a tag as it was typed, and a
// figure in the units that the kit has now.
func TestTagsInOwnUnits(t *testing.T) {
	const farm, shade = "Grey Colour Farm", "silver grey"
	for u, want := range map[measure.System]string{measure.US: "color: " + shade, measure.Metric: "colour: " + shade} {
		s := newRecord(t)
		f, err := s.SaveFleece(shed.Fleece{Animal: "Invented ewe", Farm: farm, Colour: shade, RawG: 900, StapleMM: 95})
		must.Do(t, errors.Join(err, s.SaveKit(shed.DefaultKit().In(u))))
		keepDayOf(t, s, nil, f)
		must.Do(t, s.Close())
		_, out, errs := says(t, "tags", "--data", filepath.Dir(s.Path()))
		if !strings.Contains(out, want) || !strings.Contains(out, farm) {
			t.Errorf("%v: no %q, or no %q, in\n%s%s", u, want, farm, out, errs)
		}
		sheet := map[measure.System]string{measure.US: "30", measure.Metric: "24"}[u]
		if code, _, errs := says(t, "tags", "--data", filepath.Dir(s.Path()), "--pdf", filepath.Join(t.TempDir(), "x.pdf"), "--skip", sheet); code != 2 || !strings.Contains(errs, "has "+sheet+" labels") {
			t.Errorf("%v: the sheet is another one: %s", u, errs)
		}
		for label, right := range map[string]bool{"57x32mm": true, "2x1in": true, "2 1/4 x 1 1/4 in": true, "57 mm × 32 mm": true, "2": false, "2x": false, "x": false, "900x1mm": false} {
			code, _, errs := says(t, "tags", "--data", filepath.Dir(s.Path()), "--pdf", filepath.Join(t.TempDir(), "x.pdf"), "--label", label)
			if code == 0 != right || !right && !strings.Contains(errs, "--label") {
				t.Errorf("%v, %s: %d %s", u, label, code, errs)
			}
		}
		out = strings.NewReplacer(farm, "", shade, "").Replace(out)
		if u == measure.US {
			finds(t, out, britishWords, metricFigures)
		} else {
			finds(t, out, americanWords, usFigures)
		}
	}
}

// The first start proposes US units where the machine's language is American; what
// overrides LANG overrides it here too.
func TestLocalUnits(t *testing.T) {
	for _, c := range []struct {
		env  map[string]string
		want measure.System
	}{
		{nil, measure.Metric}, {map[string]string{"LANG": "en_US.UTF-8"}, measure.US}, {map[string]string{"LANG": "en_GB.UTF-8"}, measure.Metric},
		{map[string]string{"LANG": "en_US.UTF-8", "LC_MEASUREMENT": "de_DE.UTF-8"}, measure.Metric.Timed(measure.US)}, {map[string]string{"LANG": "en_US.UTF-8", "LC_TIME": "en_GB.UTF-8"}, measure.US.Timed(measure.Metric)},
		{map[string]string{"LANG": "en_AU.UTF-8"}, measure.Twelve}, {map[string]string{"LANG": "es_US.UTF-8"}, measure.US.Timed(measure.Twelve)}, {map[string]string{"LANG": "C", "LC_ALL": "en_US"}, measure.US},
	} {
		if got := localUnits(func(name string) string { return c.env[name] }); got != c.want {
			t.Errorf("%v: %v", c.env, got)
		}
	}
}

// A bath that whole marks of the jug cannot make as large as it was asked for says what it comes to;
// one that they make says nothing more.
func TestFillSaysWhatItComesTo(t *testing.T) {
	for call, want := range map[string]string{
		"--target 65 --volume 8 --step 3":                                 "in all    8.75 L, not 8.00 L, so that it is as warm as asked\n",
		"--units us --target 150 --volume 2gal --step 3qt":                "in all    2 gal 3 cups, not 2 gal",
		"--target 65.5 --volume 8 --fleece 200 --carried 260 --step 0.25": "", "--target 65 --volume 8": "",
	} {
		code, out, errs := says(t, append([]string{"fill"}, strings.Fields(call)...)...)
		if code != 0 || !strings.Contains(out, want) || want == "" && strings.Contains(out, "in all") {
			t.Errorf("%s: %d, %q %q", call, code, out, errs)
		}
	}
}

// A US kitchen is answered in whole °F and by what its kettle and heater have on their plates; no figure
// is said to be more than itself.
func TestWordsOfAUSKitchen(t *testing.T) {
	for call, want := range map[string]string{
		"fill --target 106 --volume 5gal --hot 88.4 --cold 54 --kettle none": " 18 °F under the 106 °F wanted",
		"fill --target 40.2 --volume 4.5gal --hot 124 --cold 41.1":           " 1 °F over the 40 °F wanted",
		"fill --target 40.7 --volume 4.5gal --hot 124 --cold 41.1":           " under 1 °F over the 41 °F wanted",
		"plan --fleece 2lb --kettle-power 9000":                              "such as 1500 W (1.5 kW)",
		"plan --fleece 2lb --kettle-power x":                                 "such as 1500 or 1.5 kW",
		"yield --raw 8 --dry 4":                                              "\nyield at 16.0% regain     51.3% (",
		"plan --fleece 2lb --cover cling":                                    "use one of open, lid,",
	} {
		_, out, errs := says(t, append(strings.Fields(call), "--units", "us", "--data", "none")...)
		if said := out + errs; !strings.Contains(said, want) {
			t.Errorf("%s: no %q in\n%s", call, want, said)
		}
	}
	_, out, errs := says(t, "plan", "--fleece", "5 lb 6 oz", "--tank", "40 gal", "--heater", "40,000 BTU/h", "--units", "us", "--data", "none")
	if !strings.Contains(out, "10 h at the tubs") || !strings.Contains(out, "17% faster in any order)") || strings.Contains(out, "10 h, more than a day's work (10 h)") {
		t.Errorf("%s%s", out, errs)
	}
}
