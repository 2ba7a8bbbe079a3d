package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"fleece.example/tubside/session/compare"
	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/lookback"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/store"
	"fleece.example/tubside/tui/draw"
	"fleece.example/tubside/tui/past"
)

const compareHelp = `compare sorts what you have washed by tub, fleece, type, method or cover, and says what
is usual for each and which days were not.

A day is unusual if it is further from the average than 2.66 times the mean step from one
day to the next (a Shewhart chart of individuals). Eight days in a row on one side of the
average count as a change. Both need at least eight days.

With two days, by number or by dates such as 2026-06-13, it sets them side by side.`

// comparing is what the flags of compare ask for.
type comparing struct {
	by, of, only string
	json         bool
	units        measure.System
	kit          shed.Kit // of the record
}

func (c *comparing) words() compare.Words {
	return compare.Words{Words: lookback.Words{Units: c.units, Zone: time.Local}, Kit: c.kit}
}

func newCompare(o *options, sys system) *cobra.Command {
	c := &comparing{}
	cmd := &cobra.Command{
		Use:   "compare [DAY DAY]",
		Short: "Compare tubs, fleeces, types, methods or covers over many days, or two days",
		Long:  compareHelp,
		Args: func(cmd *cobra.Command, args []string) error {
			switch n := len(args); {
			case n != 0 && n != 2:
				return usage("give two days to set side by side, such as 12 2026-06-13, or none and --by and --of")
			case n == 2 && (cmd.Flags().Changed("by") || cmd.Flags().Changed("of") || cmd.Flags().Changed("only")):
				return usage("--by, --of and --only are about many days: leave them or the two days out")
			}
			return nil
		},
		RunE: func(cmd *cobra.Command, args []string) error {
			c.units = o.unitsOf(cmd)
			if len(args) == 2 {
				return c.beside(o, sys, args[0], args[1])
			}
			return c.run(o, sys)
		},
	}
	flags := cmd.Flags()
	flags.StringVar(&c.by, "by", "tub", "sort by this: `tub`, fleece, type, method or cover")
	flags.StringVar(&c.of, "of", "margin", "compare this `figure`: margin, minutes, forecast, yield, waits, water, heat or scour")
	flags.StringVar(&c.only, "only", "", "only the tub, fleece, type, method or cover of this `name`")
	flags.BoolVar(&c.json, "json", false, "print JSON, metric: yields as parts of one, times in minutes, scour in mL, or g of a powder")
	unitsFlag(flags)
	return cmd
}

func (c *comparing) run(o *options, sys system) error {
	var by compare.By
	var of compare.Measure
	if by.UnmarshalText([]byte(c.by)) != nil {
		return usage("--by %s is not known: use tub, fleece, type, method or cover", measure.CleanText(c.by, 40))
	}
	if of.UnmarshalText([]byte(c.of)) != nil {
		return usage("--of %s is not known: use margin, minutes, forecast, yield, waits, water, heat or scour", measure.CleanText(c.of, 40))
	}
	var rows []compare.Row
	err := reading(o.file(), func(s *store.Store) (err error) {
		if c.kit, _, err = s.Kit(); err == nil {
			rows, err = washedRows(s, c.kit, sys)
		}
		return err
	})
	if err != nil {
		return err
	}
	var groups []compare.Group
	var names []string
	for _, g := range compare.Groups(rows, by, of) {
		names = append(names, g.Name)
		if c.only == "" || strings.EqualFold(g.Name, strings.TrimSpace(c.only)) {
			groups = append(groups, g)
		}
	}
	switch {
	case len(names) == 0:
		return errors.New("no finished day has a washed batch yet: nothing to compare")
	case len(groups) == 0:
		return fmt.Errorf("nothing was washed with the %s \"%s\": there is %s", by, measure.CleanText(c.only, 40), strings.Join(names, "; "))
	case c.json:
		return writeGroups(sys.out, groups, by, of)
	}
	w := c.words()
	lines := draw.Wrapped(fmt.Sprintf("%s by %s: %s, mean of the day's batches", of, by, w.What(of)), sys.columns())
	for _, g := range groups {
		lines = append(lines, "")
		for _, text := range append(w.Tell(g, of), w.CameOut(g)) {
			if text != "" {
				lines = append(lines, draw.Wrapped(text, sys.columns())...)
			}
		}
	}
	_, err = io.WriteString(sys.out, strings.Join(lines, "\n")+"\n")
	return err
}

// beside sets two days side by side.
func (c *comparing) beside(o *options, sys system, one, other string) error {
	var two []ledger.Summary
	err := reading(o.file(), func(s *store.Store) error {
		a, err := whichDay(s, one, c.units)
		if err != nil {
			return err
		}
		b, err := whichDay(s, other, c.units)
		if err != nil {
			return err
		}
		if a == b {
			return usage("both are wash day %d: give two days", a)
		}
		all, err := s.Days(0)
		for _, id := range []shed.DayID{a, b} {
			i := slices.IndexFunc(all, func(d ledger.Summary) bool { return d.ID == id })
			switch {
			case err == nil && i < 0:
				return fmt.Errorf("there is no wash day %d", id)
			case err == nil && all[i].EndedAt.IsZero():
				return fmt.Errorf("wash day %d is still running: days are compared once they have ended", id)
			case err == nil:
				two = append(two, all[i])
			}
		}
		if err == nil {
			err = compare.Fill(s, two)
		}
		if err == nil {
			c.kit, _, err = s.Kit()
		}
		return err
	})
	if err != nil {
		return err
	}
	w := c.words()
	if c.json {
		pairs, _ := w.Beside(two[0], two[1])
		return writePairs(sys.out, two, pairs)
	}
	_, err = io.WriteString(sys.out, strings.Join(past.PlainBeside(w, two[0], two[1], sys.columns()), "\n")+"\n")
	return err
}

func writePairs(out io.Writer, two []ledger.Summary, pairs []compare.Pair) error {
	type pair struct {
		What string       `json:"what"`
		A    finiteOrNull `json:"first"`
		B    finiteOrNull `json:"second"`
	}
	all := struct {
		Days    [2]shed.DayID `json:"days"`
		Figures []pair        `json:"figures"`
	}{Days: [2]shed.DayID{two[0].ID, two[1].ID}}
	for _, p := range pairs {
		all.Figures = append(all.Figures, pair{p.What, finiteOrNull(p.A), finiteOrNull(p.B)})
	}
	return json.NewEncoder(out).Encode(all)
}

// washedRows are all batches that were washed; a day that does not read is told, and left out.
func washedRows(s *store.Store, kit shed.Kit, sys system) ([]compare.Row, error) {
	days, err := s.Days(0)
	if err != nil {
		return nil, err
	}
	if err := compare.Fill(s, days); err != nil {
		sys.warn([]string{"left out: " + err.Error()})
	}
	fleeces, err := s.Fleeces()
	return compare.Rows(days, fleeces, kit), err
}

type groupJSON struct {
	Name    string       `json:"name"`
	Mean    finiteOrNull `json:"mean"`
	Low     finiteOrNull `json:"low"`
	High    finiteOrNull `json:"high"`
	Shift   int          `json:"shift_days"`
	ShiftBy float64      `json:"shift_by"`
	Days    []pointJSON  `json:"days"`
}

type pointJSON struct {
	Day     shed.DayID `json:"day"`
	On      string     `json:"washed_on"`
	Batches []string   `json:"batches"`
	Value   float64    `json:"value"`
	Unusual bool       `json:"unusual"`
}

func writeGroups(out io.Writer, groups []compare.Group, by compare.By, of compare.Measure) error {
	all := struct {
		By     string      `json:"by"`
		Of     string      `json:"of"`
		Groups []groupJSON `json:"groups"`
	}{by.String(), of.String(), []groupJSON{}}
	for _, g := range groups {
		j := groupJSON{g.Name, finiteOrNull(g.Chart.Mean), finiteOrNull(g.Chart.Low), finiteOrNull(g.Chart.High), g.Chart.Shift, g.Chart.ShiftBy, []pointJSON{}}
		for i, p := range g.Days {
			x := pointJSON{Day: p.Day, On: p.At.In(time.Local).Format(time.DateOnly), Value: p.V, Unusual: g.Chart.Unusual[i]}
			for _, r := range p.Rows {
				x.Batches = append(x.Batches, r.Batch)
			}
			j.Days = append(j.Days, x)
		}
		all.Groups = append(all.Groups, j)
	}
	return json.NewEncoder(out).Encode(all)
}
