package main

import (
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"fleece.example/tubside/store"
)

func newBackup(o *options, sys system) *cobra.Command {
	var whole bool
	cmd := &cobra.Command{
		Use:   "backup FILE",
		Short: "Copy all wash days into a new file",
		Long: `backup copies the record, with every wash day, fleece, kit and method, into a
new file, or to standard output with - for FILE. ` + "`tubside restore FILE`" + ` goes back
to it. tubside also makes copies by itself: see ` + "`tubside help copies`" + `.

It does not copy a damaged record: ` + "`tubside check`" + ` says what is damaged. With
--what-is-whole it makes a new record of what is left: in a wash day a note stands
where an entry was lost, and a day that has lost its beginning is left out.`,
		Args: takes(1, 1, "backup needs one file to write to, such as `tubside backup fleece-backup.db`"),
		RunE: func(cmd *cobra.Command, args []string) error {
			if whole {
				return backupWhole(o.file(), args[0])
			}
			if args[0] == "-" {
				if err := sys.needFile("-", "the copy"); err != nil {
					return err
				}
				return reading(o.file(), func(s *store.Store) error { return s.Backup(sys.out) })
			}
			if err := reading(o.file(), func(s *store.Store) error { return intoNewFile(args[0], s.Backup) }); err != nil {
				return err
			}
			cmd.Printf("All wash days are copied to %s\n", args[0])
			return nil
		},
	}
	cmd.Flags().BoolVar(&whole, wholeFlag, false, "copy what is left of a damaged record")
	return cmd
}

// wholeFlag asks for what is whole of a store that is not.
const wholeFlag = "what-is-whole"

// backupWhole makes a new store of what is whole.
func backupWhole(from, to string) error {
	if to == "-" {
		return usage("backup --%s makes a record, which needs a file of its own", wholeFlag)
	}
	if err := newName(to, "give a new name, so that no earlier copy is lost"); err != nil {
		return err
	}
	rep, err := store.Salvage(from, to)
	if err != nil {
		return fmt.Errorf("the copy failed: %w", err)
	}
	return notAll(rep, to)
}

// notAll says of what was written that it is not all there was.
func notAll(rep store.Report, to string) error {
	if rep.Whole() {
		return nil
	}
	return fmt.Errorf("%s has what is whole, which is not all. Not whole:\n%s", to, strings.TrimSpace(harmText(rep)))
}
