package main

import (
	"bytes"
	"encoding/json"
	"math"
	"strings"
	"testing"
	"unicode"

	"fleece.example/tubside/session/yield"
)

func yieldSays(args ...string) (string, error) {
	var out bytes.Buffer
	cmd := newYield(&options{data: "none", getenv: func(string) string { return "" }})
	cmd.SilenceErrors, cmd.SilenceUsage = true, true
	cmd.SetOut(&out)
	cmd.SetArgs(args)
	err := cmd.Execute()
	return out.String(), err
}

// FuzzYieldFlags: whatever is typed, there is a sentence without terminal codes,
// or an answer whose figures are finite and in order.
func FuzzYieldFlags(f *testing.F) {
	for _, s := range [][8]string{
		{"225", "118", "", "55", "16", "1 g", "medium", ""},
		{"8 oz", "4 1/4 oz", "2 lb", "65 %", "13,6", "0.1 oz", "", "shoulder"},
		{"225", "0.118", "0", "NaN", "-1", "0", "camel", "\x1b[2J"},
		{"1e400", "--", "9e9", "1e308", "1e-320", "5 kg", "fine", "\u202e"},
	} {
		f.Add(s[0], s[1], s[2], s[3], s[4], s[5], s[6], s[7])
	}
	f.Fuzz(func(t *testing.T, raw, dry, rest, humidity, regain, step, kind, part string) {
		args := []string{"--raw=" + raw, "--dry=" + dry, "--rest=" + rest, "--humidity=" + humidity, "--regain=" + regain,
			"--scale-step=" + step, "--type=" + kind, "--json"}
		if part != "" {
			args = append(args, "--part="+part)
		}
		out, err := yieldSays(args...)
		if err != nil {
			text := err.Error()
			if text == "" || len(text) > 600 || strings.ContainsFunc(text, unicode.IsControl) {
				t.Fatalf("%q gives the error %q", args, text)
			}
			return
		}
		var j yieldJSON
		if err := json.Unmarshal([]byte(out), &j); err != nil {
			t.Fatalf("%v in %q", err, out)
		}
		intervals := []yield.Interval{j.AsWeighed, j.Regain, j.AtStandard}
		if j.Rest != nil {
			intervals = append(intervals, j.Rest.YieldPart, j.Rest.DryG)
		}
		for _, i := range intervals {
			if math.IsNaN(i.Low+i.Likely+i.High) || i.Low > i.Likely || i.Likely > i.High {
				t.Fatalf("%q gives %+v", args, i)
			}
		}
	})
}
