package main

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"runtime"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/adrg/xdg"
	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/store"
	"fleece.example/tubside/tui/keep"
	"fleece.example/tubside/tui/theme"
)

// fileName is the one file that the wash days are kept in.
const fileName = "tubside.db"

// options are the flags that every command has.
type options struct {
	data                   string
	anew                   bool // a record may begin in data without a question
	ascii, light, noColour bool
	lightFlag              *pflag.Flag

	// The clock for tests of whole days. It agrees with the real one at the moment
	// from, and runs pace times as fast. Two starts with the same flags agree.
	pace pace
	from string

	getenv func(string) string
}

// folder is where the wash days are kept.
func (o *options) folder() string {
	if o.data != "" {
		return o.data
	}
	return filepath.Join(xdg.DataHome, "tubside")
}

func (o *options) file() string { return filepath.Join(o.folder(), fileName) }

// folderCheck refuses what cannot be the folder of the wash days, and a name that is empty.
func (o *options) folderCheck(cmd *cobra.Command, args []string) error {
	completes := slices.Contains([]string{cobra.ShellCompRequestCmd, cobra.ShellCompNoDescRequestCmd}, cmd.Name())
	if slices.Contains(args, "") && !completes { // as a shell gives one that was never set
		return usage("one of the names is empty: give it, or leave it out")
	}
	if cmd.Flags().Changed("data") && strings.TrimSpace(o.data) == "" {
		return usage("--data is empty: name a folder")
	}
	if info, err := os.Stat(o.folder()); err == nil && !info.IsDir() {
		return usage("%s is a file, and a folder is wanted there", harmless(o.folder()))
	}
	return nil
}

// command is a command of ours with what it needs to find the same record.
func (o *options) command(words ...string) string {
	out := "tubside " + strings.Join(words, " ")
	if o.data != "" {
		out += " --data " + o.data
	}
	return out
}

// noRecord says in a sentence that a folder has no record while copies of one are there,
// or that one which was named has none yet: it may be mistyped, or its drive not plugged
// in. "" where there is a record, or where one may begin.
func (o *options) noRecord() string {
	if o.anew {
		return ""
	}
	if _, err := os.Stat(o.file()); !errors.Is(err, fs.ErrNotExist) {
		return ""
	}
	if copies, err := store.Copies(store.CopiesFolder(o.file())); err == nil && len(copies) > 0 {
		return "the record is gone from " + o.folder() + ", and its copies are there: `" + o.command("restore") + "` shows them and puts one back."
	}
	if o.data == "" {
		return ""
	}
	what := "there is no record in " + o.data
	if _, err := os.Stat(o.data); err != nil {
		what = "there is no folder " + o.data
	}
	return what + ": is it mistyped, or its drive not plugged in?"
}

// newFlag has a record begin without a question.
func (o *options) newFlag(flags *pflag.FlagSet) {
	flags.BoolVar(&o.anew, "new", false, "begin a new record in the folder of --data, if there is none")
}

// clock is the time the screen goes by.
func (o *options) clock() (keep.Clock, time.Duration, error) {
	if o.from == "" {
		return wallClock{}, 0, nil
	}
	from, err := time.Parse(time.RFC3339, o.from)
	if err != nil {
		return nil, 0, usage("--clock-from %s isn't a time: write it as 2026-05-16T09:00:00Z", measure.CleanText(o.from, 40))
	}
	return pacedClock{start: from, began: from, pace: float64(o.pace)}, rehearsalTick, nil
}

// theme is how the screen looks: by the flags, else by what the terminal says
// of itself.
func (o *options) theme() theme.Options {
	return theme.Options{
		ASCII:   o.ascii || plainTerminal(o.getenv, runtime.GOOS),
		Light:   o.light || !o.lightSaid() && lightTerminal(o.getenv),
		Few:     sixteenColours(o.getenv),
		NoColor: o.noColour || o.getenv("NO_COLOR") != "" || noColours.MatchString(o.getenv("TERM")),
	}
}

// lightSaid says that a flag decides between light and dark.
func (o *options) lightSaid() bool { return o.lightFlag != nil && o.lightFlag.Changed }

// asksGround says that only the terminal can tell which ground it has. The console would show
// the question.
func (o *options) asksGround() bool {
	term := o.getenv("TERM")
	return !o.lightSaid() && o.getenv("COLORFGBG") == "" && !o.theme().NoColor && term != "" && term != "linux" && term != "dumb" && runtime.GOOS != "windows"
}

// noColours are terminals that have none.
var noColours = regexp.MustCompile(`^vt[0-9]|-m(ono)?$`)

// sixteenColours says that the terminal is one of those that know no more.
func sixteenColours(getenv func(string) string) bool {
	switch term := getenv("TERM"); term {
	case "linux", "ansi", "xterm", "xterm-color", "xterm-16color", "screen", "screen.linux", "rxvt", "cygwin":
		return getenv("COLORTERM") == "" && getenv("TERM_PROGRAM") == ""
	}
	return false
}

// plainTerminal says that the terminal is likely to show plain characters only.
func plainTerminal(getenv func(string) string, goos string) bool {
	if goos == "windows" { // its terminals take UTF-8 and set no locale
		return false
	}
	if getenv("TERM") == "linux" { // the console's font has 512 signs
		return true
	}
	for _, name := range []string{"LC_ALL", "LC_CTYPE", "LANG"} {
		if locale := strings.ToLower(getenv(name)); locale != "" {
			return !strings.Contains(locale, "utf-8") && !strings.Contains(locale, "utf8")
		}
	}
	return getenv("TERM_PROGRAM") == "" // a terminal that names itself knows UTF-8
}

// lightTerminal reads the background from COLORFGBG, "foreground;background"
// in the numbers of the sixteen colours: white, and the bright ones but the
// dark grey, are light.
func lightTerminal(getenv func(string) string) bool {
	parts := strings.Split(getenv("COLORFGBG"), ";")
	n, err := strconv.Atoi(strings.TrimSpace(parts[len(parts)-1]))
	return err == nil && len(parts) > 1 && (n == 7 || n >= 9 && n <= 15)
}
