package main

import (
	"errors"
	"fmt"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"fleece.example/tubside/cmd/tubside/exchange"
	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/store"
)

const importHelp = `import brings in what ` + "`tubside export --json`" + ` wrote, or a copy of a record; with - for
FILE it reads an export from standard input.
Days, fleeces, methods and the kit that are here already stay as they are, new ones
are added, and a day whose beginning is here goes on. Where a fleece, a method or a
name in the kit was corrected, the newer is taken. If the two differ in any other way
it says so and changes nothing at all: codes on tags name days by their number, so two
days cannot share one.

--cards brings in washes from before you had this program: FILE is the table that
` + "`tubside export --csv`" + ` writes, or one of your own under the same heads, of which
washed_on, animal and raw_g are enough. Weights are in g, under raw_oz and dry_oz in
oz, under raw and dry in your units; dates are 2026-06-13 or as you write them: 5/6
has the month first where your dates do. Each date becomes a day marked as entered later. Nothing is taken in unless every line is
good; a line that is here already is left alone. --sure takes what is unlikely.

--dry-run says what it would do and changes nothing. --without-kit leaves out the kit
in the file, if yours has changed since. --new with --data begins a new record there;
without it that is refused, for the folder may be mistyped.`

// importing is what the flags of import ask for.
type importing struct {
	dry, withoutKit, cards, sure bool
}

func newImport(o *options, sys system) *cobra.Command {
	i := &importing{}
	cmd := &cobra.Command{
		Use:   "import FILE",
		Short: "Bring in what export --json wrote, or a copy",
		Long:  importHelp,
		Args:  takes(1, 1, "import needs one file that `tubside export --json FILE` wrote, or a copy of a record"),
		RunE: func(cmd *cobra.Command, args []string) error {
			switch {
			case i.cards && i.withoutKit:
				return usage("a table of cards has no kit: leave --without-kit out")
			case i.cards:
				return i.takeCards(o, sys, args[0], o.unitsOf(cmd))
			}
			return i.run(o, sys, args[0])
		},
	}
	cmd.Flags().BoolVar(&i.dry, "dry-run", false, "say what it would do, and change nothing")
	o.newFlag(cmd.Flags())
	cmd.Flags().BoolVar(&i.withoutKit, "without-kit", false, "leave your kit as it is")
	cmd.Flags().BoolVar(&i.cards, "cards", false, "FILE is a table of earlier washes")
	cmd.Flags().BoolVar(&i.sure, "sure", false, "take in unlikely figures, and dates still to come")
	unitsFlag(cmd.Flags())
	return cmd
}

func (i *importing) run(o *options, sys system, name string) error {
	c, days, err := i.read(sys, name)
	if err != nil {
		return err
	}
	if no := o.noRecord(); no != "" {
		return usage("%s --new takes the file into a new record there", no)
	}
	if c.Sure = i.sure; i.withoutKit {
		c.Kit = nil
	}
	m, err := store.Import(o.file(), c, days, i.dry)
	for _, text := range m.Conflicts {
		sys.warn([]string{text})
	}
	if err != nil {
		return fmt.Errorf("%s: %w", name, i.advise(err, m))
	}
	_, err = fmt.Fprint(sys.out, i.report(m))
	return err
}

// mostBadCards is how many bad lines are told one by one.
const mostBadCards = 10

// takeCards takes in a table of earlier washes.
func (i *importing) takeCards(o *options, sys system, name string, u measure.System) (err error) {
	in := sys.in
	if name != "-" {
		f, err := openFile(name, "the table")
		if err != nil {
			return err
		}
		defer func() { _ = f.Close() }() // only read
		in = f
	}
	now := time.Now()
	cards, bad, err := exchange.CardReader{Units: u, Zone: time.Local, Now: now}.Cards(in)
	if err != nil {
		return fmt.Errorf("%s: %w", name, err)
	}
	if no := o.noRecord(); no != "" {
		return usage("%s --new takes the table into a new record there", no)
	}
	var taken ledger.Taken
	usual := shed.UsualKit(u)
	if err := store.Into(o.file(), i.dry, func(s *store.Store) (err error) {
		if taken, err = s.TakeCards(cards, bad, usual, time.Local, now, i.sure, i.dry); err == nil && len(taken.Bad) > 0 {
			err = errBadCards
		}
		return err
	}); err != nil && len(taken.Bad) == 0 {
		return fmt.Errorf("%s: %w", name, err)
	}
	if bad = taken.Bad; len(bad) > 0 {
		unlikely := false
		var texts []string
		for n, b := range bad {
			if unlikely = unlikely || errors.Is(b, shed.ErrUnlikely); n < mostBadCards {
				texts = append(texts, b.Error())
			}
		}
		if more := len(bad) - mostBadCards; more > 0 {
			texts = append(texts, fmt.Sprintf("and %d more", more))
		}
		sys.warn(texts)
		hint := ""
		if unlikely {
			hint = "; --sure takes in what is unlikely"
		}
		return fmt.Errorf("%s: %s not right, so nothing was taken in%s", name, measure.Counted(len(bad), "cell is", "cells are"), hint)
	}
	batches, on := 0, ""
	for n, d := range taken.Days { // as they were read
		batches += len(d.Day.Plan.Batches)
		if at := u.Moment(d.Day.StartedAt.In(time.Local), "2 Jan 2006"); n == 0 {
			on = ", " + at
		} else if n == len(taken.Days)-1 {
			on += " to " + at
		}
	}
	verb := "taken in"
	if i.dry {
		verb = "to be taken in; nothing is changed yet"
	}
	text := fmt.Sprintf("%s on %s%s, and %s: %s.", measure.Counted(batches, "batch", "batches"), measure.Counted(len(taken.Days), "day", "days"), on, measure.Counted(len(taken.Fleeces), "new fleece", "new fleeces"), verb)
	if taken.Here > 0 {
		text += fmt.Sprintf(" %s here already.", measure.Counted(taken.Here, "line is", "lines are"))
	}
	if batches == 0 {
		text = "All of it is here already."
	}
	_, err = fmt.Fprintln(sys.out, text)
	return err
}

// errBadCards keeps a new record from being made of bad cards.
var errBadCards = errors.New("bad cards")

// read is what the file holds: a copy of a record, or what export wrote.
func (i *importing) read(sys system, name string) (c store.Contents, days []store.DayContents, err error) {
	in, isCopy := sys.in, false
	if name != "-" {
		if in, err = openFile(name, "the file"); err != nil {
			return c, nil, err
		}
		defer func() { _ = in.Close() }() // only read
		c, days, isCopy, err = readCopy(name)
	}
	if !isCopy {
		c, days, err = exchange.Read(in)
	}
	if err != nil {
		err = fmt.Errorf("%s: %w", name, err)
	}
	return c, days, err
}

// advise adds what can be done about what differs: leave the kit out where it is
// that alone, else keep the two records apart.
func (i *importing) advise(err error, m store.Merged) error {
	switch {
	case errors.Is(err, measure.ErrToCome):
		return fmt.Errorf("%w. If a clock was wrong then or is now, --sure takes it in", err)
	case !errors.Is(err, store.ErrConflict):
		return err
	case m.KitDiffers && len(m.Conflicts) == 1:
		return fmt.Errorf("%w. --without-kit leaves the kit out", err)
	}
	return fmt.Errorf("%w. --new --data FOLDER with a new folder takes it into a record of its own", err)
}

func (i *importing) report(m store.Merged) string {
	var b strings.Builder
	if i.dry {
		b.WriteString("This would be taken in; nothing is changed yet.\n")
	}
	for _, l := range []struct {
		what  string
		tally store.Tally
	}{{"kit", m.Kit}, {"fleeces", m.Fleeces}, {"methods", m.Methods}, {"days", m.Days}, {"plan", m.Draft}} {
		var parts []string
		for _, p := range []struct {
			n    int
			text string
		}{{l.tally.New, "new"}, {l.tally.Longer, "to go on with"}, {l.tally.Newer, "put right"}, {l.tally.Same, "here already"}, {l.tally.Stays, "left out: another is here"}} {
			if p.n > 0 {
				parts = append(parts, fmt.Sprintf("%d %s", p.n, p.text))
			}
		}
		if len(parts) == 0 && l.what == "plan" {
			continue
		}
		if len(parts) == 0 {
			parts = []string{"none"}
		}
		fmt.Fprintf(&b, "%-8s %s\n", l.what, strings.Join(parts, ", "))
	}
	fmt.Fprintf(&b, "%-8s %d new\n", "events", m.Events)
	all := "All of it is here already.\n"
	if m.NoDraft != nil {
		all = "All the rest is here already.\n"
		fmt.Fprintf(&b, "The plan is left out: %v.\n", m.NoDraft)
	}
	if !m.Changes() {
		b.WriteString(all)
	}
	return b.String()
}
