package main

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"time"

	"github.com/adrg/xdg"

	"fleece.example/tubside/cmd/tubside/child"
	"fleece.example/tubside/cmd/tubside/page"
	"fleece.example/tubside/cmd/tubside/tags"
	"fleece.example/tubside/session"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/store"
	"fleece.example/tubside/tui/base"
	"fleece.example/tubside/tui/past"
)

// along writes what is taken along from the screen.
type along struct{ s *store.Store }

// Place is in the person's documents, else at home, else where the program was started.
func (along) Place(name string) string {
	for _, folder := range []string{xdg.UserDirs.Documents, xdg.Home} {
		if info, err := os.Stat(folder); err == nil && info.IsDir() {
			return filepath.Join(folder, name)
		}
	}
	return name
}

// Ready takes ~ for the home folder, and refuses at once what File would.
func (a along) Ready(path string) (string, error) {
	if rest, ok := strings.CutPrefix(path, "~"); ok && (rest == "" || os.IsPathSeparator(rest[0])) {
		path = xdg.Home + rest
	}
	folder, name := filepath.Dir(path), filepath.Base(path)
	if info, err := os.Stat(folder); err != nil || !info.IsDir() {
		return "", fmt.Errorf("there is no folder %s: %s would do", folder, a.Place(name))
	}
	return path, newName(path, "give a new name")
}

func (along) File(path string, write func(io.Writer) error) error {
	return intoNewFile(path, write)
}

// printer is the program that hands a job to the system's print service (POSIX lp).
const printer = "lp"

func (along) Printer() bool {
	_, err := exec.LookPath(printer)
	return err == nil
}

// Print hands a paper to the print service, which says by itself what it cannot do.
func (along) Print(name string, write func(io.Writer) error) error {
	var paper bytes.Buffer
	if err := write(&paper); err != nil {
		return err
	}
	_, err := child.Run(context.Background(), child.Spec{Command: []string{printer, "-t", name}, Stdin: paper.Bytes(), Timeout: 20 * time.Second, MaxOutput: 64 << 10})
	return err
}

func (a along) Page(w io.Writer, id shed.DayID, d session.Day, u measure.System) error {
	return page.Look{ID: id, Day: d, Advice: past.AdviceOf(a.s, a.s, d), Units: u, Zone: time.Local, Now: time.Now()}.HTML(w)
}

func (a along) Card(w io.Writer, fleece string, u measure.System) error {
	t := &tagging{fleece: fleece, units: u}
	c, err := t.cardOf(a.s)
	if err != nil {
		return err
	}
	if c.Paper, err = t.grid(); err != nil {
		return err
	}
	c.Made = time.Now()
	return warned(c.Write(w))
}

func (a along) DayTags(w io.Writer, id shed.DayID, d session.Day, u measure.System) (printed func() error, err error) {
	return a.sheet(w, u, "", func(*tagging) ([]tags.Tag, error) { return tags.FromDay(id, d, time.Local) })
}

func (a along) FleeceTags(w io.Writer, fleece string, u measure.System) (printed func() error, err error) {
	return a.sheet(w, u, fleece, func(t *tagging) ([]tags.Tag, error) { return t.byFleece(a.s) })
}

// sheet is of plain paper, with lines to cut along; printed remembers that it is.
func (a along) sheet(w io.Writer, u measure.System, fleece string, find func(*tagging) ([]tags.Tag, error)) (printed func() error, err error) {
	t := &tagging{fleece: fleece, units: u}
	grid, err := t.grid()
	if err != nil {
		return nil, err
	}
	found, err := t.bags(a.s)(find(t))
	if err != nil {
		return nil, err
	}
	warnings, err := tags.Sheet{Units: u, Grid: grid, Outline: true, Made: time.Now()}.Write(w, found)
	return func() error { return notedPrinted(a.s, found) }, warned(append(t.left, warnings...), err)
}

// warned makes an error of warnings.
func warned(warnings []string, err error) error {
	if err == nil && len(warnings) > 0 {
		err = base.Warning(strings.Join(warnings, "; "))
	}
	return err
}
