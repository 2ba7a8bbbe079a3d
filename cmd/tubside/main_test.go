//go:build unix

package main

import (
	"bytes"
	"errors"
	"flag"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"testing"

	"github.com/adrg/xdg"
	"github.com/rogpeppe/go-internal/testscript"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/must"
	"fleece.example/tubside/session/rehearse"
	"fleece.example/tubside/store"
)

// The test's own binary is also the program, for the scripts, and a few helpers.
func TestMain(m *testing.M) {
	testscript.Main(sweeper{m}, map[string]func(){
		"tubside":       main,
		"tubside-crash": crashMain,
		"make-day":      makeDayMain,
		"play-day":      playDayMain,
	})
}

// sweeper throws the built program away after the tests.
type sweeper struct{ m *testing.M }

func (s sweeper) Run() int {
	xdg.DataHome, xdg.ConfigHome = "none", "none" // nobody's own kit takes part
	// Those that run side by side wait for a screen far more than they work: more at
	// once than there are processors.
	if err := flag.Set("test.parallel", "12"); err != nil {
		panic(err)
	}
	defer func() {
		if builtDir != "" {
			_ = os.RemoveAll(builtDir)
		}
	}()
	return s.m.Run()
}

func TestScripts(t *testing.T) {
	testscript.Run(t, testscript.Params{
		Dir: "testdata/script",
		Setup: func(e *testscript.Env) error {
			scenarios, err := filepath.Abs("../../testdata/scenarios")
			e.Setenv("SCENARIOS", scenarios)
			e.Setenv("XDG_DATA_HOME", filepath.Join(e.WorkDir, "share"))
			e.Setenv("NOTHING_ELSE", filepath.SplitList(e.Getenv("PATH"))[0]) // a PATH with our own programs only
			return err
		},
		Cmds: map[string]func(*testscript.TestScript, bool, []string){"exits": exits, "harm": harm},
	})
}

// exits CODE COMMAND... runs a command that has to end with that code.
func exits(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 2 {
		ts.Fatalf("usage: exits CODE COMMAND...")
	}
	want, err := strconv.Atoi(args[0])
	ts.Check(err)
	code := 0
	if err := ts.Exec(args[1], args[2:]...); err != nil {
		var e *exec.ExitError
		if !errors.As(err, &e) {
			ts.Fatalf("%v", err)
		}
		code = e.ExitCode()
	}
	if code != want {
		ts.Fatalf("%v ended with %d, want %d", args[1:], code, want)
	}
}

// harm writes other letters over some in a file, wherever they stand: harm FILE WORD WORD.
func harm(ts *testscript.TestScript, _ bool, args []string) {
	path := ts.MkAbs(args[0])
	whole, err := os.ReadFile(path)
	ts.Check(err)
	harmed := bytes.ReplaceAll(whole, []byte(args[1]), []byte(args[2]))
	if len(args[1]) != len(args[2]) || bytes.Equal(harmed, whole) {
		ts.Fatalf("no harm done to %s", args[0])
	}
	ts.Check(os.WriteFile(path, harmed, 0o600))
}

// makeDayMain makes a store with an invented day in it: make-day FILE.
func makeDayMain() {
	if err := makeDay(os.Args[1]); err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
	os.Exit(0)
}

// playDayMain plays a scenario into a store, as its next day.
func playDayMain() {
	if err := playDay(os.Args[1], os.Args[2]); err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
	os.Exit(0)
}

func playDay(scenario, path string) error {
	text, err := os.ReadFile(scenario)
	if err != nil {
		return err
	}
	script, err := rehearse.Read(text)
	if err != nil {
		return err
	}
	s, err := store.Open(path)
	if err != nil {
		return err
	}
	id, err := s.NewDay()
	if err != nil {
		return err
	}
	var recs []session.Recorded
	d, err := rehearse.Play(script, func(r session.Recorded, _ session.Day) { recs = append(recs, r) })
	return errors.Join(err, s.SaveKit(d.Plan.Kit), s.Append(id, recs, ledger.Summarise(id, d)), s.Close())
}

var builtDir string

// built is the program as it is delivered: what a test imports would change
// the order in which packages wake.
var built = sync.OnceValues(func() (string, error) {
	dir, err := os.MkdirTemp("", "tubside-built-*")
	if err != nil {
		return "", err
	}
	builtDir = dir
	path := filepath.Join(dir, "tubside")
	cmd := exec.Command("go", "build", "-o", path, ".")
	cmd.Env = append(os.Environ(), "CGO_ENABLED=0")
	if out, err := cmd.CombinedOutput(); err != nil {
		return "", fmt.Errorf("build: %w\n%s", err, out)
	}
	return path, nil
})

func program(t *testing.T) string {
	t.Helper()
	path := must.Get(built()).In(t)
	return path
}

// TestErrorsCarryNoTerminalCodes: a script's name goes into the sentence about
// it, its terminal codes do not.
func TestErrorsCarryNoTerminalCodes(t *testing.T) {
	var errs bytes.Buffer
	code := run([]string{"rehearse", "--no-screen", "--script", "no\x1b[2Jsuch"}, system{in: os.Stdin, out: os.Stdout, errs: &errs, getenv: os.Getenv})
	if code != 1 || !strings.Contains(errs.String(), "cannot be read") || strings.ContainsRune(errs.String(), 0x1b) {
		t.Errorf("exit %d, %q", code, errs.String())
	}
}
