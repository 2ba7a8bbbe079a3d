package main

import (
	"errors"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"fleece.example/tubside/cmd/tubside/page"
	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/store"
	"fleece.example/tubside/tui/past"
)

const reviewHelp = `review looks back at a wash day: what it tells, its times beside the plan, its
baths, how each batch came out, its alarms and notes. DAY is its number, or any date it
ran on, such as {13 Jun 2026}; without it, it is the last day.
A day that is still running is reviewed so far.

It writes text. --html FILE makes one page with tables and plots instead, to read on a
phone, print or keep; it needs no network. --json has all figures, metric.`

// reviewing is what the flags of review ask for.
type reviewing struct {
	html        string
	json, force bool
	units       measure.System
}

func newReviewCommand(o *options, sys system) *cobra.Command {
	r := &reviewing{}
	cmd := &cobra.Command{
		Use:   "review [DAY]",
		Short: "Look back at a wash day, as text, a page or JSON",
		Long:  reviewHelp,
		Args: func(_ *cobra.Command, args []string) error {
			if _, err := measure.Metric.ReadDay(strings.Join(args, " ")); len(args) > 1 && err != nil {
				return usage("review looks back at one day: give its number or its date")
			}
			return nil
		},
		RunE: func(cmd *cobra.Command, args []string) error {
			r.units = o.unitsOf(cmd)
			switch {
			case cmd.Flags().Changed("html") && cmd.Flags().Changed("json"):
				return usage("give one of --html FILE and --json")
			case cmd.Flags().Changed("html") && measure.CleanText(r.html, 200) == "":
				return usage("--html is empty: give the name of a new file, or - for standard output")
			case r.force && r.html == "":
				return usage("--force is about a file: give --html FILE with it")
			}
			return r.run(o, sys, strings.Join(args, " "))
		},
	}
	flags := cmd.Flags()
	flags.StringVar(&r.html, "html", "", "write a page into this new `file`, or - for standard output")
	flags.BoolVar(&r.json, "json", false, "print JSON, metric")
	flags.BoolVar(&r.force, "force", false, "replace the file if it is there")
	unitsFlag(flags)
	return cmd
}

func (r *reviewing) run(o *options, sys system, day string) error {
	var l page.Look
	err := reading(o.file(), func(s *store.Store) error {
		id, err := whichDay(s, day, r.units)
		if err != nil {
			return err
		}
		d, err := s.Day(id)
		d = d.AsOf(time.Now())
		l = page.Look{ID: id, Day: d, Advice: past.AdviceOf(s, s, d), Units: r.units, Zone: time.Local, Now: time.Now()}
		return err
	})
	if err != nil {
		return err
	}
	if l.Day.EndedAt.IsZero() {
		sys.warn([]string{fmt.Sprintf("wash day %d is still running: this is its review so far", l.ID)})
	}
	switch {
	case r.json:
		return l.JSON(sys.out)
	case r.html == "":
		_, err := io.WriteString(sys.out, strings.Join(past.PlainReview(l.ID, l.Day, l.Advice, l.Units, l.Zone, l.Now, sys.columns()), "\n")+"\n")
		return err
	case r.html == "-":
		return l.HTML(sys.out)
	}
	if err := r.write(l); err != nil {
		return err
	}
	_, err = fmt.Fprintf(sys.out, "The review of wash day %d is in %s\n", l.ID, harmless(r.html))
	return err
}

// write puts the page into its file.
func (r *reviewing) write(l page.Look) error {
	if r.force {
		return overFile(r.html, l.HTML)
	}
	if err := newName(r.html, "--force writes over it, or give a new name"); err != nil {
		return err
	}
	return intoNewFile(r.html, l.HTML)
}

// whichDay finds a day by its number or a date that it ran on; "" is the last one.
func whichDay(s *store.Store, text string, u measure.System) (shed.DayID, error) {
	if n, err := strconv.ParseUint(text, 10, 63); err == nil {
		if n == 0 {
			return 0, usage("there is no day 0: days count up from 1")
		}
		return shed.DayID(n), nil
	}
	on, err := u.ReadDay(text)
	if text != "" && err != nil {
		return 0, usage("\"%s\" is no wash day: give its number, such as 12, or its date, such as %s", measure.CleanText(text, 40), ownExamples(u, "{13 Jun 2026}"))
	}
	days, err := s.Days(0)
	switch {
	case err != nil:
		return 0, err
	case len(days) == 0:
		return 0, errors.New("there is no wash day yet")
	case text == "":
		return days[0].ID, nil
	}
	var found []string
	var id shed.DayID
	var near ledger.Summary
	least := time.Duration(math.MaxInt64)
	for _, d := range days {
		switch off := dayOff(d, on); {
		case off == 0:
			id, found = d.ID, append(found, strconv.FormatUint(uint64(d.ID), 10))
		case off < least:
			least, near = off, d
		}
	}
	shown := u.Moment(on, "2 Jan 2006")
	if on.Year() == 0 {
		shown = u.Moment(on, "2 Jan")
	}
	switch len(found) {
	case 0:
		return 0, fmt.Errorf("there is no wash day on %s: the nearest is %d, begun %s", shown, near.ID, u.Moment(near.StartedAt.In(time.Local), "Mon 2 Jan 2006"))
	case 1:
		return id, nil
	}
	return 0, fmt.Errorf("there are %d wash days on %s: give the number of one, %s", len(found), shown, strings.Join(found, " or "))
}

// dayOff is how far a date lies from a day, 0 for each that it ran on.
func dayOff(d ledger.Summary, on time.Time) time.Duration {
	until := d.EndedAt
	if now := time.Now(); until.IsZero() { // a day that was left open does not run for weeks
		until = d.StartedAt.Add(min(now.Sub(d.StartedAt), 24*time.Hour))
	}
	first, last := dateIn(d.StartedAt), dateIn(until)
	off := time.Duration(math.MaxInt64)
	for _, year := range []int{first.Year(), last.Year()} {
		if on.Year() != 0 {
			year = on.Year()
		}
		at := time.Date(year, on.Month(), on.Day(), 0, 0, 0, 0, time.UTC)
		off = min(off, max(first.Sub(at), at.Sub(last), 0))
	}
	return off
}

// dateIn is the local date of a moment, as dates are counted: without zones.
func dateIn(t time.Time) time.Time {
	y, m, d := t.In(time.Local).Date()
	return time.Date(y, m, d, 0, 0, 0, 0, time.UTC)
}
