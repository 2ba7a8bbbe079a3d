package main

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"fleece.example/tubside/session/long"
	"fleece.example/tubside/session/must"
)

// libraryWords are what libraries say of bad input: no sentence for a person.
var libraryWords = []string{
	"strconv", "parsing", "invalid syntax", "invalid argument", "invalid character", "unknown flag", "unknown shorthand", "unknown command",
	"needs an argument", "no such file", "cannot parse", "parse error", "bad flag", "is a directory",
}

// says runs the program with its input and output in files.
func says(t *testing.T, args ...string) (code int, out, errs string) {
	t.Helper()
	return saysIn(t, "", args...)
}

// saysIn is says where the machine's language is lang.
func saysIn(t *testing.T, lang string, args ...string) (code int, out, errs string) {
	t.Helper()
	in := must.Get(os.Open(os.DevNull)).In(t)
	file := must.Get(os.Create(filepath.Join(t.TempDir(), "out"))).In(t)
	var said bytes.Buffer
	code = run(args, system{in: in, out: file, errs: &said, getenv: func(name string) string {
		if name == "LANG" {
			return lang
		}
		return ""
	}})
	text := must.Get(os.ReadFile(file.Name())).In(t)
	_, _ = in.Close(), file.Close()
	return code, string(text), said.String()
}

// everyCommand calls with each command a person may use and the words that call it.
func everyCommand(c *cobra.Command, words []string, with func(c *cobra.Command, words []string)) {
	with(c, words)
	for _, sub := range c.Commands() {
		if !sub.Hidden && sub.Name() != "help" {
			everyCommand(sub, append(words[:len(words):len(words)], sub.Name()), with)
		}
	}
}

// whatElse is what a command needs beside the flag that is tried.
var whatElse = map[string][]string{
	"forecast": {"readings.csv", "--room", "18"}, "fill": {"--target", "65", "--volume", "8"}, "plan": {"--fleece", "300 g"},
	"yield": {"--raw", "225", "--dry", "118"}, "rehearse": {"--no-screen"},
}

// Whatever flag of whatever command is given nonsense, the answer is a sentence of
// the program's own, and the exit code says whether the command line was wrong.
func TestFlagsRefuseNonsense(t *testing.T) {
	t.Chdir(t.TempDir())
	must.Do(t, os.WriteFile("readings.csv", []byte("0,65\n10,62\n20,59\n30,56.4\n"), 0o600))
	flags, figures := 0, 0
	tryAll := func(c *cobra.Command, words []string, f *pflag.Flag) {
		flags++
		_, figure := f.Value.(*quantity)
		number := f.Value.Type() == "number" || f.Value.Type() == "times"
		if figure {
			figures++
		}
		for i, bad := range []string{"", "x", "NaN", "1e400", "-999", "0x1F", "99999999999999999999", "12 parsecs", "\x1b[2J", "1:2:3"} {
			if !long.Turn(i+flags, 3) {
				continue
			}
			if !figure && !number && f.Value.Type() != "bool" && c.Name() == "soundcheck" {
				continue // it would play
			}
			args := append(append(words[:len(words):len(words)], whatElse[c.Name()]...), "--data", "store", "--"+f.Name+"="+bad)
			code, _, errs := says(t, args...)
			for _, w := range libraryWords {
				if strings.Contains(errs, w) {
					t.Errorf("%q says %q", args, errs)
				}
			}
			wrong := number || f.Value.Type() == "bool" || figure && bad != ""
			if wrong && (code != 2 || !strings.Contains(errs, "--"+f.Name)) {
				t.Errorf("%q ends with %d and says %q", args, code, errs)
			}
			if code != 0 && errs == "" {
				t.Errorf("%q ends with %d without a word", args, code)
			}
		}
	}
	everyCommand(newRoot(system{getenv: func(string) string { return "" }}), nil, func(c *cobra.Command, words []string) {
		c.InitDefaultHelpFlag()
		c.Flags().VisitAll(func(f *pflag.Flag) { tryAll(c, words, f) })
		for _, args := range [][]string{{"--nonsense"}, {"--nonsense=3"}, {"-z"}, {"one", "two", "three"}} {
			code, _, errs := says(t, append(words[:len(words):len(words)], args...)...)
			if code != 2 || errs == "" {
				t.Errorf("%q after %q ends with %d and says %q", args, words, code, errs)
			}
			for _, w := range libraryWords {
				if strings.Contains(errs, w) {
					t.Errorf("%q after %q says %q", args, words, errs)
				}
			}
		}
	})
	if flags < 60 || figures < 25 {
		t.Errorf("only %d flags, %d of them figures", flags, figures)
	}
}

// 2 is a command line that cannot be right, 1 all that goes wrong later.
func TestExitCodes(t *testing.T) {
	t.Chdir(t.TempDir())
	must.Do(t, os.WriteFile("warm.csv", []byte("0,150\n10,145\n20,140\n30,136\n"), 0o600))
	for _, c := range []struct {
		code int
		says string
		args string
	}{
		{2, "there is no command", "wash"}, {2, "there is no command", "help wash"}, {2, "there is no command", "wash --help"}, {2, "there is no flag --wet", "fill --wet"}, {2, "there is no flag -w", "plan -w"},
		{2, "--room needs a value", "forecast warm.csv --room"}, {2, "--json", "fill --json=maybe"},
		{2, "hot tap", "plan --fleece 300 --hot 99"}, {2, "runs over", "plan --fleece 300 --bath 50"}, {2, "--altitude", "fill --target 65 --volume 8 --altitude 900yd"},
		{1, "there is no file none.csv", "forecast none.csv --room 18"}, {1, "is a folder", "forecast . --room 18"}, {1, "there is no file", "plan --file none.json"},
		{1, "there is no file", "rehearse --no-screen --script none.json"}, {1, "there is no file", "import none.json"},
		{1, "--temp-unit f", "forecast warm.csv --room 18"}, {2, "--units us", "forecast warm.csv --room 68"}, {2, "--units us", "forecast warm.csv --room 18 --start 150"},
		{2, "--code", "tags --code !!"}, {0, "", "forecast warm.csv --room 68 --temp-unit f --floor 120"},
		{0, "", "fill --target 65 --volume 8 --kettle-volume 1,7"}, {0, "", "forecast warm.csv --temp-unit f --floor 120 --room 72.96769230769231 --until 0:25"},
	} {
		if code, out, errs := says(t, append([]string{"--data", "store"}, strings.Fields(c.args)...)...); code != c.code || !strings.Contains(errs, c.says) {
			t.Errorf("%s: ends with %d, says %q %q; want %d, %q", c.args, code, errs, out, c.code, c.says)
		}
	}
	_, metres, _ := says(t, "fill", "--target", "90", "--volume", "8", "--altitude", "274.32")
	if _, feet, errs := says(t, "fill", "--target", "90", "--volume", "8", "--altitude", "900 ft"); feet != metres || feet == "" {
		t.Errorf("900 ft: %q %q, 274.32 m: %q", feet, errs, metres)
	}
}

// Readings over a short stretch fit a room nobody washes in: it is said, and the
// answer is for rooms that there are.
func TestForecastOfAnUnknownRoom(t *testing.T) {
	t.Chdir(t.TempDir())
	readings := "0,65\n5,63.5\n10,62.3\n15,61.4\n20,60.7\n25,60.2\n30,59.8\n"
	must.Do(t, os.WriteFile("short.csv", []byte(readings), 0o600))
	code, out, errs := says(t, "forecast", "short.csv", "--room", "free")
	if code != 0 || !strings.Contains(out, "cannot tell") || !strings.Contains(out, "8 °C to 32 °C") || strings.Contains(out, "never") {
		t.Errorf("%d, %q, %q", code, out, errs)
	}
	if _, out, _ = says(t, "forecast", "short.csv", "--room", "free", "--json"); !strings.Contains(out, `"room_bounded":true`) || strings.Contains(out, `"likely":null`) {
		t.Errorf("%s", out)
	}
	if _, out, _ = says(t, "forecast", "short.csv", "--room", "18", "--json"); strings.Contains(out, "room_bounded") {
		t.Errorf("a room that is given: %s", out)
	}
}
