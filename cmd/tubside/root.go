package main

import (
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"time"

	"github.com/charmbracelet/x/term"
	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"fleece.example/tubside/cmd/tubside/handout"
	"fleece.example/tubside/cmd/tubside/machine"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/store"
	"fleece.example/tubside/tui/base"
	"fleece.example/tubside/tui/draw"
)

// version is set anew by the build of a release.
var version = "0.1.0"

// system is what the program has of the world around it.
type system struct {
	in, out *os.File
	errs    io.Writer
	getenv  func(string) string
}

// columns is how wide text is laid out: as the terminal is, else as COLUMNS says, else 80.
func (s system) columns() int {
	wide := 0
	if s.out != nil {
		wide, _, _ = term.GetSize(s.out.Fd()) // not of a terminal: 0
	}
	if wide <= 0 {
		wide, _ = strconv.Atoi(s.getenv("COLUMNS"))
	}
	if wide <= 0 {
		wide = 80
	}
	return min(max(wide, leastColumns), mostColumns)
}

// wrapped breaks lines at their spaces for a terminal: it would break a word. What goes elsewhere
// stays as it is, for whoever searches it.
func (s system) wrapped(to io.Writer, text string) string {
	if f, ok := to.(*os.File); ok && term.IsTerminal(f.Fd()) {
		return strings.Join(draw.Wrapped(text, s.columns()), "\n")
	}
	return text
}

// Text is no narrower, and no wider.
const leastColumns, mostColumns = 40, 500

// usageError is a command line, or a place to run in, that cannot be right.
// The exit code is 2 for these and 1 for what went wrong later.
type usageError struct{ text string }

func (e usageError) Error() string { return e.text }

func usage(format string, args ...any) error { return usageError{fmt.Sprintf(format, args...)} }

// run is the whole program; it returns the exit code.
func run(args []string, sys system) int {
	cmd := newRoot(sys)
	cmd.SetArgs(args)
	done, err := cmd.ExecuteC()
	if err == nil && done == cmd {
		err = cmd.ValidateArgs(cmd.Flags().Args()) // help was asked for of a command that is not there
	}
	if err == nil {
		return 0
	}
	// Nothing can be done about a standard error that takes no writes.
	_, _ = fmt.Fprintln(sys.errs, sys.wrapped(sys.errs, "tubside: "+harmless(err.Error())))
	if u := (usageError{}); errors.As(err, &u) {
		return 2
	}
	return 1
}

// harmless is a text of one or more lines without terminal codes: a folder's or
// a file's name may hold some.
func harmless(text string) string {
	lines := strings.Split(text, "\n")
	for i, l := range lines {
		lines[i] = measure.CleanText(l, 1000)
	}
	return strings.Join(lines, "\n")
}

const rootHelp = `tubside watches a wash day of raw fleece: it says which tub needs you next, what to
do, how soon and how warm it is, and rings when you have to come. Every
event is saved as it happens, so a power cut costs nothing: start it again and
go on.

Everything is kept in one file, tubside/tubside.db in your data folder
($XDG_DATA_HOME, or the system's own place for it); --data names another folder. If
there is no record in that one yet, it asks before it begins one: the name may be
mistyped, or the drive not plugged in.

It draws with plain characters (--ascii) on the Linux console, and where the locale
(LC_ALL, else LC_CTYPE, else LANG) is not UTF-8, or none is set and neither is
TERM_PROGRAM. It takes the light theme (--light) where COLORFGBG, or else the
terminal, says that the background is light; --light=false keeps the dark one.
NO_COLOR or --no-colour makes it black and white, and so do terminals without
colours; those with sixteen get sixteen.`

func newRoot(sys system) *cobra.Command {
	o := &options{getenv: sys.getenv}
	cmd := &cobra.Command{
		Use:               "tubside",
		Short:             "A wash-day timer and coach for raw fleece",
		Long:              rootHelp,
		Version:           version,
		SilenceErrors:     true,
		PersistentPreRunE: o.folderCheck,
		SilenceUsage:      true,
		Args: func(cmd *cobra.Command, args []string) error {
			if len(args) > 0 {
				return usage("there is no command \"%s\": use %s, or none for the wash day", args[0], commandNames(cmd))
			}
			return nil
		},
		RunE: func(c *cobra.Command, _ []string) error {
			return washDay(o, sys, c)
		},
	}
	byClick()
	cmd.CompletionOptions.DisableDefaultCmd = true
	cmd.SetIn(sys.in)
	cmd.SetOut(sys.out)
	cmd.SetErr(sys.errs)
	cmd.SetFlagErrorFunc(flagError)
	flags := cmd.PersistentFlags()
	flags.StringVar(&o.data, "data", "", "keep the wash days in this `folder`")
	flags.BoolVar(&o.ascii, "ascii", false, "use plain characters only")
	flags.BoolVar(&o.light, "light", false, "for a terminal with a light background (--light=false: a dark one)")
	o.lightFlag = flags.Lookup("light")
	flags.BoolVar(&o.noColour, "no-colour", false, "black and white only; either spelling will do")
	o.pace = 1
	cmd.Flags().Var(&o.pace, "clock-pace", "how many `times` faster than real time, with --clock-from")
	cmd.Flags().StringVar(&o.from, "clock-from", "", "the `moment` from which the clock runs faster")
	o.newFlag(cmd.Flags())
	for _, name := range []string{"clock-pace", "clock-from"} { // for tests: nobody washes faster
		cmd.Flags().Lookup(name).Hidden = true
	}
	cmd.SetGlobalNormalizationFunc(eitherSpelling)
	cmd.SetHelpCommand(newHelp())
	help := o.inUnits(cmd.HelpFunc())
	cmd.SetHelpFunc(func(c *cobra.Command, args []string) {
		if c.HasParent() || c.ValidateArgs(c.Flags().Args()) == nil {
			help(c, args)
		}
	})
	cmd.AddCommand(newRehearse(o, sys), newBackup(o, sys), newCheck(o, sys), newCopies(o, sys), newRestore(o, sys), newForecast(o), newFill(o), newPlanCommand(o), newYield(o), newTags(o, sys), newReviewCommand(o, sys), newCompare(o, sys), newExport(o, sys), newImport(o, sys),
		newSoundCheck(sys), newSoundHelper(sys))
	return cmd
}

// takes has a command be given from least to most words, and else says what it is given.
func takes(least, most int, text string) cobra.PositionalArgs {
	return func(_ *cobra.Command, args []string) error {
		if len(args) < least || len(args) > most {
			return usageError{text}
		}
		return nil
	}
}

// takesNone has a command be given flags alone; format has a place for the first word.
func takesNone(format string) cobra.PositionalArgs {
	return func(_ *cobra.Command, args []string) error {
		if len(args) > 0 {
			return usage(format, measure.CleanText(args[0], 60))
		}
		return nil
	}
}

// eitherSpelling takes a flag as it is spelled on either side of the ocean.
func eitherSpelling(_ *pflag.FlagSet, name string) pflag.NormalizedName {
	if name == "no-color" {
		name = "no-colour"
	}
	return pflag.NormalizedName(name)
}

// newHelp is help that knows a command that is not there from one that is.
func newHelp() *cobra.Command {
	return &cobra.Command{
		Use:   "help [command]",
		Short: "Help about any command",
		RunE: func(c *cobra.Command, args []string) error {
			found, rest, err := c.Root().Find(args)
			if err != nil || len(rest) > 0 {
				return usage("there is no command \"%s\": use %s", strings.Join(args, " "), commandNames(c.Root()))
			}
			return found.Help()
		},
	}
}

// commandNames lists the commands a person may use, for a sentence.
func commandNames(cmd *cobra.Command) string {
	var names []string
	for _, c := range cmd.Commands() {
		if c.IsAvailableCommand() && c.Name() != "help" {
			names = append(names, c.Name())
		}
	}
	if n := len(names); n > 1 {
		return strings.Join(names[:n-1], ", ") + " or " + names[n-1]
	}
	return strings.Join(names, "")
}

// washDay opens the full screen on the person's own store.
func washDay(o *options, sys system, c *cobra.Command) error {
	if err := sys.needTerminal(); err != nil {
		return err
	}
	clock, every, err := o.clock()
	if err != nil {
		return err
	}
	if no := o.noRecord(); no != "" {
		yes, err := sys.ask("nothing was started: --new starts a record without asking", strings.ToUpper(no[:1])+harmless(no[1:])+"\ny starts a new one there, anything else quits")
		if err == nil && !yes {
			_, err = fmt.Fprintln(sys.out, "Nothing was started.")
		}
		if err != nil || !yes {
			return err
		}
	}
	go store.SweepThrowaways() // the first frame does not wait for a long folder
	s, err := store.Open(o.file())
	if errors.Is(err, store.ErrInUse) || errors.Is(err, store.ErrNotWritable) {
		return lookOn(o, sys, o.unitsOf(c), err)
	}
	if err != nil {
		return err
	}
	took, err := o.takeUnsaved(s, func(cause error) (bool, error) {
		text := cause.Error()
		return sys.ask("nothing was started: make room on the disk first", harmless(strings.ToUpper(text[:1])+text[1:])+".\ny goes on without it, anything else quits")
	})
	if err != nil {
		return errors.Join(err, s.Close())
	}
	gone, was := elapsed(), s.Path()
	if o.pace != 1 || o.from != "" { // a clock of its own
		gone = nil
	}
	folder := filepath.Dir(s.Path())
	stop, unserved := handout.Serve(folder, s.Backup) // without it the commands wait for the end
	copies := newCopier(s, clock, secondPlace)
	copies.run(float64(o.pace))
	first, _ := s.Told() // what was found when it was opened stays on the terminal too
	for _, text := range []string{took, first} {
		if text != "" {
			copies.say(text)
			defer sys.warn([]string{text})
		}
	}
	told := func() (text, where string) {
		if text, where = s.Told(); text == "" {
			text = copies.told()
		} else if unserved == nil { // the socket may have gone with its folder
			stop()
			stop, unserved = handout.Serve(folder, s.Backup)
		}
		return text, where
	}
	err = show(o, sys, base.Deps{Elapsed: gone, FirstUnits: localUnits(o.getenv), Journal: s, Ledger: s, Clock: clock, TickEvery: every, Pace: float64(o.pace), Where: s.Path(), Told: told, Along: along{s}, Exposed: exposed(s.Path()), Copies: sayCopies(copies.folder)}, false)
	copies.close()
	if unserved == nil {
		stop()
	}
	if harm := s.SetAside(); harm != "" {
		sys.warn([]string{harm})
	}
	if at := s.Path(); at != was {
		sys.warn([]string{"the record of this day is in " + at})
	}
	return errors.Join(err, s.Close())
}

// lookOn offers what a start can do while the day runs in another window, or the disk takes
// no writes, as why says: to show how it stands.
func lookOn(o *options, sys system, u measure.System, why error) error {
	s, done, err := peek(o.file())
	if err != nil {
		return why
	}
	days, err := s.Days(1)
	if err = errors.Join(err, done()); err != nil || len(days) == 0 {
		return why
	}
	text := why.Error()
	yes, err := sys.ask("nothing is shown", harmless(strings.ToUpper(text[:1])+text[1:])+".\ny shows here how the last wash day stands and changes nothing, anything else quits")
	if err != nil || !yes {
		return err
	}
	if err = (&reviewing{units: u}).run(o, sys, ""); err == nil { // said below what has scrolled
		_, err = fmt.Fprintf(sys.out, "\nThis was wash day %d as it stood at %s, to read only: it does not go on here.\n", days[0].ID, u.Clock(time.Now()))
	}
	return err
}

// exposed says that others may change the record.
func exposed(path string) string {
	if who := machine.Writers(path); who != "" {
		return "Others can change this record: " + measure.CleanText(who, 300)
	}
	return ""
}

// localUnits are those people measure in where the machine's language says it is, with the
// clock and the dates that it says they read.
func localUnits(getenv func(string) string) measure.System {
	of := func(kind string) string {
		for _, name := range []string{"LC_ALL", kind, "LANG"} {
			if v := getenv(name); v != "" {
				lang, _, _ := strings.Cut(v, ".")
				return lang
			}
		}
		return ""
	}
	u := measure.Metric
	if strings.HasSuffix(of("LC_MEASUREMENT"), "_US") {
		u = measure.US
	}
	times := measure.Metric
	switch of("LC_TIME") { // as CLDR has them, from memory
	case "en_US", "en_PH":
		times = measure.US
	case "en_CA", "en_AU", "en_NZ", "en_IN", "es_US":
		times = measure.Twelve
	}
	return u.Timed(times)
}

// byClick lets the program be started by a click as well, where the system allows it. It
// is the library's variable, set once: tests have several programs at a time.
var byClick = sync.OnceFunc(func() { cobra.MousetrapHelpText = "" })
