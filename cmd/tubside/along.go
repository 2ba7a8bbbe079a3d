package main

import (
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"time"

	"github.com/adrg/xdg"

	"fleece.example/tubside/cmd/tubside/page"
	"fleece.example/tubside/session"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/store"
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

func (a along) Page(path string, id shed.DayID, d session.Day, u measure.System) error {
	return newFile(path, page.Look{ID: id, Day: d, Days: past.DaysTo(a.s, d), Units: u, Zone: time.Local, Now: time.Now()}.HTML)
}

func (a along) Card(path, fleece string, u measure.System) error {
	t := &tagging{fleece: fleece, units: u}
	c, err := t.cardOf(a.s)
	if err != nil {
		return err
	}
	if c.Paper, err = t.grid(); err != nil {
		return err
	}
	c.Made = time.Now()
	var warnings []string
	err = newFile(path, func(w io.Writer) (err error) {
		warnings, err = c.Write(w)
		return err
	})
	if err == nil && len(warnings) > 0 {
		return errors.New("the card is written, but " + strings.Join(warnings, "; "))
	}
	return err
}

// newFile is intoNewFile with a sentence for where the file is there already.
func newFile(path string, write func(io.Writer) error) error {
	if _, err := os.Lstat(path); err == nil {
		return fmt.Errorf("%s exists already: give another name, nothing is written over", path)
	}
	return intoNewFile(path, write)
}
