package main

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/store"
)

const checkHelp = `check reads everything that is kept, to the last byte, and says whether it is as
it was written: every value has a checksum, those of a wash day hang together, and
each list has one over all of it. With a FILE it reads that one, such as a copy made
by ` + "`tubside backup`" + `.

It changes nothing, and may run while a wash day does. Where something is damaged it
says what, and what is whole; then its exit code is 1.`

func newCheck(o *options, sys system) *cobra.Command {
	return &cobra.Command{
		Use:   "check [FILE]",
		Short: "Read the whole record and say if any of it is damaged",
		Long:  checkHelp,
		Args:  takes(0, 1, "check reads one file, or none for the wash days kept here"),
		RunE: func(_ *cobra.Command, args []string) error {
			path := o.file()
			if len(args) == 1 {
				path = args[0]
			}
			if err := notFolder(path, nameFileIn); err != nil {
				return err
			}
			if _, err := os.Stat(path); errors.Is(err, fs.ErrNotExist) {
				if len(args) == 1 {
					return fmt.Errorf("there is no file %s", harmless(path))
				}
				return fmt.Errorf("there are no wash days yet: %s does not exist", path)
			}
			own := filepath.Base(path) == fileName
			rep, err := store.Check(path)
			if err != nil {
				if !own {
					err = ofCopy(err, path)
				}
				return err
			}
			if behind := store.Behind(path); behind != "" {
				rep.Harm = append(rep.Harm, behind)
			}
			if rep.Whole() {
				_, err := fmt.Fprintf(sys.out, "All is whole: %s.\n", wholeText(rep))
				return err
			}
			if _, err := fmt.Fprintf(sys.out, "Whole: %s. Not whole:\n%s", wholeText(rep), harmText(rep)); err != nil {
				return err
			}
			if !own {
				return fmt.Errorf("%s is damaged: `tubside restore` lists the copies", path)
			}
			return fmt.Errorf("%s is damaged. `tubside restore` puts a copy back that was made before, and keeps this file; `tubside backup --what-is-whole FILE` makes a new one of what is whole", path)
		},
	}
}

// wholeText lists what is whole.
func wholeText(rep store.Report) string {
	count := measure.Counted
	text := fmt.Sprintf("%s, %s of your own and %s with %s",
		count(rep.Fleeces, "fleece", "fleeces"), count(rep.Methods, "method", "methods"), count(rep.Days, "wash day", "wash days"), count(rep.Entries, "entry", "entries"))
	if rep.Kit {
		text = "the kit, " + text
	}
	return text
}

func harmText(rep store.Report) string {
	var b strings.Builder
	for _, h := range rep.Harm {
		fmt.Fprintf(&b, "- %s\n", h)
	}
	return b.String()
}
