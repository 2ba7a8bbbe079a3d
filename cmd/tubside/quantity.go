package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"syscall"
	"time"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/store"
)

// quantity is a flag with a figure. It is read by the forms' own reader once all
// flags are known, for another flag may say in which units bare numbers are.
type quantity struct {
	text  string
	into  *float64
	each  *[]float64 // of a flag that is given once for each batch
	texts []string
	read  func(measure.System, string) (float64, error)
	check func(measure.System, float64) error // may be nil
	words []string                            // what else it may say: free, none
	given *string                             // the word it said, "" for a figure

	// What is usual, where nobody says otherwise, is round in these units; nil: it
	// is the same in all.
	round func(measure.System, float64) float64
	show  func(measure.System, float64) string

	// kit is what it is of the person's own kit, where nobody says otherwise; nil: the
	// kit has no such figure.
	kit func(shed.Kit) float64
}

func (q *quantity) String() string { return q.text }

func (q *quantity) Type() string { return "figure" }

func (q *quantity) Set(text string) error {
	q.text = text
	q.texts = append(q.texts, text)
	return nil
}

// temperature, volume and the others add a flag of their kind.
func temperature(f *pflag.FlagSet, into *float64, name, usual, help string) *quantity {
	return addQuantity(f, measure.System.ParseTempC, into, name, usual, help).usual(measure.System.RoundTempC, measure.System.Temp)
}

func volume(f *pflag.FlagSet, into *float64, name, usual, help string) *quantity {
	return addQuantity(f, measure.System.ParseVolumeL, into, name, usual, help).usual(measure.System.RoundVolumeL, func(u measure.System, l float64) string {
		if l == 0 {
			return "none"
		}
		return u.Volume(l)
	})
}

func weight(f *pflag.FlagSet, into *float64, name, usual, help string) *quantity {
	return addQuantity(f, measure.System.ParseMassG, into, name, usual, help).usual(measure.System.RoundMassG, measure.System.Mass)
}

// weights adds a flag that is given once for each batch.
func weights(f *pflag.FlagSet, into *[]float64, name, help string) {
	q := weight(f, new(float64), name, "", help)
	q.each = into
}

// power is that of a device; usual is what such a one has in these units, W.
func power(f *pflag.FlagSet, into *float64, name string, usual func(measure.System) float64, help string) *quantity {
	return addQuantity(f, measure.System.ParsePowerW, into, name, strconv.FormatFloat(usual(measure.Metric), 'f', -1, 64)+" W", help).
		usual(func(u measure.System, _ float64) float64 { return usual(u) }, func(_ measure.System, w float64) string { return measure.Power(w) })
}

func minutes(f *pflag.FlagSet, into *float64, name, usual, help string) *quantity {
	return addQuantity(f, measure.System.ParseMinutes, into, name, usual, help)
}

func altitude(f *pflag.FlagSet, into *float64) {
	addQuantity(f, measure.System.ParseHeightM, into, "altitude", "0", "`height` above the sea: where the kettle boils").
		within(func(u measure.System, m float64) error { return shed.Kit{Units: u}.CheckAltitudeM(m) }).
		usual(func(_ measure.System, m float64) float64 { return m }, measure.System.Height).of(heightOf)
}

func degrees(f *pflag.FlagSet, into *float64, name, usual, help string) *quantity {
	return addQuantity(f, measure.System.ParseTempDeltaC, into, name, usual, help)
}

func perCent(f *pflag.FlagSet, into *float64, name, usual, help string) *quantity {
	return addQuantity(f, measure.System.ParsePercent, into, name, usual, help)
}

func addQuantity(f *pflag.FlagSet, read func(measure.System, string) (float64, error), into *float64, name, usual, help string) *quantity {
	q := &quantity{text: usual, into: into, read: read}
	f.Var(q, name, help)
	return q
}

// or lets it say one of these words instead, kept in given. The empty word is a
// flag that was left out.
func (q *quantity) or(given *string, words ...string) {
	q.given, q.words = given, words
}

// within keeps the figure within what check allows.
func (q *quantity) within(check func(measure.System, float64) error) *quantity {
	q.check = check
	return q
}

// usual says how the figure that stands where nobody gives one is made round and shown.
func (q *quantity) usual(round func(measure.System, float64) float64, show func(measure.System, float64) string) *quantity {
	q.round, q.show = round, show
	return q
}

// usualIn is that figure in these units.
func (q *quantity) usualIn(u measure.System, v float64) float64 {
	if q.texts == nil && q.round != nil {
		return q.round(u, v)
	}
	return v
}

// of says which figure of a kit it is.
func (q *quantity) of(kit func(shed.Kit) float64) *quantity {
	q.kit = kit
	return q
}

// settle reads what was typed; bare figures are in these units, and what was not typed is
// that of the kit, if there is one.
func (q *quantity) settle(u measure.System, kit *shed.Kit) error {
	if kit != nil && q.kit != nil && q.texts == nil {
		*q.into = q.kit(*kit)
		return nil
	}
	if q.each != nil {
		*q.each = nil
		for _, text := range q.texts {
			v, err := q.figure(u, text)
			if err != nil {
				return err
			}
			*q.each = append(*q.each, v)
		}
		return nil
	}
	if word := strings.ToLower(strings.TrimSpace(q.text)); slices.Contains(q.words, word) {
		if *q.given = word; word == "" {
			*q.given = leftOut
		}
		return nil
	}
	v, err := q.figure(u, q.text)
	if err == nil {
		*q.into = q.usualIn(u, v)
	}
	return err
}

func (q *quantity) figure(u measure.System, text string) (float64, error) {
	v, err := q.read(u, text)
	if err == nil && q.check != nil {
		err = q.check(u, v)
	}
	for _, w := range q.words {
		if err != nil && w != "" {
			err = fmt.Errorf("%w, or %s", err, w)
		}
	}
	return v, err
}

// leftOut is the word of a quantity that nobody gave and that needs none.
const leftOut = "left out"

// readFigures reads all figures among the flags; bare ones are in these units. What
// is refused in them and right in the others says how to ask for those. What nobody says is
// that of the kit; nil: that of a usual one.
func readFigures(flags *pflag.FlagSet, u measure.System, kit *shed.Kit) (err error) {
	flags.VisitAll(func(f *pflag.Flag) {
		q, ok := f.Value.(*quantity)
		if !ok || err != nil {
			return
		}
		e := q.settle(u, kit)
		if e == nil {
			return
		}
		err = usage("--%s: %v", f.Name, e)
		other := measure.US
		if u != measure.Metric {
			other = measure.Metric
		}
		if flags.Lookup("units") != nil && q.settle(other, kit) == nil {
			err = usage("--%s: %v; for figures in other units say --units %s", f.Name, e, other)
		}
	})
	return err
}

// unitsFlag adds the flag that says in which units a command reads and answers.
func unitsFlag(f *pflag.FlagSet) {
	f.TextVar(new(measure.System), "units", measure.Metric, "`units` of plain numbers and of the answer: metric, us or imperial, and any exceptions, such as us,g or metric,F,12h; otherwise your kit's, or your language's (us for en_US)")
	f.Lookup("units").DefValue = "" // it is not metric for everybody
}

// unitsOf are the units that a command goes by: those it is asked for, else those of
// the kit, else those of the machine's language.
func (o *options) unitsOf(c *cobra.Command) (u measure.System) {
	if f := c.Flags().Lookup("units"); f != nil && f.Changed && u.UnmarshalText([]byte(f.Value.String())) == nil {
		return u
	}
	if kit, err := o.ownKit(c); kit != nil && err == nil {
		return kit.Units
	}
	return localUnits(o.getenv)
}

// kitFlag adds the flag that says whose kit a command goes by.
func kitFlag(f *pflag.FlagSet) {
	f.String("kit", "", "use the kit in this JSON `file`, one for plan --file or from export --json; otherwise your own, if you have one")
}

// ownKit is the kit that a command goes by, nil if there is none: that of --kit, else the
// one in the record.
func (o *options) ownKit(c *cobra.Command) (*shed.Kit, error) {
	if f := c.Flags().Lookup("kit"); f != nil && f.Changed {
		name := f.Value.String()
		raw, err := readWhole(name, "the kit", nil, mostKitFile)
		if err != nil {
			return nil, err
		}
		k, ok, err := kitIn(raw, localUnits(o.getenv))
		if err == nil && !ok {
			err = errors.New("it has no kit")
		}
		if err == nil {
			err = k.Validate()
		}
		if err != nil {
			return nil, fmt.Errorf("%s: %w", measure.CleanText(name, 80), err)
		}
		return &k, nil
	}
	if k, _, ok := store.PeekKit(o.file()); ok {
		return &k, nil
	}
	return nil, nil
}

// mostKitFile bounds what is read of a file with a kit, which may be a whole export.
const mostKitFile = 1 << 27

// kitIn is the kit in a JSON file, with what is usual in its units, else in u, for what it
// leaves out; ok is false where the file has none.
func kitIn(raw []byte, u measure.System) (k shed.Kit, ok bool, err error) {
	var own struct {
		Kit *struct {
			Units *measure.System `json:"units"`
		} `json:"kit"`
	}
	_ = json.Unmarshal(raw, &own) // what is wrong with it is said below
	if own.Kit != nil && own.Kit.Units != nil {
		u = *own.Kit.Units
	}
	f := struct {
		Kit shed.Kit `json:"kit"`
	}{shed.UsualKit(u)}
	if err := json.Unmarshal(raw, &f); err != nil {
		return k, false, measure.NotJSON("kit", raw, 0, err)
	}
	return f.Kit, own.Kit != nil, nil
}

// kitOf is ownKit in the units that the command goes by.
func (o *options) kitOf(c *cobra.Command) (*shed.Kit, measure.System, error) {
	k, err := o.ownKit(c)
	u := o.unitsOf(c)
	if k != nil {
		*k = k.In(u)
	}
	return k, u, err
}

// inUnits makes a command's help speak in the units that the command goes by, and in
// their spelling.
func (o *options) inUnits(help func(*cobra.Command, []string)) func(*cobra.Command, []string) {
	return func(c *cobra.Command, args []string) {
		u := o.unitsOf(c)
		c.Flags().VisitAll(func(f *pflag.Flag) {
			if q, ok := f.Value.(*quantity); ok && q.show != nil && f.DefValue != "" {
				if v, err := q.read(u, f.DefValue); err == nil && v != 0 {
					f.DefValue = q.show(u, q.usualIn(u, v))
				}
			}
		})
		if kit, err := o.ownKit(c); kit != nil && err == nil { // what is left out is that of the kit
			c.Flags().VisitAll(func(f *pflag.Flag) {
				if q, ok := f.Value.(*quantity); ok && q.show != nil && q.kit != nil {
					f.DefValue = q.show(u, q.kit(*kit))
				}
			})
		}
		out, text := c.OutOrStdout(), new(bytes.Buffer)
		c.SetOut(text)
		c.Long = u.PercentSigns(c.Long) // not a flag's own word, %
		help(c, args)
		c.SetOut(out)
		said := ownExamples(u, text.String())
		if u.American() { // the column of flags stays straight
			said = u.Spell(strings.ReplaceAll(said, "--no-colour  ", "--no-color   "))
		}
		// Nothing can be done about a standard output that takes no writes.
		_, _ = io.WriteString(out, said)
	}
}

// exampleFigure is a figure of an example: {1.5 kg}, {65 C}, {16:00}, {13 Jun 2026}.
var exampleFigure = regexp.MustCompile(`\{(\d[^{}"]*)\}`)

// ownExamples are the figures of examples as one types them in these units.
func ownExamples(u measure.System, text string) string {
	return exampleFigure.ReplaceAllStringFunc(text, func(figure string) string {
		figure = figure[1 : len(figure)-1]
		for _, layout := range []string{"15:04", "2 Jan 2006"} {
			if at, err := time.Parse(layout, figure); err == nil {
				return u.Moment(at, layout)
			}
		}
		if c, err := measure.Metric.ParseTempC(figure); err == nil {
			return strings.ReplaceAll(u.Temp(u.RoundTempC(c)), "°", "") // no key has it
		}
		if l, err := measure.Metric.ParseVolumeL(figure); err == nil {
			return u.Volume(u.RoundVolumeL(l))
		}
		g, _ := measure.Metric.ParseMassG(figure)
		return u.Mass(u.RoundMassG(g))
	})
}

// counting is a flag with a whole number.
type counting[T int | uint64] struct {
	into *T
	most uint64
}

// count adds such a flag, up to a number.
func count[T int | uint64](f *pflag.FlagSet, into *T, name string, usual T, most uint64, help string) {
	*into = usual
	f.Var(&counting[T]{into, most}, name, help)
}

func (c *counting[T]) String() string { return fmt.Sprint(*c.into) }

func (c *counting[T]) Type() string { return "number" }

func (c *counting[T]) Set(text string) error {
	v, err := measure.Metric.ParseCount(text, "3")
	switch {
	case err != nil:
		return err
	case v > c.most:
		return fmt.Errorf("%d is too many: give up to %d", v, c.most)
	}
	*c.into = T(v)
	return nil
}

// flagError says what is wrong with a flag in the program's own words.
func flagError(c *cobra.Command, err error) error {
	help := fmt.Sprintf("`%s --help` says what there is", c.CommandPath())
	var (
		none   *pflag.NotExistError
		value  *pflag.ValueRequiredError
		bad    *pflag.InvalidValueError
		syntax *pflag.InvalidSyntaxError
	)
	switch {
	case errors.As(err, &none):
		name := none.GetSpecifiedName()
		dashes := "--"
		if none.GetSpecifiedShortnames() != "" {
			dashes = "-"
		}
		return usage("there is no flag %s%s: %s", dashes, measure.CleanText(name, 40), help)
	case errors.As(err, &value):
		return usage("--%s needs a value: %s", value.GetFlag().Name, help)
	case errors.As(err, &bad):
		if f := bad.GetFlag(); f.Value.Type() == "bool" {
			return usage("--%s takes no value: leave =%s out", f.Name, measure.CleanText(bad.GetValue(), 40))
		}
		return usage("--%s: %v", bad.GetFlag().Name, bad.Unwrap())
	case errors.As(err, &syntax):
		return usage("%s isn't a flag: %s", measure.CleanText(syntax.GetSpecifiedFlag(), 40), help)
	}
	return usage("%v: %s", err, help)
}

// openFile opens a file that is only read; what says what it holds.
func openFile(name, what string) (*os.File, error) {
	if err := notFolder(name, nameFileIn); err != nil {
		return nil, err
	}
	f, err := os.Open(name)
	switch {
	case err == nil:
		return f, nil
	case errors.Is(err, fs.ErrNotExist), errors.Is(err, syscall.ENOTDIR):
		return nil, fmt.Errorf("%s cannot be read: there is no file %s", what, harmless(name))
	case errors.Is(err, fs.ErrPermission):
		return nil, fmt.Errorf("%s cannot be read: %s may not be opened by you", what, harmless(name))
	}
	return nil, fmt.Errorf("%s cannot be read: %w", what, err)
}

// readWhole is what a file holds, or in where that is not nil and the name is -, up to so many
// bytes and one more; what says what it is.
func readWhole(name, what string, in io.Reader, most int64) ([]byte, error) {
	if in == nil || name != "-" {
		f, err := openFile(name, what)
		if err != nil {
			return nil, err
		}
		defer func() { _ = f.Close() }() // only read
		in = f
	}
	raw, err := io.ReadAll(io.LimitReader(in, most+1))
	if err != nil {
		return nil, fmt.Errorf("%s cannot be read: %w", what, err)
	}
	return measure.NoMark(raw), nil
}

// Figures of the usual kit, as the default of a flag.
func usualL(l float64) string { return strconv.FormatFloat(l, 'f', -1, 64) + " L" }

func usualC(c float64) string { return strconv.FormatFloat(c, 'f', -1, 64) + " C" }
