package main

import (
	"bufio"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"sort"
	"strconv"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/store"
)

const restoreHelp = `restore without a copy lists the copies that tubside made by itself, newest first:
when, what each holds, and whether it is whole. Times are by this machine's clock.

restore COPY puts one back: COPY is its number in the list, its name, or the path of
any other copy, such as one that ` + "`tubside backup`" + ` made. It asks first, unless you give
--yes. What it replaces, even if damaged, is kept beside it under a new name, which it
tells you. Close tubside before you restore.`

func newRestore(o *options, sys system) *cobra.Command {
	var yes bool
	cmd := &cobra.Command{
		Use:   "restore [COPY]",
		Short: "List the copies of the record, or put one back",
		Long:  restoreHelp,
		Args:  takes(0, 1, "restore puts one copy back: give its number, its name or its path"),
		RunE: func(cmd *cobra.Command, args []string) error {
			r := &restoring{o: o, sys: sys, yes: yes, units: o.unitsOf(cmd)}
			if len(args) == 0 {
				return r.list()
			}
			return r.putBack(args[0])
		},
	}
	cmd.Flags().BoolVar(&yes, "yes", false, "put it back without asking")
	return cmd
}

type restoring struct {
	o     *options
	sys   system
	yes   bool
	units measure.System // dates are as they are written in these
}

// placed is a copy by its name, with the places that have it.
type placed struct {
	name string
	at   time.Time
	kind store.CopyKind
	in   []store.Copy // here first
}

// copies are those of both places, newest first; a second place that cannot be read is
// said and left out.
func (r *restoring) copies() ([]placed, error) {
	here := store.CopiesFolder(r.o.file())
	all, err := store.Copies(here)
	if err != nil {
		return nil, err
	}
	also, err := secondPlace()
	if err == nil && also.path != "" {
		var more []store.Copy
		if more, err = store.Copies(also.path); err == nil && !also.isThere(here) {
			r.sys.warn([]string{"the second place for copies, " + also.path + ", is not there: plug it in to see its copies too"})
		}
		all = append(all, more...)
	}
	if err != nil {
		r.sys.warn([]string{err.Error()})
	}
	var out []placed
	at := map[string]int{}
	for _, c := range all {
		name := filepath.Base(c.Path)
		if i, ok := at[name]; ok {
			out[i].in = append(out[i].in, c)
			continue
		}
		at[name] = len(out)
		out = append(out, placed{name, c.At, c.Kind, []store.Copy{c}})
	}
	sort.Slice(out, func(i, j int) bool { return out[i].name > out[j].name })
	return out, nil
}

// list says what there is, each copy as soon as it is read.
func (r *restoring) list() error {
	all, err := r.copies()
	if err != nil {
		return err
	}
	w := bufio.NewWriter(r.sys.out)
	here := store.CopiesFolder(r.o.file())
	_, _ = fmt.Fprintf(w, "record: %s\n     %s\n", harmless(r.o.file()), harmless(r.present())) // w keeps the first error
	if len(all) == 0 {
		_, _ = fmt.Fprintf(w, "No copies yet in %s: tubside makes them by itself while it runs.\n", harmless(here))
		return w.Flush()
	}
	_, _ = fmt.Fprintf(w, "copies: %s\n", harmless(here))
	for i, p := range all {
		_, _ = fmt.Fprintf(w, "%3d  %s  %s\n", i+1, p.at.Local().Format(time.DateOnly)+" "+r.units.ClockColumn(p.at.Local()), harmless(r.about(p, here)))
		if err := w.Flush(); err != nil {
			return err
		}
	}
	_, _ = fmt.Fprintln(w, "`tubside restore 1` puts the first of them back, and keeps what is there now.")
	return w.Flush()
}

// about says what a copy holds, and where it is whole.
func (r *restoring) about(p placed, here string) string {
	var parts []string
	said, whole := "", 0
	for _, c := range p.in {
		place := "here"
		if filepath.Dir(c.Path) != here {
			place = "on the second place"
		}
		h, err := store.Examine(c.Path)
		state := "whole"
		switch {
		case err == nil:
			whole++
		case errors.Is(err, store.ErrUnreadable):
			state = "in part damaged"
		case errors.Is(err, store.ErrNewer):
			state = "of a newer tubside"
		default:
			state = "damaged"
		}
		if said == "" && (err == nil || errors.Is(err, store.ErrUnreadable)) {
			said = r.heldText(h) + ", " + bytesText(c.Size)
		}
		parts = append(parts, state+" "+place)
	}
	if len(parts) == 2 && whole == 2 {
		parts = []string{"whole here and on the second place"}
	}
	if said != "" {
		parts = append([]string{said}, parts...)
	}
	if p.kind == store.BeforeLayout {
		parts = append(parts, "before the file's layout changed")
	}
	return strings.Join(parts, ", ")
}

// heldText is what a record holds, in words.
func (r *restoring) heldText(h store.Held) string {
	counted := measure.Counted
	text := counted(h.Days, "day", "days") + ", " + counted(h.Batches, "batch", "batches")
	if h.LastAt.IsZero() {
		return text + ", " + counted(h.Fleeces, "fleece", "fleeces")
	}
	text += ", last " + r.units.Moment(h.LastAt.Local(), "2 Jan 2006")
	if len(h.LastFleeces) > 0 {
		text += " " + h.LastFleeces[0]
	}
	if n := len(h.LastFleeces); n > 1 {
		text += fmt.Sprintf(" and %d more", n-1)
	}
	text += " (" + counted(h.LastEvents, "event", "events")
	if h.Open {
		text += ", still open"
	}
	return text + ")"
}

// present says what is in the record's place.
func (r *restoring) present() string {
	info, err := os.Stat(r.o.file())
	if errors.Is(err, fs.ErrNotExist) {
		return "there is none"
	}
	if err != nil {
		return err.Error()
	}
	h, err := store.Examine(r.o.file())
	switch {
	case errors.Is(err, store.ErrInUse):
		return "open in a window of tubside: close it before a copy is put back"
	case errors.Is(err, store.ErrUnreadable):
		return r.heldText(h) + ", in part damaged: " + err.Error()
	case errors.Is(err, store.ErrDamaged):
		return "damaged, or not a file of tubside"
	case err != nil:
		return err.Error()
	}
	return r.heldText(h) + ", " + bytesText(info.Size()) + ", whole"
}

// find is the path of the copy that is meant, the first whole one of that name.
func (r *restoring) find(what string) (string, error) {
	all, err := r.copies()
	if err != nil {
		return "", err
	}
	for i, p := range all {
		if what != strconv.Itoa(i+1) && what != p.name {
			continue
		}
		for _, c := range p.in {
			if _, err := store.Examine(c.Path); err == nil {
				return c.Path, nil
			}
		}
		return p.in[0].Path, nil // why not is said when it is put back
	}
	if n, err := strconv.Atoi(what); err == nil && !isThere(what) {
		return "", usage("there is no copy number %d: `tubside restore` lists %d", n, len(all))
	}
	if beside := filepath.Join(r.o.folder(), what); !isThere(what) && isThere(beside) {
		return beside, nil
	}
	if !isThere(what) {
		return "", usage("there is no copy %s: `tubside restore` lists those there are", what)
	}
	return what, nil
}

func (r *restoring) putBack(what string) error {
	from, err := r.find(what)
	if err != nil {
		return err
	}
	if err := notFolder(from, "name the copy in it"); err != nil {
		return err
	}
	h, err := store.Examine(from)
	damaged := errors.Is(err, store.ErrUnreadable)
	if err != nil && !damaged {
		return fmt.Errorf("nothing was changed: %w", ofCopy(err, from))
	}
	said := r.heldText(h)
	if damaged {
		copied, worse := r.noWorse(from)
		if worse != nil {
			return fmt.Errorf("nothing was changed: %w", worse)
		}
		if h.Days == 0 {
			said = wholeText(copied)
		}
		said += ", and a part that is damaged: " + err.Error()
	}
	if !r.yes {
		now := "There is no record here now."
		if isThere(r.o.file()) {
			now = fmt.Sprintf("In its place now: %s.\nThat is kept beside it.", r.present())
		}
		ok, err := r.sys.ask("nothing was changed: --yes puts a copy back without asking", fmt.Sprintf("Put %s back? It holds %s.\n%s\ny puts it back, anything else changes nothing", harmless(from), harmless(said), harmless(now)))
		if err != nil {
			return err
		}
		if !ok {
			_, err := fmt.Fprintln(r.sys.out, "Nothing was changed.")
			return err
		}
	}
	kept, err := store.Restore(r.o.file(), from, time.Now())
	if err != nil {
		return fmt.Errorf("nothing was changed: %w", err)
	}
	text := fmt.Sprintf("%s is put back: %s.\n", from, said)
	if kept != "" {
		text += fmt.Sprintf("What was there is kept in %s\n", kept)
	}
	_, err = fmt.Fprint(r.sys.out, harmless(text))
	return err
}

// ofCopy says of a damaged copy what to do: the advice about the record would send back here.
func ofCopy(err error, path string) error {
	if e := (*store.Error)(nil); errors.As(err, &e) && e.Why != "" {
		return fmt.Errorf("%s is damaged or no copy of a record: %s. Choose another copy: `tubside restore` lists them", path, e.Why)
	}
	return err
}

// noWorse says what is whole in a damaged copy, and refuses it where what is in its place has as
// much that is whole.
func (r *restoring) noWorse(from string) (copied store.Report, err error) {
	copied, err = store.Check(from)
	if err != nil || copied.Whole() {
		return copied, err
	}
	here, gone := store.Check(r.o.file())
	if less := gone != nil || here.Entries < copied.Entries || here.Days < copied.Days || here.Fleeces < copied.Fleeces || here.Methods < copied.Methods || copied.Kit && !here.Kit; less {
		return copied, nil
	}
	return copied, fmt.Errorf("%s is damaged, and the record here has as much that is whole: choose another copy. Not whole in that one:\n%s", from, strings.TrimSpace(harmText(copied)))
}
