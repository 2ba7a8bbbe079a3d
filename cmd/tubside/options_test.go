package main

import (
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// env is an environment for a test.
func env(pairs ...string) func(string) string {
	m := map[string]string{}
	for i := 0; i+1 < len(pairs); i += 2 {
		m[pairs[i]] = pairs[i+1]
	}
	return func(name string) string { return m[name] }
}

func TestPlainTerminal(t *testing.T) {
	for _, c := range []struct {
		name string
		env  func(string) string
		goos string
		want bool
	}{
		{"UTF-8 language", env("LANG", "de_DE.UTF-8"), "linux", false},
		{"written small", env("LANG", "en_GB.utf8"), "linux", false},
		{"an older set of characters", env("LANG", "de_DE.ISO-8859-1"), "linux", true},
		{"plain C", env("LANG", "C"), "linux", true},
		{"the first that is set counts", env("LC_ALL", "C", "LANG", "en_GB.UTF-8"), "linux", true},
		{"characters before language", env("LC_CTYPE", "C.UTF-8", "LANG", "C"), "linux", false},
		{"nothing set", env(), "linux", true},
		{"nothing set, but a terminal with a name", env("TERM_PROGRAM", "some terminal"), "darwin", false},
		{"the console", env("TERM", "linux", "LANG", "C.UTF-8"), "linux", true},
		{"Windows", env(), "windows", false},
	} {
		if got := plainTerminal(c.env, c.goos); got != c.want {
			t.Errorf("%s: %v", c.name, got)
		}
	}
}

func TestLightTerminal(t *testing.T) {
	for value, want := range map[string]bool{
		"": false, "15;0": false, "0;15": true, "0;7": true, "0;default;15": true, "12;8": false, "15": false,
		"0;x": false, "7;0;": false, "0;-1": false, "0;99": false,
	} {
		if got := lightTerminal(env("COLORFGBG", value)); got != want {
			t.Errorf("COLORFGBG=%q: %v", value, got)
		}
	}
}

func TestTheme(t *testing.T) {
	o := &options{getenv: env("LANG", "C.UTF-8", "NO_COLOR", "1", "COLORFGBG", "0;15")}
	if got := o.theme(); got.ASCII || !got.Light || !got.NoColor {
		t.Errorf("by the environment: %+v", got)
	}
	o = &options{getenv: env("LANG", "C.UTF-8"), ascii: true, noColour: true}
	if got := o.theme(); !got.ASCII || got.Light || !got.NoColor {
		t.Errorf("by the flags: %+v", got)
	}
}

func TestColours(t *testing.T) {
	for term, want := range map[string][2]bool{"xterm-256color": {}, "": {}, "foot": {}, "linux": {true}, "xterm": {true}, "vt220": {false, true}, "xterm-mono": {false, true}} {
		o := &options{getenv: env("TERM", term, "LANG", "C.UTF-8")}
		if got := o.theme(); got.Few != want[0] || got.NoColor != want[1] {
			t.Errorf("TERM=%s: %+v", term, got)
		}
	}
	if o := (&options{getenv: env("TERM", "xterm", "COLORTERM", "truecolor")}); o.theme().Few {
		t.Error("what names more colours has more")
	}
}

func TestFolder(t *testing.T) {
	if got := (&options{data: "here"}).file(); got != filepath.Join("here", "tubside.db") {
		t.Errorf("with --data: %s", got)
	}
	if got := (&options{}).file(); filepath.Base(filepath.Dir(got)) != "tubside" {
		t.Errorf("without: %s", got)
	}
}

func TestPacedClock(t *testing.T) {
	start := time.Date(2026, 5, 16, 9, 0, 0, 0, time.UTC)
	c := pacedClock{start: start, began: time.Now().Add(-2 * time.Second), pace: 60}
	if off := c.Now().Sub(start.Add(2 * time.Minute)); off < 0 || off > time.Minute {
		t.Errorf("two seconds are %v", c.Now().Sub(start))
	}
}

// TestEmptyNameIsCompleted: a shell asks what comes next with an empty word.
func TestEmptyNameIsCompleted(t *testing.T) {
	for _, ask := range []string{"__complete", "__completeNoDesc"} {
		if code, _, errs := says(t, ask, "restore", ""); code != 0 {
			t.Errorf("%s: %d, %q", ask, code, errs)
		}
	}
	if code, _, errs := says(t, "restore", ""); code == 0 || !strings.Contains(errs, "empty") {
		t.Errorf("a name that is empty: %d, %q", code, errs)
	}
}
