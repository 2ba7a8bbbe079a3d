package main

import (
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"time"

	"github.com/spf13/cobra"

	"fleece.example/tubside/cmd/tubside/exchange"
	"fleece.example/tubside/store"
)

const exportHelp = `export writes the record into a new file, or to the screen with - for FILE.

--csv is a table for a spreadsheet, one row for each batch you washed. Figures are in
g and mm whatever your units, dates as 2026-06-13, and a name that a spreadsheet would
take for a formula has an apostrophe before it.

--baths is a table of the baths, each followed by a row for each of its readings.

--json is everything: kit, fleeces, methods, the plan of a day to come, and all days
with every event. A day's events have the names of that day; the tables have the names
of now. ` + "`tubside import`" + ` reads it.

It does not export a damaged record: ` + "`tubside check`" + ` says what is damaged. With
--what-is-whole it writes what is left: in a wash day a note stands where an entry was
lost, and a day that has lost its beginning is left out.`

// exporting is what the flags of export ask for.
type exporting struct {
	csv, baths, json string
	whole            bool
}

func newExport(o *options, sys system) *cobra.Command {
	e := &exporting{}
	cmd := &cobra.Command{
		Use:   "export",
		Short: "Write the record out: a table of batches, or everything",
		Long:  exportHelp,
		Args:  takesNone("export does not know what to do with \"%s\": give --csv FILE, --baths FILE or --json FILE"),
		RunE: func(*cobra.Command, []string) error {
			given := 0
			for _, path := range []string{e.csv, e.baths, e.json} {
				if path != "" {
					given++
				}
			}
			if given != 1 {
				return usage("export needs one of --csv FILE, for a spreadsheet, --baths FILE, for the baths, and --json FILE, for everything")
			}
			return e.run(o, sys)
		},
	}
	cmd.Flags().StringVar(&e.csv, "csv", "", "a table of all washed batches, into this new `file` or -")
	cmd.Flags().StringVar(&e.baths, "baths", "", "a table of all baths and readings, into this new `file` or -")
	cmd.Flags().StringVar(&e.json, "json", "", "everything, into this new `file` or -")
	cmd.Flags().BoolVar(&e.whole, wholeFlag, false, "write what is left of a damaged record")
	return cmd
}

func (e *exporting) run(o *options, sys system) error {
	path, write := e.json, everything
	switch {
	case e.csv != "":
		path, write = e.csv, tableBy(exchange.WriteCSV)
	case e.baths != "":
		path, write = e.baths, tableBy(exchange.WriteBaths)
	}
	from := reading
	if e.whole {
		from = salvaging
	}
	return from(o.file(), func(s *store.Store) error {
		if path == "-" {
			return write(s, sys.out)
		}
		if err := intoNewFile(path, func(w io.Writer) error { return write(s, w) }); err != nil {
			return err
		}
		_, err := fmt.Fprintf(sys.out, "The record is written to %s\n", harmless(path))
		return err
	})
}

// salvaging is reading a store made of what is whole in the one at path. It ends with
// an error that names what is not.
func salvaging(path string, fn func(*store.Store) error) (err error) {
	dir, err := os.MkdirTemp("", "tubside-whole-*")
	if err != nil {
		return fmt.Errorf("what is whole needs a folder to be put together in: %w", err)
	}
	defer func() { err = errors.Join(err, os.RemoveAll(dir)) }()
	made := filepath.Join(dir, fileName)
	rep, err := store.Salvage(path, made)
	if err != nil {
		return err
	}
	if err := reading(made, fn); err != nil {
		return err
	}
	return notAll(rep, "what was written")
}

func everything(s *store.Store, w io.Writer) error { return exchange.WriteJSON(w, s) }

// tableBy writes a table of a store that is whole.
func tableBy(write func(io.Writer, exchange.Days, *time.Location) error) func(*store.Store, io.Writer) error {
	return func(s *store.Store, w io.Writer) error {
		if err := s.Verify(); err != nil {
			return err
		}
		return write(w, s, time.Local)
	}
}
