package main

import (
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"

	"fleece.example/tubside/session/must"
)

// Each example of README that asks for no record and no loudspeaker gives what it shows;
// "..." stands for lines left out.
func TestReadmeExamples(t *testing.T) {
	t.Chdir("../..")
	raw := must.Get(os.ReadFile("README.md")).In(t)
	tried := 0
	word := regexp.MustCompile(`"[^"]*"|\S+`)
	for _, block := range regexp.MustCompile(`(?m)(^ {4}.*\n)+`).FindAllString(string(raw), -1) {
		for _, example := range strings.Split("\n"+block, "\n    $ tubside ")[1:] {
			lines := strings.Split(strings.TrimRight(example, "\n"), "\n    ")
			args := word.FindAllString(lines[0], -1)
			if slices.Contains(args, "day.json") || !slices.Contains([]string{"rehearse", "fill", "plan", "forecast", "yield"}, args[0]) {
				continue
			}
			for i := range args {
				args[i] = strings.Trim(args[i], `"`)
			}
			tried++
			code, out, errs := says(t, args...)
			if code != 0 {
				t.Errorf("%s: %s", lines[0], errs)
			}
			left := strings.Split(out, "\n")
			for i, want := range lines[1:] {
				at := slices.Index(left, want)
				if want == "..." {
					continue
				}
				if at < 0 || at > 0 && lines[i] != "..." {
					t.Errorf("%s: %q is not what follows in\n%s", lines[0], want, out)
					break
				}
				left = left[at+1:]
			}
		}
	}
	if tried < 5 {
		t.Errorf("only %d examples are found", tried)
	}
}
