package main

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"fleece.example/tubside/cmd/tubside/machine"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/store"
)

// place is a second folder for copies; one without a path is none.
type place struct {
	path  string
	apart bool // it lies on a disk of its own
}

// secondPlace is the one that this person on this machine has named.
func secondPlace() (place, error) {
	s, err := machine.Usual().Read()
	return place{s.CopiesTo, s.CopiesApart}, err
}

// sayCopies is where copies are made, and that they lie on one disk with the record where
// nobody has named a second place.
func sayCopies(folder string) string {
	also, err := secondPlace()
	said := "Copies are made by themselves, in " + folder
	switch {
	case err != nil: // said elsewhere
		return said
	case also.path == "":
		return said + ", and nowhere else: `tubside copies --also-in FOLDER` has each carried to a stick or another disk too"
	}
	return said + ", and each is carried to " + also.path
}

// isThere says whether the place can take the copies that lie in folder. An empty folder
// is left where a stick was: what came there would lie on the record's own disk.
func (p place) isThere(folder string) bool {
	if !isThere(p.path) {
		return false
	}
	same, known := sameDisk(p.path, filepath.Dir(folder))
	return !p.apart || !known || !same
}

const copiesHelp = `While tubside runs it copies the record by itself: each hour in which something was
written, at the end of each day, and before the record is brought to a newer layout.
A copy is kept once it has been read back and is whole. The last copy is kept of each
of the last 24 hours with one, of each of the last 31 days, and of every month. They
are in the folder copies beside the record; ` + "`tubside restore`" + ` puts one back.

copies says where they are. --also-in FOLDER puts each copy in a second place too,
such as a USB stick or another disk. The folder must be there already; the choice is
yours on this machine alone, and each machine needs a folder of its own. When the
stick is out you are told once, and when it is back the newest copy goes there.
--also-in none ends that.`

func newCopies(o *options, sys system) *cobra.Command {
	var also string
	cmd := &cobra.Command{
		Use:   "copies",
		Short: "Show where the automatic copies are",
		Long:  copiesHelp,
		Args:  takesNone("copies takes no \"%s\": --also-in FOLDER names a second place, `tubside restore` puts a copy back"),
		RunE: func(cmd *cobra.Command, _ []string) error {
			folder := store.CopiesFolder(o.file())
			if cmd.Flags().Changed("also-in") {
				if err := nameSecondPlace(also, folder); err != nil {
					return err
				}
			}
			return tellCopies(sys, o.unitsOf(cmd), folder)
		},
	}
	cmd.Flags().StringVar(&also, "also-in", "", "put each copy in this second `folder` too; none ends that")
	return cmd
}

// nameSecondPlace keeps the second place; it has to be a folder that is there.
func nameSecondPlace(to, copies string) error {
	apart := false
	if to = strings.TrimSpace(to); to == "" {
		return usage("--also-in is empty: name a folder, or none")
	}
	if to != "none" {
		path, err := filepath.Abs(to)
		if err != nil {
			return err
		}
		here, _ := os.Stat(copies)
		switch info, err := os.Stat(path); {
		case err != nil:
			return fmt.Errorf("%s is not there: plug the stick in, or make the folder first", to)
		case !info.IsDir():
			return fmt.Errorf("%s is not a folder: name one on a stick or another disk", to)
		case here != nil && os.SameFile(info, here):
			return fmt.Errorf("%s has the copies already: name a folder on a stick or another disk", to)
		}
		to = path
		same, known := sameDisk(path, filepath.Dir(copies))
		apart = known && !same
	} else {
		to = ""
	}
	return machine.Usual().Change(func(s *machine.Settings) { s.CopiesTo, s.CopiesApart = to, apart })
}

func tellCopies(sys system, u measure.System, folder string) error {
	also, err := secondPlace()
	if err != nil {
		return err
	}
	all, err := store.Copies(folder)
	if err == nil && len(all) > 0 && also.path != "" && also.isThere(folder) {
		err = carryNewest(all[0], also.path)
	}
	if err != nil {
		sys.warn([]string{err.Error()})
	}
	out := "copies: " + copiesIn(u, folder, "none yet") + "\n"
	switch {
	case also.path == "":
	case also.isThere(folder):
		out += "second place: " + copiesIn(u, also.path, "none yet") + "\n"
		if same, known := sameDisk(also.path, filepath.Dir(folder)); known && same {
			out += "It lies on the same disk as the record: a stick or another disk is safer.\n"
		}
	default:
		out += "second place: " + also.path + ", which is not there: plug it in\n"
	}
	_, err = fmt.Fprint(sys.out, harmless(out))
	return err
}

// carryNewest brings the newest copy to the second place.
func carryNewest(c store.Copy, also string) error {
	if isThere(filepath.Join(also, filepath.Base(c.Path))) {
		return nil
	}
	_, err := store.CarryCopy(c, also)
	return err
}

func isThere(path string) bool {
	_, err := os.Stat(path)
	return err == nil
}

// copiesIn says what copies a folder has; of one that is not there, absent.
func copiesIn(u measure.System, folder, absent string) string {
	all, err := store.Copies(folder)
	if !isThere(folder) {
		return folder + ", " + absent
	}
	switch {
	case err != nil:
		return err.Error()
	case len(all) == 0:
		return folder + ", none yet"
	}
	var size int64
	for _, c := range all {
		size += c.Size
	}
	return fmt.Sprintf("%s, %s, %s, the last of %s", folder, measure.Counted(len(all), "copy", "copies"), bytesText(size), u.Moment(all[0].At.Local(), "2006-01-02 15:04"))
}

// bytesText is a size in round figures.
func bytesText(n int64) string {
	switch {
	case n < 1_000_000:
		return fmt.Sprintf("%d kB", (n+999)/1000)
	case n < 10_000_000:
		return fmt.Sprintf("%.1f MB", float64(n)/1e6)
	}
	return fmt.Sprintf("%d MB", n/1_000_000)
}
