//go:build unix

package main

import (
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/must"
)

// clumsy is a face that makes a mistake in one place.
type clumsy struct{ where string }

type crashTick struct{}

func (c clumsy) oops(where string) {
	if c.where == where {
		panic("oops in " + where)
	}
}

func (c clumsy) Init() tea.Cmd {
	c.oops("Init")
	return tea.Tick(100*time.Millisecond, func(time.Time) tea.Msg { return crashTick{} })
}

func (c clumsy) Update(msg tea.Msg) (tea.Model, tea.Cmd) {
	if _, ok := msg.(crashTick); !ok {
		return c, nil
	}
	bad := func() tea.Msg { c.oops(c.where); return nil }
	idle := func() tea.Msg { return nil }
	switch c.where {
	case "a command":
		return c, bad
	case "a batch":
		return c, tea.Batch(idle, tea.Batch(idle, bad))
	case "a sequence":
		return c, tea.Sequence(idle, bad)
	case "the last save":
		return c, tea.Quit
	}
	c.oops("Update")
	return c, nil
}

func (c clumsy) View() string {
	c.oops("View")
	return "all is well"
}

func (c clumsy) Close() error {
	if c.where == "the last save" {
		return errors.New("the disk is full")
	}
	return nil
}

// crashMain shows a clumsy face: tubside-crash FOLDER WHERE.
func crashMain() {
	sys := system{in: os.Stdin, out: os.Stdout, errs: os.Stderr, getenv: os.Getenv}
	st := newStage(&options{data: os.Args[1], getenv: os.Getenv}, sys)
	switch os.Args[2] {
	case "the bell":
		time.AfterFunc(100*time.Millisecond, func() {
			defer st.crash.rescue()
			panic("oops in the bell")
		})
	case "the journal":
		time.AfterFunc(100*time.Millisecond, func() {
			_ = guardedJournal{nil, st.crash}.Append(1, nil, ledger.Summary{})
		})
	}
	if err := st.run(clumsy{os.Args[2]}); err != nil {
		_, _ = os.Stderr.WriteString("tubside: " + err.Error() + "\n")
		os.Exit(1)
	}
	os.Exit(0)
}

// crasher is the test's own binary by the name that makes it the helper.
func crasher(t *testing.T) string {
	t.Helper()
	self := must.Get(os.Executable()).In(t)
	name := filepath.Join(t.TempDir(), "tubside-crash")
	must.Do(t, os.Symlink(self, name))
	return name
}

// What could not be saved is said once the terminal is back.
func TestUnsaved(t *testing.T) {
	w := open(t, nil, crasher(t), t.TempDir(), "the last save")
	if code := w.end(); code != 1 {
		t.Errorf("ended with %d", code)
	}
	w.restored()
	w.see("the last events of this day are not saved: the disk is full")
}

// Wherever our code panics, the terminal is put right, a sentence says so, and
// the file it names tells where.
func TestCrash(t *testing.T) {
	name := crasher(t)
	for _, where := range []string{"Init", "Update", "View", "a command", "a batch", "a sequence", "the bell", "the journal"} {
		t.Run(where, func(t *testing.T) {
			t.Parallel()
			dir := t.TempDir()
			w := open(t, nil, name, dir, where)
			if code := w.end(); code != 1 {
				t.Errorf("ended with %d:\n%s", code, w.text())
			}
			w.restored()
			files, _ := filepath.Glob(filepath.Join(dir, "crash-*.txt"))
			if len(files) != 1 {
				t.Fatalf("%d crash files", len(files))
			}
			out := strings.ReplaceAll(w.written(), "\r\n", "\n")
			if !strings.Contains(out, "tubside crashed") || !strings.Contains(out, files[0]) {
				t.Errorf("said:\n%s", out)
			}
			text := must.Get(os.ReadFile(files[0])).In(t)
			for _, want := range []string{"tubside " + version, "goroutine", "cmd/tubside"} {
				if !strings.Contains(string(text), want) {
					t.Errorf("the crash file lacks %q:\n%s", want, text)
				}
			}
		})
	}
}

// Without a place for the file the person gets it on the screen.
func TestCrashWithoutFolder(t *testing.T) {
	file := filepath.Join(t.TempDir(), "in the way")
	must.Do(t, os.WriteFile(file, nil, 0o600))
	c := &crash{folder: file}
	func() {
		defer c.rescue()
		panic("oops")
	}()
	if err := c.report(); err == nil || !strings.Contains(err.Error(), "goroutine") {
		t.Errorf("said: %v", err)
	}
	if err := (&crash{}).report(); err != nil {
		t.Errorf("without a crash: %v", err)
	}
}

// command is a program in a terminal that answers nothing.
func command(name string, args ...string) *exec.Cmd {
	cmd := exec.Command(name, args...)
	cmd.Env = []string{"TERM=xterm-256color", "LANG=C.UTF-8", "HOME=/nonexistent"}
	return cmd
}
