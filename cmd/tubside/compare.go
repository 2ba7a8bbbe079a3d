package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
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
)

const compareHelp = `compare holds together what was washed in the same tub, or of the same fleece, type or
method, or under the same cover, and says what is usual of it over the days and which days
were not.

A day is unusual outside its average plus and minus 2.66 times the mean step from one day to
the next (a Shewhart chart of individuals); eight days in a row on one side of the average
are a change. Both take eight days.`

// comparing is what the flags of compare ask for.
type comparing struct {
	by, of, only string
	json         bool
	units        measure.System
}

func newCompare(o *options, sys system) *cobra.Command {
	c := &comparing{}
	cmd := &cobra.Command{
		Use:   "compare",
		Short: "Compare tubs, fleeces, types, methods or covers over many days",
		Long:  compareHelp,
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) > 0 {
				return usage("compare takes no \"%s\": say what with --by and --of", measure.CleanText(args[0], 40))
			}
			return nil
		},
		RunE: func(cmd *cobra.Command, _ []string) error {
			c.units = o.unitsOf(cmd)
			return c.run(o, sys)
		},
	}
	flags := cmd.Flags()
	flags.StringVar(&c.by, "by", "tub", "`what` is held together: tub, fleece, type, method or cover")
	flags.StringVar(&c.of, "of", "margin", "`what` is compared: margin, minutes, forecast, yield, waits, water, heat or scour")
	flags.StringVar(&c.only, "only", "", "only the tub, fleece, type, method or cover of this `name`")
	flags.BoolVar(&c.json, "json", false, "print JSON, metric: yields are parts of one, times minutes")
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
		rows, err = washedRows(s, sys)
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
		return errors.New("no day has ended on which a batch was washed: there is nothing to compare yet")
	case len(groups) == 0:
		return fmt.Errorf("nothing was washed with the %s \"%s\": there is %s", by, measure.CleanText(c.only, 40), strings.Join(names, "; "))
	case c.json:
		return writeGroups(sys.out, groups, by, of)
	}
	w := compare.Words{Words: lookback.Words{Units: c.units, Zone: time.Local}}
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

// washedRows are all batches that were washed; a day that does not read is told, and left out.
func washedRows(s *store.Store, sys system) ([]compare.Row, error) {
	days, err := s.Days(0)
	if err != nil {
		return nil, err
	}
	if err := compare.Fill(s, days); err != nil {
		sys.warn([]string{"left out: " + err.Error()})
	}
	if err := ledger.FillRows(s, days); err != nil {
		return nil, err
	}
	fleeces, err := s.Fleeces()
	if err != nil {
		return nil, err
	}
	kit, _, err := s.Kit()
	return compare.Rows(days, fleeces, kit), err
}

type groupJSON struct {
	Name    string      `json:"name"`
	Mean    *float64    `json:"mean"`
	Low     *float64    `json:"low"`
	High    *float64    `json:"high"`
	Shift   int         `json:"shift_days"`
	ShiftBy float64     `json:"shift_by"`
	Days    []pointJSON `json:"days"`
}

type pointJSON struct {
	Day     shed.DayID `json:"day"`
	On      string     `json:"washed_on"`
	Batches []string   `json:"batches"`
	Value   float64    `json:"value"`
	Unusual bool       `json:"unusual"`
}

// orNull is null for what is not known.
func orNull(v float64) *float64 {
	if math.IsNaN(v) {
		return nil
	}
	return &v
}

func writeGroups(out io.Writer, groups []compare.Group, by compare.By, of compare.Measure) error {
	all := struct {
		By     string      `json:"by"`
		Of     string      `json:"of"`
		Groups []groupJSON `json:"groups"`
	}{by.String(), of.String(), []groupJSON{}}
	for _, g := range groups {
		j := groupJSON{g.Name, orNull(g.Chart.Mean), orNull(g.Chart.Low), orNull(g.Chart.High), g.Chart.Shift, g.Chart.ShiftBy, []pointJSON{}}
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
