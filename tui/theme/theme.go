// Package theme names what a style means; the screens never name a colour.
// Every meaning differs by weight, reverse or a mark as well as by colour, so
// that it survives a terminal without colours.
package theme

import (
	"io"
	"strings"

	"github.com/charmbracelet/lipgloss"
	"github.com/muesli/termenv"
)

// Theme is the set of meanings.
type Theme struct {
	_        [0]func() // nobody compares two: no code for it
	ASCII    bool      // plain characters only
	Light    bool      // the terminal's ground is
	Steady   bool      // nothing flashes: without colours words do it
	Renderer *lipgloss.Renderer

	Title, Key, Chosen, Next, Big, Now Style // strong: the name of a screen, a key, the chosen line, the next action, a figure read from the door, the line of now

	Text, Bar  Style // and soak
	Faint      Style // quiet: said, but not needed at a glance
	Hot, Cool  Style // water: Water says which
	Release    Style // where wax sets again
	Alarm      Style // an unanswered alarm of high priority
	Medium     Style // and of medium
	AlarmEdge  Style // where their ground ends in the middle of a line
	MediumEdge Style
	Warn       Style // of low; late, not saved
	Heard      Style // an alarm acknowledged but not acted on
	Caution    Style // safety lines
	Good       Style // saved, done
	Rule       Style // lines
	Likely     Style // the ground of where a bath may be, behind the line of its forecast
	LikelyTop  Style // the upper edge of that ground, in signs
	LikelyFoot Style // and the lower one, reversed
}

// hotFromC is from where water is told as hot: hands feel it so (our own choice, no source).
const hotFromC = 40

// Water is how a bath of a temperature is told.
func (t *Theme) Water(tempC float64) *Style {
	if tempC >= hotFromC {
		return &t.Hot
	}
	return &t.Cool
}

// Style is how a meaning looks: what switches it on before a line and off behind it.
// That is worked out once, not for each text of each frame.
type Style struct {
	Of      *lipgloss.Style // for a text field, which draws by itself
	on, off string
}

func of(s lipgloss.Style) Style {
	on, off, _ := strings.Cut(s.Render("x"), "x")
	return Style{Of: &s, on: on, off: off}
}

// Render is one line of text in the style.
func (s Style) Render(line string) string {
	if s.on[:min(len(s.on), len(underline))] == underline { // words alone, not the blanks around them
		from, to := len(line)-len(strings.TrimLeft(line, " ")), len(strings.TrimRight(line, " "))
		return line[:from] + s.on + line[from:max(from, to)] + s.off + line[max(from, to):]
	}
	return s.on + line + s.off
}

// underline is how a style begins that is bold and underlined.
const underline = "\x1b[1;4"

// Over is one line of text in the style, on the ground of another.
func (s Style) Over(ground Style, line string) string {
	return ground.on + s.on + line + s.off + ground.off
}

// Grounds says that the style paints the ground of its cells.
func (s Style) Grounds() bool { return s.on != "" }

// Options choose a theme.
type Options struct {
	ASCII   bool
	Light   bool
	Few     bool // the terminal has sixteen colours
	NoColor bool
}

// role is a colour for one meaning, on a dark and on a light ground: by its number of 256, and of
// the sixteen that every terminal has ("": the terminal's own). What is held of them is in roles_test.go.
type role struct{ dark, light, fewDark, fewLight string }

var (
	quiet    = role{"247", "242", "", ""}
	text     = role{"252", "235", "", ""}
	strong   = role{"223", "16", "15", "0"}
	hot      = role{"215", "160", "9", "1"}
	cool     = role{"159", "25", "14", "4"}
	release  = role{"213", "90", "13", "5"}
	low      = role{"228", "94", "11", ""} // what many terminals show as 3 is not seen on white
	good     = role{"78", "23", "10", ""}
	line     = role{"240", "250", "", ""} // and grounds, which say nothing by themselves
	likely   = role{"238", "254", "", ""}
	onHigh   = role{"231", "231", "15", "15"}
	high     = role{"124", "124", "1", "1"}
	onMedium = role{"16", "16", "0", "0"}
	medium   = role{"214", "214", "11", "11"}
)

// of is the colour of a role under some options; "" for none.
func (r role) of(o Options) lipgloss.Color {
	dark, light := r.dark, r.light
	if o.Few {
		dark, light = r.fewDark, r.fewLight
	}
	switch {
	case o.NoColor:
		return ""
	case o.Light:
		return lipgloss.Color(light)
	}
	return lipgloss.Color(dark)
}

// New makes a theme that writes for out.
func New(out io.Writer, o Options) Theme {
	r := lipgloss.NewRenderer(out)
	r.SetHasDarkBackground(!o.Light)
	// Without colours too: bold, reverse and underline carry meanings, and the profile
	// of none (termenv.Ascii) drops them.
	r.SetColorProfile(termenv.ANSI256)
	t := Theme{ASCII: o.ASCII, Light: o.Light, Steady: o.NoColor, Renderer: r}
	for _, x := range []struct {
		into                    *Style
		fg, ground              role
		bold, italic, underline bool
	}{
		{into: &t.Title, fg: strong, bold: true}, {into: &t.Text, fg: text}, {into: &t.Faint, fg: quiet}, {into: &t.Hot, fg: hot}, {into: &t.Cool, fg: cool},
		{into: &t.Release, fg: release}, {into: &t.AlarmEdge, fg: high}, {into: &t.MediumEdge, fg: medium}, {into: &t.Alarm, fg: onHigh, ground: high, bold: true}, {into: &t.Medium, fg: onMedium, ground: medium, bold: true},
		{into: &t.Warn, fg: low, bold: true}, {into: &t.Heard, fg: low, bold: true, underline: true}, {into: &t.Caution, fg: low, italic: true},
		{into: &t.Good, fg: good}, {into: &t.Rule, fg: line},
	} {
		s := r.NewStyle().Bold(x.bold).Italic(x.italic).Underline(x.underline)
		if c := x.fg.of(o); c != "" {
			s = s.Foreground(c)
		}
		if c := x.ground.of(o); c != "" {
			s = s.Background(c)
		} else if x.ground != (role{}) {
			s = s.Reverse(true)
		}
		*x.into = of(s)
	}
	t.Bar, t.Key, t.Chosen, t.Next, t.Big, t.Now = t.Text, t.Title, t.Title, t.Title, t.Title, t.Title
	if c := likely.of(o); c != "" && !o.ASCII { // else signs draw it
		t.Likely, t.LikelyTop, t.LikelyFoot = of(r.NewStyle().Background(c)), of(r.NewStyle().Foreground(c)), of(r.NewStyle().Foreground(c).Reverse(true))
	}
	return t
}

// Mark is one of the single-cell signs of the screens.
type Mark int

// The marks.
const (
	MarkNow     Mark = iota // the line of now
	MarkSoak                // soak still to come or gone
	MarkGone                // after the soak, still warm enough
	MarkEnd                 // soak ends
	MarkMore                // goes on past the edge
	MarkMaybe               // release temperature possible
	MarkLikely              // release temperature likely
	MarkPick                // the chosen line
	MarkAlarm               // an alarm
	MarkRule                // a horizontal line
	MarkReading             // a reading
	MarkLate                // soak over, fleece still in
	MarkHands               // hands at a tub; what there is of anything: open above, as rows of bars stand one on the other
	MarkBlock               // and what stands below it in the same bar
	MarkWash                // a soak in a bath that has a release temperature
	MarkFirst               // a forecast that was made before
)

var marks = map[Mark][2]string{
	MarkNow: {"┃", "|"}, MarkSoak: {"━", "="}, MarkGone: {"┄", "-"}, MarkEnd: {"◆", "*"}, MarkMore: {"▶", ">"},
	MarkMaybe: {"░", ":"}, MarkLikely: {"▒", "#"}, MarkPick: {"▸", ">"}, MarkAlarm: {"▲", "!"},
	MarkRule: {"─", "-"}, MarkReading: {"●", "o"}, MarkLate: {"╍", "~"},
	MarkHands: {"▆", "#"}, MarkBlock: {"█", "#"}, MarkWash: {"═", "~"}, MarkFirst: {"·", "."},
}

// LikelyWord stands for Likely in a legend.
func (t *Theme) LikelyWord() string {
	switch {
	case t.Likely.Grounds():
		return "shaded:"
	case t.ASCII:
		return t.Mark(MarkMaybe)
	}
	return "⠄⠄"
}

// Mark is the sign, in plain characters if the theme asks for it.
func (t *Theme) Mark(m Mark) string {
	if t.ASCII {
		return marks[m][1]
	}
	return marks[m][0]
}
