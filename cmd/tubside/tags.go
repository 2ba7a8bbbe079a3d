package main

import (
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
	"time"
	"unicode"

	"github.com/charmbracelet/x/term"
	"github.com/spf13/cobra"

	"fleece.example/tubside/cmd/tubside/tags"
	"fleece.example/tubside/session"
	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/session/tag"
	"fleece.example/tubside/store"
)

const tagsHelp = `tags prints what you tie to the bags: one tag for each batch, with the fleece,
the batch, the weights, the day and a short code. Without flags it prints the
batches of the last day, for plain paper 40 columns wide with lines to cut along.

--pdf FILE makes a sheet of labels instead: on A4 three by eight of 70 by 37 mm,
on US Letter three by ten of 2 5/8 by 1 inch. With --label 57x32mm or 2x1in it makes a
page for each label, for a label printer. Print it at full size (100 %).

--card FILE makes one page about a fleece, with --fleece: what went in, what came out
and how it was washed, for its bag or its buyer.

--code CODE shows the record of the batch with that tag, and what it is now where it
was washed again. Small letters, spaces and hyphens do not matter; one wrong letter, or
two swapped, is noticed.`

// tagging is what the flags of tags ask for.
type tagging struct {
	on      string // the day as it was given
	day     shed.DayID
	fleece  string
	code    string
	pdf     string
	card    string
	paper   string
	label   string
	skip    int
	outline bool
	units   measure.System

	left []string // a sentence of what find left out
}

func newTags(o *options, sys system) *cobra.Command {
	t := &tagging{}
	cmd := &cobra.Command{
		Use:   "tags",
		Short: "Print tags or labels for the bags, or find a tag's record",
		Long:  tagsHelp,
		Args:  takesNone("tags does not know what to do with \"%s\": a code is given with --code, a fleece with --fleece"),
		RunE: func(cmd *cobra.Command, _ []string) error {
			t.units = o.unitsOf(cmd)
			if err := t.check(cmd.Flags().Changed); err != nil {
				return err
			}
			for flag, file := range map[string]string{"--pdf -": t.pdf, "--card -": t.card} {
				if file == "-" {
					if err := sys.needFile(flag, "the sheet"); err != nil {
						return err
					}
				}
			}
			if t.card != "" {
				return t.printCard(o, sys)
			}
			return t.run(o, sys)
		},
	}
	flags := cmd.Flags()
	flags.StringVar(&t.on, "day", "", "print the batches of the wash day with this `number` or date")
	flags.StringVar(&t.fleece, "fleece", "", "print all batches of the fleece with this `name` or mark")
	flags.StringVar(&t.code, "code", "", "show the record of the batch with this `code`")
	flags.StringVar(&t.pdf, "pdf", "", "write a sheet of labels into this new `file`, or - for standard output")
	flags.StringVar(&t.card, "card", "", "write a card of the fleece into this new `file`, or - for standard output")
	flags.StringVar(&t.paper, "paper", "", "the sheet's `size`: a4 or letter; otherwise a4, or letter in US units")
	flags.StringVar(&t.label, "label", "", "one label of this `size` to a page, for a label printer, such as 57x32mm or 2x1in")
	count(flags, &t.skip, "skip", 0, 1000, "start after this `number` of labels, on a part-used sheet")
	unitsFlag(flags)
	flags.BoolVar(&t.outline, "outline", false, "draw lines around the labels, for plain paper")
	return cmd
}

// check finds what cannot be meant together.
func (t *tagging) check(given func(flag string) bool) error {
	if given("code") && (given("day") || given("fleece")) {
		return usage("--code names one batch already: leave --day and --fleece out")
	}
	for _, x := range []struct{ flag, text, right string }{
		{"day", t.on, "give the day's number or its date, such as 2026-06-13"},
		{"code", t.code, "read the code from the tag, such as 001J"},
		{"fleece", t.fleece, "give the animal's name, or its mark such as f1"},
		{"pdf", t.pdf, "give the name of a new file, or - for standard output"},
		{"card", t.card, "give the name of a new file, or - for standard output"},
	} {
		if given(x.flag) && measure.CleanText(x.text, 200) == "" {
			return usage("--%s is empty: %s", x.flag, x.right)
		}
	}
	if given("code") {
		if _, _, err := tag.Parse(t.code); err != nil {
			return usage("--code: %v", err)
		}
	}
	switch {
	case given("card") && !given("fleece"):
		return usage("--card is about one fleece: give --fleece NAME with it")
	case given("card") && (given("pdf") || given("day")):
		return usage("--card is a page by itself, of all days: leave --pdf and --day out")
	}
	if given("label") && (given("paper") || given("skip")) {
		return usage("--label is about a printer that has one label after the other: leave --paper and --skip out")
	}
	for _, name := range []string{"paper", "label", "skip", "outline"} {
		if given(name) && !given("pdf") && !(name == "paper" && given("card")) {
			return usage("--%s is about a sheet of labels: give --pdf FILE with it", name)
		}
	}
	if given("paper") || given("label") {
		_, err := t.grid()
		return err
	}
	return nil
}

// grid is the sheet asked for, else the one that shops sell where the person lives.
func (t *tagging) grid() (tags.Grid, error) {
	if t.label != "" {
		return t.roll()
	}
	paper := t.paper
	if paper == "" {
		if paper = "a4"; t.units.American() {
			paper = "letter"
		}
	}
	grid, err := tags.GridFor(paper)
	if err != nil {
		return grid, usage("%v", err)
	}
	if t.skip < 0 || t.skip >= grid.Labels() {
		return grid, usage("a sheet has %d labels: --skip goes from 0 to %d", grid.Labels(), grid.Labels()-1)
	}
	return grid, nil
}

// roll is the labels of a label printer.
func (t *tagging) roll() (tags.Grid, error) {
	wide, high, _ := strings.Cut(strings.ReplaceAll(strings.ToLower(t.label), "×", "x"), "x")
	if !strings.ContainsFunc(wide, unicode.IsLetter) && !strings.ContainsAny(wide, "\"'") { // one unit for both
		wide += strings.TrimLeft(high, "0123456789.,/ ")
	}
	w, errW := t.units.ParseStapleMM(wide)
	h, errH := t.units.ParseStapleMM(high)
	if errW != nil || errH != nil || w < 25 || h < 15 || w > 200 || h > 200 {
		return tags.Grid{}, usage("--label %s is no size of a label: give its width and height, such as 57x32mm or 2x1in", measure.CleanText(t.label, 40))
	}
	return tags.LabelGrid(w, h), nil
}

func (t *tagging) run(o *options, sys system) error {
	var found []tags.Tag
	var before []tag.Printed
	err := reading(o.file(), func(s *store.Store) error {
		var err error
		if before, err = s.Printed(); err != nil {
			return err
		}
		found, err = t.find(s, sys.out)
		return err
	})
	if err != nil {
		return err
	}
	sys.warn(t.left)
	if err := t.print(sys, found, o.theme().ASCII); err != nil {
		return err
	}
	if old := outOfDate(t.units, found, before); old != "" {
		sys.warn([]string{old + t.again(found)})
	}
	// A look-up prints nothing, and what a terminal shows is on no paper.
	if t.code != "" || t.pdf == "" && term.IsTerminal(sys.out.Fd()) {
		return nil
	}
	if err := keepPrinted(o.file(), found); err != nil { // they are printed all the same
		sys.warn([]string{err.Error()})
	}
	return nil
}

// print writes the tags on paper, or to wherever the output goes.
func (t *tagging) print(sys system, found []tags.Tag, ascii bool) error {
	for _, tag := range found {
		if tag.Code == "" {
			sys.warn([]string{fmt.Sprintf("a batch with the mark \"%s\" has no code: its tag goes without one", tag.Batch)})
		}
	}
	if t.pdf == "" {
		warnings, err := tags.Text{Units: t.units, ASCII: ascii}.Write(sys.out, found)
		sys.warn(warnings)
		return err
	}
	grid, err := t.grid()
	if err != nil {
		return err
	}
	sheet := tags.Sheet{Units: t.units, Grid: grid, Skip: t.skip, Outline: t.outline, Made: time.Now()}
	write := func(w io.Writer) error {
		warnings, err := sheet.Write(w, found)
		sys.warn(warnings)
		return err
	}
	if t.pdf == "-" {
		return write(sys.out)
	}
	if err := intoNewFile(t.pdf, write); err != nil {
		return err
	}
	what := "labels are"
	if len(found) == 1 {
		what = "label is"
	}
	_, err = fmt.Fprintf(sys.out, "%d %s in %s\n", len(found), what, harmless(t.pdf))
	return err
}

// find gathers the tags that are asked for; for a code it says which day it is of.
func (t *tagging) find(s *store.Store, out io.Writer) ([]tags.Tag, error) {
	if t.code != "" {
		return t.byCode(s, out)
	}
	if t.fleece != "" && t.on == "" {
		return t.bags(s)(t.byFleece(s))
	}
	id, err := whichDay(s, t.on, t.units)
	if err != nil {
		return nil, err
	}
	if t.day = id; t.fleece != "" {
		return t.bags(s)(t.byFleece(s))
	}
	d, err := t.replay(s, id)
	if err != nil {
		return nil, err
	}
	all, err := tags.FromDay(id, d, time.Local)
	if err == nil && len(all) == 0 {
		return nil, fmt.Errorf("nothing was washed on wash day %d: a batch has a tag once it has gone into the water", id)
	}
	return t.bags(s)(all, err)
}

// byCode is the tag of the batch that a code leads to, as it is in its bag now: of its last wash.
func (t *tagging) byCode(s *store.Store, out io.Writer) ([]tags.Tag, error) {
	id, batch, err := tag.Parse(t.code)
	if err != nil {
		return nil, err
	}
	days, err := daysOf(s)
	if err != nil {
		return nil, err
	}
	given := t.code
	if last, again := ledger.LastWash(days, id, batch); again {
		id, batch = last.Day, last.Batch
		given, _ = tag.Code(id, batch)
	}
	d, err := t.replay(s, id)
	if errors.Is(err, store.ErrUnknown) {
		return nil, fmt.Errorf("the code %s is of batch %s of wash day %d, but there is no such day in %s: look in the record it was printed from", given, batch, id, s.Path())
	}
	if err != nil {
		return nil, err
	}
	all, err := tags.FromDay(id, d, time.Local)
	if err != nil {
		return nil, err
	}
	i := slices.IndexFunc(all, func(t tags.Tag) bool { return t.Batch == batch })
	if _, planned := d.Batch(batch); i < 0 && planned {
		return nil, fmt.Errorf("the code %s is of batch %s of wash day %d, which was planned but %s", given, batch, id, neverIn(d, batch))
	}
	if i < 0 {
		return nil, fmt.Errorf("the code %s is of batch %s of wash day %d, but that day has no such batch: it has %s", given, batch, id, listed(marks(all)))
	}
	if given != t.code {
		t.left = []string{fmt.Sprintf("it was washed again since %s: its code is %s now", measure.CleanText(t.code, 20), given)}
	}
	if t.pdf != "" {
		return all[i : i+1], nil
	}
	_, err = fmt.Fprintf(out, "Wash day %d, %s\n", id, t.units.Moment(d.WashedOn().In(time.Local), "Mon 2 Jan 2006"))
	b, _ := d.Batch(batch)
	for _, was := range ledger.EarlierOf(days, id, b.Was()) {
		if err == nil {
			_, err = fmt.Fprintln(out, t.wasText(s, was))
		}
	}
	return all[i : i+1], err
}

// wasText is what the record has of a batch before it was washed again.
func (t *tagging) wasText(s *store.Store, was shed.Earlier) string {
	code, _ := tag.Code(was.Day, was.Batch)
	text := fmt.Sprintf("before that %s of wash day %d, code %s", was.Batch, was.Day, code)
	if d, err := t.replay(s, was.Day); err == nil {
		fate := d.Fate[was.Batch]
		text += ", " + t.units.Moment(fate.WashedAt(d.EndedAt).In(time.Local), "2 Jan 2006")
		if fate.DryG > 0 {
			text += ": " + t.units.Mass(fate.DryG) + " dry"
		}
		if came := fate.Out.String(); came != "" {
			text += ", " + came
		}
	}
	return text
}

// daysOf are all days with their rows.
func daysOf(s *store.Store) ([]ledger.Summary, error) {
	days, err := s.Days(0)
	if err == nil {
		err = ledger.FillRows(s, days)
	}
	return days, err
}

// replay is a day with its figures in the units that the kit is in now.
func (t *tagging) replay(s *store.Store, id shed.DayID) (session.Day, error) {
	d, err := s.Day(id)
	d.Plan.Kit.Units = t.units
	return d, err
}

// neverIn says of a batch what no tag is made of.
func neverIn(d session.Day, batch string) string {
	switch {
	case d.Running():
		return "has not gone into the water yet"
	case d.Fate[batch].PresoakedOnly():
		return "was only presoaked: it is still to wash"
	}
	return "never went into the water: it is part of its fleece again"
}

// marksShown is how many batches a sentence names.
const marksShown = 10

func marks(all []tags.Tag) []string {
	var out []string
	for _, t := range all {
		out = append(out, t.Batch)
	}
	return out
}

func listed(names []string) string {
	if len(names) > marksShown {
		return strings.Join(names[:marksShown], ", ") + " and more"
	}
	return strings.Join(names, ", ")
}

// bags leaves out the tags of bags that were emptied, to be washed again. Their codes print
// them still.
func (t *tagging) bags(s *store.Store) func([]tags.Tag, error) ([]tags.Tag, error) {
	return func(found []tags.Tag, err error) ([]tags.Tag, error) {
		if err != nil || len(found) == 0 {
			return found, err
		}
		days, err := daysOf(s)
		var gone []string
		first := found[0].Code
		var kept []tags.Tag
		for _, x := range found {
			now, again := ledger.LastWash(days, x.Record.Day, x.Batch)
			if !again {
				kept = append(kept, x)
				continue
			}
			code, _ := tag.Code(now.Day, now.Batch)
			gone = append(gone, fmt.Sprintf("%s of %s (now %s, code %s)", x.Batch, t.units.Moment(x.WashedOn, "2 Jan 2006"), now.Batch, code))
		}
		if found = kept; err == nil && len(found) == 0 {
			err = fmt.Errorf("all of it was washed again, and is in bags of that day: `tubside tags --code %s` says which", first)
		}
		if len(gone) > 0 {
			t.left = []string{"no tag for what was washed again since: " + listed(gone)}
		}
		return found, err
	}
}

// byFleece looks through all days, the oldest first. A fleece is found by its name
// now, and by the one it had on a day while no other fleece has that.
func (t *tagging) byFleece(s *store.Store) ([]tags.Tag, error) {
	days, err := s.Days(0)
	if err != nil {
		return nil, err
	}
	known, err := s.Fleeces()
	if err != nil {
		return nil, err
	}
	names, named := s.Names(), slices.ContainsFunc(known, func(f shed.Fleece) bool { return t.means(&f) })
	meant := map[string]shed.Fleece{}
	var out []tags.Tag
	for _, sum := range slices.Backward(days) {
		if t.day != 0 && t.day != sum.ID {
			continue
		}
		recs, err := s.Events(sum.ID)
		if err != nil {
			return nil, err
		}
		then := session.Replay(recs)
		d := then.Named(names)
		d.Plan.Kit.Units = t.units
		all, err := tags.FromDay(sum.ID, d, time.Local)
		if err != nil {
			return nil, err
		}
		for i, b := range d.Washed() {
			f := d.FleeceOf(b.ID)
			kept := slices.ContainsFunc(known, func(o shed.Fleece) bool { return o.ID == f.ID })
			// A name it had then counts only while no other has it now.
			if t.means(f) || t.means(then.FleeceOf(b.ID)) && !(kept && named) {
				meant[f.ID] = *f
				out = append(out, all[i])
			}
		}
	}
	switch {
	case len(meant) > 1:
		return nil, fmt.Errorf("%s is the name of more than one fleece: choose by mark, %s", t.fleece, choices(meant))
	case len(out) > 0:
		return out, nil
	}
	return nil, t.notFound(named)
}

// notFound says why a fleece has no tags; named, that the ledger has it.
func (t *tagging) notFound(named bool) error {
	switch {
	case t.day != 0:
		return fmt.Errorf("wash day %d has no batch of a fleece %s", t.day, t.fleece)
	case named:
		return fmt.Errorf("%s has not been washed yet: its tags are printed from its first wash day on", t.fleece)
	}
	return fmt.Errorf("there is no fleece %s: give its animal's name, or its mark such as f1", t.fleece)
}

// means says whether that fleece is asked for.
func (t *tagging) means(f *shed.Fleece) bool {
	want := measure.CleanText(t.fleece, 200)
	return strings.EqualFold(f.ID, want) || strings.EqualFold(f.Animal, want) || strings.EqualFold(f.Title(), want)
}

func choices(of map[string]shed.Fleece) string {
	var out []string
	for id, f := range of {
		text := id + " (" + f.Title()
		if f.Year > 0 {
			text += fmt.Sprintf(", %d", f.Year)
		}
		out = append(out, text+")")
	}
	slices.Sort(out)
	return strings.Join(out, " or ")
}
